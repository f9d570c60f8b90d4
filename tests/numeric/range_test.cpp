#include "ellwand/numeric/range.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "ellwand/numeric/normal.hpp"
#include "ellwand/numeric/sum_points.hpp"
#include "ellwand/units/error.hpp"

namespace ellwand::numeric {
namespace {

constexpr double kInfinite = std::numeric_limits<double>::infinity();
constexpr double kZ95 = 1.644853626951473;

struct Mix {
  std::vector<double> medians;
  std::vector<double> slopes;
  std::size_t factors = 0;

  std::size_t parts() const { return medians.size(); }
  double covariance(std::size_t i, std::size_t j) const {
    double sum = 0.0;
    for (std::size_t k = 0; k < factors; ++k) {
      sum += slopes[i * factors + k] * slopes[j * factors + k];
    }
    return sum;
  }
};

Moments moments_of(const Mix& mix) { return moments_of_sum(mix.medians, mix.slopes, mix.factors); }
Range range_of(const Mix& mix) { return range_of_sum(mix.medians, mix.slopes, mix.factors); }

// Each part with a factor of its own.
Mix independent(std::vector<double> medians, const std::vector<double>& log_sds) {
  const std::size_t n = medians.size();
  Mix mix{std::move(medians), std::vector<double>(n * n, 0.0), n};
  for (std::size_t i = 0; i < n; ++i) mix.slopes[i * n + i] = log_sds[i];
  return mix;
}

// The same moments written the textbook way, over all ordered pairs and triples.
Moments moments_by_triples(const Mix& mix) {
  Moments sum;
  const std::size_t n = mix.parts();
  const auto mean = [&](std::size_t i) {
    return mix.medians[i] * std::exp(0.5 * mix.covariance(i, i));
  };
  const auto e = [&](std::size_t i, std::size_t j) { return std::exp(mix.covariance(i, j)); };
  for (std::size_t i = 0; i < n; ++i) {
    sum.mean += mean(i);
    for (std::size_t j = 0; j < n; ++j) {
      sum.variance += mean(i) * mean(j) * (e(i, j) - 1.0);
      for (std::size_t k = 0; k < n; ++k) {
        sum.third += mean(i) * mean(j) * mean(k) *
                     (e(i, j) * e(i, k) * e(j, k) - e(i, j) - e(i, k) - e(j, k) + 2.0);
      }
    }
  }
  return sum;
}

// Standard normal numbers the same on every platform: Box and Muller's pairs.
class NormalNumbers {
 public:
  explicit NormalNumbers(unsigned seed) : bits_(seed) {}
  double uniform() { return (static_cast<double>(bits_() >> 11U) + 0.5) * 0x1p-53; }
  double next() {
    if (has_spare_) {
      has_spare_ = false;
      return spare_;
    }
    const double radius = std::sqrt(-2.0 * std::log(uniform()));
    const double angle = 2.0 * std::numbers::pi * uniform();
    spare_ = radius * std::sin(angle);
    has_spare_ = true;
    return radius * std::cos(angle);
  }

