#include "ellwand/estimate/yarn_totals.hpp"

#include "ellwand/numeric/many_normals.hpp"
#include "ellwand/numeric/normal.hpp"
#include "ellwand/numeric/normal_joint.hpp"
#include "ellwand/numeric/room.hpp"
#include "ellwand/numeric/sum_points.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace ellwand::estimate {

namespace {

/// Products of all pairs of n rows, row after row.
template <class RowOf>
void multiply_rows(std::size_t n, std::size_t columns, const RowOf& row, double* all) {
  LaidOut laid_out(columns);
  for (std::size_t i = 0; i < n; ++i) {
    laid_out.lay(row(i));
    for (std::size_t j = 0; j <= i; ++j) all[i * n + j] = all[j * n + i] = laid_out.times(row(j));
  }
}

/// Adds a row, times a factor, to one that is laid out.
void add_row(const SlopeRows::Row& row, double factor, std::vector<double>& sum) {
  for (std::size_t k = 0; k < row.columns.size(); ++k) {
    sum[row.columns[k]] += factor * row.slopes[k];
  }
}

double square_of(const SlopeRows::Row& row) {
  double sum = 0.0;
  for (const double slope : row.slopes) sum += slope * slope;
  return sum;
}

/// Parts that are to become one.
class Bundle {
 public:
  void add(std::size_t part) { parts_.push_back(part); }
  bool is_empty() const { return parts_.empty(); }

  /// @param row  laid out, all 0, and so again afterwards
  void put(const Parts& all, std::vector<double>& row, Parts& drawn) const {
    double sum_m = 0.0;
    for (const std::size_t i : parts_) sum_m += all.medians_m[i];
    std::vector<std::uint32_t> met;
    double square = 0.0;  // of their own slopes
    for (const std::size_t i : parts_) {
      const SlopeRows::Row its = all.slopes.row(i);
      for (const std::uint32_t c : its.columns) {
        if (row[c] == 0.0) met.push_back(c);
      }
      add_row(its, all.medians_m[i] / sum_m, row);
      square += all.medians_m[i] / sum_m * square_of(its);
    }
    std::sort(met.begin(), met.end());
    met.erase(std::unique(met.begin(), met.end()), met.end());
    drawn.slopes.open();
    for (const std::uint32_t c : met) drawn.slopes.put(c, std::exchange(row[c], 0.0));
    const double even = std::exp(0.5 * (square - square_of(drawn.slopes.row(drawn.size()))));
    drawn.places.push_back(all.places[parts_.front()]);
    drawn.medians_m.push_back(even * sum_m);
    drawn.at_states_m.push_back(at_states(all, even));
  }

 private:
  std::vector<double> at_states(const Parts& all, double even) const {
    const bool bends = std::any_of(parts_.begin(), parts_.end(),
                                   [&](std::size_t i) { return !all.at_states_m[i].empty(); });
    if (!bends) return {};
    std::vector<double> sum(all.states.count, 0.0);
    for (const std::size_t i : parts_) {
      const std::vector<double> one = all.at_each_state_m(i);
      for (std::size_t k = 0; k < sum.size(); ++k) sum[k] += even * one[k];
    }
    return sum;
  }

  std::vector<std::size_t> parts_;
};

}  // namespace

Sum::Sum(const Parts& parts, std::vector<std::size_t> chosen)
    : parts_(&parts), chosen_(std::move(chosen)), parts_in_all_(chosen_.size()) {
  if (chosen_.size() > kMostApart) draw_together();
  const std::size_t n = chosen_.size();
  numbers_.resize(n + n * n);
  for (std::size_t i = 0; i < n; ++i) numbers_[i] = this->parts().medians_m[chosen_[i]];
  multiply_rows(
      n, this->parts().coefficients, [&](std::size_t i) { return row(i); }, numbers_.data() + n);
}

