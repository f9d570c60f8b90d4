#include "ellwand/studio/buy_json.hpp"

#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/json_parts.hpp"
#include "ellwand/studio/told_money.hpp"

#include <nlohmann/json.hpp>

namespace ellwand::studio {

namespace {

using nlohmann::ordered_json;

ordered_json places_json(const std::vector<decide::WovenPlace>& places) {
  ordered_json all = ordered_json::array();
  for (const decide::WovenPlace& place : places) {
    all.push_back({{"piece", place.piece}, {"band", place.band}});
  }
  return all;
}

ordered_json lots_json(const decide::Purchase& yarn) {
  ordered_json lots = ordered_json::array();
  for (const decide::LotPlan& lot : yarn.lots) {
    lots.push_back({{"lot", lot.lot},
                    {"holds_g", lot.holds_g},
                    {"for", places_json(lot.places)},
                    {"chance_short", or_null<ordered_json>(lot.chance_short)},
                    {"likely_left_g", lot.likely_left_g}});
  }
  return lots;
}

ordered_json to_json(const decide::Purchase& yarn, const MoneyTeller& told) {
  const auto unit = [&](const char* name) {
    return name + std::string(yarn.is_mass ? "_g" : "_m");
  };
  ordered_json json = {
      {"yarn", yarn.yarn},
      {"used_in", yarn.used_in},
      {"need_g", {{"mid", yarn.need_g.mid}, {"low", yarn.need_g.low}, {"high", yarn.need_g.high}}},
      {"enough", yarn.enough},
      {"enough_by", yarn.by_cost ? "cost" : "chance"},
      {"lots", lots_json(yarn)},
      {"bought_for", places_json(yarn.bought_for)}};
  json[unit("to_buy")] = yarn.to_buy;
  json[unit("put_up")] = or_null<ordered_json>(yarn.put_up);
  json["put_ups"] = or_null<ordered_json>(yarn.put_ups);
  ordered_json sizes = ordered_json::array();
  for (const decide::BoughtSize& size : yarn.sizes) {
    ordered_json one;
    one[unit("put_up")] = size.holds;
    one["put_ups"] = size.put_ups;
    sizes.push_back(one);
  }
  json["sizes"] = sizes;
  json["chance_short"] = yarn.chance_short;
  json[unit("likely_left")] = yarn.likely_left;
  json["cost"] = or_null<ordered_json>(told(yarn.cost));
  return json;
}

}  // namespace

std::string buy_json(const decide::ShoppingList& list, const decide::Currency& currency) {
  const MoneyTeller told{currency};
  ordered_json yarns = ordered_json::array();
  for (const decide::Purchase& yarn : list.yarns) yarns.push_back(to_json(yarn, told));
  ordered_json lent = ordered_json::array();
  for (const decide::LentFor& one : list.lent) {
    lent.push_back(lent_json<ordered_json>(one.lent));
    lent.back()["piece"] = one.piece;
    lent.back()["on_shelf_g"] = one.on_shelf_g;
  }
  const ordered_json json = {{"schema", kSchema},
                             {"engine", kEngineVersion},
                             {"pieces", list.pieces},
                             {"currency", currency.code},
                             {"put_ups", list.put_ups},
                             {"cost", told(list.cost)},
                             {"without_price", list.without_price},
                             {"yarns", yarns},
                             {"lent", lent}};
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
