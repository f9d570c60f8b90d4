#pragma once
/// Weights that keep a few wild rows from deciding a fit.

#include <span>

namespace ellwand::numeric {

enum class RobustRule {
  None,      ///< every weight 1
  Huber,     ///< min(1, k / |z|)
  Bisquare,  ///< (1 - (z / c)^2)^2 within c, 0 beyond
  Student,   ///< (nu + 1) / (nu + z^2): maximum likelihood when rows follow Student's t
};

enum class RobustScale {
  Mad,  ///< the median of |residual| over 0.6745, anew for every round
  One,  ///< rows are in units of their standard deviation already
};

/// A rule and its constant: k, c or nu degrees of freedom.
struct Robust {
  RobustRule rule = RobustRule::None;
  double constant = 0.0;
  RobustScale scale = RobustScale::Mad;

  /// k = 1.345: 95 % as efficient as plain least squares when nothing is wild.
  static Robust huber(double k = 1.345) { return {RobustRule::Huber, k, RobustScale::Mad}; }
  /// c = 4.685: 95 % as efficient; a row beyond c scales has no say.
  static Robust bisquare(double c = 4.685) { return {RobustRule::Bisquare, c, RobustScale::Mad}; }
  /// nu = 4; the rows are in units of their standard deviation.
  static Robust student(double nu = 4.0) { return {RobustRule::Student, nu, RobustScale::One}; }
};

/// The weight of a row, 0 to 1 (Student: up to (nu + 1) / nu).
///
/// @param z  residual over scale, any finite number
///
/// Source: W. N. Venables and B. D. Ripley, Modern Applied Statistics with S, 4th ed. (2002),
/// section
///         6.5; Student: K. L. Lange, R. J. A. Little and J. M. G. Taylor, J. Amer. Statist. Assoc.
///         84 (1989) 881-896; both from memory.
double robust_weight(const Robust& robust, double z);

/// The spread of residuals by their median size: median |residual| / 0.6745, which is the standard
/// deviation when they are normal. 0 for none.
///
/// Source: as rlm of the package MASS 7.3 takes it, about 0 and not about their median.
double median_spread(std::span<const double> residuals);

}  // namespace ellwand::numeric
