#include "ellwand/numeric/coordinate.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <vector>

#include "ellwand/units/error.hpp"
#include "support/slopes.hpp"

namespace ellwand::numeric {
namespace {

const std::vector<Coordinate> kAll = {Coordinate::plain(), Coordinate::above_zero(),
                                      Coordinate::between(-2.0, 3.0)};

TEST(Coordinate, IsTheLogarithmOrTheLogOfBothDistances) {
  EXPECT_EQ(Coordinate::plain().of(-3.5), -3.5);
  EXPECT_NEAR(Coordinate::above_zero().of(std::exp(2.0)), 2.0, 1e-15);
  // 2 is 4 from -2 and 1 from 3: log(4).
  EXPECT_NEAR(Coordinate::between(-2.0, 3.0).of(2.0), std::log(4.0), 1e-15);
}

TEST(Coordinate, GoesThereAndBack) {
  for (const Coordinate& coordinate : kAll) {
    for (const double u : {-20.0, -1.0, 0.0, 0.3, 15.0}) {
      // Near a bound the distance to it holds few digits: 1e-16 of 5 over exp(-20) is 2e-7.
      EXPECT_NEAR(coordinate.of(coordinate.parameter(u)), u, 1e-6);
    }
  }
}

TEST(Coordinate, SlopeIsThatOfTheParameter) {
  for (const Coordinate& coordinate : kAll) {
    for (const double u : {-5.0, -0.2, 0.0, 1.0, 6.0}) {
      const double step = test::central_step(u);
      const double rise = coordinate.parameter(u + step) - coordinate.parameter(u - step);
      EXPECT_NEAR(coordinate.slope(u), rise / (2.0 * step), 1e-7 * std::max(1.0, std::exp(u)));
    }
  }
}

TEST(Coordinate, NoStepLeavesTheBounds) {
  for (const double u : {-1e300, -800.0, -50.0, 50.0, 800.0, 1e300}) {
    const double between = Coordinate::between(-2.0, 3.0).parameter(u);
    EXPECT_GE(between, -2.0);
    EXPECT_LE(between, 3.0);
    EXPECT_TRUE(std::isfinite(Coordinate::between(-2.0, 3.0).slope(u)));
    EXPECT_GE(Coordinate::above_zero().parameter(u), 0.0);
  }
}

TEST(Coordinate, OutsideTheBoundsThereIsNone) {
  EXPECT_FALSE(std::isfinite(Coordinate::above_zero().of(0.0)));
  EXPECT_FALSE(std::isfinite(Coordinate::above_zero().of(-1.0)));
  EXPECT_FALSE(std::isfinite(Coordinate::between(0.0, 1.0).of(1.0)));
  EXPECT_FALSE(std::isfinite(Coordinate::between(0.0, 1.0).of(7.0)));
}

TEST(Coordinate, KnowsItsEnds) {
  EXPECT_FALSE(Coordinate::plain().at_boundary(1e300, 0.0));
  EXPECT_FALSE(Coordinate::above_zero().at_boundary(std::log(1e-11), 0.0));
  EXPECT_TRUE(Coordinate::above_zero().at_boundary(std::log(1e-13), 0.0));
  EXPECT_FALSE(Coordinate::between(0.0, 1.0).at_boundary(std::log(1e-8), 0.0));
  EXPECT_TRUE(Coordinate::between(0.0, 1.0).at_boundary(std::log(1e10), 0.0));
}

TEST(Coordinate, OtherStartsOfAPlainOneReachBothSidesOfZero) {
  const Coordinate plain = Coordinate::plain();
  EXPECT_NEAR(plain.moved(3.0, 0.5), 3.0 * std::exp(0.5), 1e-15);
  EXPECT_NEAR(plain.moved(3.0, -2.0), -3.0, 1e-15);
  EXPECT_EQ(plain.moved(0.0, 0.7), 0.7);
  EXPECT_EQ(Coordinate::above_zero().moved(-1.0, 0.25), -0.75);
}

TEST(Coordinate, RefusesBoundsThatAreNone) {
  constexpr double kInfinite = std::numeric_limits<double>::infinity();
  EXPECT_THROW(Coordinate::between(1.0, 1.0), OutOfRange);
  EXPECT_THROW(Coordinate::between(0.0, kInfinite), OutOfRange);
  EXPECT_THROW(Coordinate::between(std::nan(""), 1.0), OutOfRange);
}

}  // namespace
}  // namespace ellwand::numeric
