#include "ellwand/numeric/sum_points.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>
#include <vector>

#include "ellwand/numeric/main_direction.hpp"
#include "ellwand/numeric/normal.hpp"

namespace ellwand::numeric {

namespace {

/// Above this, the variance beside the main direction over the squared slope along it, terms in
/// its square count; up to the other the point without them is near enough to start from.
constexpr double kLittleBeside = 0.2;
constexpr double kNearEnough = 0.5;

/// Equally shaped distributions of several places, widths and weights, mixed.
class Mixture {
 public:
  explicit Mixture(std::size_t most) { parts_.reserve(most); }
  /// @param shape  a curve of the same shape
  void add(double weight, double mean, double sd, const ShiftedLognormal& shape) {
    parts_.push_back({weight, mean, sd, shape.relative_sd(), shape.log_sd()});
  }
  void weigh_all(double all) {
    for (Part& part : parts_) part.weight /= all;
  }

  /// The value not exceeded with chance `p`: Newton's steps, halving the bracket when one leaves
  /// it.
  double point(double p, double start) const {
    double low = -std::numeric_limits<double>::infinity();
    double high = std::numeric_limits<double>::infinity();
    double x = start;
    for (int i = 0; i < kMostSteps; ++i) {
      const Chance at = chance_below(x);
      const double miss = p - at.chance;
      (miss > 0.0 ? low : high) = x;
      const bool is_close = std::abs(miss) < kClose;
      // Between narrow parts the chance may be met where nothing lies: there is no step from there.
      if (is_close && !(at.density > 0.0)) break;
      const double step = miss / at.density;
      double next = x + std::clamp(step, -0.3 * std::abs(x), 0.3 * std::abs(x));
      if (std::isnan(next)) next = miss > 0.0 ? 1.3 * x : x / 1.3;
      if (!(next > low && next < high)) next = is_close ? x : 0.5 * (low + high);
      x = next;
      if (is_close) break;
    }
    return x;
  }

 private:
  static constexpr double kClose = 2e-5;  ///< the step then leaves far less
  static constexpr int kMostSteps = 60;

  struct Part {
    double weight, mean, sd, t, sigma;
  };
  struct Chance {
    double chance = 0.0;
    double density = 0.0;
  };

  Chance chance_below(double x) const {
    constexpr double kRootTwoPi = 2.50662827463100050242;
    Chance sum;
    for (const Part& part : parts_) {
      const double away = (x - part.mean) / part.sd;
      const double ratio = 1.0 + part.t * away;
      if (part.t != 0.0 && !(ratio > 0.0)) {
        if (part.t < 0.0) sum.chance += part.weight;
        continue;
      }
      const double z =
          part.t == 0.0 ? away : (std::log(ratio) + 0.5 * part.sigma * part.sigma) / part.sigma;
      if (z < -kFarOut) continue;
      if (z > kFarOut) {
        sum.chance += part.weight;
        continue;
      }
      const double bell = std::exp(-0.5 * z * z);
      const double beyond = bell * over_bell(std::abs(z));
      sum.chance += part.weight * (z > 0.0 ? 1.0 - beyond : beyond);
      const double stretch = part.t == 0.0 ? 1.0 : part.t / (part.sigma * ratio);
      sum.density += part.weight * bell / kRootTwoPi * stretch / part.sd;
    }
    return sum;
  }

  /// Upper tail of the normal over exp(-z^2 / 2), z of 0 or more, to 1e-7. Source: C. Hastings,
  /// Approximations for Digital Computers (1955), also Abramowitz and Stegun 26.2.17.
  static double over_bell(double z) {
    const double k = 1.0 / (1.0 + 0.2316419 * z);
    return 0.3989422804014327 * k *
           (0.319381530 +
            k * (-0.356563782 + k * (1.781477937 + k * (-1.821255978 + k * 1.330274429))));
  }

