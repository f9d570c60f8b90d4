#include "ellwand/studio/notebook_tables.hpp"

#include "ellwand/numeric/normal.hpp"

#include <fmt/format.h>

#include <cmath>
#include <iterator>
#include <map>
#include <utility>

namespace ellwand::studio {

namespace {

using calibrate::Fit;
using calibrate::FittedCoefficient;
using calibrate::FittedRow;
using calibrate::Forecast;
using calibrate::Foretold;
using calibrate::Includes;
using calibrate::is_added;
using calibrate::LearningCurve;
using calibrate::LearningPoint;
using calibrate::Measured;
using calibrate::Measurement;
using calibrate::Prediction;
using calibrate::Report;
using calibrate::Score;
using calibrate::Settled;
using calibrate::Swatch;
using calibrate::Trial;
using Row = std::vector<std::string>;

/// What is measured, in the words of the tables, and the unit it is written in.
struct MeasuredKind {
  const char* name;
  const char* unit;
  double per_si;  ///< of the unit in one of the measurement's own
};

MeasuredKind kind_of(Measured what) {
  switch (what) {
    case Measured::Mass:
      return {"mass", "g", 1.0};
    case Measured::Length:
      return {"length of yarn", "m", 1.0};
    case Measured::Height:
      return {"height", "cm", 100.0};
    case Measured::Width:
      return {"width", "cm", 100.0};
    case Measured::Diameter:
      return {"thickness of a strand", "mm", 1000.0};
    case Measured::EndLength:
      return {"length of a warp end", "cm", 100.0};
    case Measured::Density:
      break;
  }
  return {"grams per metre", "g/m", 1.0};
}

std::string includes_text(const Measurement& measurement) {
  if (!is_amount(measurement)) return {};
  switch (measurement.includes) {
    case Includes::LeftTheBall:
      return "left the ball";
    case Includes::InThePiece:
      return "in the piece";
    case Includes::InTheBand:
      break;
  }
  return "in the band, unpicked";
}

std::string yes_or_no(bool is_so) { return is_so ? "yes" : "no"; }

/// The 90 % range.
struct Ends {
  double low;
  double high;
};

Ends ends_of(const Foretold& told) {
  const double reach = numeric::normal_quantile(0.95) * told.log_sd;
  return {std::exp(told.log_mid - reach), std::exp(told.log_mid + reach)};
}

bool is_inside(const Foretold& told, double read) {
  const Ends ends = ends_of(told);
  return ends.low <= read && read <= ends.high;
}

/// mid, low, high, inside.
void add_forecast(const Foretold& told, const Measurement& measurement, Row& row) {
  const double unit = kind_of(measurement.what).per_si;
  const Ends ends = ends_of(told);
  row.push_back(export_number(unit * std::exp(told.log_mid)));
  row.push_back(export_number(unit * ends.low));
  row.push_back(export_number(unit * ends.high));
  row.push_back(yes_or_no(is_inside(told, measurement.value)));
}

void add_forecast_columns(const std::string& before, const std::string& what,
                          std::vector<ExportColumn>& columns) {
  const char* unit = "that of the column unit";
  columns.push_back({before + "mid", unit, what + ": as likely too high as too low"});
  columns.push_back({before + "low", unit, "lower end of its range, 9 times in 10"});
  columns.push_back({before + "high", unit, "upper end of it"});
  columns.push_back({before + "inside", "", "whether what was measured lies in that range"});
}

/// Which measurement a row is of.
void add_identity_columns(std::vector<ExportColumn>& columns) {
  columns.push_back({"swatch", "", "id of the swatch or the piece"});
  columns.push_back({"date", "", "year-month-day, where it has one"});
  columns.push_back({"file", "", "of the studio, where it was written down"});
  columns.push_back({"line", "", "of that file"});
  columns.push_back({"column", "", "of that file, or the key: used_g and the like"});
  columns.push_back({"what", "", "what was measured"});
  columns.push_back({"work", "", "woven or knotted how; several of a piece as a whole"});
  columns.push_back({"yarn", "", "id of the yarn that was weighed, run off or measured"});
  columns.push_back({"unit", "", "of all figures of this row"});
  columns.push_back({"measured", "that of the column unit", "what was read"});
}

Row identity_of(const ForNotebook& all, std::size_t swatch_index, std::size_t measurement_index) {
  const Swatch& swatch = all.calibrated.swatches[swatch_index];
  const Measurement& one = swatch.measurements[measurement_index];
  const MeasuredKind kind = kind_of(one.what);
  return {swatch.id,
          swatch.date,
          within_studio(swatch.file, all.folder),
          std::to_string(one.line),
          one.column,
          kind.name,
          work_of(swatch, one),
          one.yarn,
          kind.unit,
          export_number(kind.per_si * one.value)};
}

using MeasurementPlace = std::pair<std::size_t, std::size_t>;  ///< a swatch, and its measurement

std::map<MeasurementPlace, Foretold> left_out_of(const Report& report) {
  std::map<MeasurementPlace, Foretold> all;
  for (const auto* trials : {&report.trials, &report.other_trials}) {
    for (const Trial& trial : *trials) all[{trial.swatch, trial.measurement}] = trial.now;
  }
  return all;
}

std::map<MeasurementPlace, double> weights_of(const Fit& fit) {
  std::map<MeasurementPlace, double> all;
  for (const FittedRow& row : fit.rows) all[{row.swatch, row.measurement}] = row.weight;
  return all;
}

std::vector<ExportColumn> swatches_columns() {
  std::vector<ExportColumn> columns;
  add_identity_columns(columns);
  const std::vector<ExportColumn> more = {
      {"lot", "", "dye lot of the yarn, where it is known"},
      {"weaver", "", "who wove it; empty is the studio's owner"},
      {"includes", "", "what an amount takes in"},
      {"amount", "", "yes of yarn weighed or run off: what scores are of"},
      {"step", "that of the column unit", "of the tool it was read on"}};
  columns.insert(columns.end(), more.begin(), more.end());
  add_forecast_columns("start_", "by the starting values, before anything was measured", columns);
  add_forecast_columns("fitted_", "by the fit to all measurements, this one among them", columns);
  add_forecast_columns("left_out_", "by a fit without the piece that it is of", columns);
  columns.push_back({"weight", "", "1 counts in full, less the further out of line"});
  return columns;
}

/// What stands between identity and forecasts.
void add_circumstances(const Swatch& swatch, const Measurement& one, Row& row) {
  const auto lot = swatch.lots.find(one.yarn);
  row.push_back(lot == swatch.lots.end() ? "" : lot->second);
  row.push_back(swatch.weaver);
  row.push_back(includes_text(one));
  row.push_back(yes_or_no(is_amount(one)));
  row.push_back(export_number(kind_of(one.what).per_si * one.step));
}

ExportTable swatches_table(const ForNotebook& all) {
  ExportTable table{"swatches.csv", "a measurement, as the fit used it", swatches_columns(), {}};
  const std::map<MeasurementPlace, Foretold> left_out = left_out_of(all.calibrated.report);
  const std::map<MeasurementPlace, double> weights = weights_of(all.calibrated.fit);
  for (const Trial& seen : all.seen) {
    const MeasurementPlace place = {seen.swatch, seen.measurement};
    const Swatch& swatch = all.calibrated.swatches[seen.swatch];
    const Measurement& one = swatch.measurements[seen.measurement];
    Row row = identity_of(all, seen.swatch, seen.measurement);
    add_circumstances(swatch, one, row);
    add_forecast(seen.start, one, row);
    add_forecast(seen.now, one, row);
    const auto without = left_out.find(place);
    if (without == left_out.end()) {
      row.resize(row.size() + 4);  // the fit without it did not settle
    } else {
      add_forecast(without->second, one, row);
    }
    row.push_back(export_number(weights.at(place)));
    table.rows.push_back(std::move(row));
  }
  return table;
}

/// A point of a coefficient as it acts: a factor, or a share that is added.
double acting(const std::string& name, double value) {
  return is_added(name) ? value : std::exp(value);
}

ExportTable coefficients_table(const ForNotebook& all) {
  ExportTable table{
      "coefficients.csv",
      "a coefficient that some measurement moves with",
      {{"name", "", "the same across pieces"},
       {"meaning", "", "in a weaver's words"},
       {"acts_as", "", "factor: mean and spread are of its logarithm; share: added as it is"},
       {"start_spread", "", "standard deviation before anything was measured, about a mean of 0"},
       {"mean", "", "after"},
       {"spread", "", "standard deviation after"},
       {"settled", "", "share of the starting variance that the measurements took away"},
       {"start_low", "", "lower end of the range 9 times in 10 before, as it acts"},
       {"start_high", "", "upper end of it"},
       {"mid", "", "after, as it acts"},
       {"low", "", "lower end of the range 9 times in 10 after, as it acts"},
       {"high", "", "upper end of it"}},
      {}};
  const double z = numeric::normal_quantile(0.95);
  for (const Settled& settled : all.calibrated.report.settled) {
    const FittedCoefficient& one = all.calibrated.fit.coefficients[settled.coefficient];
    Row row = {one.name, one.meaning, is_added(one.name) ? "share" : "factor"};
    for (const double value :
         {one.start_spread, one.mean, one.spread, settled.share,
          acting(one.name, -z * one.start_spread), acting(one.name, z * one.start_spread),
          acting(one.name, one.mean), acting(one.name, one.mean - z * one.spread),
          acting(one.name, one.mean + z * one.spread)}) {
      row.push_back(export_number(value));
    }
    table.rows.push_back(std::move(row));
  }
  return table;
}

ExportTable covariance_table(const Fit& fit) {
  ExportTable table{"covariance.csv",
                    "a coefficient",
                    {{"name", "", "of the coefficient, as in coefficients.csv"}},
                    {}};
  const std::size_t n = fit.coefficients.size();
  for (const FittedCoefficient& one : fit.coefficients) {
    table.columns.push_back({one.name, "", "covariance with this coefficient, after"});
  }
  for (std::size_t a = 0; a < n; ++a) {
    Row row = {fit.coefficients[a].name};
    for (std::size_t b = 0; b < n; ++b) {
      row.push_back(export_number(fit.learned.covariances[a * n + b]));
    }
    table.rows.push_back(std::move(row));
  }
  return table;
}

ExportTable predictions_table(const ForNotebook& all) {
  ExportTable table{"predictions.csv",
                    "an amount, foretold by the pieces measured before it",
                    {{"learned_from", "", "so many pieces, the first by date"}},
                    {}};
  add_identity_columns(table.columns);
  add_forecast_columns("", "by those pieces", table.columns);
  for (const Prediction& one : all.learning.predictions) {
    Row row = {std::to_string(one.pieces)};
    const Row identity = identity_of(all, one.swatch, one.measurement);
    row.insert(row.end(), identity.begin(), identity.end());
    add_forecast(one.told, all.calibrated.swatches[one.swatch].measurements[one.measurement], row);
    table.rows.push_back(std::move(row));
  }
  return table;
}

ExportTable learning_table(const LearningCurve& curve) {
  ExportTable table{
      "learning.csv",
      "a number of pieces learned from, and how well they foretold all that came after",
      {{"learned_from", "", "so many pieces, the first by date"},
       {"last_piece", "", "the last of them"},
       {"last_date", "", "its date"},
       {"amounts", "", "how many came after"},
       {"start_mean_abs_log_error", "",
        "of those, by the starting values: mean of |ln(measured / mid)|"},
       {"mean_abs_log_error", "", "by those pieces"},
       {"start_count_inside", "", "how many of those in their range, by the starting values"},
       {"count_inside", "", "by those pieces"},
       {"start_interval_score", "", "mean, of the range of the logarithm, by the starting values"},
       {"interval_score", "", "by those pieces"}},
      {}};
  for (const LearningPoint& point : curve.points) {
    table.rows.push_back(
        {std::to_string(point.pieces), point.last_piece, point.last_date,
         std::to_string(point.now.amounts), export_number(point.start.mean_abs_log_error),
         export_number(point.now.mean_abs_log_error), std::to_string(point.start.inside),
         std::to_string(point.now.inside), export_number(point.start.interval_score),
         export_number(point.now.interval_score)});
  }
  return table;
}

/// mid, low, high, set aside, in g.
std::vector<double> grams_of(const estimate::YarnEstimate& yarn) {
  return {yarn.mass_g.mid, yarn.mass_g.low, yarn.mass_g.high, yarn.set_aside_g};
}

ExportTable pieces_table(const std::vector<PieceForetold>& pieces) {
  ExportTable table{"pieces.csv",
                    "a yarn of a planned piece, of any where none is planned",
                    {{"piece", "", "id of the piece"},
                     {"yarn", "", "id of the yarn"},
                     {"start_mid", "g", "by the starting values: as likely more as less"},
                     {"start_low", "g", "lower end of its range, 9 times in 10"},
                     {"start_high", "g", "upper end of it"},
                     {"start_set_aside", "g", "suffices 19 times in 20"},
                     {"now_mid", "g", "by all that was measured: as likely more as less"},
                     {"now_low", "g", "lower end of its range, 9 times in 10"},
                     {"now_high", "g", "upper end of it"},
                     {"now_set_aside", "g", "suffices 19 times in 20"}},
                    {}};
  for (const PieceForetold& piece : pieces) {
    for (std::size_t y = 0; y < piece.start.yarns.size(); ++y) {
      Row row = {piece.start.piece, piece.start.yarns[y].yarn};
      for (const auto* one : {&piece.start.yarns[y], &piece.now.yarns[y]}) {
        for (const double grams : grams_of(*one)) row.push_back(export_number(grams));
      }
      table.rows.push_back(std::move(row));
    }
  }
  return table;
}

/// The engine's figures, one a row.
class EngineTable {
 public:
  explicit EngineTable(const ForNotebook& all) : all_(all), calibrated_(all.calibrated) {}

