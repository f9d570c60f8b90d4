#include "print_buy.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <ostream>
#include <string>
#include <vector>

namespace ellwand::tools {

namespace {

using decide::LotPlan;
using decide::Purchase;
using decide::ShoppingList;
using decide::WovenPlace;

bool is_bought(const Purchase& yarn) { return !yarn.put_ups || *yarn.put_ups > 0; }

/// "saltmarsh (bands 3 and 7), tideline (its warp)".
std::string told(const std::vector<WovenPlace>& places) {
  std::vector<std::string> pieces;
  for (const WovenPlace& place : places) {
    if (std::find(pieces.begin(), pieces.end(), place.piece) == pieces.end()) {
      pieces.push_back(place.piece);
    }
  }
  std::vector<std::string> all;
  for (const std::string& piece : pieces) {
    std::vector<int> bands;
    for (const WovenPlace& place : places) {
      if (place.piece == piece) bands.push_back(place.band);
    }
    std::sort(bands.begin(), bands.end());
    bands.erase(std::unique(bands.begin(), bands.end()), bands.end());  // of a piece named twice
    std::vector<std::string> words;
    for (const int band : bands) words.push_back(band > 0 ? std::to_string(band) : "0");
    const bool is_warp = bands.front() == 0;
    if (is_warp) words.erase(words.begin());
    const std::string these =
        words.empty() ? "" : fmt::format("band{} {}", words.size() == 1 ? "" : "s", listed(words));
    all.push_back(fmt::format("{} ({}{}{})", piece, is_warp ? "warp or cord" : "",
                              is_warp && !these.empty() ? ", " : "", these));
  }
  return listed(all);
}

/// "100.0 g", or "1 of 50.0 g and 2 of 200.0 g".
std::string put_up_text(const Purchase& yarn, const Shower& show) {
  if (!yarn.put_up) return yarn.is_mass ? "by weight" : "by length";
  const auto holds = [&](double amount) {
    return yarn.is_mass ? show.mass_text(amount, Steps{0.1}) : show.yarn_text(amount, Steps{0.1});
  };
  if (yarn.sizes.empty()) return holds(*yarn.put_up);
  if (yarn.sizes.size() == 1) return holds(yarn.sizes.front().holds);
  std::vector<std::string> each;
  for (const decide::BoughtSize& size : yarn.sizes) {
    each.push_back(fmt::format("{} of {}", size.put_ups, holds(size.holds)));
  }
  return listed(each);
}

std::string amount_text(double amount, const Purchase& yarn, const Shower& show) {
  return yarn.is_mass ? show.enough_mass_text(amount, Steps{1.0})
                      : show.enough_yarn_text(amount, Steps{1.0});
}

/// A piece that is named several times once, with its number: "2 of saltmarsh".
std::vector<std::string> with_counts(const std::vector<std::string>& pieces) {
  std::vector<std::string> all;
  for (auto one = pieces.begin(); one != pieces.end(); ++one) {
    if (std::find(pieces.begin(), one, *one) != one) continue;
    const auto count = std::count(one, pieces.end(), *one);
    all.push_back(count > 1 ? fmt::format("{} of {}", count, *one) : *one);
  }
  return all;
}

void print_answer(const ShoppingList& list, const decide::Currency& currency, const Shower& show,
                  std::ostream& out) {
  std::vector<std::string> loose;
  int in_put_ups = 0;
  for (const Purchase& yarn : list.yarns) {
    if (!yarn.put_ups) loose.push_back(amount_text(yarn.to_buy, yarn, show) + " of " + yarn.yarn);
    if (yarn.put_ups && *yarn.put_ups > 0) ++in_put_ups;
  }
  const std::string pieces = list.pieces.size() > 4
                                 ? fmt::format("these {} pieces", list.pieces.size())
                                 : listed(with_counts(list.pieces));
  if (in_put_ups == 0 && loose.empty()) {
    out << fmt::format("For {} there is nothing to buy: the shelf has it all.\n", pieces);
    return;
  }
  std::vector<std::string> to_buy;
  if (in_put_ups > 0) {
    to_buy.push_back(fmt::format("{} put-up{} of {} yarn{}", list.put_ups,
                                 list.put_ups == 1 ? "" : "s", in_put_ups,
                                 in_put_ups == 1 ? "" : "s"));
  }
  if (loose.size() > 3) loose = {fmt::format("{} yarns by weight or length", loose.size())};
  to_buy.insert(to_buy.end(), loose.begin(), loose.end());
  out << fmt::format("For {} buy {}", pieces, listed(to_buy));
  if (list.cost > decide::Money()) out << ", " << told(list.cost, currency) << " together";
  out << ". All of a yarn at once, and of one dye lot.\n\n";
}

void print_purchases(const ShoppingList& list, const decide::Currency& currency, const Shower& show,
                     std::ostream& out) {
  TextTable table({"to buy", "put-ups", "of", "needs at most", "runs short", "likely left",
                   currency.code.empty() ? "cost" : currency.code, "for"},
                  {7});
  for (const Purchase& yarn : list.yarns) {
    if (!is_bought(yarn)) continue;
    const std::string left = yarn.is_mass ? show.mass_text(yarn.likely_left, Steps{1.0})
                                          : show.yarn_text(yarn.likely_left, Steps{1.0});
    table.add({yarn.yarn, yarn.put_ups ? std::to_string(*yarn.put_ups) : "-",
               put_up_text(yarn, show), amount_text(yarn.to_buy, yarn, show),
               one_in(yarn.chance_short), left, yarn.cost ? figures(*yarn.cost, currency) : "?",
               told(yarn.bought_for)});
  }
  if (!table.empty()) table.print(out);
}

void print_shelf(const ShoppingList& list, const Shower& show, std::ostream& out) {
  TextTable table({"from the shelf", "lot", "holds", "runs short", "likely left", "for"}, {1, 5});
  for (const Purchase& yarn : list.yarns) {
    for (const LotPlan& lot : yarn.lots) {
      table.add({yarn.yarn, lot.lot.empty() ? "-" : lot.lot,
                 show.mass_text(lot.holds_g, Steps{1.0}),
                 lot.chance_short ? one_in(*lot.chance_short) : "-",
                 show.mass_text(lot.likely_left_g, Steps{1.0}),
                 lot.places.empty() ? "nothing here" : told(lot.places)});
    }
  }
  if (table.empty()) return;
  out << '\n';
  table.print(out);
}

/// What comes out again is not bought for a piece, but it has to be there.
void print_lent(const ShoppingList& list, const Shower& show, std::ostream& out) {
  for (const decide::LentFor& one : list.lent) {
    std::string shelf;
    if (one.on_shelf_g < one.enough_g()) {
      shelf = one.on_shelf_g > 0.0
                  ? fmt::format("; the shelf has {} of it",
                                show.mass_text(one.on_shelf_g, 0.1 * one.enough_g()))
                  : "; the shelf has none of it";
    }
    out << fmt::format("Not on the list: {} of {} for band {} of {}, which comes out again{}.\n",
                       show.enough_yarn_text(one.lent.length_m.high, Steps{1.0}), one.lent.yarn,
                       one.lent.band, one.piece, shelf);
  }
}

/// By one chance for all, where no cost was weighed for any yarn that is bought.
void print_chance(const ShoppingList& list, std::ostream& out) {
  // What a cost was weighed against is no chance of what is there.
  const auto plain = std::find_if(list.yarns.begin(), list.yarns.end(),
                                  [](const Purchase& yarn) { return !yarn.by_cost; });
  if (plain == list.yarns.end()) {
    out << "Of no yarn is one more worth its price, against what running out costs you.\n";
    return;
  }
  out << fmt::format("What is bought, and what each lot is for, suffices {:g} times of 100.",
                     100.0 * plain->enough);
  const bool is_weighed = std::any_of(list.yarns.begin(), list.yarns.end(),
                                      [](const Purchase& yarn) { return yarn.by_cost; });
  out << (is_weighed ? "\n"
                     : " With running_out in [buy], what it costs you when a lot is gone, one "
                       "more is bought where it is worth it.\n");
}

/// Why so much and not one more.
void print_margin(const ShoppingList& list, std::ostream& out) {
  const auto is_bought_by_cost = [](const Purchase& yarn) {
    return is_bought(yarn) && yarn.by_cost;
  };
  out << '\n';
  if (std::none_of(list.yarns.begin(), list.yarns.end(), is_bought_by_cost)) {
    print_chance(list, out);
  }
  for (const Purchase& yarn : list.yarns) {
    if (!is_bought_by_cost(yarn)) continue;
    out << fmt::format(
        "{}: bought up to where one more would be needed {} or less often; then its price is "
        "dearer than running out.\n",
        yarn.yarn, one_in(1.0 - yarn.enough));
  }
}

}  // namespace

void print_shopping_list(const ShoppingList& list, const decide::Currency& currency,
                         const Shower& show, std::ostream& out) {
  print_answer(list, currency, show, out);
  print_purchases(list, currency, show, out);
  print_shelf(list, show, out);
  print_margin(list, out);
  print_lent(list, show, out);
  if (!list.without_price.empty()) {
    out << fmt::format("Not in the sum, for want of a price in yarns.csv: {}.\n",
                       listed(list.without_price));
  }
}

}  // namespace ellwand::tools