  static constexpr double kFarOut = 5.0;
  std::vector<Part> parts_;
};

/// The distribution of a sum, added up over the score along its main direction.
Mixture over_the_score(const MainDirection& along) {
  constexpr int kReach = 11;
  constexpr double kStep = 0.4;
  const std::span<const double> slopes = along.slopes();
  const std::vector<double> besides = along.besides();
  const std::size_t n = slopes.size();
  std::vector<double> means(along.middles().begin(), along.middles().end());
  std::vector<double> growths(n);
  for (std::size_t i = 0; i < n; ++i) {
    means[i] *= std::exp(-kReach * kStep * slopes[i]);
    growths[i] = std::exp(kStep * slopes[i]);
  }
  Mixture mixture(2 * kReach + 1);
  double all = 0.0;
  for (int k = -kReach; k <= kReach; ++k) {
    const double t = k * kStep;
    const ShiftedLognormal given(moments_of_means(means, besides));
    const double sd = std::max(given.standard_deviation(), 1e-9 * given.mean());
    const double weight = std::exp(-0.5 * t * t);
    all += weight;
    mixture.add(weight, given.mean(), sd, given);
    for (std::size_t i = 0; i < n; ++i) means[i] *= growths[i];
  }
  mixture.weigh_all(all);
  return mixture;
}

/// Log-sds from here on, or absurd medians: three moments keep their points finite and in order.
constexpr double kWidestLogVariance = 4.0;
bool is_beyond_use(std::span<const double> medians, std::span<const double> covariances) {
  for (std::size_t i = 0; i < medians.size(); ++i) {
    const bool usable = medians[i] <= 1e-3 * kLargestMedian &&
                        covariances[i * medians.size() + i] < kWidestLogVariance;
    if (!usable) return true;
  }
  return false;
}

bool is_range(const Range& range) {
  return std::isfinite(range.high) && range.low >= 0.0 && range.low < range.mid &&
         range.mid < range.high;
}

bool is_point(const Range& range) { return range.low == range.mid && range.mid == range.high; }

/// One part alone is lognormal.
Range points_of_part(double median, double variance, double z95) {
  const double away = std::exp(z95 * std::sqrt(variance));
  return {median / away, median, median * away};
}

Range points_along(std::span<const double> medians, std::span<const double> covariances,
                   double z95) {
  MainDirection along(medians, covariances);
  if (!(along.variance() > 0.0)) {
    const double sum = std::accumulate(medians.begin(), medians.end(), 0.0);
    return {sum, sum, sum};
  }
  const std::array<double, 3> scores = {-z95, 0.0, z95};
  const std::array<MainDirection::State, 3> states = along.around(z95);
  std::array<double, 3> points{};
  std::optional<Mixture> over;
  for (std::size_t k = 0; k < scores.size(); ++k) {
    const double beside = states[k].beside();
    if (beside < kNearEnough) points[k] = states[k].point(scores[k]);
    if (beside < kLittleBeside) continue;
    if (!over) over = over_the_score(along);
    const bool is_start = beside < kNearEnough && points[k] > 0.0;
    const double start =
        is_start ? points[k]
                 : ShiftedLognormal(moments_of_sum(medians, covariances)).at_score(scores[k]);
    points[k] = over->point(normal_cdf(scores[k]), start);
  }
  return {points[0], points[1], points[2]};
}

}  // namespace

Range points_of_sum(std::span<const double> medians, std::span<const double> covariances) {
  static const double z95 = normal_quantile(0.95);
  if (!is_beyond_use(medians, covariances)) {
    const Range range = medians.size() == 1 ? points_of_part(medians[0], covariances[0], z95)
                                            : points_along(medians, covariances, z95);
    if (is_range(range) || is_point(range)) return range;
  }
  return range_of(ShiftedLognormal(moments_of_sum(medians, covariances)));
}

namespace {

/// Mean and variance of the sum at each state.
struct AtStates {
  std::vector<double> means;
  std::vector<double> variances;
  double mean = 0.0;
  double spread = 0.0;  ///< variance of the means