  ExportTable table() {
    const Report& report = calibrated_.report;
    add("measurements", "all", "", static_cast<double>(all_.seen.size()));
    add_scores(all_.seen, report.trials, true);
    add_scores(all_.seen, report.other_trials, false);
    add("weight_sum", "all", "fitted", weight_sum());
    add("step_share", "all", "", step_share());
    for (const Settled& settled : report.settled) {
      const FittedCoefficient& one = calibrated_.fit.coefficients[settled.coefficient];
      add("settled", one.name, "fitted", settled.share);
      add("starting_spreads_moved", one.name, "fitted",
          one.start_spread > 0.0 ? one.mean / one.start_spread : 0.0);
    }
    for (std::size_t k = 0; k < report.directions.size(); ++k) {
      add("direction_settled", std::to_string(k + 1), "fitted", report.directions[k].share);
    }
    for (const PieceForetold& piece : all_.pieces) {
      add_piece(piece.start, "start");
      add_piece(piece.now, "now");
    }
    return std::move(table_);
  }

 private:
  /// Of all yarns of a piece together.
  void add_piece(const estimate::PieceEstimate& piece, const std::string& by) {
    static constexpr const char* kFigures[] = {"mid_g", "low_g", "high_g", "set_aside_g"};
    for (std::size_t f = 0; f < std::size(kFigures); ++f) {
      double sum = 0.0;
      for (const estimate::YarnEstimate& yarn : piece.yarns) sum += grams_of(yarn)[f];
      add(kFigures[f], piece.piece, by, sum);
    }
  }

