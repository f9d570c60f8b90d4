#pragma once
/// Student's t, and the range of a chance that was seen k times out of n, as plain functions.
///
/// Both give the same figures natively and in the browser: double arithmetic throughout, never
/// widened to the machine's long double.

namespace ellwand::numeric {

/// Chance that a variable with Student's t distribution is at most `t`.
///
/// @param t                   any value, infinite ones included
/// @param degrees_of_freedom  above 0, whole or not; infinity is the normal distribution
/// @throws OutOfRange otherwise
///
/// Accuracy: 1e-12 of the nearer tail (test StudentCdf.AgreesWithItsClosedForms).
double student_cdf(double t, double degrees_of_freedom);

/// The value that a variable with Student's t distribution stays at or below with chance `p`.
///
/// @param p                   above 0 and below 1
/// @param degrees_of_freedom  at least 0.01, whole or not; infinity is the normal distribution
/// @throws OutOfRange otherwise, and when the value is beyond what a number holds
double student_quantile(double p, double degrees_of_freedom);

/// The ends of a range of a chance.
struct ChanceRange {
  double low = 0.0;
  double high = 1.0;
};

/// The chances that k times out of n leave possible: outside it, seeing so many or so few has a
/// chance of at most (1 - confidence) / 2.
///
/// @param seen        k, 0 to n; with none the range begins at 0, with all it ends at 1
/// @param of          n, 1 or more
/// @param confidence  above 0 and below 1
/// @throws OutOfRange otherwise
///
/// Source: C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404-413; by quantiles of the beta
///         distribution: low of (k, n - k + 1), high of (k + 1, n - k).
ChanceRange clopper_pearson(int seen, int of, double confidence);

}  // namespace ellwand::numeric
