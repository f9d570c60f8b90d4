#include "ellwand/calibrate/report.hpp"

#include "ellwand/calibrate/observe.hpp"
#include "ellwand/calibrate/scores.hpp"
#include "ellwand/numeric/normal.hpp"

#include <Eigen/Eigenvalues>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace ellwand::calibrate {

namespace {

using estimate::Coefficients;

/// Covariance of two figures that move with coefficients by these slopes.
double covariance_by(const std::vector<double>& one, const std::vector<double>& other,
                     const Coefficients& coefficients) {
  double covariance = 0.0;
  for (std::size_t a = 0; a < one.size(); ++a) {
    if (one[a] == 0.0) continue;
    for (std::size_t b = 0; b < other.size(); ++b) {
      if (other[b] == 0.0) continue;
      covariance += one[a] * other[b] * coefficients.covariance(a, b);
    }
  }
  return covariance;
}

}  // namespace

bool is_amount(const Measurement& measurement) {
  return measurement.what == Measured::Mass || measurement.what == Measured::Length;
}

bool is_added(const std::string& name) {
  return name.starts_with("draw_in") || name.starts_with("stretch") ||
         name.starts_with("height_share");
}

namespace {

/// A swatch with what the workshop knows of its coefficients, ready to be asked.
class Foretelling {
 public:
  Foretelling(const Swatch& swatch, const estimate::Workshop& workshop)
      : values_(workshop.values),
        known_(known_of(swatch, workshop)),
        model_(swatch.piece, workshop, in_units(known_)),
        observed_(model_, workshop.values) {}

  Expected expected(const Measurement& measurement) const {
    return observed_.expected(measurement);
  }
  /// Of the logarithms, without what is each figure's own.
  double covariance(const Expected& one, const Expected& other) const {
    return covariance_by(one.slopes, other.slopes, known_);
  }
  /// The kind of measurement, the tool, and what the model does not carry.
  /// @param read  what the tool shows, in the unit of the measurement
  double own_variance(const Measurement& measurement, double read, double extra_sd) const {
    const double of_kind = values_.median(error_name(measurement.what));
    const double of_tool = measurement.reading_sd / read;
    return of_kind * of_kind + of_tool * of_tool + extra_sd * extra_sd;
  }

 private:
  static Coefficients known_of(const Swatch& swatch, const estimate::Workshop& workshop) {
    const auto yarns = estimate::yarns_of(swatch.piece, workshop.yarns);
    Coefficients known = starting_coefficients(workshop.values, yarns, 0, swatch.piece.beginner);
    if (workshop.learned == nullptr) return known;
    return learned_coefficients(known, *workshop.learned, swatch.piece, yarns, 0);
  }
  static Coefficients in_units(const Coefficients& known) {
    Coefficients units;
    units.means = known.means;
    units.spreads.assign(known.size(), 1.0);
    return units;
  }

  const estimate::StartingValues& values_;
  Coefficients known_;
  estimate::PieceModel model_;
  Observed observed_;
};

}  // namespace

Foretold foretold(const Swatch& swatch, const Measurement& measurement,
                  const estimate::Workshop& workshop) {
  const Foretelling foretelling(swatch, workshop);
  const Expected expected = foretelling.expected(measurement);
  return {expected.log_value,
          std::sqrt(foretelling.covariance(expected, expected) +
                    foretelling.own_variance(measurement, std::exp(expected.log_value),
                                             expected.extra_sd))};
}

ForetoldTogether foretold_together(const Swatch& swatch, const estimate::Workshop& workshop) {
  const Foretelling foretelling(swatch, workshop);
  const std::size_t n = swatch.measurements.size();
  std::vector<Expected> expected;
  for (const Measurement& one : swatch.measurements) {
    expected.push_back(foretelling.expected(one));
  }
  ForetoldTogether together;
  together.covariance.resize(n * n);
  for (std::size_t a = 0; a < n; ++a) {
    together.log_mids.push_back(expected[a].log_value);
    for (std::size_t b = 0; b < n; ++b) {
      together.covariance[a * n + b] = foretelling.covariance(expected[a], expected[b]);
    }
    together.covariance[a * n + a] += foretelling.own_variance(
        swatch.measurements[a],
        std::max(std::exp(expected[a].log_value), swatch.measurements[a].value),
        expected[a].extra_sd);
  }
  return together;
}

