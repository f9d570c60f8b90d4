#include "ellwand/studio/price_json.hpp"

#include "ellwand/decide/in_short.hpp"
#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/json_parts.hpp"
#include "ellwand/studio/told_money.hpp"

#include <nlohmann/json.hpp>

#include <cmath>
#include <optional>

namespace ellwand::studio {

namespace {

using nlohmann::ordered_json;

ordered_json to_json(const decide::SeriesPrice& each, const MoneyTeller& told) {
  return {{"pieces", each.pieces},
          {"minutes", each.minutes},
          {"yarn", told(each.yarn)},
          {"consumables", told(each.consumables)},
          {"labour", told(each.labour)},
          {"overhead", told(each.overhead)},
          {"cost", told(each.cost)},
          {"fees", told(each.fees)},
          {"left", told(each.left)},
          {"price", told(each.price)},
          {"wholesale", or_null<ordered_json>(told(each.wholesale))},
          {"deposit_for_all", or_null<ordered_json>(told(each.deposit))},
          {"all_pieces", told(each.price.times(std::int64_t{each.pieces}))}};
}

ordered_json to_json(const decide::YarnCost& yarn, int pieces, const MoneyTeller& told) {
  ordered_json json = {{"yarn", yarn.yarn},
                       {"cost", told(yarn.cost)},
                       {"cost_each", told(yarn.cost.times(decide::Ratio{1, pieces}))},
                       {"mean_m", yarn.mean_m},
                       {"mean_g", yarn.mean_g},
                       {"waste_share", yarn.waste}};
  json["put_ups"] = yarn.put_ups > 0 ? ordered_json(yarn.put_ups) : ordered_json(nullptr);
  return json;
}

ordered_json to_json(const decide::Driver& driver) {
  const bool is_yarn = !driver.yarn.empty();
  return {{"yarn", is_yarn ? ordered_json(driver.yarn) : ordered_json(nullptr)},
          {"band", is_yarn ? ordered_json(nullptr) : ordered_json(driver.band)},
          {"work", is_yarn ? ordered_json(nullptr) : ordered_json(driver.work)},
          {"share", driver.share}};
}

ordered_json labour_json(const decide::Pricing& pricing, int pieces, const MoneyTeller& told) {
  ordered_json all = ordered_json::array();
  const std::vector<decide::Money> costs = pricing.labour_told(pieces);
  for (std::size_t i = 0; i < costs.size(); ++i) {
    const decide::Labour& line = pricing.question().labour[i];
    all.push_back({{"band", line.band},
                   {"work", line.work},
                   {"minutes", line.minutes * pricing.time_factor(pieces)},
                   {"basis", name_of(line.basis)},
                   {"log_sd", std::sqrt(decide::log_covariance(line, line))},
                   {"cost", told(costs[i])}});
  }
  return all;
}

ordered_json policy_json(const decide::PricePolicy& policy, const MoneyTeller& told) {
  return {{"hourly_rate", or_null<ordered_json>(told(policy.hourly_rate))},
          {"overhead", policy.overhead},
          {"margin", or_null<ordered_json>(policy.margin)},
          {"markup", or_null<ordered_json>(policy.markup)},
          {"fees", policy.fees},
          {"learning", policy.learning.rate},
          {"yarn_by", policy.yarn_by == decide::YarnBy::PutUp ? "put-up" : "use"}};
}

}  // namespace

const char* name_of(decide::Basis basis) {
  switch (basis) {
    case decide::Basis::Given:
      return "given";
    case decide::Basis::Log:
      return "log";
    case decide::Basis::Stated:
      return "stated";
    case decide::Basis::Starting:
      return "starting value";
  }
  return "";
}

std::string price_json(const decide::Pricing& pricing, const decide::Priced& priced) {
  const decide::PriceQuestion& question = pricing.question();
  const MoneyTeller told{question.currency};
  ordered_json yarns = ordered_json::array();
  ordered_json left_out = ordered_json::array();
  for (const decide::YarnCost& yarn : priced.yarns) {
    if (yarn.left_out) {
      left_out.push_back(yarn.yarn);
      continue;
    }
    yarns.push_back(to_json(yarn, priced.asked.pieces, told));
  }
  ordered_json consumables = ordered_json::array();
  for (const decide::Consumable& one : question.policy.consumables) {
    consumables.push_back({{"what", one.what}, {"cost", told(one.cost)}});
  }
  ordered_json beside = ordered_json::array();
  for (const decide::SeriesPrice& one : priced.beside) beside.push_back(to_json(one, told));
  ordered_json drivers = ordered_json::array();
  for (const decide::Driver& driver : priced.doubt.drivers) drivers.push_back(to_json(driver));
  const numeric::Range range = numeric::range_of(priced.doubt.each);
  const ordered_json json = {
      {"schema", kSchema},
      {"engine", kEngineVersion},
      {"piece", question.estimate.piece},
      {"currency", question.currency.code},
      {"policy", policy_json(question.policy, told)},
      {"each", to_json(priced.asked, told)},
      {"yarns", yarns},
      {"left_out", left_out},
      {"consumables", consumables},
      {"rounding", told(decide::rounding_of(priced, question))},
      {"labour", labour_json(pricing, priced.asked.pieces, told)},
      {"cost_range", {{"mid", range.mid}, {"low", range.low}, {"high", range.high}}},
      {"price_range", {{"low", told(priced.low)}, {"high", told(priced.high)}}},
      {"floor", {{"price", told(priced.floor)}, {"confidence", priced.confidence}}},
      {"price_with_shops", or_null<ordered_json>(told(priced.price_with_shops))},
      {"drivers", drivers},
      {"series", beside},
      {"tax", "not included; by the rules of the place"}};
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
