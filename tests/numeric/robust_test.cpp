#include "ellwand/numeric/robust.hpp"

#include <gtest/gtest.h>

#include <vector>

namespace ellwand::numeric {
namespace {

TEST(RobustWeight, IsOneForASmallResidualAndLessForAWildOne) {
  EXPECT_EQ(robust_weight(Robust::huber(1.345), 1.0), 1.0);
  EXPECT_EQ(robust_weight(Robust::huber(1.345), -2.69), 0.5);    // k / |z|
  EXPECT_EQ(robust_weight(Robust::bisquare(4.0), 2.0), 0.5625);  // (1 - 1/4)^2
  EXPECT_EQ(robust_weight(Robust::bisquare(4.0), 4.5), 0.0);
  EXPECT_EQ(robust_weight(Robust::student(4.0), 1.0), 1.0);   // 5 / (4 + 1)
  EXPECT_EQ(robust_weight(Robust::student(4.0), 4.0), 0.25);  // 5 / (4 + 16)
  EXPECT_EQ(robust_weight(Robust{}, 1e9), 1.0);
}

TEST(RobustWeight, StaysANumberForAHugeResidual) {
  EXPECT_EQ(robust_weight(Robust::huber(), 1e300), 1.345 / 1e300);
  EXPECT_EQ(robust_weight(Robust::bisquare(), -1e300), 0.0);
  EXPECT_EQ(robust_weight(Robust::student(), 1e300), 0.0);
}

TEST(MedianSpread, IsTheMiddleSizeOver06745) {
  EXPECT_EQ(median_spread(std::vector{-0.6745, 3.0, 0.1}), 1.0);
  EXPECT_EQ(median_spread(std::vector{-1.0, 3.0, 0.1, -2.0}), 1.5 / 0.6745);
  EXPECT_EQ(median_spread(std::vector<double>{}), 0.0);
}

}  // namespace
}  // namespace ellwand::numeric