  void add(const std::string& figure, const std::string& of, const std::string& by, double value) {
    table_.rows.push_back({figure, of, by, export_number(value)});
  }

  double step_share() const {
    double sum = 0.0;
    for (const Trial& trial : all_.seen) {
      const Measurement& one = calibrated_.swatches[trial.swatch].measurements[trial.measurement];
      sum += one.step / one.value;
    }
    return all_.seen.empty() ? 0.0 : sum / static_cast<double>(all_.seen.size());
  }

  double weight_sum() const {
    double sum = 0.0;
    for (const FittedRow& row : calibrated_.fit.rows) sum += row.weight;
    return sum;
  }

  void add_score(const std::string& of, const std::string& by, const Score& score) {
    if (score.amounts == 0) return;
    add("count", of, by, score.amounts);
    add("mean_abs_log_error", of, by, score.mean_abs_log_error);
    add("typically_off", of, by, score.typical_off);
    add("coverage", of, by, static_cast<double>(score.inside) / score.amounts);
    add("interval_score", of, by, score.interval_score);
    add("crps", of, by, score.crps);
  }

  /// Of all, then work by work; of what is no amount, kind by kind.
  void add_scores(const std::vector<Trial>& seen, const std::vector<Trial>& left_out,
                  bool are_amounts) {
    const std::string whole = are_amounts ? "all amounts" : "all others";
    std::map<std::string, std::map<std::string, std::vector<Forecast>>> forecasts;
    const auto gather = [&](const std::string& by, const Trial& trial, const Foretold& told) {
      const Swatch& swatch = calibrated_.swatches[trial.swatch];
      const Measurement& one = swatch.measurements[trial.measurement];
      if (is_amount(one) != are_amounts) return;
      const std::string group = are_amounts ? work_of(swatch, one) : kind_of(one.what).name;
      for (const std::string& of : {whole, group}) forecasts[of][by].push_back({told, one.value});
    };
    for (const Trial& trial : seen) {
      gather("start", trial, trial.start);
      gather("fitted", trial, trial.now);
    }
    for (const Trial& trial : left_out) gather("left_out", trial, trial.now);
    for (const auto& [of, by] : forecasts) {
      for (const auto& [way, these] : by) add_score(of, way, score_of(these));
    }
  }

