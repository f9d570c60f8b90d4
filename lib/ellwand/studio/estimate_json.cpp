#include "ellwand/studio/estimate_json.hpp"

#include "ellwand/studio/json_parts.hpp"

#include <nlohmann/json.hpp>

namespace ellwand::studio {

namespace {

using estimate::BandEstimate;
using estimate::Budget;
using estimate::Carried;
using estimate::Caution;
using estimate::Cut;
using estimate::CutStrands;
using estimate::EdgeRoom;
using estimate::Finishing;
using estimate::HangSpares;
using estimate::HemThread;
using estimate::HungCord;
using estimate::LayOut;
using estimate::Leave;
using estimate::LeaveFree;
using estimate::LeftOverUse;
using estimate::Lent;
using estimate::PieceEstimate;
using estimate::PutOnRod;
using estimate::SewIn;
using estimate::Spread;
using estimate::Step;
using estimate::TakeOff;
using estimate::Taught;
using estimate::Thrums;
using estimate::TieCord;
using estimate::TieDistance;
using estimate::TieEnds;
using estimate::Totals;
using estimate::TrimFringe;
using estimate::Warning;
using estimate::Wash;
using estimate::WindWarp;
using estimate::WorkBand;
using estimate::YarnEstimate;
using nlohmann::ordered_json;

ordered_json to_json(const YarnEstimate& yarn) {
  return {{"yarn", yarn.yarn},
          {"length_m", range_json<ordered_json>(yarn.length_m)},
          {"mass_g", range_json<ordered_json>(yarn.mass_g)},
          {"plan_m", yarn.plan_m},
          {"plan_g", yarn.plan_g},
          {"plan_dry_g", yarn.plan_dry_g},
          {"unevenness_m", yarn.length_m.mid - yarn.plan_m},
          {"mean_m", yarn.mean_m},
          {"mean_g", yarn.mean_g},
          {"set_aside_m", yarn.set_aside_m},
          {"set_aside_g", yarn.set_aside_g},
          {"cut_rounding_m", yarn.cut_rounding_m},
          {"spare_m", yarn.spare_m},
          {"put_ups", or_null<ordered_json>(yarn.put_ups)},
          {"left_over_m", or_null<ordered_json>(yarn.left_over_m)},
          {"left_over_g", or_null<ordered_json>(yarn.left_over_g)},
          {"on_shelf_g", or_null<ordered_json>(yarn.on_shelf_g)},
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
          {"turns", band.turns},
          {"height_cm", in_centimetres(band.height)},
          {"length_m", range_json<ordered_json>(band.length_m)},
          {"comes_out", band.comes_out},
          {"plan_m", band.plan_m},
          {"causes_m", causes}};
}

ordered_json to_json(const Lent& lent) { return lent_json<ordered_json>(lent); }

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

ordered_json height_range_cm(const PieceEstimate& piece) {
  if (!piece.height_m) return nullptr;
  const auto cm = [](double m) { return in_centimetres(metres(m)); };
  return range_json<ordered_json>(
      Spread{cm(piece.height_m->low), cm(piece.height_m->mid), cm(piece.height_m->high)});
}

ordered_json to_json(const Budget& budget) {
  return {{"span_cm", in_centimetres(budget.span)},
          {"header_cm", in_centimetres(budget.header)},
          {"tie_room_cm", in_centimetres(budget.tie_room)},
          {"needle_room_cm", in_centimetres(budget.needle_room)},
          {"rod_loops_cm", in_centimetres(budget.rod_loops)},
          {"sample_cm", in_centimetres(budget.sample)},
          {"bands_cm", in_centimetres(budget.bands)},
          {"left_cm", in_centimetres(budget.left())}};
}

ordered_json to_json(const technique::WarpEdges& edges) {
  return {{"turns", edges.turns},
          {"loops_above", edges.loops_above},
          {"loops_below", edges.loops_below},
          {"ties_above", edges.ties_above},
          {"ties_below", edges.ties_below}};
}

ordered_json to_json(const EdgeRoom& edge) {
  return {{"edge", edge.at_top ? "top" : "bottom"},
          {"knots", edge.knots},
          {"ends_per_knot", edge.ends_per_knot},
          {"knot_takes_cm", in_centimetres(edge.knot.plan)},
          {"knot_takes_at_most_cm", in_centimetres(edge.knot.high)},
          {"room_cm", in_centimetres(edge.room)},
          {"room_needed_cm", in_centimetres(edge.knot.needed)}};
}

const char* word_for(TieDistance from) {
  switch (from) {
    case TieDistance::Stated:
      return "stated";
    case TieDistance::RodLength:
      return "rod";
    case TieDistance::FinishedWidth:
      return "width";
  }
  return "";
}

ordered_json to_json(const HungCord& hung) {
  return {{"tie_distance_cm", in_centimetres(hung.cord.tie_distance)},
          {"tie_distance_from", word_for(hung.tie_distance)},
          {"rise_cm", in_centimetres(hung.cord.rise)},
          {"wraps_at_each_tie", hung.cord.wraps_at_each_tie},
          {"thickness_mm", in_millimetres(hung.thickness)},
          {"knots_cm", in_centimetres(hung.cord.knots)},
          {"knots_are_stated", hung.knots_are_stated}};
}

ordered_json to_json(const LeftOverUse& use) {
  return {{"piece", use.piece},
          {"yarn", use.yarn},
          {"need_m", use.need_m},
          {"left_over_m", use.left_m}};
}

ordered_json to_json(const Thrums& thrums) {
  return {{"yarn", thrums.yarn},
          {"count", thrums.count},
          {"length_cm", in_centimetres(thrums.length)},
          {"longer_at_least_cm", in_centimetres(thrums.longer())}};
}

ordered_json to_json(const Warning& warning) {
  ordered_json json = {{"code", warning.code}, {"text", warning.text}};
  if (warning.band > 0) json["band"] = warning.band;
  return json;
}

template <class T>
ordered_json list(const std::vector<T>& items) {
  ordered_json array = ordered_json::array();
  for (const T& item : items) array.push_back(to_json(item));
  return array;
}

const char* word_for(LeaveFree::What what) {
  switch (what) {
    case LeaveFree::What::Header:
      return "header";
    case LeaveFree::What::RoomToTie:
      return "room to tie";
    case LeaveFree::What::WarpFringe:
      return "warp fringe";
    case LeaveFree::What::SampleStrip:
      return "sample strip";
    case LeaveFree::What::RoomOnTop:
      return "room to tie at the top";
  }
  return "";
}

ordered_json to_json(const Carried& yarn) {
  ordered_json json = {
      {"yarn", yarn.yarn}, {"held", yarn.held},     {"split_into", yarn.split_into},
      {"rows", yarn.rows}, {"plan_m", yarn.plan_m}, {"lengths", yarn.lengths}};
  if (yarn.lengths > 0) json["length_m"] = in_metres(yarn.length);
  if (yarn.last) json["last_length_m"] = in_metres(*yarn.last);
  return json;
}

ordered_json to_json(const HemThread& thread) {
  return {{"step", "leave"},
          {"what", "hem thread"},
          {"band", thread.band},
          {"yarn", thread.yarn},
          {"strands", thread.strands},
          {"length_cm", in_centimetres(thread.length)},
          {"before_weaving", thread.before_weaving}};
}

/// A step with its name and what is to be known for it.
struct StepJson {
  ordered_json operator()(const LayOut& step) const {
    return {{"step", "lay out"},
            {"yarn", step.yarn},
            {"to_have_m", step.to_have_m},
            {"to_have_g", step.to_have_g},
            {"put_ups", or_null<ordered_json>(step.put_ups)},
            {"lent_for_band", step.lent_for}};
  }
  ordered_json operator()(const CutStrands& step) const {
    ordered_json json = {{"step", "cut"},
                         {"what", step.what},
                         {"band", step.band},
                         {"yarn", step.yarn},
                         {"count", step.count},
                         {"spare", step.spare},
                         {"split_into", step.split_into},
                         {"length_cm", in_centimetres(step.length)}};
    if (!step.card_height) return json;
    json["card_height_cm"] = in_centimetres(*step.card_height);
    json["card_turns"] = step.count + step.spare;
    return json;
  }
  ordered_json operator()(const WindWarp& step) const {
    return {{"step", "wind the warp"},
            {"yarn", step.yarn},
            {"ends", step.ends},
            {"held", step.held},
            {"length_m", step.length_m},
            {"tie_cm", in_centimetres(step.tie)},
            {"ties_at_one_edge", step.ties_at_one_edge}};
  }
  ordered_json operator()(const HangSpares& step) const {
    return {{"step", "hang spare ends"},
            {"yarn", step.yarn},
            {"ends", step.ends},
            {"held", step.held},
            {"length_cm", in_centimetres(step.length)}};
  }
  ordered_json operator()(const LeaveFree& step) const {
    return {{"step", "leave"},
            {"what", word_for(step.what)},
            {"length_cm", in_centimetres(step.length)}};
  }
  ordered_json operator()(const WorkBand& step) const {
    ordered_json yarns = ordered_json::array();
    for (const Carried& yarn : step.yarns) yarns.push_back(to_json(yarn));
    ordered_json to_leave = ordered_json::array();
    for (const HemThread& thread : step.to_leave) to_leave.push_back(to_json(thread));
    return {{"step", "band"},
            {"band", step.band},
            {"work", step.work},
            {"called", step.called},
            {"height_cm", in_centimetres(step.height)},
            {"up_to_cm", in_centimetres(step.up_to)},
            {"yarns", yarns},
            {"to_leave", to_leave},
            {"comes_out", step.comes_out},
            {"warnings", step.warnings}};
  }
  ordered_json operator()(const HemThread& step) const { return to_json(step); }
  ordered_json operator()(const TakeOff& step) const {
    return {{"step", "take off"},
            {"header_comes_out", step.header_comes_out},
            {"bands_drawn_out", step.drawn_out},
            {"width_cm", in_centimetres(step.width)},
            {"height_cm", in_centimetres(step.height)}};
  }
  ordered_json operator()(const TieEnds& step) const {
    return {{"step", "tie ends"},
            {"edge", step.at_top ? "top" : "bottom"},
            {"knots", step.knots},
            {"ends_per_knot", step.ends_per_knot},
            {"ends_in_last", step.ends_in_last},
            {"room_cm", in_centimetres(step.room)}};
  }
  ordered_json operator()(const SewIn& step) const {
    return {{"step", "tails"}, {"tails", 2 * step.lengths}};
  }
  ordered_json operator()(const TrimFringe& step) const {
    return {{"step", "trim fringe"},
            {"band", step.band},
            {"work", step.work},
            {"trim_cm", in_centimetres(step.trim)},
            {"hang_cm", in_centimetres(step.hang)}};
  }
  ordered_json operator()(const Wash& step) const {
    return {{"step", "wash"},
            {"felting", step.felting},
            {"width_cm", in_centimetres(step.width)},
            {"height_cm", in_centimetres(step.height)}};
  }
  ordered_json operator()(const Finishing& step) const {
    return {{"step", "finish"},
            {"no_steam", step.no_steam},
            {"wet", step.is_wet},
            {"width_cm", in_centimetres(step.width)},
            {"height_cm", in_centimetres(step.height)}};
  }
  ordered_json operator()(const PutOnRod& step) const {
    return {
        {"step", "put on the rod"}, {"rod_cm", in_centimetres(step.rod)}, {"loops", step.loops}};
  }
  ordered_json operator()(const TieCord& step) const {
    return {{"step", "tie the cord"},
            {"yarn", step.yarn},
            {"tie_distance_cm", in_centimetres(step.tie_distance)},
            {"rise_cm", in_centimetres(step.rise)},
            {"wraps_at_each_tie", step.wraps_at_each_tie}};
  }
  ordered_json operator()(const Caution& step) const {
    return {{"step", "take care"}, {"text", step.text}};
  }
};

ordered_json to_json(const Taught& taught) {
  return {{"date", taught.date},
          {"swatches", taught.swatches},
          {"up_to_date", taught.is_current},
          {"strangers_hand_in", taught.stranger_in},
          {"never_measured", taught.never_measured}};
}

/// What all pieces were estimated by: nothing where some were not, or by another's calibration.
ordered_json common_calibration(const std::vector<PieceEstimate>& pieces) {
  if (pieces.empty() || !pieces.front().taught) return nullptr;
  const Taught& first = *pieces.front().taught;
  for (const PieceEstimate& piece : pieces) {
    const bool is_same = piece.taught && piece.taught->date == first.date &&
                         piece.taught->swatches == first.swatches;
    if (!is_same) return nullptr;
  }
  return {{"date", first.date}, {"swatches", first.swatches}, {"up_to_date", first.is_current}};
}

ordered_json to_json(const PieceEstimate& piece) {
  ordered_json size = {{"loom", size_json<ordered_json>(piece.loom)},
                       {"off_loom", size_json<ordered_json>(piece.off_loom)},
                       {"washed", size_json<ordered_json>(piece.washed)},
                       {"finished", size_json<ordered_json>(piece.finished)},
                       {"finished_height_range_cm", height_range_cm(piece)},
                       {"hang_cm", in_centimetres(piece.hang)}};
  ordered_json json = {{"piece", piece.piece},
                       {"name", piece.name},
                       {"yarns", list(piece.yarns)},
                       {"chance_any_short", piece.chance_any_short},
                       {"chance_any_set_aside_short", piece.chance_any_set_aside_short},
                       {"bands", list(piece.bands)},
                       {"lent", list(piece.lent)},
                       {"cuts", list(piece.cuts)},
                       {"size", size}};
  json["warp_left_cm"] =
      piece.budget ? ordered_json(in_centimetres(piece.budget->left())) : ordered_json(nullptr);
  json["budget"] = piece.budget ? to_json(*piece.budget) : ordered_json(nullptr);
  json["warp_edges"] = piece.warp_edges ? to_json(*piece.warp_edges) : ordered_json(nullptr);
  json["thickest_rod_mm"] = piece.thickest_rod ? ordered_json(in_millimetres(*piece.thickest_rod))
                                               : ordered_json(nullptr);
  json["edge_knots"] = list(piece.edges);
  json["cord"] = piece.cord ? to_json(*piece.cord) : ordered_json(nullptr);
  if (!piece.left_over_uses.empty()) json["left_over_uses"] = list(piece.left_over_uses);
  if (piece.thrums) json["thrums"] = to_json(*piece.thrums);
  if (piece.taught) json["calibration"] = to_json(*piece.taught);
  json["warnings"] = list(piece.warnings);
  json["cautions"] = piece.cautions;
  if (!piece.order.empty()) json["order"] = ordered_json::array();
  for (const Step& step : piece.order) json["order"].push_back(std::visit(StepJson{}, step));
  return json;
}

ordered_json to_json(const Totals& totals) {
  ordered_json yarns = list(totals.yarns);
  for (std::size_t y = 0; y < totals.yarns.size(); ++y) yarns[y]["pieces"] = totals.used_in[y];
  return {{"pieces", totals.pieces},
          {"yarns", yarns},
          {"chance_any_short", totals.chance_any_short},
          {"chance_any_set_aside_short", totals.chance_any_set_aside_short}};
}

}  // namespace

std::string estimate_json(const std::vector<PieceEstimate>& pieces,
                          const std::optional<std::string>& date,
                          const std::vector<Totals>& totals) {
  ordered_json json = {{"schema", kSchema}, {"engine", kEngineVersion}};
  if (date) json["frozen"] = *date;
  json["calibration"] = common_calibration(pieces);
  json["pieces"] = ordered_json::array();
  for (const PieceEstimate& piece : pieces) json["pieces"].push_back(to_json(piece));
  for (const Totals& one : totals) json["totals"].push_back(to_json(one));
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
