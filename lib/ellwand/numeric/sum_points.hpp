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
/// @throws OutOfRange as moments_of_sum does
///
/// Source: mu(t) is the lower bound of R. Kaas, J. Dhaene, M. J. Goovaerts, Insurance: Mathematics
///         and Economics 27 (2000) 151-168; the term in v is that of R. Martin and T. Wilde, Risk
///         15 (2002) 123-128; both from memory.
/// Accuracy: exact for one part, one part and sure ones, and parts that move as one; against
///           samples see range_of_sum.
Range points_of_sum(std::span<const double> medians, std::span<const double> covariances);

/// The points of a sum whose parts' medians are themselves unsure, in states of equal weight.
///
/// Given a state the sum has the mean and the variance of such parts, and the shape that the sum
/// has at the mean of the states. Where that leaves a state narrower than a fifth of what the
/// states spread over, it is widened to it, and the states drawn together to keep the variance.
///
/// @param medians      m_i, one row of parts for each state, state after state
/// @param covariances  C_ij, the same at all states
/// @throws OutOfRange as moments_of_sum does
///
/// Source: derived, the law of total probability; the widening is a kernel's (B. W. Silverman,
///         Density Estimation (1986), section 6.4.1, from memory).
Range points_over_states(std::span<const double> medians, std::span<const double> covariances);

}  // namespace ellwand::numeric