  const ForNotebook& all_;
  const Calibrated& calibrated_;
  ExportTable table_{
      "engine.csv",
      "a figure that the engine has; the notebook reckons it again from the other tables",
      {{"figure", "",
        "count; mean_abs_log_error: of ln(measured / mid); typically_off: median of |measured / "
        "mid - 1|; coverage: share inside the range that is to hold 9 in 10; interval_score and "
        "crps: mean, of the logarithm; weight_sum; step_share: mean of step / measured; settled; "
        "starting_spreads_moved: mean over start_spread; "
        "direction_settled: 1 less an eigenvalue of the covariance in starting spreads; "
        "mid_g and the like: sum over the yarns of a piece"},
       {"of", "", "all amounts, a work, all others, a kind, a coefficient, a direction, a piece"},
       {"by", "", "start, fitted, left_out or now, as the columns begin"},
       {"value", "", "shares from 0 to 1"}},
      {}};
};

}  // namespace

std::string within_studio(const std::string& file, const std::filesystem::path& folder) {
  return std::filesystem::path(file).lexically_relative(folder).generic_string();
}

std::vector<ExportTable> notebook_tables(const ForNotebook& all) {
  std::vector<ExportTable> tables = {
      swatches_table(all),     coefficients_table(all),      covariance_table(all.calibrated.fit),
      predictions_table(all),  learning_table(all.learning), pieces_table(all.pieces),
      EngineTable(all).table()};
  tables.push_back(described(tables, "columns.csv"));
  return tables;
}

}  // namespace ellwand::studio
