#pragma once
/// The lowest of several descents: what a fit does when one descent is not to be believed alone.
///
/// Nothing at the end of a single descent tells a false minimum from the true one: its gradient
/// vanishes too. So a minimum is believed when two descents from different starts have reached its
/// sum of squares and none went lower; a start far from every minimum is left by going to others
/// spread about it, wider and wider. The starts are drawn with a fixed seed: the same problem is
/// searched from the same starts every time.

#include <cstdint>
#include <span>
#include <vector>

#include "ellwand/numeric/descent.hpp"

namespace ellwand::numeric {

struct SearchSettings {
  DescentSettings descent{};
  int most_evaluations = 20000;  ///< of all descents together, never exceeded; 4 or more
  int most_starts = 60;          ///< descents at most; 1 is a single one
  int agreeing = 2;              ///< descents that must reach the lowest; 1 believes the first
  /// Variance of one residual; 0 when unknown, and then what the lowest leaves per degree of
  /// freedom.
  double variance = 0.0;
  /// How far above the lowest, in variances, another minimum is still told of. Twice the logarithm
  /// of the ratio of likelihoods: 4 is a chance of 1 in 20 for one unknown.
  double nearly_equal = 4.0;
  std::uint64_t seed = 1;
};

/// Where a descent ended.
struct Minimum {
  std::vector<double> at;
  double cost = 0.0;  ///< sum of squares
};

struct Found {
  Minimum lowest;
  Ending ending = Ending::NoFiniteStart;  ///< of the descent that found it
  int reached = 0;                        ///< descents that reached its sum of squares
  std::vector<Minimum> others;            ///< distinct minima of nearly equal sum of squares
  std::vector<double> scale;              ///< of the unknowns, at the lowest
  int starts = 0;                         ///< descents made
  int evaluations = 0;
};

/// Goes down from a start and, unless the first descent is to be believed alone, from others.
///
/// Descents: from the start; in doubt (flat, at a boundary, rank lost) from the start with other
/// settings; then from starts whose unknowns are moved by `spread` times a normal number, the
/// spread growing 0.25, 0.5, 1, 2 and round again, each draw followed by its mirror image, about
/// the start and about the lowest yet by turns, settings varied likewise. The first may use half of
/// the evaluations, each later one a sixth, lest one that creeps use up all. Unfinished descents
/// lower than all others go on from where they stood.
Found search(const ResidualProblem& problem, std::span<const double> start,
             const SearchSettings& settings);

}  // namespace ellwand::numeric
