#include "print_price.hpp"

#include "ellwand/decide/in_short.hpp"
#include "ellwand/studio/price_json.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <ostream>
#include <vector>

namespace ellwand::tools {

const char* const kTaxSentence =
    "Tax is not in these figures: whether it is due, and how much, is for the rules where it is "
    "sold and for whoever is licensed to advise on them.\n";

namespace {

using decide::Labour;
using decide::Money;
using decide::Priced;
using decide::Pricing;

std::string percent(double share) { return fmt::format("{:g} %", 100.0 * share); }

std::string hours(double minutes) {
  const long whole = std::lround(minutes);
  return whole < 60 ? fmt::format("{} min", whole)
                    : fmt::format("{} h {:02} min", whole / 60, whole % 60);
}

/// "band 3, weave".
std::string place_of(int band, const std::string& work) {
  return band > 0                   ? fmt::format("band {}, {}", band, work)
         : work == decide::kBesides ? "warping, sewing in, finishing"
                                    : work;
}

/// The lines of a cost as they are printed.
class CostTable {
 public:
  explicit CostTable(const decide::Currency& currency)
      : currency_(currency),
        table_({"what each costs", currency.code.empty() ? "amount" : currency.code}) {}

  void add(const std::string& what, const Money& amount) {
    table_.add({what, figures(amount, currency_)});
  }
  void print(std::ostream& out) const { table_.print(out); }

