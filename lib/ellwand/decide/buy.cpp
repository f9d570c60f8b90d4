#include "ellwand/decide/buy.hpp"

#include "ellwand/decide/put_ups.hpp"
#include "ellwand/estimate/leftovers.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <unordered_map>
#include <utility>

namespace ellwand::decide {

namespace {

using estimate::Parts;
using estimate::PieceModel;
using numeric::ShiftedLognormal;

/// One place's parts, with what it takes beyond them for sure.
struct Item {
  std::size_t piece = 0;
  int band = 0;
  std::vector<std::size_t> parts;
  double median_m = 0.0;
  double beyond_m = 0.0;
  std::optional<Length<>> shortest;  ///< a lot in shorter pieces does not do
  bool may_mix = false;
};

/// Several of them to be woven of one supply.
struct Group {
  std::vector<std::size_t> parts;
  double median_m = 0.0;  ///< sum of its parts' medians, waste left out
  double beyond_m = 0.0;
  std::vector<WovenPlace> places;

  void add(const Item& item, const std::string& piece) {
    parts.insert(parts.end(), item.parts.begin(), item.parts.end());
    median_m += item.median_m;
    beyond_m += item.beyond_m;
    places.push_back({piece, item.band});
  }
};

class Shopping {
 public:
  explicit Shopping(const BuyQuestion& question);

  ShoppingList list() const;

 private:
  Purchase purchase_of(std::size_t yarn) const;
  void state(std::size_t yarn, Purchase& one) const;
  double enough_for(const Purchase& one) const;
  std::vector<Item> items_of(std::size_t yarn) const;
  estimate::Sum::Yarn grams(std::size_t yarn) const { return all_.yarns[yarn].label; }
  ShiftedLognormal need(const Group& group, const estimate::Sum::Yarn& measure) const;
  bool is_surely_too_much(std::size_t yarn, const Group& group, const Item& item,
                          const Purchase& one, const estimate::StockLot& lot) const;
  std::vector<Group> fill_lots(std::size_t yarn, std::vector<Item>& items,
                               const Purchase& one) const;
  double mixed_from_lots(std::size_t yarn, const std::vector<Group>& lots, const Group& mixed,
                         Purchase& one) const;
  void plan_lots(std::size_t yarn, const std::vector<Group>& lots, Purchase& one) const;
  double choose_put_ups(Purchase& one) const;
  std::optional<Money> cost_of_loose(std::size_t yarn, const Purchase& one) const;
  void buy(std::size_t yarn, const Group& bought, double from_lots_g, Purchase& one) const;

  /// A piece that takes a yarn.
  struct Taker {
    std::size_t piece;
    std::size_t yarn;  ///< among the piece's own
    std::vector<estimate::ShortestUse> uses;
  };

  void add_waste_and_beyond(const Taker& taker, const std::vector<std::size_t>& waste,
                            std::vector<Item>& items) const;

  const BuyQuestion& question_;
  estimate::Together all_;
  estimate::Grouped parts_of_;                 ///< yarn by yarn
  std::vector<std::vector<Taker>> takers_of_;  ///< yarn by yarn, pieces in order
};

const std::string& id_of(const estimate::Estimated& piece) { return piece.estimate->piece; }

Shopping::Shopping(const BuyQuestion& question)
    : question_(question),
      all_(estimate::together(question.pieces, question.learned)),
      parts_of_(parts_by_yarn(all_.parts, all_.yarns.size())),
      takers_of_(all_.yarns.size()) {
  std::unordered_map<std::string, std::size_t> places;
  for (std::size_t y = 0; y < all_.yarns.size(); ++y) places.emplace(all_.yarns[y].yarn->id, y);
  for (std::size_t p = 0; p < question.pieces.size(); ++p) {
    const PieceModel& model = *question.pieces[p].model;
    std::vector<std::vector<estimate::ShortestUse>> uses(model.yarns().size());
    for (const estimate::ShortestUse& use : estimate::shortest_uses(model)) {
      uses[use.yarn].push_back(use);
    }
    for (std::size_t y = 0; y < uses.size(); ++y) {
      takers_of_[places.at(model.yarns()[y]->id)].push_back({p, y, std::move(uses[y])});
    }
  }
}

/// A piece's places of one yarn, band by band as they are met.
class PlacesOfPiece {
 public:
  explicit PlacesOfPiece(std::size_t piece) : piece_(piece) {}
  Item& at(int band) {
    const auto [found, is_new] = places_.emplace(band, items.size());
    if (is_new) items.push_back({piece_, band, {}, 0.0, 0.0, std::nullopt, false});
    return items[found->second];
  }
  std::vector<Item> items;

