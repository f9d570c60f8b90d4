#include "ellwand/decide/price.hpp"

#include "ellwand/estimate/yarn_totals.hpp"
#include "ellwand/numeric/sum_points.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace ellwand::decide {

double margin_of_markup(double markup) {
  require_range("a markup", markup, 0.0, 1e6, "a price above its cost");
  return markup / (1.0 + markup);
}

double markup_of_margin(double margin) {
  require_range("a margin", margin, 0.0, 1.0 - 1e-6, "a price above its cost");
  return margin / (1.0 - margin);
}

namespace {
constexpr std::int64_t kNine = 1'000'000'000;
}

Money price_for(const Money& cost, const PricePolicy& policy) {
  if (policy.margin.has_value() == policy.markup.has_value()) {
    throw OutOfRange("a price needs a margin or a markup, and not both");
  }
  const double kept = policy.margin.value_or(0.0) + policy.fees;
  require_range("margin and fees together", kept, 0.0, kMostOfPrice, "a price that can be paid");
  return cost.times(
      Ratio{kNine + ratio_of(policy.markup.value_or(0.0)).over, kNine - ratio_of(kept).over});
}

Money as_price(const Money& amount, const PricePolicy& policy, const Currency& currency,
               Rounding rounding) {
  const Money step = policy.round_to.value_or(currency.smallest());
  return rounded(amount, std::max(step, currency.smallest()), rounding);
}

Money asked_for(const Money& due, const PricePolicy& policy, const Currency& currency) {
  return as_price(rounded(due, currency), policy, currency, Rounding::Up);
}

Money floor_for(const Money& cost, const PricePolicy& policy, const Currency& currency) {
  const Money before_fees = cost.times(Ratio{kNine, kNine - ratio_of(policy.fees).over});
  return as_price(before_fees, policy, currency, Rounding::Up);
}

namespace {

double in_one_put_up(const yarn::PutUp& put_up) {
  return put_up.net_mass ? in_grams(*put_up.net_mass) : in_metres(*put_up.length);
}

/// Share of a yarn that is lost as waste, by plan.
double waste_share(const estimate::PieceEstimate& estimate, const estimate::YarnEstimate& yarn) {
  double waste_m = 0.0;
  for (const estimate::BandEstimate& band : estimate.bands) {
    const bool is_its = band.yarn == yarn.yarn && band.purpose == estimate::Purpose::Waste;
    if (is_its) waste_m += band.plan_m;
  }
  return yarn.plan_m > 0.0 ? waste_m / yarn.plan_m : 0.0;
}

/// The parts of one yarn from `first` up to `last`.
estimate::Sum sum_of(const estimate::Parts& parts, std::size_t yarn, std::size_t first,
                     std::size_t last) {
  std::vector<std::size_t> chosen;
  for (std::size_t i = first; i < last; ++i) {
    if (parts.places[i].yarn == yarn) chosen.push_back(i);
  }
  return {parts, std::move(chosen)};
}

/// What a metre of a yarn costs, with the doubt of its lot where it is sold by mass.
/// @param amount  that the price is of
estimate::Sum::Yarn priced(const estimate::LabelledYarn& one, const yarn::PutUp& amount,
                           const Money& price) {
  const double each = price.approximately() / in_one_put_up(amount);
  if (amount.net_mass)
    return {each * one.label.grams_per_metre, one.label.lot, one.label.lot_spread};
  return {each, one.label.lot, 0.0};
}

}  // namespace

double put_ups_in(const yarn::PutUp& put_up, double length_m, double mass_g) {
  return (put_up.net_mass ? mass_g : length_m) / in_one_put_up(put_up);
}

const yarn::PutUp* priced_amount(const yarn::Yarn& yarn, const PricedBy* priced_by) {
  if (yarn.put_up) return &*yarn.put_up;
  if (priced_by == nullptr) return nullptr;
  const auto by = priced_by->find(yarn.id);
  return by == priced_by->end() ? nullptr : &by->second;
}

std::vector<std::string> yarns_without_price(const estimate::PieceModel& model,
                                             const std::map<std::string, Money>& prices) {
  std::vector<std::string> without;
  for (const yarn::Yarn* yarn : model.yarns()) {
    if (yarn->put_up && prices.count(yarn->id) == 0) without.push_back(yarn->id);
  }
  return without;
}

