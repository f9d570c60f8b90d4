#pragma once
/// One descent to a least sum of squares from one start: Levenberg-Marquardt with the acceleration
/// of the geodesic, then Gauss-Newton for the last digits.
///
/// Each step p makes |r + J p|^2 + mu |D p|^2 least, D being the largest length each column of J
/// had, of which a tenth is forgotten at every point (kept for ever, a steep start holds an unknown
/// fast: test Descend.AMaximumKeptForEverHoldsMgh10Fast). A second solve with the bend of the
/// residuals along p (one more evaluation) adds the acceleration. A step that leads to a number
/// that is not finite, or bends more than it goes, is refused and mu raised. Nothing here knows how
/// the linear problem is solved.
///
/// Sources: D by running maximum, J. J. More, Lecture Notes in Mathematics 630 (1978) 105-116;
///          acceleration, M. K. Transtrum and J. P. Sethna, arXiv:1201.5885 (2012), sections 3 and
///          5; mu by H. B. Nielsen, Damping parameter in Marquardt's method, report
///          IMM-REP-1999-05, Technical University of Denmark (1999); all three from memory.

#include <span>
#include <vector>

#include "ellwand/numeric/linearisation.hpp"

namespace ellwand::numeric {

/// How a descent goes.
struct DescentSettings {
  double damping = 1e-6;       ///< mu at the start, in units of D^2; above 0
  bool accelerate = true;      ///< with the geodesic's acceleration
  double memory = 0.9;         ///< of D: at each point it keeps this part of its largest, 0 to 1
  int most_iterations = 4000;  ///< trial steps; creeping along a bent valley takes thousands
};

/// How a descent ended.
enum class Ending {
  Stationary,        ///< the gradient vanished, or the next plain step is below 1e-7
  RankLost,          ///< some unknowns have no separate effect here
  AtBoundary,        ///< stationary, but an unknown has run to its end; a search says so
  Flat,              ///< steps no longer lower the sum, though the gradient has not vanished
  OutOfEvaluations,  ///< budget or iterations used up on the way
  NoFiniteStart,     ///< residuals or slopes at the start are not finite
};

struct Descent {
  std::vector<double> at;     ///< always finite, except NoFiniteStart: the start as it was given
  double cost = 0.0;          ///< sum of squares there; always finite, except NoFiniteStart
  double cost_noise = 0.0;    ///< what rounding of the residuals may change in it, roughly
  std::vector<double> scale;  ///< D at the end
  Ending ending = Ending::NoFiniteStart;
  int evaluations = 0;  ///< residuals once = 1, J once = 1
};

/// Goes down from a start.
///
/// @param most_evaluations  never exceeded
Descent descend(const ResidualProblem& problem, std::span<const double> start,
                const DescentSettings& settings, int most_evaluations);

}  // namespace ellwand::numeric
