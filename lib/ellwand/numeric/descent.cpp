#include "ellwand/numeric/descent.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>

#include "ellwand/numeric/infinite.hpp"
#include "ellwand/numeric/sums.hpp"

namespace ellwand::numeric {

namespace {

constexpr double kRounding = std::numeric_limits<double>::epsilon();

// How far the actual fall must agree with the promised one for a step to be kept.
constexpr double kLeastAgreement = 1e-4;
// Steps whose acceleration is longer than this part of half their length are refused.
constexpr double kMostBend = 0.75;
// The bend of the residuals is felt at this part of the step.
constexpr double kFeeler = 0.1;
// Shorter steps than this part of the point hardly bend; the evaluation is saved.
constexpr double kShortStep = 1e-4;
constexpr double kVanishedCosine = 1e-8;  // ends the damped steps
constexpr double kSmallCosine = 1e-6;     // still called stationary after the last steps
constexpr double kSmallStep = 1e-7;
constexpr double kFlat = 1e-11;  // of the sum of squares
constexpr int kFlatSteps = 3;
constexpr int kMostLastSteps = 60;

double length_times(std::span<const double> scale, std::span<const double> v) {
  double sum = 0.0;
  for (std::size_t j = 0; j < v.size(); ++j) sum += (scale[j] * v[j]) * (scale[j] * v[j]);
  return std::sqrt(sum);
}

bool all_finite(std::span<const double> numbers) {
  return std::all_of(numbers.begin(), numbers.end(), [](double x) { return std::isfinite(x); });
}

/// A descent on its way.
class Walk {
 public:
  Walk(const ResidualProblem& problem, std::span<const double> start,
       const DescentSettings& settings, int most_evaluations)
      : problem_(problem),
        settings_(settings),
        left_(most_evaluations),
        budget_(most_evaluations),
        at_(start.begin(), start.end()),
        residuals_(problem.rows()),
        trial_residuals_(problem.rows()),
        bend_(problem.rows()),
        scale_(problem.unknowns()),
        damping_(problem.unknowns()),
        gradient_(problem.unknowns()),
        norms_(problem.unknowns()),
        norms_there_(problem.unknowns()),
        step_(problem.unknowns()),
        acceleration_(problem.unknowns()),
        trial_(problem.unknowns()),
        mu_(settings.damping) {}

  Descent go() {
    if (!begin()) return ended(Ending::NoFiniteStart);
    bool within_budget = true;
    int iterations = 0;
    while (within_budget && !vanished(kVanishedCosine) && flat_steps_ < kFlatSteps) {
      within_budget = left_ > 2 && iterations++ < settings_.most_iterations;
      if (within_budget) take_damped_step();
    }
    const bool full_rank = within_budget ? take_last_steps() : true;
    if (!within_budget) return ended(Ending::OutOfEvaluations);
    if (!full_rank) return ended(Ending::RankLost);
    const bool stationary = vanished(kSmallCosine) || last_step_ < kSmallStep;
    return ended(stationary ? Ending::Stationary : Ending::Flat);
  }

 private:
  bool begin() {
    cost_ = kInfinite;
    if (left_ < 2 || !all_finite(at_)) return false;
    cost_ = cost_at(at_, residuals_);
    if (!std::isfinite(cost_)) return false;
    linear_ = linearised(at_);
    if (linear_ == nullptr) return false;
    look_about();
    return true;
  }

  double cost_at(std::span<const double> at, std::span<double> residuals) {
    --left_;
    problem_.residuals(at, residuals);
    return sum_of_squares(residuals);
  }

  std::unique_ptr<Linearisation> linearised(std::span<const double> at) {
    --left_;
    std::unique_ptr<Linearisation> there = problem_.linearise(at);
    if (there == nullptr) return nullptr;
    there->column_norms(norms_there_);
    return all_finite(norms_there_) ? std::move(there) : nullptr;
  }

  /// Gradient, column lengths and their running maximum at a new point.
  void look_about() {
    linear_->gradient(residuals_, gradient_);
    norms_.swap(norms_there_);
    for (std::size_t j = 0; j < scale_.size(); ++j) {
      scale_[j] = std::max(settings_.memory * scale_[j], norms_[j]);
    }
  }

  /// D, with 1 for a column that never had any length.
  double scale_of(std::size_t j) const { return scale_[j] > 0.0 ? scale_[j] : 1.0; }

  /// Whether the residuals stand upright on every column of J, to `cosine`.
  bool vanished(double cosine) const {
    const double length = std::sqrt(cost_);
    for (std::size_t j = 0; j < gradient_.size(); ++j) {
      if (std::abs(gradient_[j]) > cosine * norms_[j] * length) return false;
    }
    return true;
  }

  void take_damped_step() {
    for (std::size_t j = 0; j < damping_.size(); ++j) {
      damping_[j] = std::sqrt(mu_) * scale_of(j);
    }
    if (!linear_->damp(damping_)) return refuse();
    downhill();
    if (!all_finite(step_)) return refuse();
    linear_->along(step_, bend_);
    const double length = length_times(scale_, step_);
    const double promised = sum_of_squares(bend_) + 2.0 * mu_ * length * length;
    if (length <= kRounding * length_times(scale_, at_) || promised <= kRounding * cost_) {
      flat_steps_ = kFlatSteps;
      return;
    }
    if (!accelerated(length)) return refuse();
    for (std::size_t j = 0; j < trial_.size(); ++j) trial_[j] = at_[j] + step_[j];
    judge(promised);
  }

