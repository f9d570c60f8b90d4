#include "ellwand/numeric/least_squares.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <sstream>

#include "ellwand/numeric/covariance.hpp"
#include "ellwand/numeric/sums.hpp"
#include "ellwand/units/error.hpp"

namespace ellwand::numeric {

namespace {

constexpr int kMostRounds = 200;        // of robust weights
constexpr int kToState = 2;             // evaluations kept back to state the result
constexpr int kLeastRound = 4;          // a round with fewer evaluations is not begun
constexpr double kSettledMove = 1e-9;   // of a coordinate, from one round to the next
constexpr double kSpreadOfPrior = 2.0;  // other starts: prior sds for a change of 1

/// The data rows by coordinates, weighted, with the prior rows after them.
class CoordinateProblem final : public ResidualProblem {
 public:
  CoordinateProblem(const ResidualModel& model, std::span<const Parameter> parameters)
      : model_(model),
        parameters_(parameters),
        root_weights_(model.rows(), 1.0),
        prior_rows_(static_cast<std::size_t>(
            std::count_if(parameters.begin(), parameters.end(),
                          [](const Parameter& p) { return p.prior.has_value(); }))) {}

  std::size_t rows() const override { return model_.rows() + prior_rows_; }
  std::size_t unknowns() const override { return parameters_.size(); }

  void residuals(std::span<const double> at, std::span<double> residuals) const override {
    const std::vector<double> values = parameters_at(at);
    if (!inside(values)) {
      std::fill(residuals.begin(), residuals.end(), std::numeric_limits<double>::quiet_NaN());
      return;
    }
    model_.residuals(values, residuals.first(model_.rows()));
    for (std::size_t i = 0; i < model_.rows(); ++i) residuals[i] *= root_weights_[i];
    std::size_t row = model_.rows();
    for (std::size_t j = 0; j < parameters_.size(); ++j) {
      const auto& prior = parameters_[j].prior;
      if (prior) residuals[row++] = (at[j] - prior->mean) / prior->sd;
    }
  }

  std::unique_ptr<Linearisation> linearise(std::span<const double> at) const override {
    return dense_linearisation(slopes(at), unknowns());
  }

  double moved(std::size_t unknown, double at, double by) const override {
    const Parameter& parameter = parameters_[unknown];
    if (parameter.prior) return at + kSpreadOfPrior * by * parameter.prior->sd;
    return parameter.coordinate.moved(at, by);
  }

  bool at_boundary(std::span<const double> at) const override {
    for (std::size_t j = 0; j < parameters_.size(); ++j) {
      const Coordinate& coordinate = parameters_[j].coordinate;
      if (coordinate.at_boundary(at[j], coordinate.of(parameters_[j].start))) return true;
    }
    return false;
  }

  /// Slopes of every row, prior rows last.
  std::vector<double> slopes(std::span<const double> at) const {
    const std::size_t n = unknowns();
    std::vector<double> slopes(rows() * n, 0.0);
    model_.slopes(parameters_at(at), std::span(slopes).first(model_.rows() * n));
    for (std::size_t j = 0; j < n; ++j) {
      const double by_coordinate = parameters_[j].coordinate.slope(at[j]);
      for (std::size_t i = 0; i < model_.rows(); ++i) {
        slopes[i * n + j] *= by_coordinate * root_weights_[i];
      }
    }
    std::size_t row = model_.rows();
    for (std::size_t j = 0; j < n; ++j) {
      const auto& prior = parameters_[j].prior;
      if (prior) slopes[row++ * n + j] = 1.0 / prior->sd;
    }
    return slopes;
  }

  std::vector<double> parameters_at(std::span<const double> at) const {
    std::vector<double> values(at.size());
    for (std::size_t j = 0; j < at.size(); ++j) {
      values[j] = parameters_[j].coordinate.parameter(at[j]);
    }
    return values;
  }

  std::vector<double> starts() const {
    std::vector<double> starts(parameters_.size());
    for (std::size_t j = 0; j < starts.size(); ++j) {
      starts[j] = parameters_[j].coordinate.of(parameters_[j].start);
    }
    return starts;
  }

