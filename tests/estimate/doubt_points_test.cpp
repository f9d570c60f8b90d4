#include "ellwand/estimate/doubt_points.hpp"

#include <gtest/gtest.h>

#include <algorithm>
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
const std::vector<double> kSpreads = {0.10, 0.06, 0.20, 0.30};

/// At every point, of the logarithms of the local factors.
template <class F>
DoubtPoints::Logs at_points(const DoubtPoints& points, F f) {
  DoubtPoints::Logs logs{};
  for (std::size_t k = 0; k < DoubtPoints::kSize; ++k) {
    const auto factors = points.factors(k);
    logs[k] = f(std::log(factors[0]), std::log(factors[1]), std::log(factors[3]));
  }
  return logs;
}

TEST(DoubtPoints, HaveTheSpreadsOfTheLocalsTogether) {
  const DoubtPoints points(balanced_band(), kSpreads);
  const auto mean_of = [&](auto f) {
    const auto all = at_points(points, f);
    double sum = 0.0;
    for (const double x : all) sum += x;
    return sum / DoubtPoints::kSize;
  };
  const double warp = mean_of([](double e, double, double) { return e * e; });
  const double both = mean_of([](double e, double w, double) { return e * w; });
  const double rows = mean_of([](double, double, double r) { return r * r; });
  EXPECT_NEAR(warp, 0.10 * 0.10 + 0.03 * 0.03, 1e-12);
  EXPECT_NEAR(both, 0.10 * 0.10, 1e-12);
  EXPECT_NEAR(rows, 0.20 * 0.20, 1e-12);
  // Take, which yarn is straight in, stays as it is.
  EXPECT_EQ(points.factors(5)[static_cast<std::size_t>(Local::Take)], 1.0);
}

TEST(DoubtPoints, OfAStraightLineFindTheLineAndNoBend) {
  const DoubtPoints points(balanced_band(), kSpreads);
  const LogLine line = points.nearest_line(at_points(
      points, [](double e, double w, double r) { return 2.0 + 0.3 * e - 0.7 * w + 1.1 * r; }));
  EXPECT_NEAR(line.mean, 2.0, 1e-12);
  EXPECT_NEAR(line.slopes[static_cast<std::size_t>(Local::WarpDiameter)], 0.3, 1e-10);
  EXPECT_NEAR(line.slopes[static_cast<std::size_t>(Local::StrandDiameter)], -0.7, 1e-10);
  EXPECT_NEAR(line.slopes[static_cast<std::size_t>(Local::RowSpacing)], 1.1, 1e-10);
  EXPECT_NEAR(line.remainder, 0.0, 1e-12);
  EXPECT_NEAR(line.third, 0.0, 1e-12);
}

TEST(DoubtPoints, OfAParabolaFindItsMeanAndThatItIsSkewed) {
  // E[r + 3 r^2] = 3 x 0.04, and no slope of the parabola itself.
  const DoubtPoints points(balanced_band(), kSpreads);
  const LogLine line = points.nearest_line(
      at_points(points, [](double, double, double r) { return r + 3.0 * r * r; }));
  EXPECT_NEAR(line.mean, 0.12, 1e-12);
  EXPECT_NEAR(line.slopes[static_cast<std::size_t>(Local::RowSpacing)], 1.0, 1e-10);
  EXPECT_GT(line.remainder, 0.0);
  EXPECT_GT(line.third, 0.0);
}

TEST(DoubtPoints, LocalsOfOneCoefficientMoveTogether) {
  BandYarn one;
  one.holds = {{Local::WarpDiameter, 0, 1.0}, {Local::StrandDiameter, 0, 1.0}};
  const DoubtPoints points(one, kSpreads);
  for (std::size_t k = 0; k < DoubtPoints::kSize; ++k) {
    EXPECT_NEAR(points.factors(k)[0], points.factors(k)[1], 1e-12);
  }
  // The line by both together: 0.3 + 0.4, however it is shared out.
  const LogLine line = points.nearest_line(
      at_points(points, [](double e, double w, double) { return 0.3 * e + 0.4 * w; }));
  EXPECT_NEAR(line.slopes[0] + line.slopes[1], 0.7, 1e-10);
  EXPECT_NEAR(bending_log_sd(one, kSpreads), std::sqrt(2.0) * 0.10, 1e-12);
}

}  // namespace
}  // namespace ellwand::estimate