Pricing::Pricing(PriceQuestion question) : question_(std::move(question)) {
  require_range("pieces woven already", question_.woven, 0.0, 1e5, "a series");
  if (!question_.policy.hourly_rate) throw OutOfRange("a price needs an hourly rate");
  relate_yarns();
}

bool Pricing::is_by_put_up(std::size_t yarn) const {
  return question_.policy.yarn_by == YarnBy::PutUp &&
         question_.model.yarns()[yarn]->put_up.has_value();
}

const yarn::PutUp* Pricing::amount_priced(std::size_t yarn) const {
  return priced_amount(*question_.model.yarns()[yarn], question_.priced_by);
}

/// Covariances of the costs of every two yarns over the product of their means: of one piece, and
/// between two that are alike, whose hand, habits and lots are the same.
void Pricing::relate_yarns() {
  const estimate::Estimated one{&question_.model, &question_.estimate};
  const estimate::Together both = estimate::together({one, one}, question_.learned);
  const std::size_t half = both.parts.size() / 2;
  const std::size_t n = question_.estimate.yarns.size();
  own_.assign(n * n, 0.0);
  between_.assign(n * n, 0.0);
  const std::vector<YarnCost> costs = this->yarns(1);
  std::vector<estimate::Sum> first;
  std::vector<estimate::Sum> second;
  std::vector<estimate::Sum::Yarn> yarns;
  for (std::size_t y = 0; y < n; ++y) {
    first.push_back(sum_of(both.parts, y, 0, half));
    second.push_back(sum_of(both.parts, y, half, 2 * half));
    yarns.push_back(costs[y].left_out ? estimate::Sum::Yarn{0.0, both.yarns[y].label.lot, 0.0}
                                      : priced(both.yarns[y], *amount_priced(y),
                                               question_.prices.at(both.yarns[y].yarn->id)));
  }
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      const double means = costs[i].cost.approximately() * costs[j].cost.approximately();
      if (means <= 0.0) continue;
      own_[i * n + j] = first[i].mass_covariance(yarns[i], first[j], yarns[j]) / means;
      between_[i * n + j] = first[i].mass_covariance(yarns[i], second[j], yarns[j]) / means;
    }
  }
}

/// The yarns of so many pieces, put-ups counted once; of whole put-ups only, otherwise of one.
std::vector<estimate::YarnEstimate> Pricing::estimated(int pieces) const {
  if (pieces == 1 || question_.policy.yarn_by == YarnBy::Use) return question_.estimate.yarns;
  const estimate::Estimated one{&question_.model, &question_.estimate};
  const std::vector<estimate::Estimated> all(static_cast<std::size_t>(pieces), one);
  estimate::Options options;
  options.chances = false;
  return estimate::totals_of(all, {}, options, question_.learned).yarns;
}

/// Of the one size there is, or of the sizes that come cheapest.
Pricing::WholePutUps Pricing::whole_put_ups(std::size_t yarn,
                                            const estimate::YarnEstimate& all) const {
  if (!is_by_put_up(yarn)) return {};
  if (question_.sizes == nullptr || question_.sizes->count(all.yarn) == 0) {
    const int count = all.put_ups.value_or(1);
    return {count, question_.prices.at(all.yarn).times(std::int64_t{count})};
  }
  const bool by_mass = question_.model.yarns()[yarn]->put_up->net_mass.has_value();
  const double beyond_m = estimate::beyond_plan_m(all);
  const double needed =
      by_mass ? all.set_aside_g + beyond_m * all.plan_g / all.plan_m : all.set_aside_m + beyond_m;
  const std::vector<PutUpSize>& sizes = question_.sizes->at(all.yarn);
  const std::vector<int> counts = cheapest_put_ups(needed, sizes);
  WholePutUps whole;
  for (std::size_t i = 0; i < sizes.size(); ++i) {
    whole.count += counts[i];
    whole.cost += sizes[i].price.value_or(Money()).times(std::int64_t{counts[i]});
  }
  return whole;
}

