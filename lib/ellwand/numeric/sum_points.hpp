#pragma once
/// Where the 5, 50 and 95 % points of a sum of lognormal parts lie.

#include "ellwand/numeric/range.hpp"

#include <span>

namespace ellwand::numeric {

/// The points of a sum whose parts' logarithms are jointly normal.
///
/// All parts are seen along one common score t, the direction in which the sum is steepest at its
/// mean: with M_i and C_ij as in moments_of_sum,
///   c_i = (C M)_i / sqrt(M' C M),   a_i(t) = m_i exp((C_ii - c_i^2) / 2 + c_i t).
/// Given t the sum has the mean mu(t) = sum a_i and the variance v(t) = sum a_i a_j
/// (exp(C_ij - c_i c_j) - 1). Where v is small beside mu'^2 the point at the normal score z is
///   mu - (v' / mu' - v mu'' / mu'^2 - z v / mu') / 2 at t = z,
/// exact but for terms in v^2; elsewhere the distribution is added up over t, that of the sum given
/// t being taken for the moved lognormal of its three moments, and the point is solved for.
///
/// @param medians      m_i, as for moments_of_sum
/// @param covariances  C_ij, as for moments_of_sum
/// @param bent_third   third central moment that the sum has beyond that of such parts: it moves
///                     the points by (z^2 - 1) bent_third / (6 M' C M)
/// @throws OutOfRange as moments_of_sum does
///
/// Source: mu(t) is the lower bound of R. Kaas, J. Dhaene, M. J. Goovaerts, Insurance: Mathematics
///         and Economics 27 (2000) 151-168; the term in v is that of R. Martin and T. Wilde, Risk
///         15 (2002) 123-128; the move is the first term of E. A. Cornish and R. A. Fisher, Rev.
///         Int. Stat. Inst. 5 (1938) 307-320; all three from memory.
/// Accuracy: exact for one part, one part and sure ones, and parts that move as one; against
///           samples see range_of_sum.
Range points_of_sum(std::span<const double> medians, std::span<const double> covariances,
                    double bent_third = 0.0);

}  // namespace ellwand::numeric
