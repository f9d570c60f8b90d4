#include "ellwand/numeric/sum_points.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>
#include <vector>

#include "ellwand/numeric/normal.hpp"

namespace ellwand::numeric {

namespace {

/// Above this, the variance beside the main direction over the squared slope along it, terms in
/// its square count.
constexpr double kLittleBeside = 0.15;

/// exp(x) - 1 to 1e-9 of itself.
double quick_expm1(double x) {
  if (std::abs(x) > 0.02) return std::expm1(x);
  return x * (1.0 + x * (0.5 + x * (1.0 / 6.0 + x * (1.0 / 24.0 + x * (1.0 / 120.0)))));
}

/// A sum of lognormal parts seen along the direction in which it is steepest.
class Along {
 public:
  Along(std::span<const double> medians, std::span<const double> covariances)
      : n_(medians.size()), numbers_(n_ * n_ + 4 * n_) {
    beside_ = numbers_.data();
    slopes_ = beside_ + n_ * n_;
    middles_ = slopes_ + n_;
    amounts_ = middles_ + n_;
    with_all_ = amounts_ + n_;
    find_direction(medians, covariances.data());
    if (!(variance_ > 0.0)) return;
    for (std::size_t i = 0; i < n_; ++i) {
      const double* const c = covariances.data() + i * n_;
      middles_[i] = medians[i] * std::exp(0.5 * (c[i] - slopes_[i] * slopes_[i]));
      for (std::size_t j = 0; j <= i; ++j) {
        beside_[i * n_ + j] = beside_[j * n_ + i] = quick_expm1(c[j] - slopes_[i] * slopes_[j]);
      }
    }
  }

  /// M' C M.
  double variance() const { return variance_; }

  /// Mean and variance of the sum at one t, with their derivatives by it.
  struct State {
    double mean = 0.0;
    double slope = 0.0;
    double bend = 0.0;
    double variance = 0.0;
    double variance_slope = 0.0;

    /// Variance beside the direction over the squared slope along it.
    double beside() const {
      return slope > 0.0 ? variance / (slope * slope) : std::numeric_limits<double>::infinity();
    }
    double point(double z) const {
      return mean - 0.5 * (variance_slope - variance * bend / slope - z * variance) / slope;
    }
  };

  State at(double t) {
    State state;
    for (std::size_t i = 0; i < n_; ++i) {
      const double along = t == 0.0 ? 1.0 : std::exp(slopes_[i] * t);
      amounts_[i] = middles_[i] * along;
      state.mean += amounts_[i];
      state.slope += slopes_[i] * amounts_[i];
      state.bend += slopes_[i] * slopes_[i] * amounts_[i];
    }
    for (std::size_t i = 0; i < n_; ++i) {
      with_all_[i] = std::inner_product(amounts_, amounts_ + n_, beside_ + i * n_, 0.0);
      state.variance += amounts_[i] * with_all_[i];
      state.variance_slope += 2.0 * slopes_[i] * amounts_[i] * with_all_[i];
    }
    state.variance = std::max(0.0, state.variance);
    return state;
  }

  std::size_t size() const { return n_; }
  /// Of the logarithms along the direction, by t.
  std::span<const double> slopes() const { return {slopes_, n_}; }

 private:
  void find_direction(std::span<const double> medians, const double* covariances) {
    for (std::size_t i = 0; i < n_; ++i) {
      amounts_[i] = medians[i] * std::exp(0.5 * covariances[i * n_ + i]);
    }
    for (std::size_t i = 0; i < n_; ++i) {
      slopes_[i] = std::inner_product(amounts_, amounts_ + n_, covariances + i * n_, 0.0);
    }
    variance_ = std::inner_product(amounts_, amounts_ + n_, slopes_, 0.0);
    const double sd = std::sqrt(std::max(0.0, variance_));
    for (std::size_t i = 0; i < n_; ++i) slopes_[i] = sd > 0.0 ? slopes_[i] / sd : 0.0;
  }

