#include "ellwand/estimate/piece_model.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <variant>

#include "ellwand/estimate/bending.hpp"
#include "ellwand/estimate/parts_builder.hpp"
#include "ellwand/estimate/piece_warp.hpp"
#include "ellwand/numeric/dual.hpp"

namespace ellwand::estimate {

namespace {

using technique::Counting;
using technique::Entries;
using technique::Lie;
using technique::Portion;

/// States that stand for a doubt that bends a little, and those it takes where a part strays
/// further from its line than this variance of its logarithm.
constexpr std::size_t kFewStates = 32;
constexpr std::size_t kManyStates = 512;
constexpr double kLittleBent = 5e-4;

/// Up to this variance about its line, a log-sd of 0.3 %, a part is taken for the line alone: what
/// bends by b (z^2 - 1) / sqrt(2) moves the ends of its range by 1.2 b, 0.4 %.
constexpr double kAsGoodAsStraight = 1e-5;

/// The local factors as numbers with slopes by their own logarithms.
std::array<Dual, kLocals> sloping_factors() {
  std::array<Dual, kLocals> factors;
  for (std::size_t i = 0; i < kLocals; ++i) factors[i] = Dual::variable(1.0, i);
  return factors;
}

template <class Scalar>
std::array<Scalar, technique::kPortions> by_portion_m(const Entries<Scalar>& entries) {
  std::array<Scalar, technique::kPortions> sums{};
  for (const auto& entry : entries) {
    sums[static_cast<std::size_t>(entry.portion)] += in_metres(entry.yarn);
  }
  return sums;
}

}  // namespace

/// What one band's yarn comes to where its local factors are these.
template <class Scalar>
BandAmounts<Scalar> PieceModel::amounts_at(const BandYarn& one,
                                           const std::array<Scalar, kLocals>& factors) const {
  const technique::Work& work = piece_.bands[one.band].work;
  Lie<Scalar> lie = lie_with(one.medians, factors);
  lie.counting = Counting::Smooth;
  const Worked<Scalar> worked = work_band(work, one, lie);
  BandAmounts<Scalar> amounts;
  amounts.portions_m = by_portion_m(worked.entries);
  if (takes_beam_warp(one)) {
    const auto end = std::visit(EndThrough<Scalar>{worked, lie, one.part, piece_.warp.ends}, work);
    amounts.warp_m = in_metres(technique::beam_warp_band_yarn(beam_warp_ends(piece_), end).total());
  }
  return amounts;
}

/// Looks around a band that may bend.
void PieceModel::settle_bending(BandYarn& one, const Worked<double>& worked) const {
  const auto log_sds =
      doubt_to_look_around(piece_.bands[one.band].work, one, worked, coefficients_);
  if (!log_sds) return;
  const Around around(*log_sds, [&](const auto& factors) { return amounts_at(one, factors); });
  one.bends = around.bends();
  if (!one.bends) one.lines = around.lines();
}

namespace {

void lay_nearest(const NearestLine& line, Dual& amount) {
  if (!line.is_there) return;
  amount = amount * std::exp(line.shift);
  for (std::size_t i = 0; i < kBending.size(); ++i) {
    amount.slope[static_cast<std::size_t>(kBending[i])] = line.slopes[i] * amount.value;
  }
}

void lay_nearest(const std::vector<NearestLine>& lines, BandAmounts<Dual>& amounts) {
  for (std::size_t p = 0; p < technique::kPortions; ++p) {
    lay_nearest(lines[p], amounts.portions_m[p]);
  }
  lay_nearest(lines.back(), amounts.warp_m);
}

}  // namespace

BandParts PieceModel::band_parts(const BandYarn& one, Line line, const DoubtPoints* points) const {
  BandParts parts{amounts_at(one, sloping_factors()), {}, {}};
  if (line == Line::OverTheDoubt && !one.lines.empty()) lay_nearest(one.lines, parts.medians);
  if (one.bends && points != nullptr) take_states(one, *points, parts);
  return parts;
}

namespace {

/// Of rows so few that the half length is there in some states only, it is taken with the tails.
void join_half_length(BandParts& parts) {
  constexpr auto kTails = static_cast<std::size_t>(Portion::Tails);
  constexpr auto kHalf = static_cast<std::size_t>(Portion::HalfLength);
  std::vector<double>& tails_m = parts.at_states_m[kTails];
  std::vector<double>& half_m = parts.at_states_m[kHalf];
  const bool everywhere =
      std::all_of(half_m.begin(), half_m.end(), [](double x) { return x > 0.0; });
  if (everywhere || tails_m.empty()) return;
  parts.medians.portions_m[kTails] += parts.medians.portions_m[kHalf];
  for (std::size_t k = 0; k < half_m.size(); ++k) tails_m[k] += half_m[k];
  parts.medians.portions_m[kHalf] = Dual(0.0);
  half_m.clear();
}

}  // namespace

void PieceModel::take_states(const BandYarn& one, const DoubtPoints& points,
                             BandParts& parts) const {
  for (std::size_t p = 0; p < technique::kPortions; ++p) {
    const bool may_come = static_cast<Portion>(p) == Portion::HalfLength;
    if (may_come || parts.medians.portions_m[p].value > 0.0) {
      parts.at_states_m[p].resize(points.size());
    }
  }
  parts.warp_at_states_m.resize(parts.medians.warp_m.value > 0.0 ? points.size() : 0);
  for (std::size_t k = 0; k < points.size(); ++k) {
    const BandAmounts<double> amounts = amounts_at(one, points.factors(one, k));
    for (std::size_t p = 0; p < technique::kPortions; ++p) {
      if (!parts.at_states_m[p].empty()) parts.at_states_m[p][k] = amounts.portions_m[p];
    }
    if (!parts.warp_at_states_m.empty()) parts.warp_at_states_m[k] = amounts.warp_m;
  }
  join_half_length(parts);
}

double PieceModel::grams_per_metre(std::size_t yarn) const {
  const double lot = coefficients_.means[index_of(OfYarn::Lot, yarn)];
  return in_grams(all_yarns_[yarn]->linear_density * metres(1.0)) * std::exp(lot);
}

PieceModel::SlopingLog PieceModel::log_height(std::size_t band) const {
  SlopingLog log;
  log.slopes.assign(coefficients_.size(), 0.0);
  Dual height;
  const BandYarn* tallest = nullptr;
  const std::vector<BandYarn>& all = piece_.bands[band].comes_out ? lent_yarns_ : band_yarns_;
  const auto first =
      std::lower_bound(all.begin(), all.end(), band,
                       [](const BandYarn& one, std::size_t at) { return one.band < at; });
  for (auto at = first; at != all.end() && at->band == band; ++at) {
    const BandYarn& one = *at;
    Lie<Dual> lie = lie_with(one.medians, sloping_factors());
    lie.counting = Counting::Smooth;
    const Dual its = in_metres(work_band(piece_.bands[band].work, one, lie).height);
    if (tallest == nullptr || height.value < its.value) {
      height = its;
      tallest = &one;
    }
  }
  if (tallest == nullptr || !(height.value > 0.0)) return log;
  log.value = std::log(height.value);
  for (const Hold& hold : tallest->holds) {
    log.slopes[hold.coefficient] +=
        height.slope[static_cast<std::size_t>(hold.local)] * hold.slope / height.value;
  }
  return log;
}

PieceModel::SlopingLog PieceModel::log_end_length(std::size_t band) const {
  SlopingLog log;
  const auto one = std::find_if(band_yarns_.begin(), band_yarns_.end(), [&](const BandYarn& it) {
    return it.band == band && it.rules_warp;
  });
  if (one == band_yarns_.end()) return log;
  const technique::Work& work = piece_.bands[band].work;
  Lie<Dual> lie = lie_with(one->medians, sloping_factors());
  lie.counting = Counting::Smooth;
  const Worked<Dual> worked = work_band(work, *one, lie);
  const auto end = std::visit(EndThrough<Dual>{worked, lie, one->part, piece_.warp.ends}, work);
  const Dual length = in_metres(end.straight + end.crimp);
  if (!(length.value > 0.0)) return log;
  log.value = std::log(length.value);
  log.slopes.assign(coefficients_.size(), 0.0);
  for (const Hold& hold : one->holds) {
    log.slopes[hold.coefficient] +=
        length.slope[static_cast<std::size_t>(hold.local)] * hold.slope / length.value;
  }
  return log;
}

namespace {

void add_bending(const std::vector<BandYarn>& bands, std::vector<const BandYarn*>& bending) {
  for (const BandYarn& one : bands) {
    if (one.bends) bending.push_back(&one);
  }
}

/// Parts as they are at the medians, or over so many states of the bands that bend as they need.
template <class PartsWith>
Parts over_states(const std::vector<const BandYarn*>& bending, const Coefficients& coefficients,
                  Line line, const PartsWith& parts_with) {
  if (line == Line::AtTheMedians || bending.empty()) return parts_with(nullptr);
  const DoubtPoints few(bending, coefficients, kFewStates);
  Parts parts = parts_with(&few);
  if (parts.states.most_bent <= kLittleBent) return parts;
  const DoubtPoints many(bending, coefficients, kManyStates);
  return parts_with(&many);
}

}  // namespace

namespace {

/// Once the lines are by independent factors, states that say no more than they are left out.
void keep_lines(Parts& parts) {
  if (parts.states.most_bent > kAsGoodAsStraight) return;
  parts.states = {};
  for (std::vector<double>& at_states_m : parts.at_states_m) at_states_m.clear();
}

}  // namespace

Parts PieceModel::parts(Line line) const {
  Parts parts = parts_by_coefficient(line);
  parts.turn(coefficients_.correlation);
  keep_lines(parts);
  return parts;
}

Parts PieceModel::parts_by_coefficient(Line line) const {
  std::vector<const BandYarn*> bending;
  add_bending(band_yarns_, bending);
  if (is_beam()) add_bending(lent_yarns_, bending);
  return over_states(bending, coefficients_, line,
                     [&](const DoubtPoints* states) { return parts_with(line, states); });
}

Parts PieceModel::lent_parts(Line line) const {
  std::vector<const BandYarn*> bending;
  add_bending(lent_yarns_, bending);
  Parts parts = over_states(bending, coefficients_, line, [&](const DoubtPoints* states) {
    return lent_parts_with(line, states);
  });
  parts.turn(coefficients_.correlation);
  return parts;
}

Parts PieceModel::parts_with(Line line, const DoubtPoints* states) const {
  Parts parts;
  PartsBuilder builder(parts, coefficients_, states,
                       5 * band_yarns_.size() + 2 * yarns_.size() + 4);
  for (const BandYarn& one : band_yarns_) {
    const BandParts amounts = band_parts(one, line, states);
    builder.add_yarn(static_cast<int>(one.band) + 1, one, amounts);
    builder.add_warp(one, warp_yarn(), amounts);
  }
  for (const BandYarn& one : lent_yarns_) {
    builder.add_warp(one, warp_yarn(), band_parts(one, line, states));
  }
  if (cord_) {
    const Lie<Dual> lie = lie_with(cord_yarn_.medians, sloping_factors());
    BandParts amounts;
    amounts.medians.portions_m = by_portion_m(technique::cord_yarn(*cord_, lie));
    builder.add_yarn(0, cord_yarn_, amounts);
  }
  builder.close();
  const Grouped by_yarn = parts_by_yarn(parts, yarns_.size());
  const std::vector<bool> wasted = waste_yarns();
  const double sampled = sampling_share();
  const auto is_wasted = [](const Parts::Place& place) {
    return is_worked(place.band, place.portion);
  };
  const auto is_in_a_band = [](const Parts::Place& place) { return place.band > 0; };
  for (std::size_t y = 0; y < yarns_.size(); ++y) {
    if (!wasted[y]) continue;
    const auto is_spoilt = [&](const Parts::Place& place) {
      return is_in_a_band(place) && is_unpicked(place.portion, y);
    };
    const auto add_some = [&](Portion portion, double share, const auto& is_share) {
      return builder.add_share(y, portion, share, by_yarn[y], is_share);
    };
    if (add_some(Portion::WasteShare, waste_share_, is_wasted)) {
      builder.add_slope(index_of(Shared::WasteShare), 1.0);
    }
    add_some(Portion::Allowance, allowances_.unpicking, is_spoilt);
    add_some(Portion::Allowance, sampled, is_in_a_band);
    if (!(waste_per_colour_.si() > 0.0)) continue;
    builder.open({0, y, Portion::WastePerColour}, in_metres(waste_per_colour_));
    builder.add_slope(index_of(Shared::WastePerColour), 1.0);
  }
  if (is_beam()) {
    const double sure_m = in_metres(technique::beam_warp_rest_yarn(beam_warp(piece_)).total());
    if (sure_m > 0.0) builder.open({0, warp_yarn(), Portion::Cut}, sure_m);
  }
  for (const LedgerLine& sure : warp_allowances_) {
    builder.open({0, sure.yarn, sure.portion}, in_metres(sure.length));
  }
  if (is_beam()) {
    builder.close();
    return parts;
  }
  const Dual warp = in_metres(technique::spanned_warp_yarn(spanned_warp(piece_, tie_),
                                                           Length<Dual>(warp_spacing_),
                                                           Dual::variable(stretch_, 0))
                                  .total());
  builder.open({0, warp_yarn(), Portion::Cut}, warp.value);
  builder.add_slope(index_of(Shared::Stretch), warp.slope[0] / warp.value);
  builder.close();
  return parts;
}

Parts PieceModel::lent_parts_with(Line line, const DoubtPoints* states) const {
  Parts parts;
  PartsBuilder builder(parts, coefficients_, states, 4 * lent_yarns_.size());
  for (const BandYarn& one : lent_yarns_) {
    builder.add_yarn(static_cast<int>(one.band) + 1, one, band_parts(one, line, states));
  }
  builder.close();
  return parts;
}

}  // namespace ellwand::estimate
