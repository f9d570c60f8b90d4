#include "ellwand/studio/estimate_json.hpp"

#include <nlohmann/json.hpp>

namespace ellwand::studio {

namespace {

using nlohmann::ordered_json;
using namespace ellwand::estimate;

template <class T>
ordered_json or_null(const std::optional<T>& value) {
  return value ? ordered_json(*value) : ordered_json(nullptr);
}

ordered_json to_json(const Spread& spread) {
  return {{"mid", spread.mid}, {"low", spread.low}, {"high", spread.high}};
}

ordered_json to_json(const YarnEstimate& yarn) {
  return {{"yarn", yarn.yarn},
          {"length_m", to_json(yarn.length_m)},
          {"mass_g", to_json(yarn.mass_g)},
          {"plan_m", yarn.plan_m},
          {"plan_g", yarn.plan_g},
          {"unevenness_m", yarn.length_m.mid - yarn.plan_m},
          {"mean_m", yarn.mean_m},
          {"mean_g", yarn.mean_g},
          {"set_aside_m", yarn.set_aside_m},
          {"set_aside_g", yarn.set_aside_g},
          {"cut_rounding_m", yarn.cut_rounding_m},
          {"spare_m", yarn.spare_m},
          {"put_ups", or_null(yarn.put_ups)},
          {"left_over_m", or_null(yarn.left_over_m)},
          {"left_over_g", or_null(yarn.left_over_g)},
          {"on_shelf_g", or_null(yarn.on_shelf_g)},
          {"chance_short", yarn.chance_short}};
}

ordered_json to_json(const BandEstimate& band) {
  ordered_json causes = ordered_json::object();
  for (std::size_t c = 0; c < technique::kCauses; ++c) {
    if (band.causes_m[c] == 0.0) continue;
    causes[technique::name_of(static_cast<technique::Cause>(c))] = band.causes_m[c];
  }
  return {{"band", band.band},
          {"work", band.work},
          {"yarn", band.yarn.empty() ? ordered_json(nullptr) : ordered_json(band.yarn)},
          {"rows", band.rows},
          {"height_cm", in_centimetres(band.height)},
          {"length_m", to_json(band.length_m)},
          {"plan_m", band.plan_m},
          {"causes_m", causes}};
}

ordered_json to_json(const Cut& cut) {
  ordered_json json = {{"what", cut.what},
                       {"band", cut.band},
                       {"yarn", cut.yarn},
                       {"count", cut.count},
                       {"length_cm", in_centimetres(cut.length)},
                       {"exact_cm", in_centimetres(cut.exact)},
                       {"spare", cut.spare}};
  if (cut.beside > 0) json["beside_band"] = cut.beside;
  if (cut.leave != Leave::No) {
    json["leave"] = cut.leave == Leave::BeforeWeaving ? "before weaving" : "when woven";
  }
  if (cut.card_height) json["card_height_cm"] = in_centimetres(*cut.card_height);
  return json;
}

ordered_json to_json(const Size& size) {
  return {{"width_cm", in_centimetres(size.width)}, {"height_cm", in_centimetres(size.height)}};
}

ordered_json to_json(const Budget& budget) {
  return {{"span_cm", in_centimetres(budget.span)},
          {"header_cm", in_centimetres(budget.header)},
          {"tie_room_cm", in_centimetres(budget.tie_room)},
          {"needle_room_cm", in_centimetres(budget.needle_room)},
          {"rod_loops_cm", in_centimetres(budget.rod_loops)},
          {"bands_cm", in_centimetres(budget.bands)},
          {"left_cm", in_centimetres(budget.left())}};
}

ordered_json to_json(const Warning& warning) {
  return {{"code", warning.code}, {"text", warning.text}};
}

template <class T>
ordered_json list(const std::vector<T>& items) {
  ordered_json array = ordered_json::array();
  for (const T& item : items) array.push_back(to_json(item));
  return array;
}

ordered_json to_json(const PieceEstimate& piece) {
  ordered_json size = {{"loom", to_json(piece.loom)},
                       {"off_loom", to_json(piece.off_loom)},
                       {"finished", to_json(piece.finished)},
                       {"hang_cm", in_centimetres(piece.hang)}};
  ordered_json json = {{"piece", piece.piece},
                       {"name", piece.name},
                       {"yarns", list(piece.yarns)},
                       {"chance_any_short", piece.chance_any_short},
                       {"chance_any_set_aside_short", piece.chance_any_set_aside_short},
                       {"bands", list(piece.bands)},
                       {"cuts", list(piece.cuts)},
                       {"size", size}};
  json["warp_left_cm"] =
      piece.budget ? ordered_json(in_centimetres(piece.budget->left())) : ordered_json(nullptr);
  json["budget"] = piece.budget ? to_json(*piece.budget) : ordered_json(nullptr);
  json["warnings"] = list(piece.warnings);
  json["cautions"] = piece.cautions;
  return json;
}

}  // namespace

std::string estimate_json(const std::vector<PieceEstimate>& pieces,
                          const std::optional<std::string>& date) {
  ordered_json json = {{"schema", kSchema}, {"engine", kEngineVersion}};
  if (date) json["frozen"] = *date;
  json["calibration"] = nullptr;
  json["pieces"] = ordered_json::array();
  for (const PieceEstimate& piece : pieces) json["pieces"].push_back(to_json(piece));
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
