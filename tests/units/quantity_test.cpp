#include "ellwand/units/quantity.hpp"

#include <gtest/gtest.h>

#include <type_traits>

#include "ellwand/numeric/dual.hpp"

namespace ellwand {
namespace {

// Every value here is one or two roundings away from a decimal factor, so EXPECT_DOUBLE_EQ (four
// units in the last place) is the tolerance throughout.

TEST(Quantity, HasTheYardAndThePoundOf1959) {
  // International yard and pound agreement, 1959: 1 yd = 0.9144 m, 1 lb = 0.453 592 37 kg, exactly.
  EXPECT_DOUBLE_EQ(in_metres(yards(1.0)), 0.9144);
  EXPECT_DOUBLE_EQ(in_grams(pounds(1.0)), 453.59237);
}

TEST(Quantity, DividesTheYardIntoInchesAndThePoundIntoOunces) {
  EXPECT_DOUBLE_EQ(in_inches(yards(1.0)), 36.0);
  EXPECT_DOUBLE_EQ(in_millimetres(inches(1.0)), 25.4);
  EXPECT_DOUBLE_EQ(in_ounces(pounds(1.0)), 16.0);
  EXPECT_DOUBLE_EQ(in_grams(ounces(1.0)), 28.349523125);  // 453.592 37 / 16
}

TEST(Quantity, DividesTheMetreDecimally) {
  EXPECT_DOUBLE_EQ(in_metres(centimetres(250.0)), 2.5);
  EXPECT_DOUBLE_EQ(in_metres(millimetres(250.0)), 0.25);
  EXPECT_DOUBLE_EQ(in_centimetres(metres(0.34)), 34.0);
  EXPECT_DOUBLE_EQ(in_millimetres(metres(0.34)), 340.0);
}

TEST(Quantity, ReadsWhatItsMakerWasGiven) {
  EXPECT_DOUBLE_EQ(in_metres(metres(3.7)), 3.7);
  EXPECT_DOUBLE_EQ(in_centimetres(centimetres(3.7)), 3.7);
  EXPECT_DOUBLE_EQ(in_millimetres(millimetres(3.7)), 3.7);
  EXPECT_DOUBLE_EQ(in_inches(inches(3.7)), 3.7);
  EXPECT_DOUBLE_EQ(in_yards(yards(3.7)), 3.7);
  EXPECT_DOUBLE_EQ(in_square_centimetres(square_centimetres(3.7)), 3.7);
  EXPECT_DOUBLE_EQ(in_grams(grams(3.7)), 3.7);
  EXPECT_DOUBLE_EQ(in_ounces(ounces(3.7)), 3.7);
  EXPECT_DOUBLE_EQ(in_tex(tex(3.7)), 3.7);
  EXPECT_DOUBLE_EQ(in_per_cm(per_cm(3.7)), 3.7);
  EXPECT_DOUBLE_EQ(in_per_inch(per_inch(3.7)), 3.7);
  EXPECT_DOUBLE_EQ(in_grams_per_square_metre(grams_per_square_metre(3.7)), 3.7);
  EXPECT_DOUBLE_EQ(in_grams_per_cubic_cm(grams_per_cubic_cm(3.7)), 3.7);
}

TEST(Quantity, CountsTexInGramsPerKilometre) {
  EXPECT_DOUBLE_EQ(in_grams(tex(60.0) * metres(1000.0)), 60.0);
  EXPECT_DOUBLE_EQ(in_tex(grams(7.4) / metres(100.0)), 74.0);
  // One hank of 840 yd to the pound: 453 592.37 g / 768.096 km = 590.541 tex (five decimals by
  // long division of the exact factors).
  EXPECT_NEAR(in_tex(pounds(1.0) / (840.0 * yards(1.0))), 590.54125, 5e-6);
}

TEST(Quantity, CountsThreadsPerLength) {
  EXPECT_DOUBLE_EQ(in_per_cm(per_inch(25.4)), 10.0);
  EXPECT_DOUBLE_EQ(in_per_inch(per_cm(5.0)), 12.7);
  EXPECT_DOUBLE_EQ(in_per_cm(per_metre(800.0)), 8.0);
  EXPECT_DOUBLE_EQ(in_millimetres(1.0 / per_cm(8.0)), 1.25);
  EXPECT_DOUBLE_EQ(per_cm(8.0) * centimetres(30.0), 240.0);  // sett x width = ends, a plain number
}

TEST(Quantity, MultipliesLengthsIntoAreas) {
  EXPECT_DOUBLE_EQ(in_square_centimetres(square_inches(1.0)), 6.4516);  // 2.54 x 2.54
  EXPECT_DOUBLE_EQ(in_square_centimetres(metres(0.2) * metres(0.3)), 600.0);
  EXPECT_DOUBLE_EQ(in_grams(grams_per_square_metre(180.0) * (metres(0.5) * metres(2.0))), 180.0);
}

TEST(Quantity, WeighsVolumes) {
  // A cubic centimetre of cotton of 1.52 g/cm3.
  const auto cube = centimetres(1.0) * centimetres(1.0) * centimetres(1.0);
  EXPECT_DOUBLE_EQ(in_grams(grams_per_cubic_cm(1.52) * cube), 1.52);
}

TEST(Quantity, AddsSubtractsAndScales) {
  EXPECT_DOUBLE_EQ(in_metres(metres(2.0) + centimetres(16.0)), 2.16);
  EXPECT_DOUBLE_EQ(in_metres(metres(2.0) - centimetres(16.0)), 1.84);
  EXPECT_DOUBLE_EQ(in_metres(-metres(2.0)), -2.0);
  EXPECT_DOUBLE_EQ(in_metres(metres(2.0) * 3.0), 6.0);
  EXPECT_DOUBLE_EQ(in_metres(3.0 * metres(2.0)), 6.0);
  EXPECT_DOUBLE_EQ(in_metres(metres(3.0) / 2.0), 1.5);
  Mass<> balls = grams(50.0);
  balls += grams(25.0);
  EXPECT_DOUBLE_EQ(in_grams(balls), 75.0);
  balls -= grams(25.0);
  EXPECT_DOUBLE_EQ(in_grams(balls), 50.0);
}

TEST(Quantity, StartsAtZero) { EXPECT_EQ(in_grams(Mass<>()), 0.0); }

TEST(Quantity, Compares) {
  EXPECT_TRUE(metres(1.0) < metres(2.0));
  EXPECT_FALSE(metres(2.0) < metres(2.0));
  EXPECT_TRUE(metres(2.0) <= metres(2.0));
  EXPECT_FALSE(metres(3.0) <= metres(2.0));
  EXPECT_TRUE(metres(3.0) > metres(2.0));
  EXPECT_FALSE(metres(2.0) > metres(2.0));
  EXPECT_TRUE(metres(2.0) >= metres(2.0));
  EXPECT_FALSE(metres(1.0) >= metres(2.0));
  EXPECT_TRUE(metres(2.0) == metres(2.0));
  EXPECT_TRUE(metres(2.0) != metres(1.0));
}

TEST(Quantity, IsNotMadeFromABareNumber) {
  static_assert(!std::is_constructible_v<Length<>, double>);
  static_assert(!std::is_constructible_v<Mass<>, double>);
  static_assert(!std::is_convertible_v<Length<>, double>);
  static_assert(!std::is_constructible_v<Length<>, Mass<>>);
  static_assert(!std::is_assignable_v<Length<>&, double>);
}

TEST(Quantity, HasTheDimensionOfItsFactors) {
  static_assert(std::is_same_v<decltype(metres(1.0) * metres(1.0)), Area<>>);
  static_assert(std::is_same_v<decltype(tex(1.0) * metres(1.0)), Mass<>>);
  static_assert(std::is_same_v<decltype(grams(1.0) / metres(1.0)), LinearDensity<>>);
  static_assert(std::is_same_v<decltype(tex(1.0) * per_cm(1.0)), ArealDensity<>>);
  static_assert(std::is_same_v<decltype(1.0 / metres(1.0)), ThreadDensity<>>);
  static_assert(std::is_same_v<decltype(metres(1.0) / metres(1.0)), double>);
  static_assert(std::is_same_v<decltype(per_cm(1.0) * metres(1.0)), double>);
}

TEST(Quantity, CarriesSlopes) {
  // Mass of x metres of yarn of y tex: slopes y and x, in kg per m and per (kg/m).
  const Length<Dual> length = metres(Dual::variable(3.0, 0));
  const LinearDensity<Dual> density = LinearDensity<Dual>::from_si(Dual::variable(2.0, 1));
  const Mass<Dual> mass = length * density;
  EXPECT_EQ(mass.si().value, 6.0);
  EXPECT_EQ(mass.si().slope[0], 2.0);
  EXPECT_EQ(mass.si().slope[1], 3.0);
}

TEST(Quantity, WithoutSlopesServesWhereSlopesAreWanted) {
  const Length<Dual> plain = metres(3.0);
  EXPECT_EQ(plain.si().value, 3.0);
  EXPECT_EQ(plain.si().slope, Dual(0.0).slope);
  const Length<Dual> sum = metres(1.0) + metres(Dual::variable(2.0, 0));
  EXPECT_EQ(sum.si().value, 3.0);
  EXPECT_EQ(sum.si().slope[0], 1.0);
  static_assert(!std::is_constructible_v<Length<>, Length<Dual>>, "slopes are never lost silently");
}

}  // namespace
}  // namespace ellwand