  /// The step that solves the damped problem.
  void downhill() {
    linear_->solve(residuals_, step_);
    for (double& s : step_) s = -s;
  }

  /// Adds the acceleration to the step; false when it bends too much. On entry bend_ holds J step.
  bool accelerated(double length) {
    if (!settings_.accelerate || length <= kShortStep * length_times(scale_, at_)) return true;
    for (std::size_t j = 0; j < trial_.size(); ++j) trial_[j] = at_[j] + kFeeler * step_[j];
    if (!all_finite(trial_) || !std::isfinite(cost_at(trial_, trial_residuals_))) return false;
    for (std::size_t i = 0; i < bend_.size(); ++i) {
      const double rise = (trial_residuals_[i] - residuals_[i]) / kFeeler;
      bend_[i] = 2.0 / kFeeler * (rise - bend_[i]);
    }
    linear_->solve(bend_, acceleration_);
    if (!all_finite(acceleration_)) return false;
    if (length_times(scale_, acceleration_) > kMostBend * length) return false;
    for (std::size_t j = 0; j < step_.size(); ++j) step_[j] -= 0.5 * acceleration_[j];
    return true;
  }

  /// Keeps the trial point or refuses it.
  void judge(double promised) {
    if (!all_finite(trial_)) return refuse();
    const double cost = cost_at(trial_, trial_residuals_);
    const double agreement = (cost_ - cost) / promised;
    const bool flat = promised <= kFlat * cost_ && std::abs(cost_ - cost) <= kFlat * cost_;
    flat_steps_ = flat ? flat_steps_ + 1 : 0;
    if (!(agreement > kLeastAgreement) || !moved_to_trial(cost)) return refuse();
    const double beyond = 2.0 * std::min(agreement, 1.0) - 1.0;
    mu_ = std::max(mu_ * std::max(1.0 / 3.0, 1.0 - beyond * beyond * beyond), kLeastDamping);
    growth_ = 2.0;
  }

  bool moved_to_trial(double cost) {
    std::unique_ptr<Linearisation> there = linearised(trial_);
    if (there == nullptr) return false;
    linear_ = std::move(there);
    at_.swap(trial_);
    residuals_.swap(trial_residuals_);
    cost_ = cost;
    look_about();
    return true;
  }

  void refuse() {
    mu_ *= growth_;
    growth_ *= 2.0;
    if (mu_ > kMostDamping) flat_steps_ = kFlatSteps;
  }

  /// Undamped steps for as long as each is shorter than the one before.
  /// @returns false when rank is lost
  bool take_last_steps() {
    last_step_ = kInfinite;
    std::fill(damping_.begin(), damping_.end(), 0.0);
    for (int i = 0; i < kMostLastSteps && cost_ > 0.0; ++i) {
      if (!linear_->damp(damping_)) return false;
      downhill();
      const double size = relative_size(step_);
      if (!(size < last_step_)) return true;
      last_step_ = size;
      if (size <= kRounding || left_ < 2) return true;
      for (std::size_t j = 0; j < trial_.size(); ++j) trial_[j] = at_[j] + step_[j];
      const double cost = cost_at(trial_, trial_residuals_);
      if (!(cost <= cost_ * (1.0 + kMostRise)) || !moved_to_trial(cost)) return true;
    }
    if (cost_ == 0.0) last_step_ = 0.0;
    return true;
  }

  /// The largest of |step / unknown|; an unknown near 0 counts as what rounding leaves of it.
  double relative_size(std::span<const double> step) const {
    const double least = kRounding * length_times(scale_, at_);
    double size = 0.0;
    for (std::size_t j = 0; j < step.size(); ++j) {
      const double of = std::max(std::abs(at_[j]), least / scale_of(j));
      if (step[j] != 0.0) size = std::max(size, std::abs(step[j]) / of);
    }
    return std::isnan(size) ? kInfinite : size;
  }

  Descent ended(Ending ending) const {
    const double noise = kRounding * length_times(scale_, at_);
    return {.at = at_,
            .cost = cost_,
            .cost_noise = 4.0 * noise * (std::sqrt(cost_) + noise),
            .scale = scale_,
            .ending = ending,
            .evaluations = budget_ - left_};
  }

  static constexpr double kLeastDamping = 1e-30;
  static constexpr double kMostDamping = 1e60;
  static constexpr double kMostRise = 1e-3;  // rounding may raise a sum that is nearly 0

  const ResidualProblem& problem_;
  const DescentSettings& settings_;
  int left_;
  int budget_;
  std::vector<double> at_;
  std::vector<double> residuals_;
  std::vector<double> trial_residuals_;
  std::vector<double> bend_;
  std::vector<double> scale_;
  std::vector<double> damping_;
  std::vector<double> gradient_;
  std::vector<double> norms_;
  std::vector<double> norms_there_;
  std::vector<double> step_;
  std::vector<double> acceleration_;
  std::vector<double> trial_;
  std::unique_ptr<Linearisation> linear_;
  double cost_ = 0.0;
  double mu_;
  double growth_ = 2.0;
  int flat_steps_ = 0;
  double last_step_ = kInfinite;
};

}  // namespace

Descent descend(const ResidualProblem& problem, std::span<const double> start,
                const DescentSettings& settings, int most_evaluations) {
  return Walk(problem, start, settings, most_evaluations).go();
}

}  // namespace ellwand::numeric