/// By how far each moves along the steepest direction, in equal steps of it; what is laid, tails
/// and the like apart, whose causes are others, and what bends and what does not.
void Sum::draw_together() {
  const Parts& all = *parts_;
  std::vector<double> steepest(all.coefficients, 0.0);
  for (const std::size_t i : chosen_) add_row(all.slopes.row(i), all.medians_m[i], steepest);
  double length = 0.0;
  for (const double one : steepest) length += one * one;
  length = std::sqrt(length);
  std::vector<double> along;
  along.reserve(chosen_.size());
  for (const std::size_t i : chosen_) {
    const SlopeRows::Row its = all.slopes.row(i);
    double sum = 0.0;
    for (std::size_t k = 0; k < its.columns.size(); ++k) {
      sum += its.slopes[k] * steepest[its.columns[k]];
    }
    along.push_back(length > 0.0 ? sum / length : 0.0);
  }
  constexpr std::size_t kSteps = 16;
  const auto [low, high] = std::minmax_element(along.begin(), along.end());
  const double step = (*high - *low) / static_cast<double>(kSteps);
  std::vector<Bundle> bundles(2 * technique::kPortions * kSteps);
  for (std::size_t i = 0; i < chosen_.size(); ++i) {
    const double place = step > 0.0 ? (along[i] - *low) / step : 0.0;
    const std::size_t at = std::min(kSteps - 1, static_cast<std::size_t>(place));
    const bool is_straight = all.at_states_m[chosen_[i]].empty();
    const auto portion = static_cast<std::size_t>(all.places[chosen_[i]].portion);
    bundles[(portion * kSteps + at) * 2 + (is_straight ? 0 : 1)].add(chosen_[i]);
  }
  auto drawn = std::make_shared<Parts>();
  drawn->coefficients = all.coefficients;
  drawn->root = all.root;
  drawn->states = all.states;
  std::vector<double> row(all.coefficients, 0.0);
  chosen_.clear();
  for (const Bundle& bundle : bundles) {
    if (bundle.is_empty()) continue;
    chosen_.push_back(drawn->size());
    bundle.put(all, row, *drawn);
  }
  drawn_ = std::move(drawn);
}

bool Sum::bends() const {
  return std::any_of(chosen_.begin(), chosen_.end(), [&](std::size_t part) {
    return parts().states.count > 0 && !parts().at_states_m[part].empty();
  });
}

numeric::ShiftedLognormal Sum::length_m() const {
  return numeric::ShiftedLognormal(length_points_m());
}

numeric::Range Sum::length_points_m() const {
  if (bends()) return over_states(1.0, SlopeRows());
  return numeric::points_of_sum(medians_m(), covariances());
}

numeric::Range Sum::length_points_m(std::span<const std::size_t> some) const {
  if (drawn_ || bends()) return Sum(*parts_, {some.begin(), some.end()}).length_points_m();
  const std::size_t n = some.size();
  numeric::Room numbers(n + n * n);
  double* const medians = numbers.data();
  double* const together = medians + n;
  const auto next = [&](std::vector<std::size_t>::const_iterator from, std::size_t part) {
    return std::find(from, chosen_.end(), part);
  };
  auto row = chosen_.begin();
  for (std::size_t i = 0; i < n; ++i) {
    row = next(row, some[i]);
    const auto place = static_cast<std::size_t>(row - chosen_.begin());
    medians[i] = medians_m()[place];
    const double* const its = covariances().data() + place * chosen_.size();
    auto column = chosen_.begin();
    for (std::size_t j = 0; j <= i; ++j) {
      column = next(column, some[j]);
      together[i * n + j] = together[j * n + i] = its[column - chosen_.begin()];
    }
  }
  return numeric::points_of_sum({medians, n}, {together, n * n});
}

numeric::ShiftedLognormal Sum::mass_g(double grams_per_metre, std::size_t lot,
                                      double lot_spread) const {
  return numeric::ShiftedLognormal(mass_points_g({grams_per_metre, lot, lot_spread}));
}

numeric::Range Sum::mass_points_g(const Yarn& yarn) const {
  if (bends())
    return over_states(yarn.grams_per_metre, parts().factors_of(yarn.lot, yarn.lot_spread));
  numeric::Room with_lot(covariances().size());
  add_lot(yarn, with_lot.data());
  const numeric::Range metres =
      numeric::points_of_sum(medians_m(), {with_lot.data(), covariances().size()});
  const double grams = yarn.grams_per_metre;
  return {grams * metres.low, grams * metres.mid, grams * metres.high};
}

/// (w_i + s) . (w_j + s) where s is how the lot moves; its factors have the length 1.
void Sum::add_lot(const Yarn& yarn, double* with_lot) const {
  const std::size_t n = chosen_.size();
  const double own = yarn.lot_spread * yarn.lot_spread;
  numeric::Room moves(n);
  double* const along = moves.data();
  for (std::size_t i = 0; i < n; ++i) {
    along[i] = parts().covariance_with(chosen_[i], yarn.lot, yarn.lot_spread);
  }
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      with_lot[i * n + j] = covariances()[i * n + j] + along[i] + along[j] + own;
    }
  }
}