  std::size_t n_;
  std::vector<double> numbers_;  ///< all below, one after the other
  double* beside_;               ///< exp(C_ij - c_i c_j) - 1
  double* slopes_;               ///< c_i
  double* middles_;              ///< a_i at t = 0
  double* amounts_;              ///< a_i at the t last asked for
  double* with_all_;
  double variance_ = 0.0;
};

/// The distribution of a sum, added up over the score along its main direction.
class OverTheScore {
 public:
  OverTheScore(std::span<const double> medians, std::span<const double> covariances,
               std::span<const double> slopes) {
    const std::size_t n = medians.size();
    std::vector<double> beside(covariances.begin(), covariances.end());
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = 0; j < n; ++j) beside[i * n + j] -= slopes[i] * slopes[j];
    }
    std::vector<double> there(n);
    parts_.reserve(2 * kReach + 1);
    double all = 0.0;
    for (int k = -kReach; k <= kReach; ++k) {
      const double t = k * kStep;
      for (std::size_t i = 0; i < n; ++i) there[i] = medians[i] * std::exp(slopes[i] * t);
      const double weight = std::exp(-0.5 * t * t);
      all += weight;
      parts_.push_back({weight, ShiftedLognormal(moments_of_sum(there, beside), kNoLeast)});
    }
    for (Part& part : parts_) part.weight /= all;
  }

  double chance_below(double x) const {
    double chance = 0.0;
    for (const Part& part : parts_) chance += part.weight * part.sum.cdf(x);
    return chance;
  }

  /// The value not exceeded with chance `p`: false position, halving the weight of an end that
  /// stays.
  double point(double p, double start) const {
    double low = start;
    double high = start;
    while (chance_below(low) > p && low > 0.0) low = low > 1e-9 * start ? 0.7 * low : 0.0;
    while (chance_below(high) < p && high < kFarthest * start) high *= 1.4;
    double under = chance_below(low) - p;
    double over = chance_below(high) - p;
    for (int i = 0; i < kMostSteps && high - low > kClose * high; ++i) {
      const double between = over > under ? low - under * (high - low) / (over - under) : low;
      const double x = between > low && between < high ? between : 0.5 * (low + high);
      const double miss = chance_below(x) - p;
      if (miss < 0.0) {
        low = x;
        under = miss;
        over *= 0.5;
      } else {
        high = x;
        over = miss;
        under *= 0.5;
      }
      if (std::abs(miss) < kClose) return x;
    }
    return 0.5 * (low + high);
  }

 private:
  static constexpr int kReach = 11;
  static constexpr double kStep = 0.4;
  static constexpr double kNoLeast = -std::numeric_limits<double>::infinity();
  static constexpr double kFarthest = 1e6;
  static constexpr double kClose = 1e-6;
  static constexpr int kMostSteps = 60;

  struct Part {
    double weight;
    ShiftedLognormal sum;
  };
  std::vector<Part> parts_;
};

bool is_range(const Range& range) {
  return std::isfinite(range.high) && range.low >= 0.0 && range.low < range.mid &&
         range.mid < range.high;
}

}  // namespace

Range points_of_sum(std::span<const double> medians, std::span<const double> covariances,
                    double bent_third) {
  static const double z95 = normal_quantile(0.95);
  Along along(medians, covariances);
  if (!(along.variance() > 0.0)) {
    const double sum = std::accumulate(medians.begin(), medians.end(), 0.0);
    return {sum, sum, sum};
  }
  const std::array<double, 3> scores = {-z95, 0.0, z95};
  std::array<double, 3> points{};
  std::optional<OverTheScore> over;
  std::optional<ShiftedLognormal> fitted;
  for (std::size_t k = 0; k < scores.size(); ++k) {
    const Along::State state = along.at(scores[k]);
    if (state.beside() < kLittleBeside) {
      points[k] = state.point(scores[k]);
      continue;
    }
    if (!over) {
      over.emplace(medians, covariances, along.slopes());
      fitted.emplace(moments_of_sum(medians, covariances));
    }
    points[k] = over->point(normal_cdf(scores[k]), fitted->at_score(scores[k]));
  }
  const double moved = bent_third / (6.0 * along.variance());
  const Range range{points[0] + moved * (z95 * z95 - 1.0), points[1] - moved,
                    points[2] + moved * (z95 * z95 - 1.0)};
  if (is_range(range)) return range;
  Moments moments = moments_of_sum(medians, covariances);
  moments.third += bent_third;
  return range_of(ShiftedLognormal(moments));
}

}  // namespace ellwand::numeric
