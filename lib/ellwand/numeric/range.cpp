#include "ellwand/numeric/range.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <cassert>
#include <cmath>
#include <numeric>
#include <vector>

#include "ellwand/numeric/infinite.hpp"
#include "ellwand/numeric/normal.hpp"
#include "ellwand/numeric/room.hpp"
#include "ellwand/numeric/sum_points.hpp"
#include "ellwand/units/error.hpp"

namespace ellwand::numeric {

namespace {

using Rows = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

// Below this share of the mean a standard deviation is rounding, and the variable is one point.
constexpr double kNoSpread = 1e-13;
// Below this the moved lognormal and the normal agree to rounding.
constexpr double kNoSkew = 1e-9;
// Keeps the exponentials finite whatever moments are handed in.
constexpr double kLargestSkew = 1e100;

Eigen::Index index(std::size_t i) { return static_cast<Eigen::Index>(i); }

// The unsure parts, those of equal slopes as one, and the sum of the sure ones.
struct Parts {
  double sure = 0.0;
  Eigen::ArrayXd medians;
  Eigen::ArrayXd log_variances;
  Rows slopes;

  Eigen::ArrayXd means() const { return medians * (0.5 * log_variances).exp(); }

  void add(double median, double log_variance, const double* row, Eigen::Index& count) {
    const double* const row_end = row + slopes.cols();
    for (Eigen::Index i = 0; i < count; ++i) {
      if (std::equal(row, row_end, slopes.row(i).data())) {
        medians[i] += median;
        return;
      }
    }
    std::copy(row, row_end, slopes.row(count).data());
    log_variances[count] = log_variance;
    medians[count++] = median;
  }
};

// The text is made for a part that is out of range only: this runs for every part of every sum.
void require_usable(double median, double log_variance) {
  if (!(median >= 0.0 && median <= kLargestMedian)) {
    require_range("the median of a part", median, 0.0, kLargestMedian, "a sum of yarn");
  }
  if (!(log_variance <= kLargestLogSd * kLargestLogSd)) {
    require_range("the log-sd of a part", std::sqrt(log_variance), 0.0, kLargestLogSd,
                  "a sum of yarn");
  }
}

Parts parts_of(std::span<const double> medians, std::span<const double> slopes,
               std::size_t factors) {
  assert(slopes.size() == medians.size() * factors);
  const Eigen::Index most = index(medians.size());
  const Eigen::Map<const Rows> given(slopes.data(), most, index(factors));
  Parts parts{0.0, Eigen::ArrayXd(most), Eigen::ArrayXd(most), Rows(most, index(factors))};
  Eigen::Index count = 0;
  for (Eigen::Index i = 0; i < most; ++i) {
    const double median = medians[static_cast<std::size_t>(i)];
    const double log_variance = given.row(i).squaredNorm();
    require_usable(median, log_variance);
    if (log_variance == 0.0) {
      parts.sure += median;
    } else if (median > 0.0) {
      parts.add(median, log_variance, given.row(i).data(), count);
    }
  }
  parts.medians.conservativeResize(count);
  parts.log_variances.conservativeResize(count);
  parts.slopes.conservativeResize(count, Eigen::NoChange);
  return parts;
}

// C_ij = w_i . w_j for every pair, row after row.
std::vector<double> covariances(const Rows& slopes) {
  const Eigen::Index n = slopes.rows();
  std::vector<double> all(static_cast<std::size_t>(n * n));
  Eigen::Map<Rows> c(all.data(), n, n);
  for (Eigen::Index i = 0; i < n; ++i) {  // few rows as a rule: Eigen's blocking costs more
    for (Eigen::Index j = 0; j <= i; ++j) c(i, j) = c(j, i) = slopes.row(i).dot(slopes.row(j));
  }
  return all;
}

// A symmetric n x n matrix h with rows at h + i n.
struct Square {
  const double* h;
  std::size_t n;
  const double* row(std::size_t i) const { return h + i * n; }
};

// sum over i, j, k of h_ij h_ik h_jk for a symmetric h: each unordered triple once.
double triple_sum(const Square& all) {
  double distinct = 0.0;
  double with_equal = 0.0;
  for (std::size_t i = 0; i < all.n; ++i) {
    const double* const h = all.row(i);
    double squares = 0.0;
    for (std::size_t j = 0; j < all.n; ++j) squares += h[j] * h[j];
    with_equal += h[i] * (3.0 * squares - 2.0 * h[i] * h[i]);
    for (std::size_t j = 0; j < i; ++j) {
      distinct += h[j] * std::inner_product(h, h + j, all.row(j), 0.0);
    }
  }
  return 6.0 * distinct + with_equal;
}

}  // namespace

Moments moments_of_means(std::span<const double> means, std::span<const double> f) {
  const std::size_t n = means.size();
  assert(f.size() == n * n);
  Room scratch(n * n + n);
  double* const scaled = scratch.data();  // f_ij sqrt(M_i M_j)
  double* const roots = scaled + n * n;
  Moments moments;
  for (std::size_t i = 0; i < n; ++i) {
    const double with_all = std::inner_product(means.begin(), means.end(), f.data() + i * n, 0.0);
    moments.mean += means[i];
    moments.variance += means[i] * with_all;
    moments.third += 3.0 * means[i] * with_all * with_all;
    roots[i] = std::sqrt(means[i]);
  }
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) scaled[i * n + j] = f[i * n + j] * roots[i] * roots[j];
  }
  moments.variance = std::max(0.0, moments.variance);
  moments.third += triple_sum({scaled, n});
  return moments;
}