  void set_weights(std::span<const double> weights) {
    for (std::size_t i = 0; i < weights.size(); ++i) root_weights_[i] = std::sqrt(weights[i]);
  }

 private:
  static bool inside(std::span<const double> values) {
    return std::all_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
  }

  const ResidualModel& model_;
  std::span<const Parameter> parameters_;
  std::vector<double> root_weights_;
  std::size_t prior_rows_;
};

void require_usable(std::span<const Parameter> parameters, const FitSettings& settings) {
  if (parameters.empty()) throw OutOfRange("a fit has no parameter; give at least one");
  for (std::size_t j = 0; j < parameters.size(); ++j) {
    const auto& prior = parameters[j].prior;
    if (!prior) continue;
    std::ostringstream text;
    if (!settings.rows_in_sds) {
      text << "parameter " << j + 1 << " has a prior, but the rows are not in units of their "
           << "standard deviations; divide each row by its own and say rows_in_sds";
    } else if (!std::isfinite(prior->mean) || !std::isfinite(prior->sd) || !(prior->sd > 0.0)) {
      text << "the prior of parameter " << j + 1 << " has mean " << prior->mean << " and sd "
           << prior->sd << "; give finite ones, the sd above 0";
    } else {
      continue;
    }
    throw OutOfRange(text.str());
  }
}

Verdict verdict_of(const Found& found, int agreeing) {
  switch (found.ending) {
    case Ending::NoFiniteStart:
      return Verdict::NoFiniteStart;
    case Ending::RankLost:
      return Verdict::NotPinned;
    case Ending::AtBoundary:
      return Verdict::AtBoundary;
    case Ending::Flat:
      return Verdict::Flat;
    case Ending::OutOfEvaluations:
      return Verdict::OutOfEvaluations;
    case Ending::Stationary:
      break;
  }
  if (found.reached < agreeing) return Verdict::ReachedOnce;
  return found.others.empty() ? Verdict::Settled : Verdict::SeveralMinima;
}

/// A fit on its way: search, reweight, state.
class Fitting {
 public:
  Fitting(const ResidualModel& model, std::span<const Parameter> parameters,
          const FitSettings& settings)
      : model_(model),
        parameters_(parameters),
        settings_(settings),
        problem_(model, parameters),
        residuals_(problem_.rows()) {
    fit_.weights.assign(model.rows(), 1.0);
  }

  Fit go() {
    SearchSettings search_settings = settings_.search;
    search_settings.most_evaluations -= kToState;
    if (settings_.rows_in_sds) search_settings.variance = 1.0;
    const Found found = search(problem_, problem_.starts(), search_settings);
    fit_.verdict = verdict_of(found, search_settings.agreeing);
    fit_.evaluations = found.evaluations;
    fit_.starts = found.starts;
    if (fit_.verdict == Verdict::NoFiniteStart) return fit_;
    at_ = found.lowest.at;
    for (const Minimum& other : found.others) {
      fit_.others.push_back({problem_.parameters_at(other.at), other.cost});
    }
    if (settings_.robust.rule != RobustRule::None) settle_weights();
    state();
    return fit_;
  }

 private:
  /// Data residuals without weights.
  std::span<const double> plain_residuals() {
    ++fit_.evaluations;
    const auto data = std::span(residuals_).first(model_.rows());
    model_.residuals(problem_.parameters_at(at_), data);
    return data;
  }

  void settle_weights() {
    for (int round = 0; round < kMostRounds; ++round) {
      const int left = settings_.search.most_evaluations - kToState - 1 - fit_.evaluations;
      if (left < kLeastRound) break;
      refresh_weights();
      const Descent descent = descend(problem_, at_, settings_.search.descent, left);
      fit_.evaluations += descent.evaluations;
      if (descent.ending != Ending::Stationary) break;
      const bool settled = moved_little(descent);
      at_ = descent.at;
      if (settled) return;
    }
    fit_.verdict = Verdict::WeightsUnsettled;
  }

