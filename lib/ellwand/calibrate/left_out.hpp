#pragma once
/// What each measurement is foretold by all other pieces, without a fit for each of them.

#include "ellwand/calibrate/normal_rows.hpp"

#include <span>
#include <vector>

namespace ellwand::calibrate {

/// A row beside what the rows of all other pieces say of it.
struct LeftOut {
  double residual = 0.0;  ///< what was read less what is foretold
  double sd = 1.0;        ///< of that: what is unsure of the coefficients, the piece's own way and
                          ///< the error of the row together
  double degrees = 4.0;   ///< of freedom of the Student's t it is held against
};

/// Every row, all rows of its piece left out.
///
/// @param rows           with the sd they count for
/// @param sds            the sd each has in truth, smaller where a row counts for less
/// @param posterior      of these rows at these own variances
/// @param own_variances  of the coefficients each piece has for itself
/// @param robustness     degrees of freedom of the errors of the rows; infinite is normal
///
/// Source: the deletion formula of least squares for a group of rows: with e = y - H m, C their
///         covariance and S = C - H V H', the residual is C S^-1 e and its covariance C S^-1 C
///         (R. D. Cook and S. Weisberg, Residuals and Influence in Regression, 1982, from memory).
///         Degrees of freedom by matching the variance of the variance, nu (total / error)^2, where
///         only the error has Student's t (F. E. Satterthwaite, Biometrics Bulletin 2 (1946)
///         110-114, from memory).
std::vector<LeftOut> left_out(std::span<const LinearRow> rows, std::span<const double> sds,
                              const Posterior& posterior, std::span<const double> own_variances,
                              double robustness);

/// How far out of line a row is: the chance, both tails together, that an honest one is as far.
double tail_chance(const LeftOut& one);

}  // namespace ellwand::calibrate
