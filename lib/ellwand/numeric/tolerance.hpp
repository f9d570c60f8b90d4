#pragma once
/// How far above the mean of a few a limit has to stand, to be above most of all there are.

namespace ellwand::numeric {

/// k, so that mean + k sd of n normal values is, with a given confidence, above a given share of
/// all such values.
///
/// With t' the noncentral t of n - 1 degrees of freedom and noncentrality z(share) sqrt(n):
///   k = t'(confidence) / sqrt(n).
///
/// @param n           how many values were seen, 2 to 10 000
/// @param share       of all values, from 0.5 to 0.9999
/// @param confidence  from 0.5 to 0.9999
/// @throws OutOfRange otherwise
///
/// Source: one-sided tolerance limits of a normal distribution, as in D. B. Owen, A Survey of
///         Properties and Applications of the Noncentral t-Distribution, Technometrics 10 (1968)
///         445-478 (from memory).
/// Accuracy: the table of data/published/tolerance_factors.csv to its last digit (test
///           ToleranceFactor.AgreesWithTheTable).
double tolerance_factor(int n, double share, double confidence);

}  // namespace ellwand::numeric