  void refresh_weights() {
    const std::span<const double> residuals = plain_residuals();
    const bool by_median = settings_.robust.scale == RobustScale::Mad;
    fit_.robust_scale = by_median ? median_spread(residuals) : 1.0;
    if (!(fit_.robust_scale > 0.0)) return;  // half of the rows fit exactly: nothing to go by
    for (std::size_t i = 0; i < residuals.size(); ++i) {
      fit_.weights[i] = robust_weight(settings_.robust, residuals[i] / fit_.robust_scale);
    }
    problem_.set_weights(fit_.weights);
  }

  bool moved_little(const Descent& descent) const {
    double moved = 0.0;
    double length = 0.0;
    for (std::size_t j = 0; j < at_.size(); ++j) {
      moved = std::hypot(moved, descent.scale[j] * (descent.at[j] - at_[j]));
      length = std::hypot(length, descent.scale[j] * descent.at[j]);
    }
    return moved <= kSettledMove * length;
  }

  void state() {
    fit_.parameters = problem_.parameters_at(at_);
    problem_.residuals(at_, residuals_);
    ++fit_.evaluations;
    fit_.rss = sum_of_squares(std::span(residuals_).first(model_.rows()));
    fit_.cost = sum_of_squares(residuals_);
    state_uncertainty();
  }

  void state_uncertainty() {
    ++fit_.evaluations;
    const Uncertainty found = uncertainty_of(problem_.slopes(at_), at_.size(), model_.rows());
    fit_.rank = found.rank;
    fit_.effective_df = found.data_share;
    if (found.inverse.empty()) {
      // Graver verdicts, which come later in the list, stand.
      fit_.verdict = std::max(fit_.verdict, Verdict::NotPinned);
      return;
    }
    const double free = static_cast<double>(model_.rows()) - found.data_share;
    const bool left_over = free > 1e-9;
    if (left_over) fit_.residual_sd = std::sqrt(fit_.rss / free);
    if (!left_over && !settings_.rows_in_sds) return;
    const double variance = settings_.rows_in_sds ? 1.0 : fit_.rss / free;
    fit_.covariance = found.inverse;
    for (double& entry : fit_.covariance) entry *= variance;
    for (std::size_t j = 0; j < at_.size(); ++j) {
      const double sd = std::sqrt(fit_.covariance[j * at_.size() + j]);
      fit_.sds.push_back(sd * parameters_[j].coordinate.slope(at_[j]));
    }
  }

  const ResidualModel& model_;
  std::span<const Parameter> parameters_;
  const FitSettings& settings_;
  CoordinateProblem problem_;
  std::vector<double> residuals_;
  std::vector<double> at_;
  Fit fit_;
};

}  // namespace

std::string told(Verdict verdict) {
  switch (verdict) {
    case Verdict::Settled:
      return "The fit has settled.";
    case Verdict::SeveralMinima:
      return "The fit has settled, but other values do nearly as well; look at them before "
             "choosing.";
    case Verdict::ReachedOnce:
      return "A best fit was found but not confirmed from another start; allow more evaluations.";
    case Verdict::NotPinned:
      return "The data leave some values open; measure something that tells them apart.";
    case Verdict::AtBoundary:
      return "The fit ran to the end of what a value may be; check that bound and the data.";
    case Verdict::Flat:
      return "The fit no longer improves though it has not settled; check the data or start "
             "nearer.";
    case Verdict::OutOfEvaluations:
      return "The fit was still improving when its evaluations were used up; allow more.";
    case Verdict::WeightsUnsettled:
      return "The fit keeps changing its mind about which rows are wild; check them by hand.";
    case Verdict::NoFiniteStart:
      return "Nothing can be computed at the starting values; give others.";
  }
  return "";
}

Fit fit_least_squares(const ResidualModel& model, std::span<const Parameter> parameters,
                      const FitSettings& settings) {
  require_usable(parameters, settings);
  return Fitting(model, parameters, settings).go();
}

}  // namespace ellwand::numeric