namespace {

double median(std::vector<double> values) {
  if (values.empty()) return 0.0;
  std::sort(values.begin(), values.end());
  const std::size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : 0.5 * (values[half - 1] + values[half]);
}

}  // namespace

Score score_of(const std::vector<Forecast>& forecasts) {
  const double z = numeric::normal_quantile(0.95);
  Score score;
  std::vector<double> off;
  for (const auto& [told, read] : forecasts) {
    const double strays = std::log(read) - told.log_mid;
    off.push_back(std::abs(std::expm1(strays)));
    const double reach = z * told.log_sd;
    if (std::abs(strays) <= reach) ++score.inside;
    score.mean_abs_log_error += std::abs(strays);
    score.crps += crps_normal(0.0, told.log_sd, strays);
    score.interval_score += interval_score(-reach, reach, strays, 0.1);
    ++score.amounts;
  }
  const double count = std::max(score.amounts, 1);
  score.mean_abs_log_error /= count;
  score.crps /= count;
  score.interval_score /= count;
  score.typical_off = median(std::move(off));
  return score;
}

Score score_of(const std::vector<Trial>& trials, const std::vector<Swatch>& swatches, bool is_now) {
  std::vector<Forecast> forecasts;
  for (const Trial& trial : trials) {
    forecasts.push_back({is_now ? trial.now : trial.start,
                         swatches[trial.swatch].measurements[trial.measurement].value});
  }
  return score_of(forecasts);
}

bool is_worse_beyond_chance(const std::vector<Trial>& trials, const std::vector<Swatch>& swatches) {
  constexpr std::size_t kFewest = 6;
  const auto n = static_cast<double>(trials.size());
  if (trials.size() < kFewest) return false;
  double sum = 0.0;
  double squares = 0.0;
  for (const Trial& trial : trials) {
    const double read = std::log(swatches[trial.swatch].measurements[trial.measurement].value);
    const double grew = std::abs(read - trial.now.log_mid) - std::abs(read - trial.start.log_mid);
    sum += grew;
    squares += grew * grew;
  }
  const double mean = sum / n;
  const double variance_of_mean = std::max(squares / n - mean * mean, 0.0) / (n - 1.0);
  return mean > 2.0 * std::sqrt(variance_of_mean);
}

std::vector<Comparison> grown_worse(const std::vector<Comparison>& comparisons) {
  constexpr int kFewest = 5;
  constexpr double kByATenth = 1.1;
  std::vector<Comparison> worse;
  for (std::size_t i = 1; i < comparisons.size(); ++i) {  // the first is all of them
    const Comparison& one = comparisons[i];
    const bool has_grown = one.now.typical_off > one.start.typical_off &&
                           one.now.typical_off >= kByATenth * one.start.typical_off;
    if (one.now.amounts >= kFewest && has_grown) worse.push_back(one);
  }
  return worse;
}

std::vector<Settled> settled_of(const Fit& fit) {
  std::vector<Settled> all;
  for (std::size_t c = 0; c < fit.coefficients.size(); ++c) {
    const FittedCoefficient& one = fit.coefficients[c];
    const double left = one.start_spread > 0.0 ? one.spread / one.start_spread : 1.0;
    all.push_back({c, std::clamp(1.0 - left * left, 0.0, 1.0)});
  }
  return all;
}

namespace {

/// Covariance of the coefficients in their starting spreads.
Eigen::MatrixXd whitened_covariance(const Fit& fit) {
  const auto n = static_cast<Eigen::Index>(fit.coefficients.size());
  Eigen::MatrixXd whitened = Eigen::MatrixXd::Identity(n, n);
  for (Eigen::Index a = 0; a < n; ++a) {
    for (Eigen::Index b = 0; b < n; ++b) {
      const double scale = fit.coefficients[static_cast<std::size_t>(a)].start_spread *
                           fit.coefficients[static_cast<std::size_t>(b)].start_spread;
      if (!(scale > 0.0)) continue;
      whitened(a, b) = fit.learned.covariances[static_cast<std::size_t>(a * n + b)] / scale;
    }
  }
  return whitened;
}

}  // namespace

