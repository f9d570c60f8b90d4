#include "ellwand/estimate/yarn_totals.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numeric>

#include "ellwand/numeric/sum_points.hpp"
#include "support/draws.hpp"

namespace ellwand::estimate {
namespace {

constexpr double kUpperTwentieth = 1.6448536269514722;  // normal quantile of 0.95

/// Parts of one band each, of two yarns, on three coefficients: shared, lot of the first, lot of
/// the second.
Parts two_yarns() {
  Parts parts;
  parts.coefficients = 3;
  parts.places = {{1, 0, technique::Portion::Laid}, {2, 1, technique::Portion::Laid}};
  parts.medians_m = {30.0, 8.0};
  parts.at_states_m.resize(2);
  parts.slopes.add(std::array{0.30, 0.01, 0.0});
  parts.slopes.add(std::array{0.20, 0.0, 0.03});
  return parts;
}

TEST(Sum, OfOnePartIsItsLognormal) {
  const Parts parts = two_yarns();
  // Log-sd sqrt(0.30^2 + 0.01^2).
  EXPECT_NEAR(Sum(parts, {0}).length_m().quantile(0.95),
              30.0 * std::exp(kUpperTwentieth * std::hypot(0.30, 0.01)), 1e-6);
  EXPECT_NEAR(Sum(parts, {0}).length_m().quantile(0.50), 30.0, 1e-9);
}

TEST(Sum, AHeavierLotIsThickerAndHeavierAtOnce) {
  const Parts parts = two_yarns();
  // 0.2 g a metre; the lot moves the length by 0.01 and the mass of each metre by 0.06, together:
  // log-sd sqrt(0.30^2 + 0.07^2).
  EXPECT_NEAR(Sum(parts, {0}).mass_g(0.2, 1, 0.06).quantile(0.95),
              6.0 * std::exp(kUpperTwentieth * std::hypot(0.30, 0.07)), 1e-6);
}

TEST(Sum, TwoYarnsVaryTogetherByWhatTheyShareAndNotByTheirLots) {
  const Parts parts = two_yarns();
  const double covariance =
      Sum(parts, {0}).mass_covariance({0.2, 1, 0.06}, Sum(parts, {1}), {0.5, 2, 0.04});
  // Of two lognormals: mean mean (exp(shared) - 1), shared = 0.30 x 0.20; log variances 0.30^2 +
  // 0.07^2 and 0.20^2 + 0.07^2 (the second's lot: 0.03 and 0.04).
  const double first_g = 6.0 * std::exp((0.09 + 0.0049) / 2.0);
  const double second_g = 4.0 * std::exp((0.04 + 0.0049) / 2.0);
  EXPECT_NEAR(covariance, first_g * second_g * (std::exp(0.06) - 1.0), 1e-9);
}

// Sixty bands with five parts each, laid and tails, no two alike: apart, their covariances written
// out, and drawn together by Sum. Within 2 parts in 1000 of each point, a tenth of what a kitchen
// scale shows of 50 g.
TEST(Sum, OfManyPartsIsThatOfAllApart) {
  test::NormalDraws draws(5);
  Parts parts;
  constexpr std::size_t kBands = 60;
  parts.coefficients = 4 + kBands;
  std::vector<std::vector<double>> rows;
  for (std::size_t i = 0; i < 5 * kBands; ++i) {
    std::vector<double> row(parts.coefficients, 0.0);
    row[0] = 0.12 * std::exp(0.3 * draws.next());
    row[1] = 0.05 * draws.next();
    row[2 + i % 2] = 0.3;
    row[4 + i / 5] = 0.1;
    parts.places.push_back({static_cast<int>(i / 5) + 1, 0,
                            i % 2 == 0 ? technique::Portion::Laid : technique::Portion::Tails});
    parts.medians_m.push_back(std::exp(0.5 * draws.next()));
    parts.at_states_m.emplace_back();
    parts.slopes.add(row);
    rows.push_back(row);
  }
  const std::size_t n = rows.size();
  ASSERT_GT(n, 2 * Sum::kMostApart);
  std::vector<double> covariances;
  for (const auto& a : rows) {
    for (const auto& b : rows) {
      covariances.push_back(std::inner_product(a.begin(), a.end(), b.begin(), 0.0));
    }
  }
  const numeric::Range apart = numeric::points_of_sum(parts.medians_m, covariances);
  std::vector<std::size_t> every(n);
  std::iota(every.begin(), every.end(), 0U);
  const numeric::Range together = Sum(parts, every).length_points_m();
  EXPECT_NEAR(together.low, apart.low, 0.002 * apart.low);
  EXPECT_NEAR(together.mid, apart.mid, 0.002 * apart.mid);
  EXPECT_NEAR(together.high, apart.high, 0.002 * apart.high);
}

TEST(DoubtShares, AreOfTheVarianceAndTheLargestComesFirst) {
  Parts parts;
  parts.coefficients = 2;
  parts.places = {{1, 0, technique::Portion::Laid},
                  {1, 0, technique::Portion::Tails},
                  {1, 1, technique::Portion::Laid}};
  parts.medians_m = {3.0, 1.0, 50.0};
  parts.slopes.add(std::array{0.10, 0.0});
  parts.slopes.add(std::array{-0.1, 0.40});
  parts.slopes.add(std::array{0.90, 0.0});
  // Of yarn 0: 3 x 0.10 - 1 x 0.1 = 0.2 and 0.40; squared 0.04 and 0.16, of 0.20.
  const auto shares = doubt_shares(parts, {}, 0);
  ASSERT_EQ(shares.size(), 2U);
  EXPECT_EQ(shares[0].coefficient, 1U);
  EXPECT_NEAR(shares[0].share, 0.8, 1e-12);
  EXPECT_NEAR(shares[1].share, 0.2, 1e-12);
}

TEST(DoubtShares, OfAYarnWithoutDoubtAreNothing) {
  Parts parts;
  parts.coefficients = 1;
  parts.places = {{0, 0, technique::Portion::Cut}};
  parts.medians_m = {3.0};
  parts.slopes.add(std::array{0.0});
  EXPECT_EQ(doubt_shares(parts, {}, 0).at(0).share, 0.0);
}

}  // namespace
}  // namespace ellwand::estimate
