#pragma once
/// The normal distribution with mean 0 and standard deviation 1, as plain functions.
///
/// Both give the same figures natively and in the browser: double arithmetic throughout, never
/// widened to the machine's long double.

namespace ellwand::numeric {

/// Chance that a standard normal variable is at most `z`.
///
/// @param z  any value, infinite ones included
/// @throws OutOfRange when `z` is not a number
double normal_cdf(double z);

/// The value that a standard normal variable stays at or below with chance `p`.
///
/// @param p  above 0 and below 1
/// @throws OutOfRange otherwise
double normal_quantile(double p);

}  // namespace ellwand::numeric