YarnCost Pricing::cost_of(std::size_t yarn, int pieces, const WholePutUps& whole) const {
  const estimate::YarnEstimate& single = question_.estimate.yarns[yarn];
  const double mean_m = pieces * single.mean_m;
  const double mean_g = pieces * single.mean_g;
  const yarn::PutUp* const amount = amount_priced(yarn);
  if (amount == nullptr) return {single.yarn, Money(), mean_m, mean_g, 0.0, 0, true};
  const Money used = question_.prices.at(single.yarn).times(put_ups_in(*amount, mean_m, mean_g));
  return {single.yarn, whole.count > 0 ? whole.cost : used,     mean_m,
          mean_g,      waste_share(question_.estimate, single), whole.count};
}

std::vector<YarnCost> Pricing::yarns(int pieces) const {
  require_range("pieces", pieces, 1.0, kMostPieces, "a series");
  const std::vector<estimate::YarnEstimate> all = estimated(pieces);
  std::vector<YarnCost> costs;
  for (std::size_t y = 0; y < all.size(); ++y) {
    costs.push_back(cost_of(y, pieces, whole_put_ups(y, all[y])));
  }
  return costs;
}

double Pricing::time_factor(int pieces) const {
  return time_of_series(question_.policy.learning, question_.woven, pieces) / pieces;
}

Money Pricing::labour_cost(const Labour& line, int pieces) const {
  return question_.policy.hourly_rate->times(line.minutes * time_factor(pieces) / 60.0);
}

std::vector<Money> Pricing::labour_told(int pieces) const {
  std::vector<Money> all;
  Money sum;
  Money told;
  for (const Labour& line : question_.labour) {
    sum += labour_cost(line, pieces);
    const Money so_far = rounded(sum, question_.currency);
    all.push_back(so_far - told);
    told = so_far;
  }
  return all;
}

SeriesPrice Pricing::series(int pieces, const std::vector<YarnCost>& yarns) const {
  SeriesPrice each;
  each.pieces = pieces;
  for (const YarnCost& one : yarns) each.yarn += one.cost;
  each.yarn = each.yarn.times(Ratio{1, pieces});
  for (const Consumable& one : question_.policy.consumables) each.consumables += one.cost;
  for (const Labour& line : question_.labour) {
    each.minutes += line.minutes * time_factor(pieces);
    each.labour += labour_cost(line, pieces);
  }
  each.overhead = each.labour.times(ratio_of(question_.policy.overhead));
  each.cost = each.yarn + each.consumables + each.labour + each.overhead;
  put_on(each);
  return each;
}

/// What follows from the cost.
void Pricing::put_on(SeriesPrice& each) const {
  const PricePolicy& policy = question_.policy;
  const Currency& currency = question_.currency;
  const auto share_of = [&](const Money& whole, double share) {
    return rounded(whole.times(ratio_of(share)), currency);
  };
  each.price = asked_for(price_for(each.cost, policy), policy, currency);
  each.fees = rounded(each.price.times(ratio_of(policy.fees)), currency);
  each.left = each.price - each.fees - rounded(each.cost, currency);
  if (policy.wholesale) each.wholesale = share_of(each.price, *policy.wholesale);
  const Money all = each.price.times(std::int64_t{each.pieces});
  if (policy.deposit) each.deposit = share_of(all, *policy.deposit);
}

namespace {

/// Costs that are unsure: their means, and their covariances over the means' product.
struct Unsure {
  std::vector<Driver> names;
  std::vector<double> means;
  std::vector<double> f;
};

void name_drivers(const Unsure& unsure, std::vector<Driver>& drivers) {
  const std::size_t n = unsure.means.size();
  double variance = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    double together = 0.0;
    for (std::size_t j = 0; j < n; ++j) together += unsure.means[j] * unsure.f[i * n + j];
    drivers.push_back(unsure.names[i]);
    drivers.back().share = unsure.means[i] * together;
    variance += drivers.back().share;
  }
  for (Driver& driver : drivers) driver.share = variance > 0.0 ? driver.share / variance : 0.0;
  std::stable_sort(drivers.begin(), drivers.end(),
                   [](const Driver& a, const Driver& b) { return a.share > b.share; });
}

