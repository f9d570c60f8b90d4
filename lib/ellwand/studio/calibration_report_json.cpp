#include "ellwand/studio/calibration_report_json.hpp"

#include "ellwand/calibrate/advice.hpp"
#include "ellwand/numeric/normal.hpp"
#include "ellwand/numeric/student.hpp"
#include "ellwand/studio/estimate_json.hpp"

#include <nlohmann/json.hpp>

#include <cmath>

namespace ellwand::studio {

namespace {

using calibrate::Comparison;
using calibrate::Conflict;
using calibrate::Direction;
using calibrate::FittedCoefficient;
using calibrate::Foretold;
using calibrate::Influence;
using calibrate::kSettledShare;
using calibrate::Measured;
using calibrate::Measurement;
using calibrate::OutOfLine;
using calibrate::Pair;
using calibrate::Report;
using calibrate::Score;
using calibrate::Settled;
using calibrate::Swatch;
using calibrate::told_pair;
using calibrate::Trial;
using calibrate::what_settles;
using nlohmann::ordered_json;

ordered_json to_json(const Score& score) {
  const numeric::ChanceRange chance = numeric::clopper_pearson(score.inside, score.amounts, 0.9);
  return {{"typically_off", score.typical_off},
          {"mean_abs_log_error", score.mean_abs_log_error},
          {"inside", score.inside},
          {"inside_chance_low", chance.low},
          {"inside_chance_high", chance.high},
          {"interval_score", score.interval_score},
          {"crps", score.crps}};
}

ordered_json comparisons_json(const Report& report) {
  ordered_json all = ordered_json::array();
  for (const Comparison& one : report.comparisons) {
    all.push_back({{"work", one.work},
                   {"amounts", one.now.amounts},
                   {"start", to_json(one.start)},
                   {"now", to_json(one.now)}});
  }
  return all;
}

/// Of 9 times in 10, as a ratio to the starting value or a share added to it.
ordered_json ways_json(const FittedCoefficient& one, double mean, double spread) {
  const double reach = numeric::normal_quantile(0.95) * spread;
  const auto told = [&](double value) {
    return calibrate::is_added(one.name) ? value : std::exp(value);
  };
  return {{"mid", told(mean)}, {"low", told(mean - reach)}, {"high", told(mean + reach)}};
}

ordered_json coefficients_json(const Calibrated& all, const estimate::StartingValues& values) {
  ordered_json list = ordered_json::array();
  for (const Settled& settled : all.report.settled) {
    const FittedCoefficient& one = all.fit.coefficients[settled.coefficient];
    ordered_json json = {
        {"name", one.name}, {"meaning", one.meaning}, {"start_spread", one.start_spread},
        {"mean", one.mean}, {"spread", one.spread},   {"settled", settled.share}};
    json["scale"] = calibrate::is_added(one.name) ? "added" : "ratio";
    json["start"] = ways_json(one, 0.0, one.start_spread);
    json["now"] = ways_json(one, one.mean, one.spread);
    if (settled.share < kSettledShare) json["settle_by"] = what_settles(one.name, values);
    list.push_back(json);
  }
  return list;
}

ordered_json pairs_json(const Calibrated& all, const estimate::StartingValues& values) {
  ordered_json list = ordered_json::array();
  for (const Pair& pair : all.report.pairs) {
    const std::string& first = all.fit.coefficients[pair.first].name;
    const std::string& second = all.fit.coefficients[pair.second].name;
    list.push_back({{"first", first},
                    {"second", second},
                    {"correlation", pair.correlation},
                    {"text", told_pair(first, second, values)}});
  }
  return list;
}

ordered_json out_of_line_json(const Calibrated& all) {
  ordered_json list = ordered_json::array();
  for (const OutOfLine& one : all.report.out_of_line) {
    const Swatch& swatch = all.swatches[one.swatch];
    const Measurement& measurement = swatch.measurements[one.measurement];
    list.push_back({{"swatch", swatch.id},
                    {"column", measurement.column},
                    {"file", swatch.file},
                    {"line", measurement.line},
                    {"times_what_is_expected", one.times},
                    {"set_aside", one.is_set_aside}});
  }
  return list;
}

ordered_json directions_json(const Report& report) {
  ordered_json list = ordered_json::array();
  for (const Direction& one : report.directions) {
    list.push_back({{"settled", one.share}, {"loadings", one.loadings}});
  }
  return list;
}

/// Of 9 times in 10, in the unit of the measurement.
ordered_json foretold_range_json(const Foretold& told) {
  const double reach = numeric::normal_quantile(0.95) * told.log_sd;
  return {{"mid", std::exp(told.log_mid)},
          {"low", std::exp(told.log_mid - reach)},
          {"high", std::exp(told.log_mid + reach)}};
}

ordered_json predictions_json(const Calibrated& all) {
  ordered_json list = ordered_json::array();
  for (const Trial& trial : all.report.trials) {
    const Swatch& swatch = all.swatches[trial.swatch];
    const Measurement& one = swatch.measurements[trial.measurement];
    list.push_back({{"swatch", swatch.id},
                    {"date", swatch.date},
                    {"column", one.column},
                    {"file", swatch.file},
                    {"line", one.line},
                    {"work", work_of(swatch, one)},
                    {"yarn", one.yarn},
                    {"unit", one.what == Measured::Mass ? "g" : "m"},
                    {"measured", one.value},
                    {"start", foretold_range_json(trial.start)},
                    {"now", foretold_range_json(trial.now)}});
  }
  return list;
}

ordered_json influences_json(const Report& report) {
  ordered_json list = ordered_json::array();
  for (const Influence& one : report.influences) {
    list.push_back(
        {{"piece", one.piece}, {"coefficient", one.coefficient}, {"spreads", one.shift}});
  }
  return list;
}

ordered_json conflicts_json(const Calibrated& all) {
  ordered_json list = ordered_json::array();
  for (const Conflict& one : all.report.conflicts) {
    list.push_back({{"coefficient", all.fit.coefficients[one.coefficient].name},
                    {"starting_spreads", one.starting_spreads}});
  }
  return list;
}

ordered_json record_json(const FrozenRecord& record) {
  ordered_json list = ordered_json::array();
  for (const Outcome& one : record.outcomes) {
    list.push_back({{"piece", one.piece},
                    {"frozen", one.frozen},
                    {"yarn", one.yarn},
                    {"mass_g", {{"mid", one.mid_g}, {"low", one.low_g}, {"high", one.high_g}}},
                    {"used_g", one.used_g},
                    {"outside_g", one.outside_g()}});
  }
  return list;
}

}  // namespace

std::string calibration_report_json(const Calibrated& all, const estimate::StartingValues& values) {
  const ordered_json json = {
      {"schema", kSchema},
      {"engine", kEngineVersion},
      {"calibration", {{"date", all.date}, {"swatches", all.fit.learned.swatches}}},
      {"left_out", comparisons_json(all.report)},
      {"predictions", predictions_json(all)},
      {"coefficients", coefficients_json(all, values)},
      {"directions", directions_json(all.report)},
      {"not_told_apart", pairs_json(all, values)},
      {"out_of_line", out_of_line_json(all)},
      {"influences", influences_json(all.report)},
      {"conflicts", conflicts_json(all)},
      {"pieces_by_work", all.fit.learned.pieces_by_work},
      {"kept_estimates", record_json(all.record)}};
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
