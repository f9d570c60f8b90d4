#include "ellwand/estimate/yarn_totals.hpp"

#include "ellwand/numeric/normal.hpp"
#include "ellwand/numeric/normal_joint.hpp"
#include "ellwand/numeric/sum_points.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace ellwand::estimate {

namespace {

/// Several sums at a time, which the processor can keep apart.
double dot(const double* a, const double* b, std::size_t n) {
  constexpr std::size_t kApart = 8;
  std::array<double, kApart> sums{};
  std::size_t i = 0;
  for (; i + kApart <= n; i += kApart) {
    for (std::size_t k = 0; k < kApart; ++k) sums[k] += a[i + k] * b[i + k];
  }
  for (std::size_t k = 0; i < n; ++i, ++k) sums[k] += a[i] * b[i];
  return ((sums[0] + sums[4]) + (sums[2] + sums[6])) + ((sums[1] + sums[5]) + (sums[3] + sums[7]));
}

}  // namespace

Sum::Sum(const Parts& parts, std::vector<std::size_t> chosen)
    : parts_(parts), chosen_(std::move(chosen)), covariances_(chosen_.size() * chosen_.size()) {
  const std::size_t n = chosen_.size();
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      covariances_[i * n + j] = covariances_[j * n + i] = dot(row(i), row(j), parts_.coefficients);
    }
  }
}

const double* Sum::row(std::size_t i) const {
  return parts_.slopes.data() + chosen_[i] * parts_.coefficients;
}

std::vector<double> Sum::medians(double factor) const {
  std::vector<double> all;
  all.reserve(chosen_.size());
  for (const std::size_t part : chosen_) all.push_back(factor * parts_.medians_m[part]);
  return all;
}

bool Sum::bends() const {
  return std::any_of(chosen_.begin(), chosen_.end(), [&](std::size_t part) {
    return parts_.states.count > 0 && !parts_.at_states_m[part].empty();
  });
}

numeric::ShiftedLognormal Sum::length_m() const {
  return numeric::ShiftedLognormal(length_points_m());
}

numeric::Range Sum::length_points_m() const {
  if (bends()) return over_states(1.0, {});
  return numeric::points_of_sum(medians(1.0), covariances_);
}

numeric::ShiftedLognormal Sum::mass_g(double grams_per_metre, std::size_t lot,
                                      double lot_spread) const {
  return numeric::ShiftedLognormal(mass_points_g({grams_per_metre, lot, lot_spread}));
}

numeric::Range Sum::mass_points_g(const Yarn& yarn) const {
  if (bends())
    return over_states(yarn.grams_per_metre, parts_.factors_of(yarn.lot, yarn.lot_spread));
  return numeric::points_of_sum(medians(yarn.grams_per_metre), covariances_with(yarn));
}

/// (w_i + s) . (w_j + s) where s is how the lot moves; its factors have the length 1.
std::vector<double> Sum::covariances_with(const Yarn& yarn) const {
  const std::size_t n = chosen_.size();
  const double own = yarn.lot_spread * yarn.lot_spread;
  std::vector<double> along(n);
  for (std::size_t i = 0; i < n; ++i) {
    along[i] = parts_.covariance_with(chosen_[i], yarn.lot, yarn.lot_spread);
  }
  std::vector<double> covariances = covariances_;
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) covariances[i * n + j] += along[i] + along[j] + own;
  }
  return covariances;
}

/// What hangs on the states' factors is taken at each state; the rest is left unsure.
numeric::Range Sum::over_states(double factor, const std::vector<double>& lot) const {
  const Parts::States& states = parts_.states;
  const std::size_t n = chosen_.size();
  const std::size_t width = parts_.coefficients;
  const std::size_t d = states.coefficients.size();
  std::vector<double> rows;
  rows.reserve(n * width);
  for (std::size_t i = 0; i < n; ++i) {
    rows.insert(rows.end(), row(i), row(i) + width);
    double* const mine = rows.data() + i * width;
    for (std::size_t c = 0; c < lot.size(); ++c) mine[c] += lot[c];
    for (const std::size_t c : states.coefficients) mine[c] = 0.0;
  }
  std::vector<double> covariances(n * n);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      covariances[i * n + j] = covariances[j * n + i] =
          dot(rows.data() + i * width, rows.data() + j * width, width);
    }
  }
  std::vector<double> amounts(states.count * n);
  for (std::size_t k = 0; k < states.count; ++k) {
    double log = 0.0;
    for (std::size_t j = 0; j < d && !lot.empty(); ++j) {
      log += lot[states.coefficients[j]] * states.scores[k * d + j];
    }
    const double grams = factor * std::exp(log);
    for (std::size_t i = 0; i < n; ++i) {
      amounts[k * n + i] = grams * parts_.at_state_m(chosen_[i], k);
    }
  }
  return numeric::points_over_states(amounts, covariances);
}