namespace {

/// A row and another beside it, without some columns.
/// @param left_out  rising
void put_sum(const SlopeRows::Row& a, const SlopeRows::Row& b,
             const std::vector<std::size_t>& left_out, SlopeRows& rows) {
  rows.open();
  std::size_t i = 0;
  std::size_t j = 0;
  while (i < a.columns.size() || j < b.columns.size()) {
    const bool is_a =
        i < a.columns.size() && (j == b.columns.size() || a.columns[i] <= b.columns[j]);
    const bool is_b =
        j < b.columns.size() && (i == a.columns.size() || b.columns[j] <= a.columns[i]);
    const std::uint32_t column = is_a ? a.columns[i] : b.columns[j];
    const double slope = (is_a ? a.slopes[i] : 0.0) + (is_b ? b.slopes[j] : 0.0);
    i += is_a ? 1 : 0;
    j += is_b ? 1 : 0;
    if (!std::binary_search(left_out.begin(), left_out.end(), column)) rows.put(column, slope);
  }
}

/// The one row of such, or an empty one.
SlopeRows::Row only_row(const SlopeRows& rows) {
  return rows.size() > 0 ? rows.row(0) : SlopeRows::Row{};
}

}  // namespace

/// What hangs on the states' factors is taken at each state; the rest is left unsure.
numeric::Range Sum::over_states(double factor, const SlopeRows& lot) const {
  const Parts::States& states = parts().states;
  const std::size_t n = chosen_.size();
  const std::size_t d = states.coefficients.size();
  std::vector<std::size_t> left_out = states.coefficients;
  std::sort(left_out.begin(), left_out.end());
  SlopeRows rows;
  for (std::size_t i = 0; i < n; ++i) put_sum(row(i), only_row(lot), left_out, rows);
  std::vector<double> apart(n * n);
  multiply_rows(
      n, parts().coefficients, [&](std::size_t i) { return rows.row(i); }, apart.data());
  std::vector<double> lot_moves(d, 0.0);
  for (std::size_t j = 0; j < d && lot.size() > 0; ++j) {
    lot_moves[j] = lot.at(0, states.coefficients[j]);
  }
  std::vector<double> grams(states.count);
  for (std::size_t k = 0; k < states.count; ++k) {
    double log = 0.0;
    for (std::size_t j = 0; j < d; ++j) log += lot_moves[j] * states.scores[k * d + j];
    grams[k] = factor * std::exp(log);
  }
  std::vector<double> amounts(states.count * n);
  for (std::size_t i = 0; i < n; ++i) {
    const std::vector<double> one_m = parts().at_each_state_m(chosen_[i]);
    for (std::size_t k = 0; k < states.count; ++k) amounts[k * n + i] = grams[k] * one_m[k];
  }
  return numeric::points_over_states(amounts, apart);
}

SlopeRows Sum::grams_slopes(const Yarn& yarn) const {
  const SlopeRows lot = parts().factors_of(yarn.lot, yarn.lot_spread);
  SlopeRows rows;
  for (std::size_t i = 0; i < chosen_.size(); ++i) put_sum(row(i), lot.row(0), {}, rows);
  return rows;
}

/// As numeric::covariance_of_sums.
double Sum::mass_covariance(const Yarn& mine, const Sum& other, const Yarn& its) const {
  const SlopeRows my_rows = grams_slopes(mine);
  const SlopeRows its_rows = other.grams_slopes(its);
  const auto means = [](const Sum& of, double grams_per_metre, const SlopeRows& rows) {
    std::vector<double> all;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const double factor = std::exp(0.5 * square_of(rows.row(i)));
      all.push_back(grams_per_metre * of.medians_m()[i] * factor);
    }
    return all;
  };
  const std::vector<double> my_means = means(*this, mine.grams_per_metre, my_rows);
  const std::vector<double> its_means = means(other, its.grams_per_metre, its_rows);
  double sum = 0.0;
  LaidOut laid_out(parts().coefficients);
  for (std::size_t i = 0; i < my_means.size(); ++i) {
    laid_out.lay(my_rows.row(i));
    for (std::size_t j = 0; j < its_means.size(); ++j) {
      sum += my_means[i] * its_means[j] * std::expm1(laid_out.times(its_rows.row(j)));
    }
  }
  return sum;
}

SlopeRows Sum::mass_direction(const Yarn& yarn) const {
  const SlopeRows rows = grams_slopes(yarn);
  std::map<std::uint32_t, double> moves;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const SlopeRows::Row its = rows.row(i);
    const double mean = parts().medians_m[chosen_[i]] * std::exp(0.5 * square_of(its));
    for (std::size_t k = 0; k < its.columns.size(); ++k)
      moves[its.columns[k]] += mean * its.slopes[k];
  }
  double square = 0.0;
  for (const auto& [column, move] : moves) square += move * move;
  SlopeRows one;
  one.open();
  for (const auto& [column, move] : moves) {
    if (square > 0.0) one.put(column, move / std::sqrt(square));
  }
  return one;
}

