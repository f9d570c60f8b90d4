#include "ellwand/studio/enough_json.hpp"

#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/json_parts.hpp"

#include <nlohmann/json.hpp>

namespace ellwand::studio {

namespace {

using nlohmann::ordered_json;

ordered_json to_json(const std::optional<decide::UseSoFar>& use) {
  if (!use) return nullptr;
  return {{"used", use->used},
          {"foretold", range_json<ordered_json>(use->foretold)},
          {"surprise_sd", use->surprise}};
}

/// The band it ends in is null where everything is safe, or all but what comes after the rows.
ordered_json to_json(const decide::Reach& safe) {
  const bool is_in_a_band = safe.of_rows > 0;
  return {{"everything", safe.is_everything},
          {"band", is_in_a_band ? ordered_json(safe.band + 1) : ordered_json(nullptr)},
          {"rows", is_in_a_band ? ordered_json(safe.rows) : ordered_json(nullptr)},
          {"of_rows", is_in_a_band ? ordered_json(safe.of_rows) : ordered_json(nullptr)}};
}

}  // namespace

std::string enough_json(const std::string& piece, const decide::Enough& answer,
                        const std::vector<decide::Change>& changes) {
  ordered_json all = ordered_json::array();
  for (const decide::Change& change : changes) {
    const decide::Knob& knob = change.to.knob;
    all.push_back({{"measure", name_of(knob.of)},
                   {"band", knob.band + 1},
                   {"value", change.to.value},
                   {"now", change.now},
                   {"unit", unit_of(knob.of)}});
  }
  const ordered_json json = {
      {"schema", kSchema},
      {"engine", kEngineVersion},
      {"piece", piece},
      {"yarn", answer.yarn},
      {"unit", answer.is_mass ? "g" : "m"},
      {"grams_per_metre", answer.grams_per_metre},
      {"band", answer.band + 1},
      {"rows", answer.rows},
      {"of_rows", answer.of_rows},
      {"left", answer.left},
      {"chance_enough", answer.chance},
      {"confidence", answer.confidence},
      {"needed", answer.needed},
      {"over_likely", answer.left - answer.to_come.mid},
      {"over_when_safe", answer.left - answer.needed},
      {"to_come", range_json<ordered_json>(answer.to_come)},
      {"to_come_foretold", range_json<ordered_json>(answer.foretold_to_come)},
      {"so_far", to_json(answer.so_far)},
      {"safe", to_json(answer.safe)},
      {"changes", all}};
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
