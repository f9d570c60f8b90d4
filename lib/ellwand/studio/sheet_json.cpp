#include "ellwand/studio/sheet_json.hpp"

#include "ellwand/studio/estimate_json.hpp"

#include <nlohmann/json.hpp>

#include <array>

namespace ellwand::studio {

namespace {

using nlohmann::ordered_json;

/// What is taken over as it stands.
constexpr std::array<const char*, 12> kTaken{
    "size",        "warp_left_cm", "budget", "warp_edges", "edge_knots", "cord",
    "calibration", "lent",         "cuts",   "order",      "warnings",   "cautions"};

ordered_json to_json(const SheetYarn& yarn) {
  return {{"yarn", yarn.id},
          {"label", yarn.label},
          {"colour", yarn.colour.empty() ? ordered_json(nullptr) : ordered_json(yarn.colour)}};
}

}  // namespace

std::string sheet_json(const SheetHead& head, const std::vector<SheetYarn>& yarns,
                       const estimate::PieceEstimate& piece) {
  const ordered_json whole = ordered_json::parse(estimate_json({piece}))["pieces"][0];
  ordered_json json = {{"schema", kSchema},
                       {"engine", kEngineVersion},
                       {"piece", piece.piece},
                       {"name", whole["name"]},
                       {"studio", head.studio},
                       {"date", head.date},
                       {"yarns", ordered_json::array()}};
  for (const SheetYarn& yarn : yarns) json["yarns"].push_back(to_json(yarn));
  for (const char* name : kTaken) {
    if (whole.contains(name)) json[name] = whole[name];
  }
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
