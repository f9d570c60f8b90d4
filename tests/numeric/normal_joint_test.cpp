#include "ellwand/numeric/normal_joint.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include "ellwand/numeric/normal.hpp"
#include "ellwand/units/error.hpp"

namespace ellwand::numeric {
namespace {

using std::numbers::pi;

constexpr double kStated = 1e-4;  // the accuracy the header states

std::vector<double> equal_correlations(std::size_t n, double r) {
  std::vector<double> matrix(n * n, r);
  for (std::size_t i = 0; i < n; ++i) matrix[i * n + i] = 1.0;
  return matrix;
}

// Variables that share one factor, Z_i = sqrt(r) Y + sqrt(1 - r) E_i: the chance that none exceeds
// its limit is one integral over Y, taken here by Simpson's rule.
double any_by_quadrature(const std::vector<double>& z, double r) {
  constexpr int kStrips = 8000;
  constexpr double kReach = 9.0;
  const double step = 2.0 * kReach / kStrips;
  double sum = 0.0;
  for (int i = 0; i <= kStrips; ++i) {
    const double y = -kReach + step * i;
    double density = std::exp(-0.5 * y * y) / std::sqrt(2.0 * pi);
    for (const double limit : z) {
      density *= normal_cdf((limit - std::sqrt(r) * y) / std::sqrt(1.0 - r));
    }
    sum += density * (i == 0 || i == kStrips ? 1.0 : i % 2 == 1 ? 4.0 : 2.0);
  }
  return 1.0 - sum * step / 3.0;
}

// Limits as uneven as real stocks are: -0.9 to 2.6, never two alike.
std::vector<double> uneven_limits(std::size_t n, double shift) {
  std::vector<double> z;
  for (std::size_t i = 0; i < n; ++i) {
    z.push_back(shift + 1.75 * std::sin(1.0 + 2.3 * static_cast<double>(i)));
  }
  return z;
}

TEST(NearestCorrelations, AreThoseThatVariablesCanHave) {
  const std::vector<double> can_be = {1.0, 0.6, 0.6, 1.0};
  EXPECT_EQ(nearest_correlations(can_be), can_be);
  // Three variables, each two at -0.9: along (1, 1, 1) the variance would be 1 - 1.8 = -0.8.
  // Without it 1.9 (I - J / 3) is left, and 1.9 (-1/3) over 1.9 (2/3) is -1/2.
  const std::vector<double> nearest =
      nearest_correlations(std::vector{1.0, -0.9, -0.9, -0.9, 1.0, -0.9, -0.9, -0.9, 1.0});
  for (std::size_t i = 0; i < 9; ++i) {
    EXPECT_NEAR(nearest[i], i % 4 == 0 ? 1.0 : -0.5, 1e-12);
  }
}

TEST(ChanceAnyExceeds, OfOneVariableIsItsTail) {
  const std::vector<double> one = {1.0};
  EXPECT_NEAR(chance_any_exceeds(std::vector<double>{1.3}, one), 1.0 - normal_cdf(1.3), 1e-15);
}

TEST(ChanceAnyExceeds, OfIndependentVariablesIsOneLessTheProduct) {
  for (const std::size_t n : {2U, 5U, 12U, 30U}) {
    const std::vector<double> z = uneven_limits(n, 1.5);
    double none = 1.0;
    for (const double limit : z) none *= normal_cdf(limit);
    EXPECT_NEAR(chance_any_exceeds(z, equal_correlations(n, 0.0)), 1.0 - none, 1e-12) << n;
  }
}

TEST(ChanceAnyExceeds, OfVariablesWithOneCommonFactorAgreesWithQuadrature) {
  for (const std::size_t n : {2U, 4U, 8U, 9U, 30U}) {
    for (const double r : {0.1, 0.5, 0.9, 0.99}) {
      for (const double shift : {-0.5, 2.5}) {
        const std::vector<double> z = uneven_limits(n, shift);
        EXPECT_NEAR(chance_any_exceeds(z, equal_correlations(n, r)), any_by_quadrature(z, r),
                    kStated)
            << n << " variables, correlation " << r << ", shift " << shift;
      }
      const std::vector<double> same(n, 0.4);
      EXPECT_NEAR(chance_any_exceeds(same, equal_correlations(n, r)), any_by_quadrature(same, r),
                  kStated)
          << n << " variables, correlation " << r;
    }
  }
}

using Correlation = double (*)(std::size_t i, std::size_t j);

std::vector<double> correlations_by(std::size_t n, Correlation between) {
  std::vector<double> matrix(n * n, 1.0);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) matrix[i * n + j] = i == j ? 1.0 : between(i, j);
  }
  return matrix;
}