/// A sum of lognormals with those means, beside what is sure.
numeric::ShiftedLognormal spread_of(const Unsure& unsure, double sure) {
  const std::size_t n = unsure.means.size() + 1;
  std::vector<double> medians(n, sure);
  std::vector<double> covariances(n * n, 0.0);
  for (std::size_t i = 0; i + 1 < n; ++i) {
    for (std::size_t j = 0; j + 1 < n; ++j) {
      covariances[i * n + j] = std::log1p(std::max(unsure.f[i * (n - 1) + j], -0.9));
    }
    medians[i] = unsure.means[i] * std::exp(-0.5 * covariances[i * n + i]);
  }
  return numeric::ShiftedLognormal(numeric::points_of_sum(medians, covariances));
}

}  // namespace

/// Covariance of two unsure costs over their means' product: yarns first, then lines of labour,
/// which have nothing to do with them.
/// @param yarns  those whose costs are unsure
double Pricing::relation(const std::vector<std::size_t>& yarns, std::size_t a, std::size_t b,
                         int pieces) const {
  const std::size_t n = yarns.size();
  if (a < n && b < n) {
    const std::size_t at = yarns[a] * question_.estimate.yarns.size() + yarns[b];
    return (own_[at] + (pieces - 1) * between_[at]) / pieces;
  }
  if (a < n || b < n) return 0.0;
  return std::expm1(log_covariance(question_.labour[a - n], question_.labour[b - n]));
}

CostDoubt Pricing::doubt(int pieces, const std::vector<YarnCost>& yarns) const {
  const PricePolicy& policy = question_.policy;
  double sure = 0.0;
  for (const Consumable& one : policy.consumables) sure += one.cost.approximately();
  Unsure unsure;
  std::vector<std::size_t> unsure_yarns;
  for (std::size_t y = 0; y < yarns.size(); ++y) {
    const YarnCost& one = yarns[y];
    const double each = one.cost.approximately() / pieces;
    if (one.put_ups > 0) {
      sure += each;
    } else if (!one.left_out) {
      unsure_yarns.push_back(y);
      unsure.names.push_back({one.yarn, 0, "", 0.0});
      unsure.means.push_back(each);
    }
  }
  for (const Labour& line : question_.labour) {
    unsure.names.push_back({"", line.band, line.work, 0.0});
    unsure.means.push_back((1.0 + policy.overhead) * labour_cost(line, pieces).approximately());
  }
  const std::size_t n = unsure.means.size();
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) unsure.f.push_back(relation(unsure_yarns, i, j, pieces));
  }
  CostDoubt doubt{spread_of(unsure, sure), {}};
  name_drivers(unsure, doubt.drivers);
  return doubt;
}

namespace {

/// The price of which a shop's share leaves what is meant to be left of it; a shop takes no fees.
std::optional<Money> price_with_shops(const Money& cost, PricePolicy policy,
                                      const Currency& currency) {
  if (!policy.wholesale) return std::nullopt;
  policy.fees = 0.0;
  const Money paid = price_for(cost, policy);
  return asked_for(paid.times(Ratio{kNine, ratio_of(*policy.wholesale).over}), policy, currency);
}

}  // namespace

Priced price_of(const Pricing& pricing, int pieces, double confidence) {
  const PricePolicy& policy = pricing.question().policy;
  const Currency& currency = pricing.question().currency;
  const std::vector<YarnCost> yarns = pricing.yarns(pieces);
  Priced priced{pricing.series(pieces, yarns),
                {},
                yarns,
                pricing.doubt(pieces, yarns),
                confidence,
                {},
                {},
                {},
                std::nullopt};
  for (const int count : std::set<int>{1, 3, 5, pieces}) {
    priced.beside.push_back(count == pieces ? priced.asked : pricing.series(count));
  }
  const auto cost_at = [&](double chance) {
    return Money::near(priced.doubt.each.quantile(chance));
  };
  priced.floor = floor_for(cost_at(confidence), policy, currency);
  priced.low = asked_for(price_for(cost_at(0.05), policy), policy, currency);
  priced.high = asked_for(price_for(cost_at(0.95), policy), policy, currency);
  priced.price_with_shops = price_with_shops(priced.asked.cost, policy, currency);
  return priced;
}

}  // namespace ellwand::decide
