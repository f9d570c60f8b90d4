#include "ellwand/studio/kit_json.hpp"

#include "ellwand/decide/in_short.hpp"
#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/json_parts.hpp"
#include "ellwand/studio/told_money.hpp"

#include <nlohmann/json.hpp>

namespace ellwand::studio {

namespace {

using nlohmann::ordered_json;

const char* word_for(decide::Buyers::Basis basis) {
  switch (basis) {
    case decide::Buyers::Basis::Stated:
      return "stated";
    case decide::Buyers::Basis::Calibration:
      return "calibration";
    case decide::Buyers::Basis::Starting:
      return "starting value";
  }
  return "";
}

ordered_json lots_json(const decide::KitYarn& yarn) {
  ordered_json lots = ordered_json::array();
  for (const decide::KitLot& lot : yarn.lots) {
    lots.push_back({{"lot", lot.lot}, {"kits", lot.kits}, {"left_g", lot.left_g}});
  }
  return lots;
}

ordered_json to_json(const decide::KitYarn& yarn, bool is_class, const MoneyTeller& told) {
  const bool is_ball = yarn.packed_as == decide::PackedAs::Ball;
  const auto unit = [&](const char* name) { return name + std::string(is_ball ? "_g" : "_m"); };
  ordered_json json = {{"yarn", yarn.yarn}, {"packed", is_ball ? "balls" : "lengths"}};
  json[unit("need")] = {{"mid", yarn.need.mid}, {"low", yarn.need.low}, {"high", yarn.need.high}};
  json[unit("enough")] = yarn.enough;
  json["pack_g"] = yarn.pack_g;
  json["pack_m"] = yarn.pack_m;
  if (is_class) json[unit("singly")] = yarn.singly;
  json["on_shelf_g"] = yarn.on_shelf_g;
  json["kits_from_shelf"] = yarn.from_shelf;
  json["lots_may_mix"] = yarn.may_mix;
  json["lots"] = lots_json(yarn);
  json["left_g"] = decide::left_g(yarn);
  json["kits_per_put_up"] = or_null<ordered_json>(yarn.per_put_up);
  json["put_ups_to_buy"] = or_null<ordered_json>(yarn.put_ups);
  json["left_of_bought_g"] =
      yarn.put_ups ? ordered_json(yarn.left_of_bought_g) : ordered_json(nullptr);
  json["cost"] = or_null<ordered_json>(told(yarn.cost));
  return json;
}

ordered_json cost_json(const std::optional<decide::KitCost>& cost, const MoneyTeller& told) {
  if (!cost) return nullptr;
  return {{"yarn", told(cost->yarn)},
          {"besides", told(cost->besides)},
          {"labour", told(cost->labour)},
          {"all", told(cost->all)}};
}

ordered_json tried_json(const decide::Kits& kits) {
  if (kits.tried.drawn == 0) return nullptr;
  ordered_json short_of;
  for (std::size_t y = 0; y < kits.yarns.size(); ++y) {
    short_of[kits.yarns[y].yarn] = kits.tried.short_of[y];
  }
  return {{"drawn", kits.tried.drawn},
          {"finished", kits.tried.finished},
          {"share", kits.tried.share()},
          {"short_of", short_of}};
}

}  // namespace

std::string kit_json(const decide::Kits& kits, const decide::Currency& currency) {
  const MoneyTeller told{currency};
  ordered_json yarns = ordered_json::array();
  for (const decide::KitYarn& yarn : kits.yarns) {
    yarns.push_back(to_json(yarn, kits.pupils > 0, told));
  }
  ordered_json lent = ordered_json::array();
  for (const estimate::Lent& one : kits.lent) lent.push_back(lent_json<ordered_json>(one));
  ordered_json besides = ordered_json::array();
  for (const decide::Consumable& one : kits.besides) {
    besides.push_back({{"what", one.what}, {"cost", told(one.cost)}});
  }
  const ordered_json json = {
      {"schema", kSchema},
      {"engine", kEngineVersion},
      {"piece", kits.piece},
      {"currency", currency.code},
      {"kits", kits.kits},
      {"pupils", kits.pupils > 0 ? ordered_json(kits.pupils) : ordered_json(nullptr)},
      {"finish", kits.finish},
      {"sure", or_null<ordered_json>(kits.sure)},
      {"beginners",
       {{"log_sd", kits.buyers.spread},
        {"met", kits.buyers.met > 0 ? ordered_json(kits.buyers.met) : ordered_json(nullptr)},
        {"basis", word_for(kits.buyers.basis)}}},
      {"score", kits.score},
      {"kits_from_shelf", kits.from_shelf},
      {"yarns", yarns},
      {"lent", lent},
      {"besides", besides},
      {"cost_each", cost_json(kits.cost, told)},
      {"minutes_to_pack", kits.minutes},
      {"without_price", kits.without_price},
      {"tried", tried_json(kits)}};
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