// Limits in equal steps.
std::vector<double> rising_limits(std::size_t n, double first, double last) {
  std::vector<double> z;
  for (std::size_t i = 0; i < n; ++i) {
    z.push_back(first + (last - first) * static_cast<double>(i) / static_cast<double>(n - 1));
  }
  return z;
}

double apart(std::size_t i, std::size_t j) {
  return std::abs(static_cast<double>(i) - static_cast<double>(j));
}

// Sets without one common factor, and what R's mvtnorm 1.1-3 has of them, 1 - pmvnorm(upper = z,
// corr = R, algorithm = GenzBretz(maxpts = 2e7, abseps = 2e-7)), with an error of 5e-7 at most.
TEST(ChanceAnyExceeds, OfOtherSetsIsThatOfMvtnorm) {
  const Correlation chain_7 = [](auto i, auto j) { return std::pow(0.7, apart(i, j)); };
  const Correlation chain_9 = [](auto i, auto j) { return std::pow(0.9, apart(i, j)); };
  const Correlation swinging = [](auto i, auto j) { return std::pow(-0.6, apart(i, j)); };
  const Correlation halves = [](auto i, auto j) { return (i < 4) == (j < 4) ? 0.9 : 0.2; };
  const Correlation against = [](auto, auto) { return -0.15; };
  const struct {
    std::size_t n;
    Correlation between;
    double first, last, chance;
  } sets[] = {
      {5, chain_7, 1.645, 1.645, 0.1570591}, {5, chain_7, 0.5, 2.5, 0.3633214},
      {8, chain_9, 1.645, 1.645, 0.1443597}, {8, chain_9, 0.2, 2.3, 0.4654841},
      {8, halves, 1.645, 1.645, 0.1616175},  {8, halves, 0.2, 2.3, 0.4861767},
      {6, against, 1.645, 1.645, 0.2819532}, {6, against, 0.0, 2.0, 0.8459264},
      {8, swinging, 0.5, 0.5, 0.9712343},    {8, swinging, 1.2, 1.2, 0.6219053},
  };
  for (const auto& set : sets) {
    EXPECT_NEAR(chance_any_exceeds(rising_limits(set.n, set.first, set.last),
                                   correlations_by(set.n, set.between)),
                set.chance, kStated)
        << set.n << " variables, limits " << set.first << " to " << set.last;
  }
}

// W. F. Sheppard, Phil. Trans. R. Soc. A 192 (1899) 101-167, from memory:
// P(both <= 0) = 1/4 + asin(r) / (2 pi). At r = 1/2 it is 1/3.
TEST(ChanceAnyExceeds, OfTwoAtZeroIsSheppards) {
  const std::vector<double> zero = {0.0, 0.0};
  EXPECT_NEAR(chance_any_exceeds(zero, equal_correlations(2, 0.5)), 2.0 / 3.0, kStated);
  for (const double r : {-0.999, -0.8, -0.3, 0.3, 0.8, 0.999}) {
    EXPECT_NEAR(chance_any_exceeds(zero, equal_correlations(2, r)),
                0.75 - std::asin(r) / (2.0 * pi), kStated)
        << r;
  }
}

// Of three: P(all <= 0) = 1/8 + (asin r12 + asin r13 + asin r23) / (4 pi), which follows from the
// formula for two by inclusion and exclusion, since P(all <= 0) = P(all > 0).
TEST(ChanceAnyExceeds, OfThreeAtZeroFollowsFromSheppards) {
  const std::vector<double> zero(3, 0.0);
  const double triples[][3] = {{0.7, 0.2, -0.3}, {-0.4, -0.4, -0.4}, {0.9, 0.8, 0.95}};
  for (const auto& [ab, ac, bc] : triples) {
    const std::vector<double> r = {1.0, ab, ac, ab, 1.0, bc, ac, bc, 1.0};
    const double none = 0.125 + (std::asin(ab) + std::asin(ac) + std::asin(bc)) / (4.0 * pi);
    EXPECT_NEAR(chance_any_exceeds(zero, r), 1.0 - none, kStated) << ab << ' ' << ac << ' ' << bc;
  }
}

