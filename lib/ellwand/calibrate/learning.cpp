#include "ellwand/calibrate/learning.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace ellwand::calibrate {

namespace {

/// The latest day of each piece's swatches.
std::map<std::string, std::string> days_of(const std::vector<Swatch>& swatches) {
  std::map<std::string, std::string> days;
  for (const Swatch& swatch : swatches) {
    std::string& day = days[swatch.piece.id];
    day = std::max(day, swatch.date);
  }
  return days;
}

/// Swatches of the first pieces, and the amounts of the others.
struct Split {
  std::vector<Swatch> known;
  std::vector<Trial> to_come;  ///< by the starting values, and by those known
};

Split split_at(std::size_t pieces, const std::vector<std::string>& order,
               const std::vector<Swatch>& swatches) {
  const auto end = order.begin() + static_cast<std::ptrdiff_t>(pieces);
  Split split;
  for (std::size_t s = 0; s < swatches.size(); ++s) {
    if (std::find(order.begin(), end, swatches[s].piece.id) != end) {
      split.known.push_back(swatches[s]);
      continue;
    }
    for (std::size_t m = 0; m < swatches[s].measurements.size(); ++m) {
      if (is_amount(swatches[s].measurements[m])) split.to_come.push_back({s, m, {}, {}});
    }
  }
  return split;
}

void foretell(Split& split, const Fit& fit, const std::vector<Swatch>& swatches,
              const estimate::Workshop& workshop) {
  estimate::Workshop start = workshop;
  start.learned = nullptr;
  estimate::Workshop now = workshop;
  now.learned = fit.verdict == Verdict::NoSwatches ? nullptr : &fit.learned;
  for (Trial& trial : split.to_come) {
    const Swatch& swatch = swatches[trial.swatch];
    const Measurement& measurement = swatch.measurements[trial.measurement];
    trial.start = foretold(swatch, measurement, start);
    trial.now = foretold(swatch, measurement, now);
  }
}

}  // namespace

std::vector<std::string> pieces_by_date(const std::vector<Swatch>& swatches) {
  const std::map<std::string, std::string> days = days_of(swatches);
  std::vector<std::string> order;
  for (const Swatch& swatch : swatches) {
    const std::string& id = swatch.piece.id;
    if (std::find(order.begin(), order.end(), id) == order.end()) order.push_back(id);
  }
  std::stable_sort(order.begin(), order.end(), [&](const std::string& one, const std::string& two) {
    const std::string& day = days.at(one);
    const std::string& other = days.at(two);
    if (day.empty() != other.empty()) return other.empty();
    return day < other;
  });
  return order;
}

std::vector<std::size_t> learning_sizes(std::size_t pieces) {
  std::vector<std::size_t> sizes;
  const std::size_t points = std::min(pieces, kMostLearningPoints);
  for (std::size_t i = 0; i < points; ++i) {
    const double share =
        points > 1 ? static_cast<double>(i) / static_cast<double>(points - 1) : 0.0;
    sizes.push_back(static_cast<std::size_t>(std::lround(share * static_cast<double>(pieces - 1))));
  }
  return sizes;
}

LearningCurve learning_curve(const std::vector<Swatch>& swatches,
                             const estimate::Workshop& workshop, const FitOptions& options) {
  const std::map<std::string, std::string> days = days_of(swatches);
  const std::vector<std::string> order = pieces_by_date(swatches);
  LearningCurve curve;
  for (const std::size_t pieces : learning_sizes(order.size())) {
    Split split = split_at(pieces, order, swatches);
    if (split.to_come.empty()) continue;
    const Fit fit = calibrate::fit(split.known, workshop, options);
    if (fit.verdict == Verdict::NotSettled) continue;
    foretell(split, fit, swatches, workshop);
    LearningPoint point;
    point.pieces = pieces;
    if (pieces > 0) {
      point.last_piece = order[pieces - 1];
      point.last_date = days.at(point.last_piece);
    }
    point.start = score_of(split.to_come, swatches, false);
    point.now = score_of(split.to_come, swatches, true);
    curve.points.push_back(std::move(point));
    for (const Trial& trial : split.to_come) {
      curve.predictions.push_back({pieces, trial.swatch, trial.measurement, trial.now});
    }
  }
  return curve;
}

}  // namespace ellwand::calibrate
