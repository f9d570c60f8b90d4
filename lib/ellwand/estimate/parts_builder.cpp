#include "ellwand/estimate/parts_builder.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "ellwand/estimate/holds.hpp"

namespace ellwand::estimate {

namespace {

using technique::Portion;

constexpr std::size_t kUsualSlopes = 10;

}  // namespace

PartsBuilder::PartsBuilder(Parts& parts, const Coefficients& coefficients,
                           const DoubtPoints* points, std::size_t most)
    : parts_(parts),
      spreads_(coefficients.spreads),
      points_(points),
      row_(coefficients.size(), 0.0) {
  parts_.coefficients = spreads_.size();
  parts_.places.reserve(most);
  parts_.medians_m.reserve(most);
  parts_.at_states_m.reserve(most);
  parts_.slopes.reserve(most, kUsualSlopes);
  met_.reserve(2 * kMostHolds);
  if (points != nullptr) set_states(*points);
}

void PartsBuilder::set_states(const DoubtPoints& points) {
  parts_.states.count = points.size();
  parts_.states.coefficients = points.coefficients();
  for (std::size_t k = 0; k < points.size(); ++k) {
    const auto scores = points.scores(k);
    parts_.states.scores.insert(parts_.states.scores.end(), scores.begin(), scores.end());
  }
}

void PartsBuilder::add_yarn(int band, const BandYarn& one, const BandParts& amounts) {
  for (std::size_t p = 0; p < technique::kPortions; ++p) {
    add({band, one.yarn, static_cast<Portion>(p), one.part}, one, amounts.medians.portions_m[p],
        amounts.at_states_m[p]);
  }
}

void PartsBuilder::add_warp(const BandYarn& one, std::size_t warp_yarn, const BandParts& amounts) {
  add({0, warp_yarn, Portion::Cut}, one, amounts.medians.warp_m, amounts.warp_at_states_m);
}

void PartsBuilder::open(const Parts::Place& place, double median_m) {
  close();
  parts_.places.push_back(place);
  parts_.medians_m.push_back(median_m);
  parts_.at_states_m.emplace_back();
  is_open_ = true;
}

void PartsBuilder::close() {
  if (!is_open_) return;
  if (!std::is_sorted(met_.begin(), met_.end())) std::sort(met_.begin(), met_.end());
  parts_.slopes.open();
  for (const std::size_t c : met_) {
    parts_.slopes.put(c, std::exchange(row_[c], 0.0));  // met twice it is 0 by then
  }
  met_.clear();
  is_open_ = false;
}

void PartsBuilder::add(const Parts::Place& place, const BandYarn& one, const Dual& amount,
                       const std::vector<double>& at_states_m) {
  if (!(amount.value > 0.0)) return;
  const bool bends = !at_states_m.empty() && std::all_of(at_states_m.begin(), at_states_m.end(),
                                                         [](double x) { return x > 0.0; });
  if (!bends) return add_straight(place, one, amount);
  open(place, amount.value);
  for (const Hold& hold : one.holds) {
    const double by_local = amount.slope[static_cast<std::size_t>(hold.local)];
    if (by_local != 0.0) add_slope(hold.coefficient, by_local / amount.value * hold.slope);
  }
  lay_line(at_states_m);
}

/// A band's holds are in the order of their coefficients, so that its row is written down at once.
void PartsBuilder::add_straight(const Parts::Place& place, const BandYarn& one,
                                const Dual& amount) {
  open(place, amount.value);
  columns_.resize(std::max(columns_.size(), one.holds.size()));
  moves_.resize(columns_.size());
  std::uint32_t* const columns = columns_.data();
  double* const moves = moves_.data();
  const double per_metre = 1.0 / amount.value;
  std::size_t filled = 0;
  for (const Hold& hold : one.holds) {
    const double slope = amount.slope[static_cast<std::size_t>(hold.local)] * hold.slope;
    const double move = slope * per_metre * spreads_[hold.coefficient];
    const auto column = static_cast<std::uint32_t>(hold.coefficient);
    if (filled > 0 && columns[filled - 1] == column) {
      moves[filled - 1] += move;
      continue;
    }
    columns[filled] = column;
    moves[filled] = move;
    filled += move != 0.0 ? 1 : 0;
  }
  parts_.slopes.add({{columns, filled}, {moves, filled}});
  is_open_ = false;
}

/// The last part at each of the states, and the line nearest to it in the place of the one at the
/// medians.
void PartsBuilder::lay_line(std::vector<double> at_states_m) {
  std::vector<double> logs(at_states_m.size());
  std::transform(at_states_m.begin(), at_states_m.end(), logs.begin(),
                 [](double x) { return std::log(x); });
  const LogLine line = points_->nearest_line(logs);
  parts_.states.most_bent = std::max(parts_.states.most_bent, line.remainder);
  // Its mean is that of the states.
  parts_.medians_m.back() = std::exp(line.mean + 0.5 * line.remainder);
  for (std::size_t d = 0; d < line.slopes.size(); ++d) {
    const std::size_t c = points_->coefficients()[d];
    add_move(c, line.slopes[d] - row_[c]);
  }
  parts_.at_states_m.back() = std::move(at_states_m);
}

bool PartsBuilder::add_share(std::size_t yarn, Portion portion, double share,
                             std::span<const std::size_t> of_yarn,
                             const std::function<bool(const Parts::Place&)>& is_share) {
  if (!(share > 0.0)) return false;
  double used_m = 0.0;
  bool bends = false;
  for (const std::size_t i : of_yarn) {
    if (!is_share(parts_.places[i])) continue;
    used_m += parts_.medians_m[i];
    bends = bends || !parts_.at_states_m[i].empty();
  }
  if (!(share * used_m > 0.0)) return false;
  open({0, yarn, portion}, share * used_m);
  for (const std::size_t i : of_yarn) {
    if (!is_share(parts_.places[i])) continue;
    const double part = parts_.medians_m[i] / used_m;
    const SlopeRows::Row row = parts_.slopes.row(i);
    for (std::size_t k = 0; k < row.columns.size(); ++k) {
      add_move(row.columns[k], part * row.slopes[k]);
    }
  }
  if (!bends) return true;
  std::vector<double> at_states_m(parts_.states.count, 0.0);
  for (const std::size_t i : of_yarn) {
    if (!is_share(parts_.places[i])) continue;
    const std::vector<double> one_m = parts_.at_each_state_m(i);
    for (std::size_t k = 0; k < at_states_m.size(); ++k) at_states_m[k] += share * one_m[k];
  }
  lay_line(std::move(at_states_m));
  return true;
}

}  // namespace ellwand::estimate