TEST(ChanceAnyExceeds, OfVariablesThatMoveAsOneIsTheTightestsTail) {
  for (const std::size_t n : {2U, 5U, 30U}) {
    std::vector<double> z = uneven_limits(n, 2.0);
    z[n / 2] = 0.1;  // the tightest: the others are above 0.25
    EXPECT_NEAR(chance_any_exceeds(z, equal_correlations(n, 1.0)), 1.0 - normal_cdf(0.1), 1e-6);
  }
}

TEST(ChanceAnyExceeds, OfExactOppositesIsTheSumOfBothTails) {
  const std::vector<double> r = {1.0, -1.0, -1.0, 1.0};
  const std::vector<double> z = {1.0, 0.5};
  EXPECT_NEAR(chance_any_exceeds(z, r), 2.0 - normal_cdf(1.0) - normal_cdf(0.5), 1e-12);
  // -0.5 <= Z <= -1 cannot be: one of the two always exceeds.
  EXPECT_EQ(chance_any_exceeds(std::vector<double>{-1.0, 0.5}, r), 1.0);
}

TEST(ChanceAnyExceeds, KeepsAVariableThatTwoOthersDetermine) {
  // Z3 = (Z1 + Z2) / sqrt 2. It is below 0 where Z1 and Z2 both are: the quarter turn stays. With
  // Z1 and Z3 bound and Z2 free, two half planes at 45 degrees share a wedge of 135: 3/8 of a turn.
  const double h = std::sqrt(0.5);
  const std::vector<double> r = {1.0, 0.0, h, 0.0, 1.0, h, h, h, 1.0};
  EXPECT_NEAR(chance_any_exceeds(std::vector<double>(3, 0.0), r), 0.75, kStated);
  const std::vector<double> z = {0.0, std::numeric_limits<double>::infinity(), 0.0};
  EXPECT_NEAR(chance_any_exceeds(z, r), 1.0 - 3.0 / 8.0, kStated);
}

TEST(ChanceAnyExceeds, OfTwoGroupsThatMoveAsOneIsThatOfTwoVariables) {
  std::vector<double> r = equal_correlations(6, 1.0);
  for (std::size_t i = 0; i < 6; ++i) {
    for (std::size_t j = 0; j < 6; ++j) r[i * 6 + j] = i / 3 == j / 3 ? 1.0 : 0.6;
  }
  const std::vector<double> z = {1.0, 0.7, 2.0, 1.1, 1.1, 0.4};
  EXPECT_NEAR(chance_any_exceeds(z, r), any_by_quadrature({0.7, 0.4}, 0.6), kStated);
}

TEST(ChanceAnyExceeds, TakesInfiniteLimits) {
  constexpr double kInfinite = std::numeric_limits<double>::infinity();
  const std::vector<double> r = equal_correlations(3, 0.4);
  EXPECT_NEAR(chance_any_exceeds(std::vector<double>{kInfinite, 1.0, kInfinite}, r),
              1.0 - normal_cdf(1.0), kStated);
  EXPECT_EQ(chance_any_exceeds(std::vector<double>(3, kInfinite), r), 0.0);
  EXPECT_EQ(chance_any_exceeds(std::vector<double>{1.0, -kInfinite, kInfinite}, r), 1.0);
  EXPECT_EQ(chance_any_exceeds(std::vector<double>(3, 1e6), r), 0.0);
  EXPECT_EQ(chance_any_exceeds(std::vector<double>(3, -1e6), r), 1.0);
}

TEST(ChanceAnyExceeds, TakesAMatrixThatMissesByRounding) {
  // Three that move as one, one figure rounded: its determinant is -4e-6. The tail of one is
  // 0.1587; a correlation of 0.998 between two at the same limit adds 0.004 at most.
  const std::vector<double> r = {1.0, 1.0, 1.0, 1.0, 1.0, 0.998, 1.0, 0.998, 1.0};
  EXPECT_NEAR(chance_any_exceeds(std::vector<double>(3, 1.0), r), 1.0 - normal_cdf(1.0), 0.01);
}

