#include "ellwand/studio/next_swatch_json.hpp"

#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/json_parts.hpp"

#include <nlohmann/json.hpp>

namespace ellwand::studio {

namespace {

using nlohmann::ordered_json;

ordered_json to_json(const AdvisedSwatch& swatch) {
  const calibrate::Candidate& candidate = swatch.advised.candidate;
  const bool is_woven = !candidate.work.empty();
  ordered_json narrowed = ordered_json::array();
  for (const Narrowed& one : swatch.narrowed) {
    narrowed.push_back({{"piece", one.piece},
                        {"yarn", one.yarn},
                        {"now_m", range_json<ordered_json>(one.now_m)},
                        {"then_m", range_json<ordered_json>(one.then_m)},
                        {"now_g", range_json<ordered_json>(one.now_g)},
                        {"then_g", range_json<ordered_json>(one.then_g)}});
  }
  return {{"work", is_woven ? ordered_json(candidate.work) : ordered_json(nullptr)},
          {"yarn", candidate.yarn},
          {"like_piece", candidate.like},
          {"like_band", candidate.like_band},
          {"ends", candidate.ends},
          {"rows", candidate.rows},
          {"measuring", name_of(candidate.measuring)},
          {"minutes", candidate.minutes},
          {"mass_g", candidate.grams},
          {"least_rows", candidate.least_rows},
          {"narrower_share", swatch.advised.narrower},
          {"most_narrower_share", swatch.advised.most_narrower},
          {"information_nats", swatch.advised.gain.information_nats},
          {"gain_per_minute_of_effort", swatch.advised.worth},
          {"effort_minutes", swatch.advised.effort_minutes},
          {"narrowed", narrowed}};
}

}  // namespace

const char* name_of(calibrate::Measuring measuring) {
  switch (measuring) {
    case calibrate::Measuring::WeighedAndMeasured:
      return "weighed and measured";
    case calibrate::Measuring::OneRowUnpicked:
      return "one row unpicked";
    case calibrate::Measuring::WeighedLength:
      return "a length weighed";
    case calibrate::Measuring::WrapsCounted:
      return "wraps counted";
  }
  return "";
}

std::string next_swatch_json(const std::vector<AdvisedSwatch>& swatches,
                             const std::vector<std::string>& pieces, bool any_planned,
                             const estimate::Learned* learned) {
  ordered_json all = ordered_json::array();
  for (const AdvisedSwatch& swatch : swatches) all.push_back(to_json(swatch));
  ordered_json calibration = nullptr;
  if (learned != nullptr) {
    calibration = {{"date", learned->date}, {"swatches", learned->swatches}};
  }
  const ordered_json json = {{"schema", kSchema},          {"engine", kEngineVersion},
                             {"calibration", calibration}, {"pieces", pieces},
                             {"planned", any_planned},     {"swatches", all}};
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