std::vector<double> Sum::grams_slopes(const Yarn& yarn) const {
  const std::size_t width = parts_.coefficients;
  const std::vector<double> lot = parts_.factors_of(yarn.lot, yarn.lot_spread);
  std::vector<double> slopes;
  slopes.reserve(chosen_.size() * width);
  for (std::size_t i = 0; i < chosen_.size(); ++i) {
    slopes.insert(slopes.end(), row(i), row(i) + width);
    double* const mine = slopes.data() + i * width;
    for (std::size_t c = 0; c < width; ++c) mine[c] += lot[c];
  }
  return slopes;
}

double Sum::mass_covariance(const Yarn& mine, const Sum& other, const Yarn& its) const {
  return numeric::covariance_of_sums(medians(mine.grams_per_metre), grams_slopes(mine),
                                     other.medians(its.grams_per_metre), other.grams_slopes(its),
                                     parts_.coefficients);
}

namespace {

using numeric::ShiftedLognormal;

/// One yarn's doubt, as length and as mass.
struct YarnDoubt {
  Sum sum;
  Sum::Yarn yarn;
  numeric::Range length_m;
  numeric::Range mass_g;
  ShiftedLognormal length{length_m};  ///< through those points
  ShiftedLognormal mass{mass_g};
};

YarnDoubt doubt_of(const Sum::Yarn& label, const Parts& parts, std::vector<std::size_t> chosen) {
  Sum sum(parts, std::move(chosen));
  const numeric::Range length_m = sum.length_points_m();
  const numeric::Range mass_g = sum.mass_points_g(label);
  return {std::move(sum), label, length_m, mass_g};
}

YarnDoubt doubt_of(const Sum::Yarn& label, const Parts& parts, std::size_t yarn) {
  std::vector<std::size_t> chosen;
  chosen.reserve(parts.size());
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts.places[i].yarn == yarn) chosen.push_back(i);
  }
  return doubt_of(label, parts, std::move(chosen));
}

/// Correlation of the yarns' normal scores, row after row.
std::vector<double> score_correlations(const std::vector<YarnDoubt>& doubts) {
  const std::size_t n = doubts.size();
  std::vector<double> correlation(n * n, 1.0);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      const double covariance =
          doubts[i].sum.mass_covariance(doubts[i].yarn, doubts[j].sum, doubts[j].yarn);
      const double r = numeric::score_correlation(doubts[i].mass, doubts[j].mass, covariance);
      correlation[i * n + j] = correlation[j * n + i] = r;
    }
  }
  return correlation;
}

}  // namespace

JointAmounts joint_amounts(const std::vector<Sum::Yarn>& yarns, const Parts& parts) {
  std::vector<YarnDoubt> doubts;
  doubts.reserve(yarns.size());
  for (std::size_t y = 0; y < yarns.size(); ++y) doubts.push_back(doubt_of(yarns[y], parts, y));
  JointAmounts joint;
  for (const YarnDoubt& doubt : doubts) joint.amounts.push_back(doubt.mass);
  joint.correlation = score_correlations(doubts);
  return joint;
}

namespace {

/// What is cut beyond the plan: to whole lengths, and to spare.
double beyond_plan_m(const YarnEstimate& yarn) { return yarn.cut_rounding_m + yarn.spare_m; }

/// The normal score at which a yarn's stock runs out.
double shelf_score(const YarnDoubt& doubt, const YarnEstimate& yarn, const Stock& stock) {
  const double beyond_g = beyond_plan_m(yarn) * yarn.plan_g / yarn.plan_m;
  return doubt.mass.score(in_grams(stock.mass) - beyond_g);
}

const Stock* stock_of(const Shelf& shelf, const std::string& yarn) {
  const auto found = shelf.find(yarn);
  return found == shelf.end() ? nullptr : &found->second;
}

int whole_put_ups(double need, double one) {
  return static_cast<int>(std::max(1.0, std::ceil(need / one - 1e-9)));
}

/// Put-ups for the set-aside and what is cut beyond the plan, and what is left of them.
void count_put_ups(const yarn::Yarn& yarn, double metre_g, YarnEstimate& estimate) {
  if (!yarn.put_up) return;
  const double beyond_m = beyond_plan_m(estimate);
  if (yarn.put_up->net_mass) {
    const double one_g = in_grams(*yarn.put_up->net_mass);
    estimate.put_ups = whole_put_ups(estimate.set_aside_g + beyond_m * metre_g, one_g);
    estimate.left_over_g = *estimate.put_ups * one_g - estimate.mass_g.mid - beyond_m * metre_g;
    estimate.left_over_m = *estimate.left_over_g / metre_g;
  } else if (yarn.put_up->length) {
    const double one_m = in_metres(*yarn.put_up->length);
    estimate.put_ups = whole_put_ups(estimate.set_aside_m + beyond_m, one_m);
    estimate.left_over_m = *estimate.put_ups * one_m - estimate.length_m.mid - beyond_m;
    estimate.left_over_g = *estimate.left_over_m * metre_g;
  }
}

}  // namespace