std::vector<Sum> sums_by_yarn(const Parts& parts, std::size_t yarns) {
  const Grouped chosen = parts_by_yarn(parts, yarns);
  std::vector<Sum> sums;
  sums.reserve(yarns);
  for (std::size_t y = 0; y < yarns; ++y) {
    sums.emplace_back(parts, std::vector<std::size_t>(chosen[y].begin(), chosen[y].end()));
  }
  return sums;
}

namespace {

using numeric::ShiftedLognormal;

/// One yarn's doubt, as length and as mass.
struct YarnDoubt {
  const Sum& sum;
  Sum::Yarn yarn;
  numeric::Range length_m;
  numeric::Range mass_g;
  ShiftedLognormal length{length_m};  ///< through those points
  ShiftedLognormal mass{mass_g};
};

YarnDoubt doubt_of(const Sum::Yarn& label, const Sum& sum) {
  return {sum, label, sum.length_points_m(), sum.mass_points_g(label)};
}

/// Of every yarn, in the order that the parts count them.
template <class LabelOf>
std::vector<YarnDoubt> doubts_of(const std::vector<Sum>& sums, const LabelOf& label_of) {
  std::vector<YarnDoubt> doubts;
  doubts.reserve(sums.size());
  for (std::size_t y = 0; y < sums.size(); ++y) doubts.push_back(doubt_of(label_of(y), sums[y]));
  return doubts;
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
  // Of doubts as wide as a factor of three the pairs need not go together.
  return numeric::nearest_correlations(correlation);
}

}  // namespace

JointAmounts joint_amounts(const std::vector<Sum::Yarn>& yarns, const Parts& parts) {
  const std::vector<Sum> sums = sums_by_yarn(parts, yarns.size());
  const std::vector<YarnDoubt> doubts = doubts_of(sums, [&](std::size_t y) { return yarns[y]; });
  JointAmounts joint;
  for (const YarnDoubt& doubt : doubts) joint.amounts.push_back(doubt.mass);
  joint.correlation = score_correlations(doubts);
  return joint;
}

