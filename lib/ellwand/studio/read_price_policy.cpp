#include "ellwand/studio/read_price_policy.hpp"

#include "ellwand/studio/read_money.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

namespace ellwand::studio {

namespace {

using decide::Money;

/// Minutes a row, a turn, or besides: two weeks by day and night.
constexpr double kMostMinutesEach = 20'000.0;
constexpr const char* kDearestHour = "100000";

std::optional<Money> money_above_nothing(Section& section, const std::string& key) {
  const auto amount = money(section, key);
  if (!amount || *amount > Money()) return amount;
  section.complain(key, "0 is nothing; write an amount above it, or leave the key out");
  return std::nullopt;
}

std::optional<Money> hourly_rate(Section& section) {
  const auto rate = money_above_nothing(section, "hourly_rate");
  if (!rate || *rate <= decide::read_money(kDearestHour)) return rate;
  section.complain("hourly_rate", fmt::format("an hour costs at most {}", kDearestHour));
  return std::nullopt;
}

void read_put_on(Section& section, decide::PricePolicy& policy) {
  policy.margin = section.fraction("margin", "0 %", "90 %");
  policy.markup = section.fraction("markup", "0 %", "2000 %");
  policy.fees = section.fraction("fees", "0 %", "50 %").value_or(0.0);
  if (section.has("margin") && section.has("markup")) {
    section.complain("markup",
                     "margin is given as well; keep one of them: a margin is a share of the price, "
                     "a markup a share of the cost");
  }
  if (policy.margin.value_or(0.0) + policy.fees <= decide::kMostOfPrice) return;
  section.complain("fees",
                   "with the margin they leave less than 5 % of the price for the cost; "
                   "lower one of them");
}

void read_round_to(Section& section, const decide::Currency& currency,
                   decide::PricePolicy& policy) {
  const auto step = money_above_nothing(section, "round_to");
  if (!step) return;
  const Money least = currency.smallest();
  if (step->millionths() % least.millionths() == 0) {
    policy.round_to = step;
    return;
  }
  section.complain("round_to", fmt::format("no coin makes that up: {} has steps of {}; write a "
                                           "multiple of it",
                                           currency.code.empty() ? "the currency" : currency.code,
                                           figures(least, currency)));
}

void read_learning(Section& section, decide::PricePolicy& policy) {
  policy.learning.rate = section.fraction("learning", "51 %", "100 %").value_or(1.0);
  const auto model = section.choice("learning_model", {"unit", "cumulative average"});
  if (model) policy.learning.model = static_cast<decide::LearningModel>(*model);
}

void read_minutes(Section& section, decide::PricePolicy& policy) {
  auto table = section.table("minutes", "[price.minutes]");
  if (!table) return;
  for (const std::string& work : decide::works_with_minutes()) {
    if (const auto minutes = table->number(work, 0.0, kMostMinutesEach))
      policy.minutes[work] = *minutes;
  }
  table->warn_of_unknown_keys();
}

}  // namespace

decide::PricePolicy read_price_policy(Section& file, const decide::Currency& currency) {
  decide::PricePolicy policy;
  auto section = file.table("price", "[price]");
  if (!section) return policy;
  policy.hourly_rate = hourly_rate(*section);
  policy.overhead = section->fraction("overhead", "0 %", "1000 %").value_or(0.0);
  read_put_on(*section, policy);
  policy.wholesale = section->fraction("wholesale", "1 %", "100 %");
  policy.deposit = section->fraction("deposit", "0 %", "100 %");
  read_round_to(*section, currency, policy);
  read_learning(*section, policy);
  const auto by = section->choice("yarn_by", {"use", "put-up"});
  if (by) policy.yarn_by = static_cast<decide::YarnBy>(*by);
  policy.consumables = read_consumables(*section, "consumables", "[price.consumables]");
  read_minutes(*section, policy);
  section->warn_of_unknown_keys();
  return policy;
}

}  // namespace ellwand::studio