Moments moments_of_sum(std::span<const double> medians, std::span<const double> covariances) {
  const std::size_t n = medians.size();
  assert(covariances.size() == n * n);
  std::vector<double> means(n);
  std::vector<double> f(n * n);
  for (std::size_t i = 0; i < n; ++i) {
    require_usable(medians[i], covariances[i * n + i]);
    means[i] = medians[i] * std::exp(0.5 * covariances[i * n + i]);
    for (std::size_t j = 0; j <= i; ++j) {
      f[i * n + j] = f[j * n + i] = std::expm1(covariances[i * n + j]);
    }
  }
  return moments_of_means(means, f);
}

Moments moments_of_sum(std::span<const double> medians, std::span<const double> slopes,
                       std::size_t factors) {
  const Parts parts = parts_of(medians, slopes, factors);
  const auto count = static_cast<std::size_t>(parts.medians.size());
  Moments moments = moments_of_sum(std::span(parts.medians.data(), count),
                                   std::span<const double>(covariances(parts.slopes)));
  moments.mean += parts.sure;
  return moments;
}

double covariance_of_sums(std::span<const double> medians_a, std::span<const double> slopes_a,
                          std::span<const double> medians_b, std::span<const double> slopes_b,
                          std::size_t factors) {
  const Parts a = parts_of(medians_a, slopes_a, factors);
  const Parts b = parts_of(medians_b, slopes_b, factors);
  if (a.medians.size() == 0 || b.medians.size() == 0) return 0.0;
  Rows f = a.slopes * b.slopes.transpose();
  f = f.unaryExpr([](double c) { return std::expm1(c); });
  return a.means().matrix().dot(f * b.means().matrix());
}

ShiftedLognormal::ShiftedLognormal(const Moments& moments, double least)
    : mean_(moments.mean), sd_(0.0), least_(least) {
  constexpr double kLargest = std::numeric_limits<double>::max();
  require_range("the mean of a sum", moments.mean, std::max(least, -kLargest), kLargest,
                "a sum with that least value");
  require_range("the variance of a sum", moments.variance, 0.0, kLargest, "any distribution");
  require_range("the third moment of a sum", moments.third, -kLargest, kLargest,
                "any distribution");
  const double sd = std::sqrt(moments.variance);
  if (sd <= kNoSpread * std::abs(moments.mean)) return;
  sd_ = sd;
  const double skew = std::clamp(moments.third / sd / sd / sd, -kLargestSkew, kLargestSkew);
  const double t = 2.0 * std::sinh(std::asinh(0.5 * skew) / 3.0);
  if (std::abs(t) < kNoSkew) return;
  t_ = t;
  sigma_ = std::copysign(std::sqrt(std::log1p(t * t)), t);
}