namespace {

/// The normal score at which a yarn's stock runs out; of metres that are counted no lot says less.
double shelf_score(const YarnDoubt& doubt, const YarnEstimate& yarn, const Stock& stock) {
  if (stock.length) return doubt.length.score(in_metres(*stock.length) - beyond_plan_m(yarn));
  const double beyond_g = beyond_plan_m(yarn) * yarn.plan_g / yarn.plan_m;
  return doubt.mass.score(in_grams(stock.mass) - beyond_g);
}

const Stock* stock_of(const Shelf& shelf, const std::string& yarn) {
  const auto found = shelf.find(yarn);
  return found == shelf.end() ? nullptr : &found->second;
}

int whole_put_ups(double need, double one) {
  const double put_ups = std::max(1.0, std::ceil(need / one - 1e-9));
  require_range("put-ups of one yarn", put_ups, 1.0, 1e9, "an estimate");
  return static_cast<int>(put_ups);
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

/// How all yarns' masses move together, for so many that all pairs are too many to look at.
numeric::ManyNormals many_together(const std::vector<YarnDoubt>& doubts) {
  numeric::ManyNormals many;
  for (const YarnDoubt& doubt : doubts) {
    const SlopeRows direction = doubt.sum.mass_direction(doubt.yarn);
    const SlopeRows::Row row = direction.row(0);
    many.add(row.columns, row.slopes);
  }
  return many;
}

/// How far up its range each set-aside lies, as a normal score.
double set_aside_score(const std::vector<YarnDoubt>& doubts, const Options& options) {
  if (!options.joint || doubts.size() < 2) return numeric::normal_quantile(options.service);
  if (doubts.size() > numeric::kMostJointVariables) {
    return many_together(doubts).joint_quantile(options.service);
  }
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
/// @param chance_any_passes  of limits
template <class ChanceAny>
Chances chances_at(const std::vector<double>& limits, double set_aside,
                   const ChanceAny& chance_any_passes) {
  const std::vector<double> set_asides(limits.size(), set_aside);
  Chances chances;
  chances.any_set_aside_short = chance_any_passes(set_asides);
  chances.any_short =
      limits == set_asides ? chances.any_set_aside_short : chance_any_passes(limits);
  return chances;
}

Chances reckon_chances(const std::vector<YarnDoubt>& doubts, const std::vector<double>& limits,
                       double set_aside) {
  if (doubts.size() > numeric::kMostJointVariables) {
    const numeric::ManyNormals many = many_together(doubts);
    return chances_at(limits, set_aside,
                      [&](const auto& some) { return many.chance_any_exceeds(some); });
  }
  const std::vector<double> correlation = score_correlations(doubts);
  return chances_at(limits, set_aside,
                    [&](const auto& some) { return chance_any(some, correlation); });
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

Chances reckon_yarns(const std::vector<LabelledYarn>& yarns, const std::vector<Sum>& sums,
                     const Shelf& shelf, const Options& options,
                     std::vector<YarnEstimate>& estimates) {
  const std::vector<YarnDoubt> doubts =
      doubts_of(sums, [&](std::size_t y) { return yarns[y].label; });
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
  const Sum sum(parts, std::move(chosen));
  fill_figures(doubt_of(label_of(model, yarn), sum), numeric::normal_quantile(service), figures);
  return figures;
}

void reckon_yarns(const PieceModel& model, const std::vector<Sum>& sums, const Shelf& shelf,
                  const Options& options, PieceEstimate& estimate) {
  std::vector<LabelledYarn> yarns;
  yarns.reserve(model.yarns().size());
  for (std::size_t y = 0; y < model.yarns().size(); ++y) {
    yarns.push_back({model.yarns()[y], label_of(model, y)});
  }
  const Chances chances = reckon_yarns(yarns, sums, shelf, options, estimate.yarns);
  estimate.chance_any_short = chances.any_short;
  estimate.chance_any_set_aside_short = chances.any_set_aside_short;
}

std::vector<DoubtShare> doubt_shares(const Parts& parts, const Coefficients& coefficients,
                                     std::size_t yarn) {
  const std::size_t n = parts.coefficients;
  std::vector<double> slopes_m(n, 0.0);
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts.places[i].yarn != yarn) continue;
    add_row(parts.slopes.row(i), parts.medians_m[i], slopes_m);
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

/// Indices of the parts near a band: those of each band from 1, and those of band 0 yarn by yarn.
class PartsByPlace {
 public:
  explicit PartsByPlace(const Parts& parts)
      : bands_(groups_of(parts, [](const Parts::Place& place) { return place.band; })),
        near_(parts.size(), bands_ + groups_of(parts, yarn_of),
              [&](std::size_t i) { return group(parts.places[i].band, parts.places[i].yarn); }) {}

  std::span<const std::size_t> near(const BandEstimate& band) const {
    const std::size_t at = group(band.band, band.yarn_index);
    const bool is_there = at < near_.groups() && (band.band == 0 || at < bands_);
    return is_there ? near_[at] : std::span<const std::size_t>();
  }

 private:
  static std::size_t yarn_of(const Parts::Place& place) { return place.yarn; }
  template <class NumberOf>
  static std::size_t groups_of(const Parts& parts, const NumberOf& number_of) {
    std::size_t most = 0;
    for (const Parts::Place& place : parts.places) {
      most = std::max(most, static_cast<std::size_t>(number_of(place)) + 1);
    }
    return most;
  }
  std::size_t group(int band, std::size_t yarn) const {
    return band > 0 ? static_cast<std::size_t>(band) : bands_ + yarn;
  }

  std::size_t bands_;
  Grouped near_;
};

}  // namespace

std::optional<double> enough_warp_m(const Parts& parts, const std::vector<Sum>& sums,
                                    const BandEstimate& warp) {
  std::vector<std::size_t> its;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (is_part_of(warp, parts.places[i])) its.push_back(i);
  }
  if (its.empty()) return std::nullopt;
  const Spread range = sums[warp.yarn_index].length_points_m(its);
  return range.high;
}

void reckon_bands(const Parts& parts, const std::vector<Sum>& sums, PieceEstimate& estimate) {
  const PartsByPlace by_place(parts);
  std::vector<std::size_t> its;
  for (BandEstimate& band : estimate.bands) {
    its.clear();
    for (const std::size_t i : by_place.near(band)) {
      if (is_part_of(band, parts.places[i])) its.push_back(i);
    }
    if (its.empty()) continue;
    const Sum& sum = sums[band.yarn_index];
    band.length_m =
        sum.is_all(its) ? estimate.yarns[band.yarn_index].length_m : sum.length_points_m(its);
  }
}

}  // namespace ellwand::estimate
