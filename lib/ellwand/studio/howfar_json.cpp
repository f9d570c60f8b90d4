#include "ellwand/studio/howfar_json.hpp"

#include "ellwand/studio/estimate_json.hpp"

#include <nlohmann/json.hpp>

#include <optional>

namespace ellwand::studio {

using nlohmann::ordered_json;

namespace {

ordered_json setting_json(const decide::Knob& knob, double value) {
  return {{"measure", name_of(knob.of)},
          {"band", is_of_band(knob) ? ordered_json(knob.band + 1) : ordered_json(nullptr)},
          {"value", value},
          {"unit", unit_of(knob.of)}};
}

const char* word_for(decide::Bound bound) {
  switch (bound) {
    case decide::Bound::Yarn:
      return "yarn";
    case decide::Bound::TheLoom:
      return "loom";
    case decide::Bound::ThePiece:
      return "design";
    case decide::Bound::Nothing:
      return "nothing";
  }
  return "";
}

ordered_json needs_json(const decide::Trial& trial) {
  ordered_json all = ordered_json::array();
  for (const decide::Need& need : trial.needs) {
    all.push_back({{"yarn", need.yarn},
                   {"stash_g", need.stash_g},
                   {"need_g", need.need_g},
                   {"lent_g", need.lent_g},
                   {"over_g", need.over_g()},
                   {"chance_short", need.chance_short},
                   {"of_several_lots", need.is_of_several_lots}});
  }
  return all;
}

/// What stands in the way: of what, from which value on, and by how much.
ordered_json bound_json(const decide::HowFar& far) {
  ordered_json json = {{"what", word_for(far.bound)}};
  const bool is_yarn = far.bound == decide::Bound::Yarn;
  json["yarn"] = is_yarn ? ordered_json(far.at_beyond->needs.front().yarn) : ordered_json(nullptr);
  if (!far.at_beyond) return json;
  json["at"] = setting_json(far.at.front().knob, *far.beyond);
  if (is_yarn) json["short_g"] = -far.at_beyond->needs.front().over_g();
  if (!is_yarn) json["why"] = far.at_beyond->refusal;
  return json;
}

ordered_json answer_json(const decide::HowFar& far) {
  ordered_json settings = ordered_json::array();
  for (const decide::Setting& one : far.at) settings.push_back(setting_json(one.knob, one.value));
  return {{"most", settings.front()},
          {"now", setting_json(far.at.front().knob, far.now)},
          {"beside", far.at.size() > 1 ? settings.back() : ordered_json(nullptr)},
          {"binds", bound_json(far)},
          {"yarns", needs_json(far.trial)},
          {"not_in_stash", far.trial.not_in_stash},
          {"finished",
           {{"width_cm", in_centimetres(far.trial.finished.width)},
            {"height_cm", in_centimetres(far.trial.finished.height)}}}};
}

}  // namespace

std::string howfar_json(const std::string& piece, double confidence,
                        const decide::Frontier& answers) {
  ordered_json all = ordered_json::array();
  for (const decide::HowFar& far : answers.all) all.push_back(answer_json(far));
  ordered_json nothing_at = ordered_json::array();
  for (const decide::Setting& one : answers.nothing_at) {
    nothing_at.push_back(setting_json(one.knob, one.value));
  }
  const ordered_json json = {{"schema", kSchema}, {"engine", kEngineVersion},
                             {"piece", piece},    {"confidence", confidence},
                             {"answers", all},    {"nothing_at", nothing_at}};
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