  AtStates(std::span<const double> medians, std::span<const double> covariances, std::size_t n) {
    const std::size_t count = medians.size() / n;
    std::vector<double> shared(n * n);
    std::vector<double> larger(n);
    std::vector<double> parts(n);
    for (std::size_t i = 0; i < n; ++i) {
      larger[i] = std::exp(0.5 * covariances[i * n + i]);
      for (std::size_t j = 0; j < n; ++j) shared[i * n + j] = std::expm1(covariances[i * n + j]);
    }
    for (std::size_t k = 0; k < count; ++k) {
      double sum = 0.0;
      double variance = 0.0;
      for (std::size_t i = 0; i < n; ++i) {
        parts[i] = larger[i] * medians[k * n + i];
        sum += parts[i];
      }
      for (std::size_t i = 0; i < n; ++i) {
        variance +=
            parts[i] * std::inner_product(parts.begin(), parts.end(),
                                          shared.begin() + static_cast<std::ptrdiff_t>(i * n), 0.0);
      }
      means.push_back(sum);
      variances.push_back(std::max(0.0, variance));
      mean += sum / static_cast<double>(count);
    }
    for (const double one : means)
      spread += (one - mean) * (one - mean) / static_cast<double>(count);
  }
};

/// Narrower states than this part of their spread are widened to it.
constexpr double kNarrowest = 0.2;

/// Variance by the middle half, which a few states far out do not move.
double middle_variance(std::vector<double> values) {
  const auto quarter = static_cast<std::ptrdiff_t>(values.size() / 4);
  const auto low = values.begin() + quarter;
  std::nth_element(values.begin(), low, values.end());
  const double lower = *low;  // which the second search may move
  const auto high = values.end() - 1 - quarter;
  std::nth_element(low, high, values.end());
  constexpr double kMiddleHalf = 1.3489795;  // of a normal variable, in standard deviations
  const double sd = (*high - lower) / kMiddleHalf;
  return sd * sd;
}

}  // namespace

Range points_over_states(std::span<const double> medians, std::span<const double> covariances) {
  static const double z95 = normal_quantile(0.95);
  const auto n =
      static_cast<std::size_t>(std::lround(std::sqrt(static_cast<double>(covariances.size()))));
  assert(n * n == covariances.size() && medians.size() % n == 0);
  const AtStates at(medians, covariances, n);
  const std::size_t count = at.means.size();
  std::vector<double> middle(n, 0.0);
  for (std::size_t k = 0; k < count; ++k) {
    for (std::size_t i = 0; i < n; ++i) {
      middle[i] += medians[k * n + i] / static_cast<double>(count);
    }
  }
  const ShiftedLognormal shape(points_of_sum(middle, covariances));
  double within = 0.0;
  for (const double one : at.variances) within += one / static_cast<double>(count);
  const double widened = std::max(
      0.0, kNarrowest * kNarrowest * std::min(at.spread, middle_variance(at.means)) - within);
  const double together = std::sqrt(1.0 - (at.spread > 0.0 ? widened / at.spread : 0.0));
  Mixture mixture(count);
  for (std::size_t k = 0; k < count; ++k) {
    mixture.add(1.0 / static_cast<double>(count), at.mean + together * (at.means[k] - at.mean),
                std::sqrt(at.variances[k] + widened), shape);
  }
  const double sd = std::sqrt(at.spread + within);
  if (!(sd > 1e-12 * at.mean)) return {at.mean, at.mean, at.mean};
  const double log_variance = std::log1p(sd * sd / (at.mean * at.mean));
  const double median = at.mean * std::exp(-0.5 * log_variance);
  const double wide = std::exp(z95 * std::sqrt(log_variance));
  return {mixture.point(0.05, median / wide), mixture.point(0.50, median),
          mixture.point(0.95, median * wide)};
}

}  // namespace ellwand::numeric