std::vector<Direction> directions_of(const Fit& fit) {
  std::vector<Direction> all;
  if (fit.coefficients.empty()) return all;
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solved(whitened_covariance(fit));
  for (Eigen::Index k = 0; k < solved.eigenvalues().size(); ++k) {
    const Eigen::VectorXd vector = solved.eigenvectors().col(k);
    all.push_back({std::clamp(1.0 - solved.eigenvalues()(k), 0.0, 1.0),
                   {vector.data(), vector.data() + vector.size()}});
  }
  return all;
}

std::vector<Pair> pairs_of(const Fit& fit) {
  const std::vector<Settled> settled = settled_of(fit);
  const std::size_t n = fit.coefficients.size();
  std::vector<Pair> all;
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = a + 1; b < n; ++b) {
      const double spreads = fit.coefficients[a].spread * fit.coefficients[b].spread;
      if (!(spreads > 0.0)) continue;
      const double correlation = fit.learned.covariances[a * n + b] / spreads;
      const bool one_is_open = std::min(settled[a].share, settled[b].share) < kToldApartShare;
      if (correlation <= kTogether && one_is_open) all.push_back({a, b, correlation});
    }
  }
  std::stable_sort(all.begin(), all.end(), [](const Pair& one, const Pair& other) {
    return one.correlation < other.correlation;
  });
  return all;
}

std::vector<OutOfLine> out_of_line_of(const Fit& fit) {
  std::vector<OutOfLine> all;
  for (const FittedRow& row : fit.rows) {
    if (row.is_set_aside) {
      all.push_back({row.swatch, row.measurement, std::exp(row.by_others), row.by_others_sd, true});
    } else if (row.weight < kOutOfLineWeight) {
      all.push_back({row.swatch, row.measurement, std::exp(row.log_residual), row.sd, false});
    }
  }
  return all;
}

std::vector<Conflict> conflicts_of(const Fit& fit) {
  std::vector<Conflict> all;
  for (std::size_t c = 0; c < fit.coefficients.size(); ++c) {
    const FittedCoefficient& one = fit.coefficients[c];
    if (!(one.start_spread > 0.0)) continue;
    const double spreads = one.mean / one.start_spread;
    if (std::abs(spreads) > kConflictSpreads) all.push_back({c, spreads});
  }
  return all;
}

namespace {

/// Leaves pieces out by turns.
class Trials {
 public:
  Trials(const Fit& fit, const std::vector<Swatch>& swatches, const estimate::Workshop& workshop,
         const FitOptions& options)
      : fit_(fit), swatches_(swatches), workshop_(workshop), options_(options) {
    std::map<std::string, std::size_t> places;
    for (const Swatch& swatch : swatches) {
      piece_of_.push_back(places.emplace(swatch.piece.id, places.size()).first->second);
    }
    pieces_ = places.size();
    turns_ = pieces_ <= kMostLeftOutSingly ? pieces_ : 10;
  }

  void run(Report& report) {
    for (std::size_t turn = 0; turn < turns_; ++turn) leave_out(turn, report);
    std::stable_sort(report.influences.begin(), report.influences.end(),
                     [](const Influence& one, const Influence& other) {
                       return std::abs(one.shift) > std::abs(other.shift);
                     });
  }

 private:
  void leave_out(std::size_t turn, Report& report) {
    std::vector<Swatch> rest;
    for (std::size_t s = 0; s < swatches_.size(); ++s) {
      if (piece_of_[s] % turns_ != turn) rest.push_back(swatches_[s]);
    }
    const Fit without = fit(rest, workshop_, options_);
    if (without.verdict == Verdict::NotSettled) return;
    std::string piece;
    for (std::size_t s = 0; s < swatches_.size(); ++s) {
      if (piece_of_[s] % turns_ != turn) continue;
      piece = swatches_[s].piece.id;
      try_on(s, without, report);
    }
    if (turns_ == pieces_) report.influences.push_back(influence(piece, without));
  }