 private:
  std::mt19937_64 bits_;
  double spare_ = 0.0;
  bool has_spare_ = false;
};

double sampled_total(const Mix& mix, NormalNumbers& numbers) {
  std::vector<double> factors(mix.factors);
  for (double& factor : factors) factor = numbers.next();
  double total = 0.0;
  for (std::size_t i = 0; i < mix.parts(); ++i) {
    double log_ratio = 0.0;
    for (std::size_t k = 0; k < mix.factors; ++k) {
      log_ratio += mix.slopes[i * mix.factors + k] * factors[k];
    }
    total += mix.medians[i] * std::exp(log_ratio);
  }
  return total;
}

Range sampled(const Mix& mix, unsigned seed) {
  constexpr std::size_t kSamples = 100'000;
  NormalNumbers numbers(seed);
  std::vector<double> totals(kSamples);
  for (double& total : totals) total = sampled_total(mix, numbers);
  const auto point = [&](double p) {
    const auto place = totals.begin() + static_cast<std::ptrdiff_t>(p * kSamples);
    std::nth_element(totals.begin(), place, totals.end());
    return *place;
  };
  return {point(0.05), point(0.50), point(0.95)};
}

// 1 to 20 parts, three in ten sure, the others with a log-sd up to `largest`, some of it from one
// to three common factors, whose slopes are turned round with chance `opposed`.
Mix random_mix(NormalNumbers& numbers, double largest, double opposed) {
  const auto parts = static_cast<std::size_t>(1.0 + 20.0 * numbers.uniform());
  const auto common = static_cast<std::size_t>(1.0 + 3.0 * numbers.uniform());
  const double unevenness = numbers.uniform() < 0.5 ? 0.5 : 1.5;
  Mix mix{std::vector<double>(parts), {}, common + parts};
  mix.slopes.assign(parts * mix.factors, 0.0);
  for (std::size_t i = 0; i < parts; ++i) {
    mix.medians[i] = 20.0 * std::exp(unevenness * numbers.next());
    if (numbers.uniform() < 0.3) continue;
    const double share = numbers.uniform();
    double* const row = mix.slopes.data() + i * mix.factors;
    for (std::size_t k = 0; k < common; ++k) {
      row[k] = share * std::abs(numbers.next()) * (numbers.uniform() < opposed ? -1.0 : 1.0);
    }
    row[common + i] = (1.0 - share) * std::abs(numbers.next());
    const double log_sd = largest * std::min(1.0, 1.4 * numbers.uniform());
    const double scale = log_sd / std::sqrt(mix.covariance(i, i));
    for (std::size_t k = 0; k < mix.factors; ++k) row[k] *= scale;
  }
  return mix;
}

std::string told(const Mix& mix) {
  std::string text;
  for (std::size_t i = 0; i < mix.parts(); ++i) {
    text += std::to_string(mix.medians[i]) + " (log-sd " +
            std::to_string(std::sqrt(mix.covariance(i, i))) + ") ";
  }
  return text;
}

// Expects the range of each mix near the sampled one. What sampling itself misses is about 0.3 % of
// the value at the ends and 0.2 % in the middle, for the widest of the mixes with log-sds of 0.5.
void expect_near_samples(double largest, double opposed, int mixes, const Range& tolerance) {
  NormalNumbers numbers(20'240'517);
  for (int i = 0; i < mixes; ++i) {
    const Mix mix = random_mix(numbers, largest, opposed);
    const Range got = range_of(mix);
    const Range want = sampled(mix, 1000U + static_cast<unsigned>(i));
    EXPECT_NEAR(got.low / want.low, 1.0, tolerance.low) << told(mix);
    EXPECT_NEAR(got.mid / want.mid, 1.0, tolerance.mid) << told(mix);
    EXPECT_NEAR(got.high / want.high, 1.0, tolerance.high) << told(mix);
  }
}

TEST(MomentsOfSum, OfOnePartAreTheLognormals) {
  // Median 62, log-sd 0.211: w = exp(0.044521) = 1.0455270, mean 62 sqrt(w) = 63.39561,
  // variance mean^2 (w - 1), third mean^3 (w - 1)^2 (w + 2).
  const Moments moments = moments_of({{62.0}, {0.211}, 1});
  const double w = std::exp(0.211 * 0.211);
  EXPECT_NEAR(moments.mean, 63.39561, 1e-4);
  EXPECT_NEAR(moments.variance / (62.0 * 62.0 * w * (w - 1.0)), 1.0, 1e-13);
  EXPECT_NEAR(moments.third / (std::pow(62.0 * 62.0 * w, 1.5) * (w - 1.0) * (w - 1.0) * (w + 2.0)),
              1.0, 1e-13);
}

TEST(MomentsOfSum, GiveTheTwoMomentLognormalOfFourParts) {
  // Mean 100 exp(0.06125) = 106.316; variance 2850 exp(0.1225) (exp(0.1225) - 1) = 419.8;
  // log-variance ln(1 + 419.8 / 106.316^2) = 0.036468, log-sd 0.19097;
  // 95 %: exp(ln 106.316 - 0.018234 + 1.64485 x 0.19097) = 142.9.
  const Moments moments =
      moments_of(independent({40.0, 25.0, 20.0, 15.0}, {0.35, 0.35, 0.35, 0.35}));
  const double log_variance = std::log1p(moments.variance / (moments.mean * moments.mean));
  const double high = moments.mean * std::exp(-0.5 * log_variance + kZ95 * std::sqrt(log_variance));
  EXPECT_NEAR(high, 142.9, 0.05);  // half a unit of the last digit
}

TEST(MomentsOfSum, AgreeWithTheSumsOverAllPairsAndTriples) {
  NormalNumbers numbers(7);
  for (int i = 0; i < 30; ++i) {
    const Mix mix = random_mix(numbers, 0.8, 0.4);
    const Moments got = moments_of(mix);
    const Moments want = moments_by_triples(mix);
    const double cube = want.mean * want.mean * want.mean;
    EXPECT_NEAR(got.mean / want.mean, 1.0, 1e-12);
    // The textbook form loses the digits that cancel in it: compared on the scale of the mean.
    EXPECT_NEAR(got.variance, want.variance, 1e-12 * want.mean * want.mean);
    EXPECT_NEAR(got.third, want.third, 1e-11 * cube);
  }
}

TEST(MomentsOfSum, OfPartsThatMoveAsOneAreThoseOfOnePart) {
  const Mix three{{10.0, 20.0, 30.0}, {0.3, 0.1, 0.3, 0.1, 0.3, 0.1}, 2};
  const Mix one{{60.0}, {0.3, 0.1}, 2};
  EXPECT_NEAR(moments_of(three).mean, moments_of(one).mean, 1e-11);
  EXPECT_NEAR(moments_of(three).variance, moments_of(one).variance, 1e-10);
  EXPECT_NEAR(moments_of(three).third, moments_of(one).third, 1e-9);
}

TEST(MomentsOfSum, OfIndependentPartsAreTheSumsOfTheirs) {
  const Moments both = moments_of(independent({30.0, 50.0}, {0.4, 0.2}));
  const Moments first = moments_of({{30.0}, {0.4}, 1});
  const Moments second = moments_of({{50.0}, {0.2}, 1});
  EXPECT_NEAR(both.variance, first.variance + second.variance, 1e-10);
  EXPECT_NEAR(both.third, first.third + second.third, 1e-9);
}

TEST(MomentsOfSum, OfSurePartsHaveNoSpread) {
  const Moments sure = moments_of({{3.0, 4.0}, {0.0, 0.0, 0.0, 0.0}, 2});
  EXPECT_EQ(sure.mean, 7.0);
  EXPECT_EQ(sure.variance, 0.0);
  EXPECT_EQ(sure.third, 0.0);
  EXPECT_EQ(moments_of({{3.0, 4.0}, {}, 0}).mean, 7.0);
  EXPECT_EQ(moments_of({{}, {}, 3}).mean, 0.0);
  EXPECT_EQ(moments_of({{0.0}, {0.5}, 1}).mean, 0.0);
}

TEST(MomentsOfSum, KeepTheDigitsOfASmallSpread) {
  // For a log-sd of s = 1e-6: variance m^2 s^2 and third 3 m^3 s^4, up to terms of relative size
  // s^2.
  const Moments moments = moments_of({{50.0}, {1e-6}, 1});
  EXPECT_NEAR(moments.variance / (2500.0 * 1e-12), 1.0, 1e-10);
  EXPECT_NEAR(moments.third / (3.0 * 125'000.0 * 1e-24), 1.0, 1e-10);
}

TEST(MomentsOfSum, RefusesWhatIsNoPart) {
  EXPECT_THROW(moments_of({{-1.0}, {0.1}, 1}), OutOfRange);
  EXPECT_THROW(moments_of({{1e13}, {0.1}, 1}), OutOfRange);
  EXPECT_THROW(moments_of({{std::nan("")}, {0.1}, 1}), OutOfRange);
  EXPECT_THROW(moments_of({{1.0}, {std::nan("")}, 1}), OutOfRange);
  EXPECT_THROW(moments_of({{1.0}, {kInfinite}, 1}), OutOfRange);
  EXPECT_THROW(moments_of({{1.0}, {8.0, 8.0}, 2}), OutOfRange);
}

TEST(CovarianceOfSums, OfASumWithItselfIsItsVariance) {
  NormalNumbers numbers(11);
  const Mix mix = random_mix(numbers, 0.5, 0.0);
  EXPECT_NEAR(covariance_of_sums(mix.medians, mix.slopes, mix.medians, mix.slopes, mix.factors) /
                  moments_of(mix).variance,
              1.0, 1e-12);
}

TEST(CovarianceOfSums, IsWhatTheVarianceOfBothTogetherHasMore) {
  const Mix a{{10.0, 20.0}, {0.3, 0.1, 0.0, 0.2, 0.2, 0.1}, 3};
  const Mix b{{15.0, 5.0}, {0.1, -0.3, 0.2, 0.0, 0.0, 0.0}, 3};
  const Mix both{
      {10.0, 20.0, 15.0, 5.0}, {0.3, 0.1, 0.0, 0.2, 0.2, 0.1, 0.1, -0.3, 0.2, 0.0, 0.0, 0.0}, 3};
  const double more = moments_of(both).variance - moments_of(a).variance - moments_of(b).variance;
  EXPECT_NEAR(covariance_of_sums(a.medians, a.slopes, b.medians, b.slopes, 3), 0.5 * more, 1e-11);
}

TEST(CovarianceOfSums, IsZeroBesideASureSum) {
  const Mix a{{10.0}, {0.3}, 1};
  const Mix sure{{10.0}, {0.0}, 1};
  EXPECT_EQ(covariance_of_sums(a.medians, a.slopes, sure.medians, sure.slopes, 1), 0.0);
}

TEST(ScoreCorrelation, OfTwoSinglePartsIsThatOfTheirLogs) {
  // 0.20 common, 0.06 and 0.03 of each yarn: 0.0400 / 0.0445 = 0.8989.
  const std::vector<double> a = {0.20, 0.06, 0.03, 0.0, 0.0};
  const std::vector<double> b = {0.20, 0.0, 0.0, 0.06, 0.03};
  const std::vector<double> m = {62.0};
  const std::vector<double> n = {24.0};
  const ShiftedLognormal first(moments_of_sum(m, a, 5));
  const ShiftedLognormal second(moments_of_sum(n, b, 5));
  EXPECT_NEAR(score_correlation(first, second, covariance_of_sums(m, a, n, b, 5)), 0.04 / 0.0445,
              1e-10);
}

TEST(ScoreCorrelation, StaysACorrelation) {
  const ShiftedLognormal wide(Moments{10.0, 400.0, 60'000.0});
  const ShiftedLognormal mirrored(Moments{10.0, 1.0, -0.8}, -kInfinite);
  const ShiftedLognormal plain(Moments{10.0, 1.0, 0.0}, -kInfinite);
  const ShiftedLognormal point(Moments{10.0, 0.0, 0.0});
  EXPECT_EQ(score_correlation(wide, wide, -400.0), -1.0);
  EXPECT_NEAR(score_correlation(wide, wide, 400.0), 1.0, 1e-14);
  EXPECT_NEAR(score_correlation(mirrored, mirrored, 1.0), 1.0, 1e-14);
  EXPECT_NEAR(score_correlation(plain, plain, 0.3), 0.3, 1e-15);
  EXPECT_EQ(score_correlation(wide, point, 5.0), 0.0);
  EXPECT_THROW(score_correlation(wide, wide, std::nan("")), OutOfRange);
}

TEST(ShiftedLognormal, HasTheMomentsItWasMadeFrom) {
  const Moments cases[] = {
      {10.0, 4.0, 0.0}, {10.0, 4.0, 1e-7}, {10.0, 4.0, 0.8}, {10.0, 4.0, 16.0}, {10.0, 4.0, -6.0}};
  for (const Moments& want : cases) {
    const ShiftedLognormal variable(want, -kInfinite);
    // Integrals of (quantile - mean)^k over the score, by Simpson's rule.
    constexpr int kStrips = 4000;
    const double step = 16.0 / kStrips;
    double sums[4] = {};
    for (int i = 0; i <= kStrips; ++i) {
      const double z = -8.0 + step * i;
      const double weight = std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi) * step /
                            3.0 *
                            (i == 0 || i == kStrips ? 1.0
                             : i % 2 == 1           ? 4.0
                                                    : 2.0);
      const double away = variable.quantile(normal_cdf(z)) - want.mean;
      for (int k = 0; k < 4; ++k) sums[k] += weight * std::pow(away, k);
    }
    // The tail cut off at a score of 8 holds under 1e-6 of the third moment at skewness 2.
    EXPECT_NEAR(sums[1], 0.0, 1e-8);
    EXPECT_NEAR(sums[2], want.variance, 1e-6);
    EXPECT_NEAR(sums[3], want.third, 1e-4);
  }
}

TEST(ShiftedLognormal, GoesThroughThreePoints) {
  for (const Range& points : {Range{6.0, 10.0, 17.0}, Range{6.0, 10.0, 14.0},
                              Range{6.0, 10.0, 12.0}, Range{9.0, 10.0, 11.0 + 1e-7}}) {
    const ShiftedLognormal curve(points);
    EXPECT_NEAR(curve.quantile(0.05), points.low, 1e-8);
    EXPECT_NEAR(curve.quantile(0.50), points.mid, 1e-8);
    EXPECT_NEAR(curve.quantile(0.95), points.high, 1e-8);
  }
  // The points of a lognormal of log-sd 0.3 give it back whole.
  const double wide = std::exp(0.3 * kZ95);
  const ShiftedLognormal curve(Range{20.0 / wide, 20.0, 20.0 * wide});
  EXPECT_NEAR(curve.mean(), 20.0 * std::exp(0.045), 1e-9);
  EXPECT_NEAR(curve.standard_deviation(), 20.0 * std::exp(0.045) * std::sqrt(std::expm1(0.09)),
              1e-9);
  EXPECT_NEAR(curve.quantile(0.99), 20.0 * std::exp(0.3 * normal_quantile(0.99)), 1e-9);
  EXPECT_EQ(ShiftedLognormal(Range{7.0, 7.0, 7.0}).standard_deviation(), 0.0);
  EXPECT_THROW(ShiftedLognormal(Range{7.0, 6.0, 8.0}), OutOfRange);
}

TEST(ShiftedLognormal, IsNormalWithoutSkewness) {
  const ShiftedLognormal variable(Moments{100.0, 25.0, 0.0});
  EXPECT_NEAR(variable.quantile(0.95), 100.0 + 5.0 * kZ95, 1e-10);
  EXPECT_NEAR(variable.cdf(95.0), 0.158655253931457, 1e-12);  // the normal table at -1
}

TEST(ShiftedLognormal, LeavesTheNormalAsCornishAndFishersFirstTerm) {
  // z + g (z^2 - 1) / 6; the next terms are of size g^2. E. A. Cornish and R. A. Fisher, Rev. Inst.
  // Int. Stat. 5 (1938) 307-320, from memory; expanding the quantile's own formula gives it as
  // well.
  for (const double skew : {1e-10, 1e-8, 1e-6, 1e-4, -1e-4}) {
    const ShiftedLognormal variable(Moments{0.0, 1.0, skew}, -kInfinite);
    for (const double p : {0.05, 0.3, 0.95}) {
      const double z = normal_quantile(p);
      EXPECT_NEAR(variable.quantile(p), z + skew * (z * z - 1.0) / 6.0, skew * skew + 1e-9);
    }
  }
}

TEST(ShiftedLognormal, OfNegativeSkewnessIsTheMirrorImage) {
  const ShiftedLognormal right(Moments{0.0, 1.0, 0.9}, -kInfinite);
  const ShiftedLognormal left(Moments{0.0, 1.0, -0.9}, -kInfinite);
  for (const double p : {0.02, 0.3, 0.5, 0.8, 0.98}) {
    EXPECT_NEAR(left.quantile(p), -right.quantile(1.0 - p), 1e-13);
    EXPECT_NEAR(left.cdf(right.quantile(p)), 1.0 - right.cdf(-right.quantile(p)), 1e-13);
  }
}

TEST(ShiftedLognormal, CdfUndoesTheQuantile) {
  for (const double third : {-20.0, -0.5, 0.0, 1e-6, 0.5, 20.0}) {
    const ShiftedLognormal variable(Moments{50.0, 9.0, third});
    for (const double p : {0.001, 0.05, 0.5, 0.95, 0.999}) {
      EXPECT_NEAR(variable.cdf(variable.quantile(p)), p, 1e-11) << third;
    }
  }
}

TEST(ShiftedLognormal, WithoutVarianceIsOnePoint) {
  const ShiftedLognormal point(Moments{7.0, 0.0, 0.0});
  EXPECT_EQ(point.quantile(0.01), 7.0);
  EXPECT_EQ(point.quantile(0.99), 7.0);
  EXPECT_EQ(point.cdf(6.9), 0.0);
  EXPECT_EQ(point.cdf(7.0), 1.0);
}

TEST(ShiftedLognormal, NeverGoesBelowItsLeast) {
  // The normal with mean 1 and sd 2 has 31 % below 0: they are put at 0.
  const ShiftedLognormal yarn(Moments{1.0, 4.0, 0.0});
  EXPECT_EQ(yarn.quantile(0.05), 0.0);
  EXPECT_GT(yarn.quantile(0.5), 0.0);
  EXPECT_EQ(yarn.cdf(-0.1), 0.0);
  EXPECT_NEAR(yarn.cdf(0.0), 0.308537538725987, 1e-12);  // the normal table at -0.5
}

TEST(ShiftedLognormal, IsFiniteWhateverTheMoments) {
  for (const double variance : {1e-300, 1e-30, 1.0, 1e30, 1e300}) {
    for (const double third : {-1e300, -1.0, -1e-300, 0.0, 1e-300, 1.0, 1e300}) {
      const ShiftedLognormal variable(Moments{1.0, variance, third}, -kInfinite);
      for (const double p : {1e-300, 0.05, 0.5, 0.95, 1.0 - 1e-16}) {
        EXPECT_TRUE(std::isfinite(variable.quantile(p))) << variance << ' ' << third << ' ' << p;
      }
      for (const double x : {-kInfinite, -1e300, 0.0, 1.0, 1e300, kInfinite}) {
        const double chance = variable.cdf(x);
        EXPECT_TRUE(chance >= 0.0 && chance <= 1.0) << variance << ' ' << third << ' ' << x;
      }
    }
  }
}

TEST(ShiftedLognormal, RefusesWhatIsNoDistribution) {
  EXPECT_THROW(ShiftedLognormal(Moments{1.0, -1.0, 0.0}), OutOfRange);
  EXPECT_THROW(ShiftedLognormal(Moments{-1.0, 1.0, 0.0}), OutOfRange);
  EXPECT_THROW(ShiftedLognormal(Moments{kInfinite, 1.0, 0.0}), OutOfRange);
  EXPECT_THROW(ShiftedLognormal(Moments{1.0, std::nan(""), 0.0}), OutOfRange);
  EXPECT_THROW(ShiftedLognormal(Moments{1.0, 1.0, kInfinite}), OutOfRange);
  const ShiftedLognormal variable(Moments{1.0, 1.0, 0.0});
  EXPECT_THROW(variable.quantile(0.0), OutOfRange);
  EXPECT_THROW(variable.quantile(1.0), OutOfRange);
  EXPECT_THROW(variable.cdf(std::nan("")), OutOfRange);
}

TEST(RangeOfSum, OfOnePartIsExact) {
  for (const double log_sd : {1e-6, 0.05, 0.5, 1.0, 3.0}) {
    const Range range = range_of({{38.0}, {log_sd}, 1});
    EXPECT_NEAR(range.low / (38.0 * std::exp(-kZ95 * log_sd)), 1.0, 1e-9) << log_sd;
    EXPECT_NEAR(range.mid / 38.0, 1.0, 1e-9) << log_sd;
    EXPECT_NEAR(range.high / (38.0 * std::exp(kZ95 * log_sd)), 1.0, 1e-9) << log_sd;
  }
}

TEST(RangeOfSum, OfOnePartAndSureOnesIsExact) {
  const Range range = range_of({{12.0, 30.0, 8.0}, {0.0, 0.5, 0.0}, 1});
  EXPECT_NEAR(range.low, 20.0 + 30.0 * std::exp(-0.5 * kZ95), 1e-9);
  EXPECT_NEAR(range.mid, 50.0, 1e-9);
  EXPECT_NEAR(range.high, 20.0 + 30.0 * std::exp(0.5 * kZ95), 1e-9);
}

TEST(RangeOfSum, OfSurePartsIsTheirSum) {
  const Range range = range_of({{12.0}, {0.0}, 1});
  EXPECT_EQ(range.low, 12.0);
  EXPECT_EQ(range.mid, 12.0);
  EXPECT_EQ(range.high, 12.0);
}

TEST(RangeOfSum, StaysNearSamplesWhenDoubtsPullOneWay) {
  expect_near_samples(0.5, 0.0, 40, {0.03, 0.01, 0.03});
}

// Parts that move against each other leave a total shaped as a square of a normal variable, which
// has a hard lower end.
TEST(RangeOfSum, StaysNearSamplesWhenDoubtsOpposeEachOther) {
  expect_near_samples(0.5, 0.4, 40, {0.03, 0.01, 0.03});
}

TEST(RangeOfSum, OfTwoWideIndependentPartsStaysNearSamples) {
  const Mix mix = independent({42.4, 21.6}, {0.5, 0.5});
  const Range got = range_of(mix);
  const Range want = sampled(mix, 5);
  EXPECT_NEAR(got.low / want.low, 1.0, 0.03);
  EXPECT_NEAR(got.mid / want.mid, 1.0, 0.01);
  EXPECT_NEAR(got.high / want.high, 1.0, 0.03);
}

/// Two lognormal parts whose logarithms are correlated.
struct TwoParts {
  double first, first_sd, second, second_sd, correlation;

  /// The chance of a sum of x at most, the second part given the first: the trapezoid rule, which
  /// for a smooth integrand that falls off as a bell is right to many digits.
  double chance_below(double x) const {
    constexpr double kStep = 0.005;
    const double beside = std::sqrt(1.0 - correlation * correlation);
    double sum = 0.0;
    for (int k = -1600; k <= 1600; ++k) {
      const double z = k * kStep;
      const double rest = x - first * std::exp(first_sd * z);
      if (!(rest > 0.0)) break;
      const double score = (std::log(rest / second) / second_sd - correlation * z) / beside;
      sum += std::exp(-0.5 * z * z) * normal_cdf(score);
    }
    return sum * kStep / std::sqrt(2.0 * std::numbers::pi);
  }
  double point(double p) const {
    double low = 0.0;
    double high = 100.0 * (first + second);
    for (int i = 0; i < 60; ++i) {
      const double middle = 0.5 * (low + high);
      (chance_below(middle) < p ? low : high) = middle;
    }
    return 0.5 * (low + high);
  }
  Range found() const {
    const double together = correlation * first_sd * second_sd;
    return points_of_sum(std::vector{first, second}, std::vector{first_sd * first_sd, together,
                                                                 together, second_sd * second_sd});
  }
};

TEST(TwoParts, AreAsWideAsTheirMoments) {
  // One all but sure: the other moved by it. 1 + e^(0.3 z): 0.610513 + 1 and 1.637967 + 1.
  const TwoParts sure{1.0, 1e-6, 1.0, 0.3, 0.0};
  EXPECT_NEAR(sure.point(0.05), 1.610513, 2e-6);
  EXPECT_NEAR(sure.point(0.95), 2.637967, 2e-6);
}

// Log-sds up to 0.5, parts alike and not, moving apart, alike and against each other: the ends
// within three quarters of a hundredth, the median within a third of one.
TEST(RangeOfSum, OfTwoPartsIsNearTheirIntegral) {
  for (const double ratio : {1.0, 3.0, 10.0}) {
    for (const double first_sd : {0.1, 0.3, 0.5}) {
      for (const double second_sd : {0.1, 0.3, 0.5}) {
        for (const double correlation : {-0.5, 0.0, 0.5, 0.9}) {
          const TwoParts parts{ratio, first_sd, 1.0, second_sd, correlation};
          SCOPED_TRACE(testing::Message() << ratio << " with " << first_sd << ", 1 with "
                                          << second_sd << ", correlated " << correlation);
          const Range found = parts.found();
          EXPECT_NEAR(found.low / parts.point(0.05), 1.0, 0.0075);
          EXPECT_NEAR(found.mid / parts.point(0.50), 1.0, 0.0035);
          EXPECT_NEAR(found.high / parts.point(0.95), 1.0, 0.0075);
        }
      }
    }
  }
}

TEST(RangeOfSum, StaysNearSamplesUpToALogSdOfOne) {
  expect_near_samples(1.0, 0.0, 25, {0.03, 0.02, 0.03});
}

/// Thirty-two states as a normal variable of this mean and standard deviation has them, shuffled.
std::vector<double> normal_states(double mean, double sd, unsigned seed) {
  std::vector<double> states;
  for (int k = 0; k < 32; ++k) states.push_back(mean + sd * normal_quantile((k + 0.5) / 32.0));
  std::shuffle(states.begin(), states.end(), std::mt19937(seed));
  return states;
}

// Each state is sure: only the widening is between them. Its kernel keeps the variance, so that the
// points are the normal's, but for what 32 states leave of the tails (2 % of a standard deviation
// in the variance) and the fifth that the kernel smooths.
TEST(PointsOverStates, OfSureStatesAreThoseTheyAreDrawnFrom) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    const Range range = points_over_states(normal_states(100.0, 4.0, seed), std::vector{0.0});
    EXPECT_NEAR(range.low, 100.0 - 4.0 * kZ95, 0.05 * 4.0 * kZ95) << seed;
    EXPECT_NEAR(range.mid, 100.0, 0.05 * 4.0) << seed;
    EXPECT_NEAR(range.high, 100.0 + 4.0 * kZ95, 0.05 * 4.0 * kZ95) << seed;
  }
}

TEST(PointsOverStates, DoNotHangOnTheOrderOfTheStates) {
  const Range first = points_over_states(normal_states(20.0, 0.6, 1), std::vector{0.0});
  for (unsigned seed = 2; seed <= 20; ++seed) {
    const Range other = points_over_states(normal_states(20.0, 0.6, seed), std::vector{0.0});
    EXPECT_NEAR(other.low, first.low, 1e-9);
    EXPECT_NEAR(other.mid, first.mid, 1e-9);
    EXPECT_NEAR(other.high, first.high, 1e-9);
  }
}

// Half the states at 1 and half at 3, hardly anything between: any median from 1 to 3 is right.
TEST(PointsOverStates, OfTwoPlacesFarApartAreInOrder) {
  std::vector<double> states(32, 1.0);
  std::fill(states.begin() + 16, states.end(), 3.0);
  const Range range = points_over_states(states, std::vector{1e-10});
  EXPECT_NEAR(range.low, 1.0, 0.6);  // widened by up to a fifth of the spread of 1
  EXPECT_GT(range.mid, range.low);
  EXPECT_LT(range.mid, range.high);
  EXPECT_NEAR(range.high, 3.0, 0.6);
}

TEST(RangeOfSum, IsFiniteAndOrderedForAbsurdDoubts) {
  NormalNumbers numbers(3);
  for (const double largest : {3.0, 9.9}) {
    for (int i = 0; i < 20; ++i) {
      const Range range = range_of(random_mix(numbers, largest, 0.3));
      EXPECT_GE(range.low, 0.0);
      EXPECT_GE(range.mid, range.low);
      EXPECT_GE(range.high, range.mid);
      EXPECT_TRUE(std::isfinite(range.high));
    }
  }
}

}  // namespace
}  // namespace ellwand::numeric
