#pragma once
/// The range of a sum of uncertain positive parts that share their causes of doubt.
///
/// A part is exp(ln median + slopes . factors): lognormal, its factors independent standard
/// normals common to all parts. The sum of such parts has no closed distribution; its moments have,
/// and three points of it are found nearly (sum_points.hpp). A lognormal moved along the line is
/// put through either.

#include <cstddef>
#include <limits>
#include <span>

namespace ellwand::numeric {

/// Mean, variance and third central moment, in the parts' unit to the power 1, 2 and 3.
struct Moments {
  double mean = 0.0;
  double variance = 0.0;
  double third = 0.0;
};

/// The 5, 50 and 95 % points.
struct Range {
  double low = 0.0;
  double mid = 0.0;
  double high = 0.0;
};

/// The largest median and the largest log-sd of one part; beyond them the moments overflow.
inline constexpr double kLargestMedian = 1e12;
inline constexpr double kLargestLogSd = 10.0;

/// Exact moments of the sum of the parts.
///
/// With M_i = m_i exp(C_ii / 2), C_ij = w_i . w_j and f_ij = exp(C_ij) - 1:
///   mean = sum M_i, variance = sum M_i M_j f_ij,
///   third = 3 sum M_i (sum_j f_ij M_j)^2 + sum M_i M_j M_k f_ij f_ik f_jk.
///
/// @param medians  m_i, one for each part, in any one unit; 0 is a part that is not there
/// @param slopes   w_i, one row of `factors` numbers for each part, row after row: change of
///                 ln(part) for one standard deviation of each factor; a row of zeros is a sure
///                 part
/// @param factors  how many common factors there are; 0 when every part is sure
/// @throws OutOfRange unless every median is from 0 to kLargestMedian and every log-sd (length of a
///         row) at most kLargestLogSd
///
/// Source: derived. For jointly normal logs E[X_i X_j] = M_i M_j exp(C_ij), and of three parts
///         M_i M_j M_k exp(C_ij + C_ik + C_jk); the central moments are these less the means,
///         written in f so that small variances keep their digits.
/// Accuracy: exact, to rounding (test MomentsOfSum.AgreeWithTheSumsOverAllPairsAndTriples).
Moments moments_of_sum(std::span<const double> medians, std::span<const double> slopes,
                       std::size_t factors);

/// The same from the covariances of the parts' logarithms.
///
/// @param covariances  C_ij, n rows of n numbers, symmetric; a part whose row is all 0 is sure
Moments moments_of_sum(std::span<const double> medians, std::span<const double> covariances);

/// The same from the parts' means M_i and from f_ij, n rows of n numbers.
Moments moments_of_means(std::span<const double> means, std::span<const double> f);

/// Covariance of two sums over the same factors: sum of M_i N_j (exp(w_i . v_j) - 1).
///
/// Arguments, range and source as for moments_of_sum.
double covariance_of_sums(std::span<const double> medians_a, std::span<const double> slopes_a,
                          std::span<const double> medians_b, std::span<const double> slopes_b,
                          std::size_t factors);

/// A lognormal variable moved along the line, through three given moments.
///
/// Negative skewness is the mirror image; none is the normal distribution; no variance is one
/// point. With skewness g and t = 2 sinh(asinh(g / 2) / 3), which solves t^3 + 3 t = g:
///   sigma^2 = ln(1 + t^2), quantile = mean + sd (exp(sigma z - sigma^2 / 2) - 1) / t.
///
/// Source: three-parameter lognormal by moments, J. Aitchison and J. A. C. Brown, The Lognormal
///         Distribution (Cambridge 1957), from memory; the form in sinh is derived (the real root
///         of the cubic) and keeps its digits when the skewness is small.
/// Accuracy: exact for one part, or one part and sure ones. Other sums are approximated: see
///           range_of_sum.
class ShiftedLognormal {
 public:
  /// @param moments  mean, variance and third central moment, all finite
  /// @param least    no value lies below it: what the fitted curve has there is put at it. 0 for
  ///                 yarn; minus infinity for a quantity of either sign
  /// @throws OutOfRange for a moment that is not finite, a negative variance, a mean below `least`
  explicit ShiftedLognormal(const Moments& moments, double least = 0.0);

  /// The same curve through three points, which is exact there; its mean and standard deviation
  /// are the curve's own. With g = (high - mid) / (mid - low) and z the score of 95 %:
  ///   sigma = ln(g) / z, quantile = mid + (high - mid) (exp(sigma z) - 1) / (g - 1).
  ///
  /// @param points  5, 50 and 95 % points, finite; all equal for one point
  /// @throws OutOfRange unless they are in order
  ///
  /// Source: derived.
  explicit ShiftedLognormal(const Range& points, double least = 0.0);

  /// The value not exceeded with chance `p`; never below `least`.
  ///
  /// @throws OutOfRange unless 0 < p < 1
  double quantile(double p) const;

  /// The value at a standard normal score; quantile(p) is at_score(normal_quantile(p)).
  ///
  /// @throws OutOfRange when `z` is not a number
  double at_score(double z) const;

  /// Chance that the variable is at most `x`, which may be infinite.
  ///
  /// @throws OutOfRange when `x` is not a number
  double cdf(double x) const;

  /// The standard normal score of `x`: normal_cdf(score(x)) = cdf(x); may be infinite.
  ///
  /// @throws OutOfRange when `x` is not a number
  double score(double x) const;

  double mean() const { return mean_; }
  double standard_deviation() const { return sd_; }
  /// Standard deviation over the mean of the unmoved variable, with the sign of the skewness; 0
  /// when normal. It is the curve's shape.
  double relative_sd() const { return t_; }
  /// Log-sd of the unmoved variable, with the same sign; 0 when normal.
  double log_sd() const { return sigma_; }

 private:
  friend double score_correlation(const ShiftedLognormal& a, const ShiftedLognormal& b,
                                  double covariance);
  double mean_;
  double sd_;
  double least_;
  double sigma_ = 0.0;  ///< log-sd of the unmoved variable; sign of the skewness; 0 when normal
  double t_ = 0.0;      ///< sd over the mean of the unmoved variable, with the same sign
};

/// Correlation of the standard normal scores of two variables whose covariance is given.
///
/// It is what joins two yarns in chance_any_exceeds: ln(1 + t_a t_b r) / (sigma_a sigma_b), r being
/// the plain correlation; 0 when either is one point; held within -1 and 1.
///
/// Source: derived; covariance of two lognormals, exact when both are (moved) lognormal.
double score_correlation(const ShiftedLognormal& a, const ShiftedLognormal& b, double covariance);

/// The 5, 50 and 95 % points of a variable.
Range range_of(const ShiftedLognormal& variable);

/// The 5, 50 and 95 % points of a sum of parts; arguments and errors as for moments_of_sum.
///
/// Accuracy, against samples, for 1 to 20 parts, sure and unsure ones mixed:
///   log-sds up to 0.5: median within 1 %, both ends within 3 %, whichever way the slopes pull
///     (tests RangeOfSum.StaysNearSamplesWhenDoubtsPullOneWay, ...OpposeEachOther);
///   log-sds up to 1, slopes of one sign: median within 2 %, both ends within 3 %
///     (test RangeOfSum.StaysNearSamplesUpToALogSdOfOne).
/// One part, or one part and sure ones: exact at any log-sd. Several parts with log-sds beyond 1:
/// finite, in order and not below 0, but no more than a hint. See points_of_sum.
Range range_of_sum(std::span<const double> medians, std::span<const double> slopes,
                   std::size_t factors);

}  // namespace ellwand::numeric
