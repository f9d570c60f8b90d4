#include "ellwand/calibrate/relinearise.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace ellwand::calibrate {

namespace {

/// One coefficient on its way.
struct Way {
  double last = 0.0;   ///< how far it had to go before
  double share = 1.0;  ///< how much of its way it goes
  double most = 1.0;   ///< of that share: less for each turn it has made
};

/// One step; returns how far it went.
double step(double& mean, double target, Way& way) {
  const double ahead = target - mean;
  const bool turns = ahead * way.last < 0.0 && std::abs(ahead) > 0.5 * std::abs(way.last);
  if (turns) way.most *= 0.8;
  way.share = turns ? 0.5 * way.share : std::min(way.most, 1.5 * way.share);
  way.last = ahead;
  mean += way.share * ahead;
  return std::abs(way.share * ahead);
}

/// One step of each; returns how far the farthest went, in its unit.
double step_all(std::vector<double>& means, const std::vector<double>& targets,
                const std::vector<double>& units, std::vector<Way>& ways) {
  ways.resize(means.size());
  double farthest = 0.0;
  for (std::size_t i = 0; i < std::min(means.size(), targets.size()); ++i) {
    const double moved = step(means[i], targets[i], ways[i]);
    if (units[i] > 0.0) farthest = std::max(farthest, moved / units[i]);
  }
  return farthest;
}

}  // namespace

Relinearised relinearise(Means& means, const Means& units,
                         const std::function<NormalRows(const Means&)>& rows_at,
                         const std::function<Proposal(const NormalRows&, double moved)>& solve,
                         double still, int most_rounds) {
  std::vector<Way> common;
  std::vector<Way> own;
  double moved = std::numeric_limits<double>::infinity();
  for (int round = 1; round <= most_rounds; ++round) {
    const Proposal target = solve(rows_at(means), moved);
    moved = std::max(step_all(means.common, target.means.common, units.common, common),
                     step_all(means.own, target.means.own, units.own, own));
    if (target.is_final && moved < still) return {true, round};
  }
  return {false, most_rounds};
}

}  // namespace ellwand::calibrate
