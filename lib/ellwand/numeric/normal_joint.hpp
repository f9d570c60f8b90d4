#pragma once
/// Several standard normal variables that are correlated: the chance that none of them, or any of
/// them, passes its limit.

#include <cstddef>
#include <span>
#include <vector>

namespace ellwand::numeric {

/// The most variables looked at together.
inline constexpr std::size_t kMostJointVariables = 30;

/// A matrix of correlations that were reckoned pair by pair, as some variables can have them:
/// itself where they can, else without its negative part, brought back to ones on the diagonal.
///
/// @param correlation  n x n, row after row, n from 1 to kMostJointVariables
/// @throws OutOfRange for a diagonal other than 1 and a matrix that is not symmetric or not within
///         -1 and 1
///
/// Source: derived; the nearest matrix before the diagonal is brought back, e.g. N. J. Higham, IMA
///         Journal of Numerical Analysis 22 (2002) 329-343 (from memory).
std::vector<double> nearest_correlations(std::span<const double> correlation);

/// Chance that at least one of several standard normal variables exceeds its limit:
/// 1 - P(Z_1 <= z_1, ..., Z_n <= z_n). The same arguments give the same figure always.
///
/// @param z            the limits, 1 to kMostJointVariables of them; infinite ones are allowed
/// @param correlation  n x n, row after row. It may be singular (yarns that move as one); one
///                     that misses being a correlation matrix by a little, as rounded or estimated
///                     ones do, is taken without its negative part
/// @throws OutOfRange for a limit that is not a number, too many variables, a diagonal other than
///         1, a matrix that is not symmetric or not within -1 and 1, or one no variables can have
///
/// Source: A. Genz, J. Comput. Graph. Stat. 1 (1992) 141-149, with the most binding limit first
///         (G. J. Gibson, C. A. Glasbey and D. A. Elston 1994, from memory); a fixed lattice in
///         place of random points. A variable that others determine becomes a limit on the last of
///         them: derived.
/// Accuracy: within 1e-4 of variables with one common factor, of chains and of two groups (tests
///           ChanceAnyExceeds.OfVariablesWithOneCommonFactorAgreesWithQuadrature,
///           OfTwoAtZeroIsSheppards, OfThreeAtZeroFollowsFromSheppards,
///           OfOtherSetsIsThatOfMvtnorm); up to 1e-3 was seen of correlations drawn at random.
double chance_any_exceeds(std::span<const double> z, std::span<const double> correlation);

/// The one limit z for all variables that none exceeds with chance `p`.
///
/// @param correlation  as above; its size tells how many variables there are
/// @param p            from 0.5 to 0.9999
/// @throws OutOfRange as above
///
/// Accuracy: z within 0.002 for up to 12 variables and p up to 0.99
///           (test JointQuantile.IsWithinTwoThousandthsOfTheQuadraturesRoot).
double joint_quantile(std::span<const double> correlation, double p);

}  // namespace ellwand::numeric
