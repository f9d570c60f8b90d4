#include "ellwand/estimate/doubt_points.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace ellwand::estimate {
namespace {

/// Warp and weft of one yarn (coefficient 0), the warp's lot (1), the rows' beat (2).
BandYarn balanced_band() {
  BandYarn one;
  one.holds = {{Local::WarpDiameter, 0, 1.0},
               {Local::StrandDiameter, 0, 1.0},
               {Local::WarpDiameter, 1, 0.5},
               {Local::RowSpacing, 2, 1.0},
               {Local::Take, 3, 1.0}};
  return one;
}
const Coefficients kSpreads = {{0.10, 0.06, 0.20, 0.30}, {}, {}};
constexpr std::size_t kCount = 64;

struct Points {
  BandYarn band = balanced_band();
  DoubtPoints points{{&band}, kSpreads, kCount};

  /// At every point, of the logarithms of warp, weft and rows.
  template <class F>
  std::vector<double> at_all(F f) const {
    std::vector<double> all;
    for (std::size_t k = 0; k < points.size(); ++k) {
      const auto factors = points.factors(band, k);
      all.push_back(f(std::log(factors[0]), std::log(factors[1]), std::log(factors[3])));
    }
    return all;
  }
  template <class F>
  double mean_of(F f) const {
    double sum = 0.0;
    for (const double x : at_all(f)) sum += x;
    return sum / static_cast<double>(kCount);
  }
};

TEST(DoubtPoints, AreOfTheCoefficientsThatTheBandBendsIn) {
  const Points all;
  EXPECT_EQ(all.points.coefficients(), (std::vector<std::size_t>{0, 1, 2}));
  // Take, which yarn is straight in, stays as it is.
  EXPECT_EQ(all.points.factors(all.band, 5)[static_cast<std::size_t>(Local::Take)], 1.0);
}

TEST(DoubtPoints, HaveTheSpreadsOfTheLocalsTogether) {
  const Points all;
  EXPECT_NEAR(all.mean_of([](double e, double, double) { return e; }), 0.0, 1e-12);
  EXPECT_NEAR(all.mean_of([](double e, double, double) { return e * e; }),
              0.10 * 0.10 + 0.03 * 0.03, 1e-12);
  EXPECT_NEAR(all.mean_of([](double e, double w, double) { return e * w; }), 0.10 * 0.10, 1e-12);
  EXPECT_NEAR(all.mean_of([](double, double, double r) { return r * r; }), 0.20 * 0.20, 1e-12);
  // Mirrored: no third moment. Fourth of a normal variable: 3 sd^4, nearly.
  EXPECT_NEAR(all.mean_of([](double e, double, double r) { return e * r * r; }), 0.0, 1e-12);
  EXPECT_NEAR(all.mean_of([](double, double, double r) { return r * r * r * r; }) /
                  (3.0 * 0.20 * 0.20 * 0.20 * 0.20),
              1.0, 0.25);  // as few as these have it within a quarter
}

TEST(DoubtPoints, OfAStraightLineFindTheLineAndNoBend) {
  const Points all;
  const LogLine line = all.points.nearest_line(
      all.at_all([](double e, double w, double r) { return 2.0 + 0.3 * e - 0.7 * w + 1.1 * r; }));
  EXPECT_NEAR(line.mean, 2.0, 1e-12);
  // By one spread each: (0.3 - 0.7) x 0.10; 0.3 x 0.5 x 0.06; 1.1 x 0.20.
  EXPECT_NEAR(line.slopes[0], -0.04, 1e-12);
  EXPECT_NEAR(line.slopes[1], 0.009, 1e-12);
  EXPECT_NEAR(line.slopes[2], 0.22, 1e-12);
  EXPECT_NEAR(line.remainder, 0.0, 1e-12);
}

TEST(DoubtPoints, OfAParabolaFindItsMeanAndThatItBends) {
  // E[r + 3 r^2] = 3 x 0.04, and no slope of the parabola itself; its variance 9 x 2 x 0.04^2,
  // which as many points as these have only nearly.
  const Points all;
  const LogLine line =
      all.points.nearest_line(all.at_all([](double, double, double r) { return r + 3.0 * r * r; }));
  EXPECT_NEAR(line.mean, 0.12, 1e-12);
  EXPECT_NEAR(line.slopes[2], 0.20, 1e-10);
  EXPECT_NEAR(line.remainder / (18.0 * 0.04 * 0.04), 1.0, 0.4);
}

TEST(DoubtPoints, LocalsOfOneCoefficientMoveTogether) {
  BandYarn one;
  one.holds = {{Local::WarpDiameter, 0, 1.0}, {Local::StrandDiameter, 0, 1.0}};
  const DoubtPoints points({&one}, kSpreads, kCount);
  for (std::size_t k = 0; k < points.size(); ++k) {
    const auto factors = points.factors(one, k);
    EXPECT_NEAR(factors[0], factors[1], 1e-12);
  }
  const auto log_sds = bending_log_sds(one, kSpreads);
  EXPECT_NEAR(log_sds[0], 0.10, 1e-12);
  EXPECT_NEAR(log_sds[1], 0.10, 1e-12);
  EXPECT_EQ(log_sds[2], 0.0);
  EXPECT_NEAR(bending_log_sds(balanced_band(), kSpreads)[0], std::hypot(0.10, 0.03), 1e-12);
}

}  // namespace
}  // namespace ellwand::estimate