namespace {

/// How far up its range each set-aside lies, as a normal score.
double set_aside_score(const std::vector<YarnDoubt>& doubts, const Options& options) {
  if (!options.joint || doubts.size() < 2) return numeric::normal_quantile(options.service);
  return numeric::joint_quantile(score_correlations(doubts), options.service);
}

/// A yarn whose limit lies this far up runs short less than once in 10^11: it is left out.
constexpr double kNeverShort = 6.8;

/// The chance that any yarn passes its limit.
double chance_any(const std::vector<double>& limits, const std::vector<double>& correlation) {
  std::vector<std::size_t> near;
  for (std::size_t i = 0; i < limits.size(); ++i) {
    if (limits[i] < kNeverShort) near.push_back(i);
  }
  if (near.empty()) return 0.0;
  std::vector<double> z;
  std::vector<double> among;
  for (const std::size_t i : near) {
    z.push_back(limits[i]);
    for (const std::size_t j : near) among.push_back(correlation[i * limits.size() + j]);
  }
  return numeric::chance_any_exceeds(z, among);
}

/// The chances that any yarn runs short: of its shelf where it has one, of its set-aside
/// otherwise; and of the set-asides alone.
Chances reckon_chances(const std::vector<YarnDoubt>& doubts, const std::vector<double>& limits,
                       double set_aside) {
  const std::vector<double> correlation = score_correlations(doubts);
  const std::vector<double> set_asides(doubts.size(), set_aside);
  Chances chances;
  chances.any_set_aside_short = chance_any(set_asides, correlation);
  chances.any_short =
      limits == set_asides ? chances.any_set_aside_short : chance_any(limits, correlation);
  return chances;
}

/// One yarn's figures, set aside as far up its range as `z`.
template <class Figures>
void fill_figures(const YarnDoubt& doubt, double z, Figures& yarn) {
  yarn.length_m = doubt.length_m;
  yarn.mass_g = doubt.mass_g;
  yarn.mean_m = doubt.length.mean();
  yarn.mean_g = doubt.mass.mean();
  yarn.set_aside_m = doubt.length.at_score(z);
  yarn.set_aside_g = doubt.mass.at_score(z);
}

}  // namespace

Chances reckon_yarns(const std::vector<LabelledYarn>& yarns, const Parts& parts, const Shelf& shelf,
                     const Options& options, std::vector<YarnEstimate>& estimates) {
  std::vector<YarnDoubt> doubts;
  doubts.reserve(yarns.size());
  for (std::size_t y = 0; y < yarns.size(); ++y) {
    doubts.push_back(doubt_of(yarns[y].label, parts, y));
  }
  const double z = set_aside_score(doubts, options);
  std::vector<double> limits(yarns.size(), z);
  for (std::size_t y = 0; y < yarns.size(); ++y) {
    YarnEstimate& yarn = estimates[y];
    fill_figures(doubts[y], z, yarn);
    count_put_ups(*yarns[y].yarn, yarns[y].label.grams_per_metre, yarn);
    if (const Stock* stock = stock_of(shelf, yarn.yarn)) {
      limits[y] = shelf_score(doubts[y], yarn, *stock);
      yarn.on_shelf_g = in_grams(stock->mass);
    }
    yarn.chance_short = 1.0 - numeric::normal_cdf(limits[y]);
  }
  return options.chances ? reckon_chances(doubts, limits, z) : Chances{};
}

namespace {

Sum::Yarn label_of(const PieceModel& model, std::size_t yarn) {
  const std::size_t lot = index_of(OfYarn::Lot, yarn);
  return {model.grams_per_metre(yarn), lot, model.coefficients().spreads[lot]};
}

/// The parts of a yarn that are laid or cut, in all and of some places.
struct PlacesShare {
  double all_m = 0.0;
  double mine_m = 0.0;
  double of_all() const { return all_m > 0.0 ? mine_m / all_m : 0.0; }
  void add(double part_m, bool is_mine) {
    all_m += part_m;
    if (is_mine) mine_m += part_m;
  }
};

void scale_part(std::size_t part, double by, Parts& parts) {
  parts.medians_m[part] *= by;
  for (double& amount : parts.at_states_m[part]) amount *= by;
}

}  // namespace

