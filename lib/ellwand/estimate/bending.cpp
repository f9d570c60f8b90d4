#include "ellwand/estimate/bending.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <variant>

#include "ellwand/estimate/doubt_points.hpp"

namespace ellwand::estimate {

namespace {

/// How near a work is to lying in another way, as technique::nearest_change has it.
struct NearestChange {
  const BandYarn& one;

  double operator()(const technique::Woven& band) const {
    return technique::nearest_change(band, one.part, one.medians);
  }
  double operator()(const technique::KnottedPile& pile) const {
    if (one.part == technique::KnottedPile::kKnots) return technique::kFar;
    return technique::nearest_change(pile.ground, 0, one.medians);
  }
  double operator()(const technique::Gap&) const { return technique::kFar; }
  double operator()(const technique::Hemstitch&) const { return technique::kFar; }
  double operator()(const technique::KnottedFringe&) const { return technique::kFar; }
  double operator()(const technique::Soumak& soumak) const {
    return technique::nearest_change(soumak, one.medians);
  }
  double operator()(const technique::Twining& twining) const {
    return technique::nearest_change(twining, one.medians);
  }
  double operator()(const technique::LoopedPile& pile) const {
    return technique::nearest_change(pile, one.medians, one.row_height);
  }
  double operator()(const technique::Wrapping&) const { return technique::kFar; }
};

/// Nearer than this many log-sds of its geometry, a change may bend a band's yarn.
constexpr double kNearChange = 1.0;
/// No doubt is as wide as this.
constexpr double kFarChange = 3.0;

}  // namespace

std::optional<BendingLogSds> doubt_to_look_around(const technique::Work& work, const BandYarn& one,
                                                  const Worked<double>& worked,
                                                  const Coefficients& coefficients) {
  const bool pressed = worked.flattened || worked.rows_need_room;
  const double change = std::visit(NearestChange{one}, work);
  if (!pressed && change >= kFarChange) return std::nullopt;
  const BendingLogSds log_sds = bending_log_sds(one, coefficients);
  const double all =
      std::sqrt(std::inner_product(log_sds.begin(), log_sds.end(), log_sds.begin(), 0.0));
  if (!pressed && change >= kNearChange * all) return std::nullopt;
  return log_sds;
}

namespace {

/// Up to here a logarithm that leaves its straight line is taken for the line nearest to it: where
/// it turns sharply at its median, it then strays from that by a log-sd of 0.4 %.
constexpr double kNoticeably = 0.01;
/// A portion further from its line is hardly there at the medians, and little of the yarn.
constexpr double kMostShift = 0.1;

double log_of(double amount) {
  return amount > 0.0 ? std::log(amount) : -std::numeric_limits<double>::infinity();
}

}  // namespace

Around::Logs Around::logs_of(const BandAmounts<double>& amounts) {
  const auto& portions_m = amounts.portions_m;
  Logs logs;
  std::transform(portions_m.begin(), portions_m.end(), logs.begin(), log_of);
  logs[kWarp] = log_of(amounts.warp_m);
  logs[kWeft] = log_of(std::accumulate(portions_m.begin(), portions_m.end(), 0.0));
  return logs;
}

double Around::off(std::size_t which, std::size_t local) const {
  return 0.5 * (below_[local][which] + above_[local][which]) - middle_[which];
}

double Around::most_off(std::size_t which) const {
  double most = 0.0;
  for (std::size_t i = 0; i < kBending.size() && std::isfinite(middle_[which]); ++i) {
    if (log_sds_[i] > 0.0) most = std::max(most, std::abs(off(which, i)));
  }
  return most;
}

bool Around::bends() const { return std::max(most_off(kWeft), most_off(kWarp)) > kNoticeably; }

/// Through what lies around: exact for a parabola, whose mean over the doubt is off by off() /
/// kScore^2 from its middle.
NearestLine Around::line(std::size_t which) const {
  NearestLine line;
  line.is_there = std::isfinite(middle_[which]);
  for (std::size_t i = 0; i < kBending.size() && line.is_there; ++i) {
    if (log_sds_[i] == 0.0) continue;
    line.shift += off(which, i) / (kScore * kScore);
    line.slopes[i] = (above_[i][which] - below_[i][which]) / (2.0 * kScore * log_sds_[i]);
    line.is_there = std::abs(line.shift) <= kMostShift && std::isfinite(line.slopes[i]);
  }
  return line;
}

std::vector<NearestLine> Around::lines() const {
  std::vector<NearestLine> all(technique::kPortions + 1);
  for (std::size_t p = 0; p < all.size(); ++p) all[p] = line(p);
  return all;
}

}  // namespace ellwand::estimate