TEST(ChanceAnyExceeds, RefusesWhatNoVariablesCanHave) {
  const std::vector<double> two = {0.0, 0.0};
  const std::vector<double> three(3, 0.0);
  EXPECT_THROW(chance_any_exceeds(three, equal_correlations(3, -0.9)), OutOfRange);
  EXPECT_THROW(chance_any_exceeds(two, equal_correlations(2, 1.2)), OutOfRange);
  EXPECT_THROW(chance_any_exceeds(two, equal_correlations(2, std::nan(""))), OutOfRange);
  EXPECT_THROW(chance_any_exceeds(two, equal_correlations(3, 0.2)), OutOfRange);
  EXPECT_THROW(chance_any_exceeds(two, std::vector<double>{1.0, 0.2, 0.3, 1.0}), OutOfRange);
  EXPECT_THROW(chance_any_exceeds(two, std::vector<double>{2.0, 0.2, 0.2, 1.0}), OutOfRange);
  EXPECT_THROW(chance_any_exceeds(std::vector<double>{0.0, std::nan("")}, equal_correlations(2, 0)),
               OutOfRange);
  EXPECT_THROW(chance_any_exceeds(std::vector<double>(), std::vector<double>()), OutOfRange);
  EXPECT_THROW(chance_any_exceeds(std::vector<double>(31, 0.0), equal_correlations(31, 0.0)),
               OutOfRange);
}

// A kit of four yarns of which 98 in 100 shall be enough. Log-sds 0.20 common, 0.06 and 0.03 of
// each yarn: correlation 0.04 / 0.0445 = 0.899. 2.573 is the quantile of 0.98^(1/4) = 0.99496 and
// 2.054 that of 0.98 (tables of the normal distribution); 2.329 is from the common-factor integral
// by quadrature, checked here beside it. Half a unit of the last digit.
TEST(JointQuantile, OfAKitOfFourYarns) {
  EXPECT_NEAR(joint_quantile(equal_correlations(4, 0.899), 0.98), 2.329, 0.0005);
  EXPECT_NEAR(any_by_quadrature(std::vector<double>(4, 2.329), 0.899), 0.02, 2e-5);
  EXPECT_NEAR(joint_quantile(equal_correlations(4, 0.0), 0.98), 2.573, 0.0005);
  EXPECT_NEAR(joint_quantile(equal_correlations(1, 0.0), 0.98), 2.054, 0.0005);
  EXPECT_NEAR(joint_quantile(equal_correlations(4, 1.0), 0.98), 2.054, 0.0005);
}

// The chance rises with the limit, so the exact limit lies where the quadrature passes p.
void expect_root_within(double tolerance, std::size_t n, double r, double p) {
  const double z = joint_quantile(equal_correlations(n, r), p);
  const double above = 1.0 - any_by_quadrature(std::vector<double>(n, z + tolerance), r);
  const double below = 1.0 - any_by_quadrature(std::vector<double>(n, z - tolerance), r);
  EXPECT_GT(above, p) << n << " variables, correlation " << r;
  EXPECT_LT(below, p) << n << " variables, correlation " << r;
}

TEST(JointQuantile, IsWithinTwoThousandthsOfTheQuadraturesRoot) {
  for (const double p : {0.5, 0.9, 0.99}) {
    for (const double r : {0.1, 0.5, 0.9}) expect_root_within(0.002, 5, r, p);
    expect_root_within(0.002, 2, 0.7, p);
    expect_root_within(0.002, 12, 0.5, p);
  }
}

TEST(JointQuantile, OfTenIndependentYarnsIsThatOfTheTenthRoot) {
  EXPECT_NEAR(joint_quantile(equal_correlations(10, 0.0), 0.95),
              normal_quantile(std::pow(0.95, 0.1)), 1e-4);
}

TEST(JointQuantile, RefusesAChanceOutsideItsRange) {
  const std::vector<double> r = equal_correlations(2, 0.3);
  for (const double p : {0.0, 0.49, 1.0, std::nan("")}) {
    EXPECT_THROW(joint_quantile(r, p), OutOfRange) << p;
  }
  EXPECT_THROW(joint_quantile(std::vector<double>(5, 1.0), 0.9), OutOfRange);
  EXPECT_THROW(joint_quantile(std::vector<double>(), 0.9), OutOfRange);
}

}  // namespace
}  // namespace ellwand::numeric