 private:
  const decide::Currency& currency_;
  TextTable table_;
};

/// "18 g", or "2 put-ups" of which a series may share.
std::string amount_of(const decide::YarnCost& one, const estimate::Spread& mass_g, int pieces,
                      const Shower& show) {
  if (one.put_ups == 0) {
    return show.mass_text(one.mean_g / pieces, 0.5 * (mass_g.high - mass_g.low));
  }
  return fmt::format("{} put-up{}{}", one.put_ups, one.put_ups == 1 ? "" : "s",
                     pieces > 1 ? " for all" : "");
}

void add_yarns(const Pricing& pricing, const Priced& priced, const Shower& show, CostTable& table) {
  const int pieces = priced.asked.pieces;
  Money waste;
  for (std::size_t y = 0; y < priced.yarns.size(); ++y) {
    const decide::YarnCost& one = priced.yarns[y];
    if (one.left_out) continue;
    const estimate::Spread& mass_g = pricing.question().estimate.yarns[y].mass_g;
    const Money each = one.cost.times(decide::Ratio{1, pieces});
    table.add(fmt::format("{}, {}", one.yarn, amount_of(one, mass_g, pieces, show)), each);
    if (one.put_ups == 0) waste += each.times(one.waste);
  }
  if (waste > Money()) table.add("  of this lost as waste", waste);
}

void add_labour(const Pricing& pricing, const Priced& priced, CostTable& table) {
  const decide::PriceQuestion& question = pricing.question();
  const int pieces = priced.asked.pieces;
  table.add(fmt::format("labour, {} at {}", hours(priced.asked.minutes),
                        figures(*question.policy.hourly_rate, question.currency)),
            priced.asked.labour);
  const std::vector<Money> costs = pricing.labour_told(pieces);
  for (std::size_t i = 0; i < costs.size(); ++i) {
    const Labour& line = question.labour[i];
    table.add(fmt::format("  {}: {}", place_of(line.band, line.work),
                          hours(line.minutes * pricing.time_factor(pieces))),
              costs[i]);
  }
  if (question.policy.overhead > 0.0) {
    table.add(fmt::format("overhead, {} of labour", percent(question.policy.overhead)),
              priced.asked.overhead);
  }
}

void print_cost(const Pricing& pricing, const Priced& priced, const Shower& show,
                std::ostream& out) {
  const decide::PricePolicy& policy = pricing.question().policy;
  CostTable table(pricing.question().currency);
  add_yarns(pricing, priced, show, table);
  for (const decide::Consumable& one : policy.consumables) table.add(one.what, one.cost);
  add_labour(pricing, priced, table);
  const Money rounding = decide::rounding_of(priced, pricing.question());
  if (rounding != Money()) table.add("rounding", rounding);
  table.add("= cost", priced.asked.cost);
  if (policy.fees > 0.0) {
    table.add(fmt::format("fees, {} of the price", percent(policy.fees)), priced.asked.fees);
  }
  const std::string meant = policy.margin
                                ? fmt::format("margin, {} of the price", percent(*policy.margin))
                                : fmt::format("markup, {} of the cost", percent(*policy.markup));
  table.add(meant + (policy.round_to ? ", and rounding up" : ""), priced.asked.left);
  table.add("= price", priced.asked.price);
  table.print(out);
}

/// Whether a piece is the same in each row: nothing is learned, and nothing shared.
bool are_alike(const std::vector<decide::SeriesPrice>& series) {
  return std::all_of(series.begin(), series.end(), [&](const decide::SeriesPrice& one) {
    return one.minutes == series.front().minutes && one.cost == series.front().cost &&
           one.price == series.front().price;
  });
}

/// A row of each number of pieces; of what was asked alone where all are alike.
void print_series(const Pricing& pricing, const Priced& priced, std::ostream& out) {
  const bool alike = are_alike(priced.beside);
  const decide::Currency& currency = pricing.question().currency;
  TextTable table({"pieces", "time each", "cost each", "price each", "all"});
  for (const decide::SeriesPrice& one : priced.beside) {
    if (alike && one.pieces != priced.asked.pieces) continue;
    table.add({std::to_string(one.pieces), hours(one.minutes), figures(one.cost, currency),
               figures(one.price, currency),
               figures(one.price.times(std::int64_t{one.pieces}), currency)});
  }
  out << '\n';
  table.print(out);
}

/// What the cost is unsure from: a yarn, or the minutes of one work in whatever bands.
struct CostCause {
  std::string yarn;
  std::string work;
  std::vector<int> bands;
  double share = 0.0;
};

/// Bands of one work together, the largest share first.
std::vector<CostCause> causes_of(const decide::CostDoubt& doubt) {
  std::vector<CostCause> all;
  for (const decide::Driver& driver : doubt.drivers) {
    auto same = std::find_if(all.begin(), all.end(), [&](const CostCause& one) {
      return one.yarn == driver.yarn && one.work == driver.work;
    });
    if (same == all.end())
      same = all.insert(all.end(), CostCause{driver.yarn, driver.work, {}, 0.0});
    same->bands.push_back(driver.band);
    same->share += driver.share;
  }
  std::stable_sort(all.begin(), all.end(),
                   [](const CostCause& a, const CostCause& b) { return a.share > b.share; });
  return all;
}

std::string cause_text(const CostCause& cause) {
  if (!cause.yarn.empty()) return "how much " + cause.yarn + " it takes";
  if (cause.bands.size() == 1) return "minutes of " + place_of(cause.bands.front(), cause.work);
  std::vector<int> rising = cause.bands;
  std::sort(rising.begin(), rising.end());
  std::vector<std::string> numbers;
  for (const int band : rising) numbers.push_back(std::to_string(band));
  return fmt::format("minutes of bands {}, {}", listed(numbers), cause.work);
}

/// The first causes that make up most of the doubt, three at most.
std::string causes(const decide::CostDoubt& doubt) {
  std::vector<std::string> told;
  double sum = 0.0;
  for (const CostCause& cause : causes_of(doubt)) {
    if (told.size() == 3 || sum > 0.9 || cause.share < 0.01) break;
    sum += cause.share;
    told.push_back(fmt::format("{} ({:.0f} %)", cause_text(cause), 100.0 * cause.share));
  }
  return listed(told);
}

void print_doubt(const Pricing& pricing, const Priced& priced, std::ostream& out) {
  const decide::Currency& currency = pricing.question().currency;
  if (priced.doubt.each.standard_deviation() <= 0.0) {
    out << "\nNothing of the cost is unsure.\n";
    return;
  }
  const numeric::Range range = numeric::range_of(priced.doubt.each);
  out << fmt::format(
      "\n9 times in 10 the cost lies between {} and {}, and a price reckoned from it "
      "between {} and {}.\n",
      figures(Money::near(range.low), currency), told(Money::near(range.high), currency),
      figures(priced.low, currency), told(priced.high, currency));
  const std::string most = causes(priced.doubt);
  if (!most.empty()) out << "Most of that is from " << most << ".\n";
}

/// What a shop or a deposit comes to.
void print_shares(const Pricing& pricing, const Priced& priced, std::ostream& out) {
  const decide::PriceQuestion& question = pricing.question();
  const decide::Currency& currency = question.currency;
  if (priced.asked.wholesale) {
    const Money left = *priced.asked.wholesale - priced.asked.cost;
    const bool is_short = left < Money();
    out << fmt::format(
        "A shop pays {}, {} of the price: {} {} than it costs. A price of {} would leave the {} "
        "there too.\n",
        told(*priced.asked.wholesale, currency), percent(*question.policy.wholesale),
        figures(is_short ? -left : left, currency), is_short ? "less" : "more",
        told(*priced.price_with_shops, currency), question.policy.margin ? "margin" : "markup");
  }
  if (priced.asked.deposit) {
    out << fmt::format("Deposit: {}, {} of the price{}.\n", told(*priced.asked.deposit, currency),
                       percent(*question.policy.deposit), priced.asked.pieces > 1 ? " of all" : "");
  }
}

/// Which minutes are not hers.
void print_basis(const Pricing& pricing, std::ostream& out) {
  std::vector<std::string> works;
  for (const Labour& line : pricing.question().labour) {
    if (line.basis != decide::Basis::Starting) continue;
    if (std::find(works.begin(), works.end(), line.work) == works.end()) works.push_back(line.work);
  }
  if (works.empty()) return;
  out << fmt::format(
      "Minutes of {} are starting values; record yours with 'ellwand record STUDIO "
      "minutes', or state them in [price.minutes] of studio.toml.\n",
      listed(works));
}

}  // namespace

std::string left_out_sentence(const Priced& priced) {
  std::vector<std::string> ids;
  for (const decide::YarnCost& one : priced.yarns) {
    if (one.left_out) ids.push_back(one.yarn);
  }
  if (ids.empty()) return {};
  return fmt::format(
      "Not in the materials: {}, without a price; write in the price column of yarns.csv what {} "
      "by weight or length, such as 9.00 per 100 g.",
      listed(ids), ids.size() == 1 ? "it costs" : "they cost");
}

void print_price(const Pricing& pricing, const Priced& priced, const Shower& show,
                 std::ostream& out) {
  const decide::PriceQuestion& question = pricing.question();
  const decide::Currency& currency = question.currency;
  const std::string many =
      priced.asked.pieces > 1 ? fmt::format(", each of {}", priced.asked.pieces) : "";
  out << fmt::format(
      "{}: {}{}. It costs {} on average; {} and more covers the cost {:g} times in "
      "100.\n\n",
      question.estimate.name, told(priced.asked.price, currency), many,
      told(priced.asked.cost, currency), told(priced.floor, currency), 100.0 * priced.confidence);
  const std::string left_out = left_out_sentence(priced);
  if (!left_out.empty()) out << left_out << "\n\n";
  print_cost(pricing, priced, show, out);
  print_series(pricing, priced, out);
  print_doubt(pricing, priced, out);
  if (question.policy.yarn_by == decide::YarnBy::PutUp) {
    out << "Yarn is charged by whole put-ups; what is left of them is yours.\n";
  }
  print_shares(pricing, priced, out);
  print_basis(pricing, out);
  out << kTaxSentence;
}

}  // namespace ellwand::tools