 private:
  std::size_t piece_;
  std::unordered_map<int, std::size_t> places_;
};

/// Both go with the piece's largest place.
void Shopping::add_waste_and_beyond(const Taker& taker, const std::vector<std::size_t>& waste,
                                    std::vector<Item>& items) const {
  if (items.empty()) return;
  Item& largest = *std::max_element(items.begin(), items.end(), [](const Item& a, const Item& b) {
    return a.median_m < b.median_m;
  });
  largest.parts.insert(largest.parts.end(), waste.begin(), waste.end());
  const estimate::YarnEstimate& estimate =
      question_.pieces[taker.piece].estimate->yarns[taker.yarn];
  largest.beyond_m = estimate.cut_rounding_m + estimate.spare_m;
}

std::vector<Item> Shopping::items_of(std::size_t yarn) const {
  std::vector<Item> items;
  const Parts& parts = all_.parts;
  auto next = parts_of_[yarn].begin();
  for (const Taker& taker : takers_of_[yarn]) {
    PlacesOfPiece mine(taker.piece);
    std::vector<std::size_t> waste;
    for (; next != parts_of_[yarn].end() && *next < all_.firsts[taker.piece + 1]; ++next) {
      const Parts::Place& place = parts.places[*next];
      if (technique::is_waste(place.portion) && place.band == 0) {
        waste.push_back(*next);
        continue;
      }
      Item& item = mine.at(place.band);
      item.parts.push_back(*next);
      item.median_m += parts.medians_m[*next];
    }
    if (mine.items.empty() && !waste.empty()) mine.at(0);
    add_waste_and_beyond(taker, waste, mine.items);
    const std::size_t there = mine.items.size();  // beyond them, uses of what takes nothing
    for (const estimate::ShortestUse& use : taker.uses) {
      Item& item = mine.at(use.band);
      item.shortest = use.length;
    }
    mine.items.erase(mine.items.begin() + static_cast<std::ptrdiff_t>(there), mine.items.end());
    const bool may_mix = question_.pieces[taker.piece].model->piece().lots_may_mix;
    for (Item& item : mine.items) {
      item.may_mix = may_mix;
      items.push_back(std::move(item));
    }
  }
  std::stable_sort(items.begin(), items.end(),
                   [](const Item& a, const Item& b) { return a.median_m > b.median_m; });
  return items;
}

ShiftedLognormal Shopping::need(const Group& group, const estimate::Sum::Yarn& measure) const {
  return estimate::Sum(all_.parts, group.parts)
      .mass_g(measure.grams_per_metre, measure.lot, measure.lot_spread);
}

bool does(const estimate::StockLot& lot, const Item& item) {
  return !lot.longest_piece || !item.shortest || *lot.longest_piece >= *item.shortest;
}

/// Whether a lot has less than half the chance that it suffices for a group and one item more, and
/// more is asked for. A sum of lognormals is convex in its scores, so that its median is no less
/// than the sum of the medians.
bool Shopping::is_surely_too_much(std::size_t yarn, const Group& group, const Item& item,
                                  const Purchase& one, const estimate::StockLot& lot) const {
  const double least_m = group.median_m + group.beyond_m + item.median_m + item.beyond_m;
  return one.enough >= 0.5 && least_m * grams(yarn).grams_per_metre > in_grams(lot.mass);
}

/// The lots' groups in the order of the shelf, and last what no lot suffices for. Items that may
/// mix stay in `items`, the others are taken out.
std::vector<Group> Shopping::fill_lots(std::size_t yarn, std::vector<Item>& items,
                                       const Purchase& one) const {
  const auto stock = question_.shelf.find(one.yarn);
  static const std::vector<estimate::StockLot> kNone;
  const auto& shelf = stock == question_.shelf.end() ? kNone : stock->second.each;
  std::vector<std::size_t> smallest_first(shelf.size());
  for (std::size_t i = 0; i < shelf.size(); ++i) smallest_first[i] = i;
  std::stable_sort(smallest_first.begin(), smallest_first.end(),
                   [&](std::size_t a, std::size_t b) { return shelf[a].mass < shelf[b].mass; });
  std::vector<Group> groups(shelf.size() + 1);
  std::vector<Item> mixing;
  for (const Item& item : items) {
    if (item.may_mix) {
      mixing.push_back(item);
      continue;
    }
    const std::string& piece = id_of(question_.pieces[item.piece]);
    Group* of = &groups.back();
    for (const std::size_t lot : smallest_first) {
      if (!does(shelf[lot], item) || is_surely_too_much(yarn, groups[lot], item, one, shelf[lot])) {
        continue;
      }
      Group fuller = groups[lot];
      fuller.add(item, piece);
      const double beyond_g = fuller.beyond_m * grams(yarn).grams_per_metre;
      if (need(fuller, grams(yarn)).quantile(one.enough) + beyond_g > in_grams(shelf[lot].mass)) {
        continue;
      }
      of = &groups[lot];
      break;
    }
    of->add(item, piece);
  }
  items = std::move(mixing);
  return groups;
}

/// What the lots leave for what may be of several of them, g.
double Shopping::mixed_from_lots(std::size_t yarn, const std::vector<Group>& lots,
                                 const Group& mixed, Purchase& one) const {
  if (mixed.parts.empty()) return 0.0;
  double left_g = 0.0;
  for (std::size_t i = 0; i < one.lots.size(); ++i) {
    const double taken_g = lots[i].parts.empty()
                               ? 0.0
                               : need(lots[i], grams(yarn)).quantile(one.enough) +
                                     lots[i].beyond_m * grams(yarn).grams_per_metre;
    const double there_g = std::max(0.0, one.lots[i].holds_g - taken_g);
    if (there_g <= 0.0) continue;
    left_g += there_g;
    one.lots[i].places.insert(one.lots[i].places.end(), mixed.places.begin(), mixed.places.end());
    one.lots[i].chance_short.reset();
  }
  return left_g;
}

void Shopping::plan_lots(std::size_t yarn, const std::vector<Group>& lots, Purchase& one) const {
  const auto stock = question_.shelf.find(one.yarn);
  if (stock == question_.shelf.end()) return;
  for (std::size_t i = 0; i < stock->second.each.size(); ++i) {
    const estimate::StockLot& lot = stock->second.each[i];
    LotPlan plan{lot.lot, in_grams(lot.mass), lots[i].places, in_grams(lot.mass), std::nullopt};
    if (!lots[i].parts.empty()) {
      const ShiftedLognormal amount = need(lots[i], grams(yarn));
      const double there_g = plan.holds_g - lots[i].beyond_m * grams(yarn).grams_per_metre;
      plan.likely_left_g = there_g - amount.at_score(0.0);
      plan.chance_short = 1.0 - amount.cdf(there_g);
    }
    one.lots.push_back(std::move(plan));
  }
}

/// Whole put-ups of the one size there is, or of the sizes that come cheapest, and their cost.
///
/// @returns what they hold, g or m
double Shopping::choose_put_ups(Purchase& one) const {
  std::vector<PutUpSize> sizes = {{*one.put_up, one.price}};
  if (question_.sizes != nullptr && question_.sizes->count(one.yarn) > 0) {
    sizes = question_.sizes->at(one.yarn);
  }
  const double of_one_size = std::ceil(one.to_buy / *one.put_up - kHair);
  require_range("put-ups of one yarn", of_one_size, 0.0, 1e9, "a shopping list");
  std::vector<int> counts = {static_cast<int>(of_one_size)};
  if (sizes.size() > 1) counts = cheapest_put_ups(one.to_buy, sizes);
  double there = 0.0;
  one.put_ups = 0;
  for (std::size_t i = 0; i < sizes.size(); ++i) {
    if (counts[i] == 0) continue;
    one.sizes.push_back({sizes[i].holds, counts[i]});
    *one.put_ups += counts[i];
    there += counts[i] * sizes[i].holds;
    if (sizes[i].price) {
      one.cost = one.cost.value_or(Money()) + sizes[i].price->times(std::int64_t{counts[i]});
    }
  }
  return there;
}

/// What is sold by weight or length, at its price.
std::optional<Money> Shopping::cost_of_loose(std::size_t yarn, const Purchase& one) const {
  const yarn::Yarn& its = *all_.yarns[yarn].yarn;
  const yarn::PutUp* const by = priced_amount(its, question_.priced_by);
  const auto price = question_.prices.find(its.id);
  if (by == nullptr || price == question_.prices.end()) return std::nullopt;
  return price->second.times(put_ups_in(*by, one.to_buy, one.to_buy));
}

/// @param from_lots_g  what the shelf gives of it
void Shopping::buy(std::size_t yarn, const Group& bought, double from_lots_g, Purchase& one) const {
  one.bought_for = bought.places;
  one.put_ups = 0;
  if (bought.parts.empty()) return;
  const double metre_g = grams(yarn).grams_per_metre;
  const estimate::Sum::Yarn measure =
      one.is_mass ? grams(yarn) : estimate::Sum::Yarn{1.0, grams(yarn).lot, 0.0};
  const double unit = one.is_mass ? metre_g : 1.0;
  const ShiftedLognormal amount = need(bought, measure);
  const double sure = bought.beyond_m * unit - from_lots_g * unit / metre_g;
  one.to_buy = std::max(0.0, amount.quantile(one.enough) + sure);
  if (one.to_buy <= 0.0) one.bought_for.clear();
  double there = one.to_buy;
  if (one.put_up) {
    there = choose_put_ups(one);
  } else if (one.to_buy > 0.0) {
    one.put_ups.reset();
    one.to_buy = std::ceil(one.to_buy - kHair);  // weighed out in whole grams or metres
    there = one.to_buy;
    one.cost = cost_of_loose(yarn, one);
  }
  one.chance_short = 1.0 - amount.cdf(there - sure);
  one.likely_left = there - sure - amount.at_score(0.0);
}

/// By what running out costs her, where that is known; otherwise as she has it.
double Shopping::enough_for(const Purchase& one) const {
  const BuyPolicy& policy = question_.policy;
  const double stated = policy.enough.value_or(question_.otherwise_enough);
  if (!policy.running_out || !one.price || policy.enough) return stated;
  const double price = one.price->approximately();
  // A chance beyond these is no statement about yarn.
  return std::clamp(critical_chance({policy.running_out->approximately(),
                                     price * (1.0 - policy.left_over_worth)}),
                    0.05, 0.9999);
}

void Shopping::state(std::size_t yarn, Purchase& one) const {
  const yarn::Yarn& its = *all_.yarns[yarn].yarn;
  one.yarn = its.id;
  for (const Taker& taker : takers_of_[yarn]) {
    one.used_in.push_back(id_of(question_.pieces[taker.piece]));
  }
  if (its.put_up) {
    one.is_mass = its.put_up->net_mass.has_value();
    one.put_up = one.is_mass ? in_grams(*its.put_up->net_mass) : in_metres(*its.put_up->length);
    const auto price = question_.prices.find(its.id);
    if (price != question_.prices.end()) one.price = price->second;
  } else if (const yarn::PutUp* const by = priced_amount(its, question_.priced_by)) {
    one.is_mass = by->net_mass.has_value();
  }
  one.enough = enough_for(one);
  one.by_cost = question_.policy.running_out && one.price && !question_.policy.enough;
  one.need_g = estimate::Sum(all_.parts, {parts_of_[yarn].begin(), parts_of_[yarn].end()})
                   .mass_points_g(grams(yarn));
}

Purchase Shopping::purchase_of(std::size_t yarn) const {
  Purchase one;
  state(yarn, one);
  std::vector<Item> items = items_of(yarn);
  std::vector<Group> groups = fill_lots(yarn, items, one);
  plan_lots(yarn, groups, one);
  Group mixed;
  for (const Item& item : items) mixed.add(item, id_of(question_.pieces[item.piece]));
  const double from_lots_g = mixed_from_lots(yarn, groups, mixed, one);
  Group bought = groups.back();
  bought.parts.insert(bought.parts.end(), mixed.parts.begin(), mixed.parts.end());
  bought.places.insert(bought.places.end(), mixed.places.begin(), mixed.places.end());
  bought.beyond_m += mixed.beyond_m;
  buy(yarn, bought, from_lots_g, one);
  if (one.price && !one.cost) one.cost = Money();
  return one;
}

ShoppingList Shopping::list() const {
  ShoppingList list;
  for (const estimate::Estimated& piece : question_.pieces) {
    list.pieces.push_back(id_of(piece));
    for (const estimate::Lent& lent : piece.estimate->lent) {
      const auto stock = question_.shelf.find(lent.yarn);
      list.lent.push_back({id_of(piece), lent,
                           stock == question_.shelf.end() ? 0.0 : in_grams(stock->second.mass)});
    }
  }
  for (std::size_t y = 0; y < all_.yarns.size(); ++y) {
    list.yarns.push_back(purchase_of(y));
    const Purchase& one = list.yarns.back();
    const bool is_bought = !one.put_ups || *one.put_ups > 0;
    list.put_ups += one.put_ups.value_or(0);
    if (one.cost) list.cost += *one.cost;
    if (is_bought && !one.cost) list.without_price.push_back(one.yarn);
  }
  return list;
}

}  // namespace

ShoppingList shopping_list(const BuyQuestion& question) {
  if (question.pieces.empty()) throw OutOfRange("a shopping list is for one piece or more");
  const double enough = question.policy.enough.value_or(question.otherwise_enough);
  require_range("the chance that what is bought suffices", enough, 0.5, 0.9999, "a shopping list");
  require_range("what a put-up left over is worth", question.policy.left_over_worth, 0.0, 1.0,
                "a shopping list");
  return Shopping(question).list();
}

}  // namespace ellwand::decide
