#include "print_kit.hpp"

#include "ellwand/decide/in_short.hpp"

#include <fmt/format.h>

#include <cmath>
#include <ostream>
#include <string>
#include <vector>

namespace ellwand::tools {

namespace {

using decide::KitLot;
using decide::Kits;
using decide::KitYarn;
using decide::PackedAs;

bool is_ball(const KitYarn& yarn) { return yarn.packed_as == PackedAs::Ball; }

/// What was rounded already, to the digits it has.
std::string plain(double value) { return fmt::format("{:.10g}", std::round(value * 1e3) / 1e3); }

std::string amount(double grams_or_metres, const KitYarn& yarn, const Shower& show) {
  if (is_ball(yarn)) return plain(show.mass(grams_or_metres)) + " " + show.mass_unit();
  return plain(show.yarn(grams_or_metres)) + " " + show.yarn_unit();
}

std::string likely(const KitYarn& yarn, const Shower& show) {
  return is_ball(yarn) ? show.range_text(yarn.need, show.mass(1.0)) + " " + show.mass_unit()
                       : show.range_text(yarn.need, show.yarn(1.0)) + " " + show.yarn_unit();
}

std::string to_the_gram(double grams, const Shower& show) {
  return show.mass_text(grams, Steps{1.0});
}

/// The yarns that bound how many kits there are.
std::vector<std::string> scarcest(const Kits& kits) {
  std::vector<std::string> ids;
  for (const KitYarn& yarn : kits.yarns) {
    if (yarn.from_shelf == kits.from_shelf) ids.push_back(yarn.yarn);
  }
  return ids;
}

std::string few_named(const std::vector<std::string>& ids) {
  return ids.size() > 3 ? counted(static_cast<int>(ids.size()), "yarn", "yarns") : listed(ids);
}

/// What the shelf lacks for a single kit, or for the class.
std::string lack_sentence(const Kits& kits) {
  std::vector<std::string> missing;
  std::vector<std::string> little;
  std::vector<std::string> scattered;
  for (const KitYarn& yarn : kits.yarns) {
    if (yarn.from_shelf > 0) continue;
    const bool enough_in_all = !yarn.may_mix && yarn.on_shelf_g >= yarn.takes_g;
    (yarn.lots.empty() ? missing : enough_in_all ? scattered : little).push_back(yarn.yarn);
  }
  std::vector<std::string> all;
  if (!missing.empty()) {
    all.push_back(
        fmt::format("{} {} not on it", few_named(missing), missing.size() == 1 ? "is" : "are"));
  }
  if (!little.empty()) all.push_back(fmt::format("of {} there is too little", few_named(little)));
  if (!scattered.empty()) {
    all.push_back(fmt::format("of {} there is too little of any one lot", few_named(scattered)));
  }
  return fmt::format("{}", fmt::join(all, "; "));
}

std::string shelf_sentence(const Kits& kits) {
  if (kits.from_shelf == 0) {
    return fmt::format("The shelf {}: {}.", kits.pupils > 0 ? "does not have it" : "makes none",
                       lack_sentence(kits));
  }
  if (kits.pupils > 0) return "The shelf has it.";
  return fmt::format("The shelf makes {}, bound by {}.", kits.from_shelf,
                     few_named(scarcest(kits)));
}

void print_answer(const Kits& kits, const decide::Currency& currency, std::ostream& out) {
  if (kits.pupils > 0) {
    out << fmt::format("{}, a class of {} that shares its yarn: {} such classes have enough.",
                       kits.name, kits.pupils, of_so_many(kits.finish));
  } else {
    out << fmt::format("{}, {}: {} buyers finish with what is packed.", kits.name,
                       counted(kits.kits, "kit", "kits"), of_so_many(kits.finish));
  }
  if (kits.cost) {
    out << fmt::format(" {} costs {}.", kits.pupils > 0 ? "Each pupil's share" : "A kit",
                       told(kits.cost->all, currency));
  }
  out << ' ' << shelf_sentence(kits) << "\n\n";
}

/// Of a yarn whose put-ups are not said, the grams.
std::string to_buy(const Kits& kits, const KitYarn& yarn, const Shower& show) {
  const int missing = (kits.pupils > 0 ? 1 : kits.kits) - yarn.from_shelf;
  if (missing <= 0) return "-";
  return yarn.put_ups ? std::to_string(*yarn.put_ups) : to_the_gram(missing * yarn.takes_g, show);
}

void print_yarns(const Kits& kits, const Shower& show, std::ostream& out) {
  const bool is_class = kits.pupils > 0;
  std::vector<std::string> heads = {"yarn", is_class ? "for all" : "in each",
                                    "one takes (9 times in 10)"};
  if (is_class) heads.push_back("packed singly");
  for (const char* head :
       {"on the shelf", is_class ? "does" : "makes", "put-ups to buy", "then left"}) {
    heads.push_back(head);
  }
  TextTable table(heads);
  for (const KitYarn& yarn : kits.yarns) {
    std::vector<std::string> cells = {yarn.yarn, amount(yarn.pack, yarn, show), likely(yarn, show)};
    if (is_class) {
      cells.push_back(fmt::format("{} x {}", kits.pupils, amount(yarn.singly, yarn, show)));
    }
    cells.push_back(yarn.lots.empty() ? "-" : to_the_gram(yarn.on_shelf_g, show));
    cells.push_back(is_class ? (yarn.from_shelf > 0 ? "yes" : "no")
                             : std::to_string(yarn.from_shelf));
    cells.push_back(to_buy(kits, yarn, show));
    cells.push_back(yarn.lots.empty() ? "-" : to_the_gram(decide::left_g(yarn), show));
    table.add(cells);
  }
  table.print(out);
}

/// What is left of the put-ups to buy, where it is a gram or more.
void print_left_of_bought(const Kits& kits, const Shower& show, std::ostream& out) {
  constexpr double kGram = 1.0;
  std::vector<std::string> parts;
  for (const KitYarn& yarn : kits.yarns) {
    if (yarn.left_of_bought_g < kGram) continue;
    parts.push_back(fmt::format("{} of {}", to_the_gram(yarn.left_of_bought_g, show), yarn.yarn));
  }
  if (parts.empty()) return;
  out << fmt::format("Left of the put-ups to buy: {}.\n", listed(parts));
}

/// Where kits are of several lots, which of which.
void print_lots(const Kits& kits, std::ostream& out) {
  for (const KitYarn& yarn : kits.yarns) {
    std::vector<std::string> parts;
    for (const KitLot& lot : yarn.lots) {
      if (lot.kits > 0) parts.push_back(fmt::format("{} of lot {}", lot.kits, lot.lot));
    }
    if (parts.size() > 1) {
      out << fmt::format("{}: {}; {}.\n", yarn.yarn, listed(parts),
                         yarn.may_mix ? "where a lot ends within a kit, the next one completes it"
                                      : "no kit has two lots of a colour");
    }
  }
}

void print_cost(const Kits& kits, const decide::Currency& currency, std::ostream& out) {
  if (!kits.cost) {
    out << fmt::format("\nWhat one costs is not told: {} {} no price or no put-up in yarns.csv.\n",
                       listed(kits.without_price), kits.without_price.size() == 1 ? "has" : "have");
    return;
  }
  TextTable table({kits.pupils > 0 ? "what each share costs" : "what a kit costs",
                   currency.code.empty() ? "amount" : currency.code});
  decide::Money shown;
  const auto add = [&](const std::string& what, const decide::Money& cost) {
    table.add({what, figures(cost, currency)});
    shown = shown + rounded(cost, currency);
  };
  for (const KitYarn& yarn : kits.yarns) {
    if (kits.pupils == 0) add(yarn.yarn, *yarn.cost);
  }
  if (kits.pupils > 0) add("yarn", kits.cost->yarn);
  for (const decide::Consumable& one : kits.besides) add(one.what, one.cost);
  if (kits.cost->labour > decide::Money()) {
    add(fmt::format("packing, {:g} min", kits.minutes), kits.cost->labour);
  }
  const decide::Money rest = rounded(kits.cost->all, currency) - shown;
  if (rest != decide::Money()) table.add({"rounding", figures(rest, currency)});
  table.add({"= together", figures(kits.cost->all, currency)});
  out << '\n';
  table.print(out);
}

void print_basis(const Kits& kits, std::ostream& out) {
  const decide::Buyers& buyers = kits.buyers;
  std::string from = "a starting value; write beginners_spread in [kit] when kits have come back";
  if (buyers.basis == decide::Buyers::Basis::Calibration) from = "as your own weavers differ";
  if (buyers.basis == decide::Buyers::Basis::Stated) {
    from = buyers.met > 0 ? fmt::format("seen of {}, and more is packed for their being so few",
                                        counted(buyers.met, "beginner", "beginners"))
                          : "as [kit] says";
  }
  out << fmt::format("One beginner lays {:.2g} % more or less than another ({}).\n",
                     100.0 * buyers.spread, from);
  if (kits.sure) {
    out << fmt::format("Packed so that you may be {:g} % sure of it.\n", 100.0 * *kits.sure);
  }
}

void print_tried(const Kits& kits, std::ostream& out) {
  if (kits.tried.drawn == 0) return;
  out << fmt::format("\nTried on {} {} drawn by chance, row by row: {:.1f} of 100 {}.\n",
                     kits.tried.drawn, kits.pupils > 0 ? "classes" : "beginners",
                     100.0 * kits.tried.share(), kits.pupils > 0 ? "have enough" : "finish");
}

void print_packing_list(const Kits& kits, const Shower& show, std::ostream& out) {
  out << fmt::format("\nPacking list, {}\n", kits.pupils > 0 ? "for the class" : "each kit");
  for (const KitYarn& yarn : kits.yarns) {
    const std::string what = amount(yarn.pack, yarn, show);
    out << fmt::format("  [ ] {}: {}{}\n", yarn.yarn,
                       kits.pupils == 0 && is_ball(yarn) ? "a ball of " : "", what);
    for (const estimate::Cut& cut : kits.cuts) {
      const bool is_cut_of_it =
          cut.yarn == yarn.yarn && cut.leave == estimate::Leave::No && cut.what != "warp";
      if (!is_cut_of_it) continue;
      out << fmt::format("      of it {} x {} of {} to cut for {}{}\n", cut.count + cut.spare,
                         show.size_text(cut.length), cut.yarn, cut.what,
                         kits.pupils > 0 ? ", each" : "");
    }
  }
  for (const decide::Consumable& one : kits.besides) out << fmt::format("  [ ] {}\n", one.what);
  constexpr Steps kMetre{1.0};
  for (const estimate::Lent& lent : kits.lent) {
    out << fmt::format("  [ ] {}: {} lent for band {}, which comes out again; not in the cost\n",
                       lent.yarn, show.enough_yarn_text(lent.length_m.high, kMetre), lent.band);
  }
}

}  // namespace

std::string of_so_many(double share) {
  for (const int all : {20, 100, 1000}) {
    const double those = all * share;
    if (std::abs(those - std::round(those)) < 1e-6) return fmt::format("{:.0f} of {}", those, all);
  }
  return fmt::format("{:.4g} of 10000", 1e4 * share);
}

void print_kits(const Kits& kits, const decide::Currency& currency, const Shower& show,
                std::ostream& out) {
  print_answer(kits, currency, out);
  print_yarns(kits, show, out);
  out << '\n';
  print_left_of_bought(kits, show, out);
  print_lots(kits, out);
  print_basis(kits, out);
  print_tried(kits, out);
  print_cost(kits, currency, out);
  print_packing_list(kits, show, out);
}

}  // namespace ellwand::tools