YarnOfPlaces yarn_of_places(const PieceModel& model, Parts parts, std::size_t yarn,
                            const std::function<bool(const Parts::Place&)>& is_among,
                            bool starts_here, double service) {
  std::vector<std::size_t> chosen;
  std::vector<std::size_t> shared;
  PlacesShare wasted;  // what a share of is lost
  PlacesShare all;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const Parts::Place& place = parts.places[i];
    if (place.yarn != yarn) continue;
    if (place.portion == technique::Portion::WastePerColour) {
      if (starts_here) chosen.push_back(i);
    } else if (technique::is_waste(place.portion)) {
      shared.push_back(i);
    } else {
      const bool is_mine = is_among(place);
      all.add(parts.medians_m[i], is_mine);
      if (is_worked(place.band, place.portion)) wasted.add(parts.medians_m[i], is_mine);
      if (is_mine) chosen.push_back(i);
    }
  }
  for (const std::size_t i : shared) {
    const bool is_loss = parts.places[i].portion == technique::Portion::WasteShare;
    const double share = (is_loss ? wasted : all).of_all();
    if (!(share > 0.0)) continue;
    scale_part(i, share, parts);
    chosen.push_back(i);
  }
  YarnOfPlaces figures;
  if (chosen.empty()) return figures;
  fill_figures(doubt_of(label_of(model, yarn), parts, std::move(chosen)),
               numeric::normal_quantile(service), figures);
  return figures;
}

void reckon_yarns(const PieceModel& model, const Parts& parts, const Shelf& shelf,
                  const Options& options, PieceEstimate& estimate) {
  std::vector<LabelledYarn> yarns;
  for (std::size_t y = 0; y < model.yarns().size(); ++y) {
    yarns.push_back({model.yarns()[y], label_of(model, y)});
  }
  const Chances chances = reckon_yarns(yarns, parts, shelf, options, estimate.yarns);
  estimate.chance_any_short = chances.any_short;
  estimate.chance_any_set_aside_short = chances.any_set_aside_short;
}

std::vector<DoubtShare> doubt_shares(const Parts& parts, const Coefficients& coefficients,
                                     std::size_t yarn) {
  const std::size_t n = parts.coefficients;
  std::vector<double> slopes_m(n, 0.0);
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts.places[i].yarn != yarn) continue;
    for (std::size_t c = 0; c < n; ++c) {
      slopes_m[c] += parts.medians_m[i] * parts.slopes[i * n + c];
    }
  }
  std::vector<DoubtShare> shares;
  double variance = 0.0;
  for (std::size_t c = 0; c < n; ++c) {
    double together = 0.0;
    for (std::size_t k = 0; k < n; ++k) together += coefficients.correlated(c, k) * slopes_m[k];
    shares.push_back({c, slopes_m[c] * together});
    variance += shares.back().share;
  }
  for (DoubtShare& one : shares) one.share = variance > 0.0 ? one.share / variance : 0.0;
  std::stable_sort(shares.begin(), shares.end(),
                   [](const DoubtShare& a, const DoubtShare& b) { return a.share > b.share; });
  return shares;
}

Spread range_of_place(const Parts& parts, int band, std::size_t yarn) {
  std::vector<std::size_t> chosen;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts.places[i].band == band && parts.places[i].yarn == yarn) chosen.push_back(i);
  }
  return Sum(parts, std::move(chosen)).length_points_m();
}

namespace {

/// Whether a part is of this yarn in this band.
bool is_part_of(const BandEstimate& band, const Parts::Place& place) {
  return place.band == band.band && place.yarn == band.yarn_index &&
         purpose_of(place.band, place.portion) == band.purpose;
}

}  // namespace

void reckon_bands(const Parts& parts, PieceEstimate& estimate) {
  for (BandEstimate& band : estimate.bands) {
    std::vector<std::size_t> chosen;
    chosen.reserve(technique::kPortions);
    for (std::size_t i = 0; i < parts.size(); ++i) {
      if (is_part_of(band, parts.places[i])) chosen.push_back(i);
    }
    if (!chosen.empty()) band.length_m = Sum(parts, std::move(chosen)).length_points_m();
  }
}

}  // namespace ellwand::estimate
