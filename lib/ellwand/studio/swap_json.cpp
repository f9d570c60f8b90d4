#include "ellwand/studio/swap_json.hpp"

#include "ellwand/decide/in_short.hpp"
#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/json_parts.hpp"

#include <nlohmann/json.hpp>

#include <optional>

namespace ellwand::studio {

namespace {

using decide::Money;
using decide::SwapRow;
using decide::Where;
using nlohmann::ordered_json;

ordered_json to_json(const technique::Strand& strand) {
  return {{"yarn", strand.yarn}, {"held", strand.held}, {"split_into", strand.split_into}};
}

const char* word_for(Where where) {
  switch (where) {
    case Where::Warp:
      return "warp";
    case Where::Cord:
      return "cord";
    case Where::Band:
      return "band";
  }
  return "";
}

ordered_json to_json(const decide::PlaceChange& change) {
  const bool is_band = change.before.where == Where::Band;
  ordered_json json = {
      {"place", word_for(change.before.where)},
      {"band",
       or_null<ordered_json>(is_band ? std::optional(change.before.band + 1) : std::nullopt)},
      {"work", change.work},
      {"strands_before", to_json(change.before.strand)},
      {"strands", to_json(change.after.strand)},
      {"thickness_ratio", change.thickness},
      {"cover_ratio", or_null<ordered_json>(change.cover)},
      {"chance_too_thick", change.too_thick},
      {"chance_too_thin", change.too_thin}};
  if (!is_band) return json;
  json["rows_before"] = change.rows_before;
  json["rows"] = change.rows_after;
  json["height_before_cm"] = in_centimetres(change.height_before);
  json["height_cm"] = in_centimetres(change.height_after);
  return json;
}

ordered_json to_json(const decide::WarpChange& change) {
  return {{"sett_before_per_cm", in_per_cm(change.sett_before)},
          {"sett_per_cm", in_per_cm(change.sett_after)},
          {"sett_that_covers_per_cm", in_per_cm(change.sett_that_covers)},
          {"ends_before", change.ends_before},
          {"ends", change.ends_after},
          {"ends_for_width", change.ends_for_width}};
}

ordered_json to_json(const decide::Terms& terms) {
  ordered_json json;
  for (std::size_t t = 0; t < decide::kTerms; ++t) {
    json[decide::name_of(static_cast<decide::Term>(t))] = terms[t];
  }
  return json;
}

/// Writes rows with the money of one currency.
struct RowTeller {
  const decide::Currency& currency;

  ordered_json money(const std::optional<Money>& amount) const {
    return amount ? ordered_json(decide::rounded(*amount, currency).approximately())
                  : ordered_json(nullptr);
  }

  ordered_json operator()(const SwapRow& row) const {
    const estimate::YarnEstimate& amounts = row.amounts();
    ordered_json places = ordered_json::array();
    for (const decide::PlaceChange& change : row.places) places.push_back(to_json(change));
    ordered_json notes = ordered_json::array();
    for (const decide::SwapNote& note : row.notes) {
      notes.push_back({{"code", note.code}, {"text", note.text}});
    }
    ordered_json warnings = ordered_json::array();
    for (const estimate::Warning& warning : row.warnings) {
      warnings.push_back({{"code", warning.code}, {"text", warning.text}});
    }
    return {{"yarn", row.yarn},
            {"score", row.score},
            {"terms", to_json(row.terms)},
            {"length_m", range_json<ordered_json>(row.here.length_m)},
            {"mass_g", range_json<ordered_json>(row.here.mass_g)},
            {"mean_m", row.here.mean_m},
            {"mean_g", row.here.mean_g},
            {"set_aside_m", row.here.set_aside_m},
            {"set_aside_g", row.here.set_aside_g},
            {"whole_piece_set_aside_m", amounts.set_aside_m},
            {"whole_piece_set_aside_g", amounts.set_aside_g},
            {"put_ups", or_null<ordered_json>(amounts.put_ups)},
            {"on_shelf_g", or_null<ordered_json>(amounts.on_shelf_g)},
            {"put_ups_to_buy", or_null<ordered_json>(row.to_buy)},
            {"cost", money(row.cost)},
            {"cost_to_buy", money(row.buy_cost)},
            {"dearer", money(row.dearer)},
            {"is_elsewhere", row.is_elsewhere},
            {"thickness_ratio", decide::thickness_of(row)},
            {"cover_ratio", decide::cover_of(row)},
            {"chance_too_thick", row.too_thick},
            {"chance_too_thin", row.too_thin},
            {"loom", size_json<ordered_json>(row.estimate.loom)},
            {"finished", size_json<ordered_json>(row.estimate.finished)},
            {"warp", row.warp ? to_json(*row.warp) : ordered_json(nullptr)},
            {"places", places},
            {"notes", notes},
            {"warnings", warnings}};
  }
};

}  // namespace

std::string swap_json(const decide::Swap& swap, const decide::SwapAnswer& answer,
                      const decide::Currency& currency) {
  const decide::SwapRules& rules = swap.question().rules;
  const RowTeller told{currency};
  ordered_json candidates = ordered_json::array();
  for (const SwapRow& row : answer.candidates) candidates.push_back(told(row));
  ordered_json left_out = ordered_json::array();
  for (const decide::CannotServe& one : answer.left_out) {
    left_out.push_back({{"yarn", one.yarn}, {"reason", one.reason}});
  }
  const ordered_json json = {{"schema", kSchema},
                             {"engine", kEngineVersion},
                             {"piece", swap.question().piece.id},
                             {"yarn", swap.question().yarn},
                             {"currency", currency.code},
                             {"weights", to_json(rules.weights)},
                             {"least_cover", rules.least_cover},
                             {"most_chance", rules.most_chance},
                             {"most_held", rules.most_held},
                             {"keep", decide::name_of(rules.keep)},
                             {"original", told(answer.original)},
                             {"candidates", candidates},
                             {"left_out", left_out}};
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
