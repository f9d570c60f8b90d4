#include "ellwand/cloth/racetrack.hpp"

#include <gtest/gtest.h>

#include <numbers>

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"
#include "support/slopes.hpp"

namespace ellwand::cloth {
namespace {

double area_mm2(const Racetrack<>& thread) {
  const double a = in_millimetres(thread.width);
  const double b = in_millimetres(thread.thickness);
  return (a - b) * b + std::numbers::pi * b * b / 4.0;  // a rectangle and two halves of a circle
}

TEST(Racetrack, PressedToHalfByHand) {
  // d 1, b 0.5: a = 0.5 + 0.785398 * 0.75 / 0.5 = 1.678097.
  const Racetrack<> thread = pressed_to_thickness(millimetres(1.0), millimetres(0.5));
  EXPECT_NEAR(in_millimetres(thread.width), 1.678097, 1e-6);
  EXPECT_DOUBLE_EQ(in_millimetres(thread.thickness), 0.5);
  // d 1, b 0.05, the flattest that is proposed: 0.05 + 0.785398 * 0.9975 / 0.05 = 15.71869.
  const Racetrack<> ribbon = pressed_to_thickness(millimetres(1.0), millimetres(0.05));
  EXPECT_NEAR(in_millimetres(ribbon.width), 15.71869, 5e-5);
}

TEST(Racetrack, KeepsTheAreaOfTheRoundThread) {
  const double round = std::numbers::pi * 1.6 * 1.6 / 4.0;
  for (const double part : {0.05, 0.3, 0.8, 1.0}) {
    const Racetrack<> pressed = pressed_to_thickness(millimetres(1.6), millimetres(1.6 * part));
    EXPECT_NEAR(area_mm2(pressed), round, 1e-12);  // rounding
    EXPECT_NEAR(area_mm2(spread_to_width(millimetres(1.6), pressed.width)), round, 1e-12);
  }
}

TEST(Racetrack, IsTheSameByWidthAsByThickness) {
  for (const double b : {0.01, 0.5, 1.2, 1.6}) {
    const Racetrack<> pressed = pressed_to_thickness(millimetres(1.6), millimetres(b));
    const Racetrack<> spread = spread_to_width(millimetres(1.6), pressed.width);
    EXPECT_NEAR(in_millimetres(spread.thickness), b, 1e-12);  // rounding
  }
}

TEST(Racetrack, ATapeIsAsManyTimesAsWideAsThickAndKeepsItsArea) {
  // d 1, 2.5 times as wide as thick: b = sqrt(0.785398 / 2.285398) = 0.586225; a = 1.465561.
  const Racetrack<> tape = lying_flat(millimetres(1.0), 2.5);
  EXPECT_NEAR(in_millimetres(tape.thickness), 0.586225, 1e-6);
  EXPECT_NEAR(in_millimetres(tape.width), 1.465561, 1e-6);
  EXPECT_NEAR(area_mm2(tape), std::numbers::pi / 4.0, 1e-12);  // rounding
  EXPECT_EQ(in_millimetres(lying_flat(millimetres(1.6), 1.0).width), 1.6);
  EXPECT_THROW(lying_flat(millimetres(1.0), 0.9), OutOfRange);
  test::expect_slopes_match<1>(
      [](const auto& x) { return in_millimetres(lying_flat(millimetres(x[0]), 2.5).width); },
      {1.6});
}

TEST(Racetrack, CarriesItsSlopes) {
  const auto width = [](const auto& x) {
    return in_millimetres(pressed_to_thickness(millimetres(x[0]), millimetres(x[1])).width);
  };
  const auto thickness = [](const auto& x) {
    return in_millimetres(spread_to_width(millimetres(x[0]), millimetres(x[1])).thickness);
  };
  test::expect_slopes_match<2>(width, {1.6, 0.9});
  test::expect_slopes_match<2>(thickness, {1.6, 2.0});
}

TEST(Racetrack, RefusesWhatIsNotFlattened) {
  EXPECT_THROW(pressed_to_thickness(millimetres(1.0), millimetres(1.1)), OutOfRange);
  EXPECT_THROW(pressed_to_thickness(millimetres(1.0), millimetres(0.0)), OutOfRange);
  EXPECT_THROW(pressed_to_thickness(millimetres(0.0), millimetres(0.0)), OutOfRange);
  EXPECT_THROW(spread_to_width(millimetres(1.0), millimetres(0.9)), OutOfRange);
}

TEST(CrossingOverFlat, ByHand) {
  // Crossed threads of 1 mm pressed to 0.5: a - b = 1.178097. With a crossing thread of 1.6 mm, h =
  // D = 2.1; p - (a - b) = 4 - 1.178097 = 2.821903; s = sqrt(7.963137 - 4.41) = 1.884977; theta =
  // asin(2.1 / 2.821903) = 0.839304; l = 1.884977 + 2.1 * 0.839304 + 1.178097 = 4.825612.
  const Racetrack<> end = pressed_to_thickness(millimetres(1.0), millimetres(0.5));
  const auto made = crossing_over_flat(millimetres(4.0), end, millimetres(1.6), millimetres(2.1));
  EXPECT_NEAR(in_millimetres(made.yarn), 4.825612, 5e-6);  // sums of six decimals
}

TEST(CrossingOverFlat, OfRoundThreadsIsTheCrossingOfRoundThreads) {
  const Racetrack<> end{millimetres(1.0), millimetres(1.0)};
  const auto flat = crossing_over_flat(millimetres(4.0), end, millimetres(1.6), millimetres(1.3));
  const auto round = taut_crossing(millimetres(4.0), millimetres(2.6), millimetres(1.3));
  EXPECT_DOUBLE_EQ(in_millimetres(flat.yarn), in_millimetres(round.yarn));
  EXPECT_DOUBLE_EQ(flat.angle_rad, round.angle_rad);
}

template <class Scalar>
Scalar flat_length(const std::array<Scalar, 4>& x) {
  const Racetrack<Scalar> end = pressed_to_thickness<Scalar>(millimetres(x[1]), millimetres(x[2]));
  const Length<Scalar> height = end.thickness + millimetres(x[3]);
  return in_millimetres(
      crossing_over_flat<Scalar>(millimetres(x[0]), end, millimetres(x[3]), height).yarn);
}

TEST(CrossingOverFlat, CarriesItsSlopes) {
  const auto length = [](const auto& x) { return flat_length(x); };
  test::expect_slopes_match<4>(length, {4.0, 1.0, 0.7, 1.6});
}

TEST(CrossingOverFlat, RefusesThreadsThatTouch) {
  const Racetrack<> end{millimetres(3.0), millimetres(0.5)};
  EXPECT_THROW(crossing_over_flat(millimetres(2.5), end, millimetres(1.0), millimetres(1.0)),
               OutOfRange);
  const Racetrack<> upright{millimetres(0.5), millimetres(1.0)};
  EXPECT_THROW(crossing_over_flat(millimetres(4.0), upright, millimetres(1.0), millimetres(1.0)),
               OutOfRange);
}

}  // namespace
}  // namespace ellwand::cloth