ShiftedLognormal::ShiftedLognormal(const Range& points, double least)
    : mean_(points.mid), sd_(0.0), least_(least) {
  static const double z95 = normal_quantile(0.95);
  const double above = points.high - points.mid;
  const double below = points.mid - points.low;
  if (!(std::isfinite(points.low) && std::isfinite(points.high) && above >= 0.0 && below >= 0.0)) {
    throw OutOfRange("the points of a range are not finite numbers in order; give low, mid, high");
  }
  if (above <= kNoSpread * std::abs(points.mid) || below <= kNoSpread * std::abs(points.mid))
    return;
  const double sigma = std::log(above / below) / z95;
  if (std::abs(sigma) < kNoSkew) {
    sd_ = 0.5 * (above + below) / z95;
    return;
  }
  sigma_ = sigma;
  t_ = std::copysign(std::sqrt(std::expm1(sigma * sigma)), sigma);
  const double scale = above / std::expm1(sigma * z95);
  sd_ = scale * t_ * std::exp(0.5 * sigma * sigma);
  mean_ = points.mid + scale * std::expm1(0.5 * sigma * sigma);
}

double ShiftedLognormal::quantile(double p) const { return at_score(normal_quantile(p)); }

double ShiftedLognormal::at_score(double z) const {
  if (std::isnan(z)) throw OutOfRange("a normal score is not a number; give a number");
  const double away = t_ == 0.0 ? z : std::expm1(sigma_ * z - 0.5 * sigma_ * sigma_) / t_;
  return std::max(least_, mean_ + sd_ * away);
}

double ShiftedLognormal::score(double x) const {
  if (std::isnan(x)) throw OutOfRange("a quantity is not a number; give a number");
  if (x < least_) return -kInfinite;
  if (sd_ == 0.0) return x < mean_ ? -kInfinite : kInfinite;
  const double away = (x - mean_) / sd_;
  if (t_ == 0.0) return away;
  if (t_ * away <= -1.0) return t_ > 0.0 ? -kInfinite : kInfinite;
  return (std::log1p(t_ * away) + 0.5 * sigma_ * sigma_) / sigma_;
}

double ShiftedLognormal::cdf(double x) const { return normal_cdf(score(x)); }

double score_correlation(const ShiftedLognormal& a, const ShiftedLognormal& b, double covariance) {
  if (!std::isfinite(covariance)) {
    throw OutOfRange("a covariance is not a finite number; give a number");
  }
  if (a.sd_ == 0.0 || b.sd_ == 0.0) return 0.0;
  const double plain = std::clamp(covariance / a.sd_ / b.sd_, -1.0, 1.0);
  if (a.t_ == 0.0 || b.t_ == 0.0) return plain;
  const double joint = a.t_ * b.t_ * plain;
  if (joint <= -1.0) return -1.0;
  return std::clamp(std::log1p(joint) / (a.sigma_ * b.sigma_), -1.0, 1.0);
}

Range range_of(const ShiftedLognormal& variable) {
  static const double high = normal_quantile(0.95);
  return {variable.at_score(-high), variable.at_score(0.0), variable.at_score(high)};
}

Range range_of_sum(std::span<const double> medians, std::span<const double> slopes,
                   std::size_t factors) {
  const Parts parts = parts_of(medians, slopes, factors);
  const auto count = static_cast<std::size_t>(parts.medians.size());
  const Range unsure = points_of_sum(std::span(parts.medians.data(), count),
                                     std::span<const double>(covariances(parts.slopes)));
  return {unsure.low + parts.sure, unsure.mid + parts.sure, unsure.high + parts.sure};
}

}  // namespace ellwand::numeric