  void try_on(std::size_t swatch, const Fit& without, Report& report) const {
    estimate::Workshop start = workshop_;
    start.learned = nullptr;
    estimate::Workshop now = workshop_;
    now.learned = without.verdict == Verdict::NoSwatches ? nullptr : &without.learned;
    for (std::size_t m = 0; m < swatches_[swatch].measurements.size(); ++m) {
      const Measurement& measurement = swatches_[swatch].measurements[m];
      if (!is_fitted(measurement)) continue;
      (is_amount(measurement) ? report.trials : report.other_trials)
          .push_back({swatch, m, foretold(swatches_[swatch], measurement, start),
                      foretold(swatches_[swatch], measurement, now)});
    }
  }

  /// A coefficient that only this piece knows goes back to where it started.
  Influence influence(const std::string& piece, const Fit& without) const {
    Influence largest;
    largest.piece = piece;
    for (const FittedCoefficient& one : fit_.coefficients) {
      if (!(one.spread > 0.0)) continue;
      const std::size_t place = without.learned.find(one.name);
      const double other = place == estimate::Learned::kNone ? 0.0 : without.learned.means[place];
      const double shift = (one.mean - other) / one.spread;
      if (std::abs(shift) <= std::abs(largest.shift)) continue;
      largest.shift = shift;
      largest.coefficient = one.name;
    }
    return largest;
  }

  const Fit& fit_;
  const std::vector<Swatch>& swatches_;
  const estimate::Workshop& workshop_;
  const FitOptions& options_;
  std::vector<std::size_t> piece_of_;
  std::size_t pieces_ = 0;
  std::size_t turns_ = 0;
};

std::vector<Comparison> comparisons_of(const std::vector<Trial>& trials,
                                       const std::vector<Swatch>& swatches) {
  std::map<std::string, std::vector<Trial>> by_work;
  for (const Trial& trial : trials) {
    const Swatch& swatch = swatches[trial.swatch];
    by_work[work_of(swatch, swatch.measurements[trial.measurement])].push_back(trial);
  }
  const auto compared = [&](const std::string& work, const std::vector<Trial>& some) {
    return Comparison{work, score_of(some, swatches, false), score_of(some, swatches, true)};
  };
  std::vector<Comparison> all;
  if (trials.empty()) return all;
  all.push_back(compared(by_work.size() == 1 ? by_work.begin()->first : "", trials));
  if (by_work.size() == 1) return all;
  for (const auto& [work, some] : by_work) all.push_back(compared(work, some));
  return all;
}

}  // namespace

std::string work_of(const Swatch& swatch, const Measurement& measurement) {
  const std::vector<piece::Band>& bands = swatch.piece.bands;
  if (measurement.band) return technique::name_of(bands.at(*measurement.band).work);
  if (bands.empty()) return {};
  std::set<std::string> works;
  for (const piece::Band& band : bands) works.insert(technique::name_of(band.work));
  return works.size() == 1 ? *works.begin() : "several";
}

std::vector<Trial> seen_trials(const Fit& fit, const std::vector<Swatch>& swatches,
                               const estimate::Workshop& workshop) {
  estimate::Workshop start = workshop;
  start.learned = nullptr;
  estimate::Workshop now = workshop;
  now.learned = fit.verdict == Verdict::NoSwatches ? nullptr : &fit.learned;
  std::vector<Trial> all;
  for (std::size_t s = 0; s < swatches.size(); ++s) {
    for (std::size_t m = 0; m < swatches[s].measurements.size(); ++m) {
      const Measurement& measurement = swatches[s].measurements[m];
      if (!is_fitted(measurement)) continue;
      all.push_back({s, m, foretold(swatches[s], measurement, start),
                     foretold(swatches[s], measurement, now)});
    }
  }
  return all;
}

Report report(const Fit& fit, const std::vector<Swatch>& swatches,
              const estimate::Workshop& workshop, const FitOptions& options) {
  Report report;
  Trials(fit, swatches, workshop, options).run(report);
  report.comparisons = comparisons_of(report.trials, swatches);
  report.settled = settled_of(fit);
  report.directions = directions_of(fit);
  report.pairs = pairs_of(fit);
  report.out_of_line = out_of_line_of(fit);
  report.conflicts = conflicts_of(fit);
  return report;
}

}  // namespace ellwand::calibrate
