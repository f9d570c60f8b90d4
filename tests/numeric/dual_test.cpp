#include "ellwand/numeric/dual.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>

#include "support/slopes.hpp"

namespace ellwand {
namespace {

using test::expect_slopes_match;

// Slopes of single operations are one or two roundings from their closed form: EXPECT_DOUBLE_EQ.

/// Functions of one variable and of two, at places away from their edges.
template <class F>
void along_one(const char* name, F f, double at) {
  SCOPED_TRACE(name);
  expect_slopes_match([f](const auto& x) { return f(x[0]); }, std::array{at});
}
template <class F>
void along_two(const char* name, F f, double a, double b) {
  SCOPED_TRACE(name);
  expect_slopes_match([f](const auto& x) { return f(x[0], x[1]); }, std::array{a, b});
}

TEST(Dual, AgreesWithCentralDifferences) {
  along_one(
      "-x", [](auto x) { return -x; }, 1.7);
  along_one(
      "x + k", [](auto x) { return x + 2.5; }, 1.7);
  along_one(
      "k + x", [](auto x) { return 2.5 + x; }, 1.7);
  along_one(
      "x - k", [](auto x) { return x - 2.5; }, 1.7);
  along_one(
      "k - x", [](auto x) { return 2.5 - x; }, 1.7);
  along_one(
      "x * k", [](auto x) { return x * 2.5; }, 1.7);
  along_one(
      "k * x", [](auto x) { return 2.5 * x; }, 1.7);
  along_one(
      "x / k", [](auto x) { return x / 2.5; }, 1.7);
  along_one(
      "k / x", [](auto x) { return 2.5 / x; }, 1.7);
  using std::acos, std::atan2, std::cos, std::exp, std::log, std::sin, std::sqrt;
  for (const double at : {0.12, 0.5, 0.93}) {
    along_one(
        "sqrt", [](auto x) { return sqrt(x); }, at);
    along_one(
        "exp", [](auto x) { return exp(x); }, at);
    along_one(
        "log", [](auto x) { return log(x); }, at);
    along_one(
        "sin", [](auto x) { return sin(x); }, at);
    along_one(
        "cos", [](auto x) { return cos(x); }, at);
    along_one(
        "acos", [](auto x) { return acos(x); }, at);
    along_one(
        "acos of a negative", [](auto x) { return acos(-x); }, at);
  }
  for (const double sign : {1.0, -1.0}) {
    along_two(
        "a + b", [](auto a, auto b) { return a + b; }, sign * 1.7, 0.4);
    along_two(
        "a - b", [](auto a, auto b) { return a - b; }, sign * 1.7, 0.4);
    along_two(
        "a * b", [](auto a, auto b) { return a * b; }, sign * 1.7, 0.4);
    along_two(
        "a / b", [](auto a, auto b) { return a / b; }, sign * 1.7, 0.4);
    along_two(
        "atan2", [](auto a, auto b) { return atan2(a, b); }, 0.4, sign * 1.7);
    along_two(
        "atan2 below", [](auto a, auto b) { return atan2(a, b); }, -0.4, sign * 1.7);
  }
}

TEST(Dual, AgreesWithCentralDifferencesThroughAWholeFormula) {
  // The thread between two discs, as the model has it: every kind of operation in one expression.
  using std::atan2, std::sqrt;
  const auto length = [](const auto& x) {
    const auto& [spacing, thickness, height] = x;
    const auto fall = thickness - height;
    const auto straight = sqrt(spacing * spacing + fall * fall - thickness * thickness);
    const auto angle = atan2(thickness, straight) - atan2(fall, spacing);
    return straight + thickness * angle;
  };
  expect_slopes_match(length, std::array{4.0e-3, 2.6e-3, 2.1e-3});
}

TEST(Dual, HasTheSlopesOfTheTextbook) {
  const auto at = [](double x) { return Dual::variable(x, 0); };
  EXPECT_DOUBLE_EQ(sqrt(at(4.0)).slope[0], 0.25);  // 1 / (2 sqrt 4)
  EXPECT_DOUBLE_EQ(exp(at(1.0)).slope[0], std::numbers::e);
  EXPECT_DOUBLE_EQ(log(at(4.0)).slope[0], 0.25);
  EXPECT_DOUBLE_EQ(sin(at(std::numbers::pi / 3.0)).slope[0], 0.5);
  EXPECT_DOUBLE_EQ(cos(at(std::numbers::pi / 6.0)).slope[0], -0.5);
  EXPECT_DOUBLE_EQ(acos(at(0.6)).slope[0], -1.25);  // -1 / sqrt(1 - 0.36)
  EXPECT_DOUBLE_EQ((1.0 / at(4.0)).slope[0], -1.0 / 16.0);
  const Dual angle = atan2(Dual::variable(3.0, 0), Dual::variable(4.0, 1));
  EXPECT_DOUBLE_EQ(angle.slope[0], 4.0 / 25.0);
  EXPECT_DOUBLE_EQ(angle.slope[1], -3.0 / 25.0);
  const Dual quotient = Dual::variable(3.0, 0) / Dual::variable(4.0, 1);
  EXPECT_DOUBLE_EQ(quotient.slope[0], 1.0 / 4.0);
  EXPECT_DOUBLE_EQ(quotient.slope[1], -3.0 / 16.0);
}

TEST(Dual, HasTheValuesOfTheTextbook) {
  EXPECT_DOUBLE_EQ(sqrt(Dual(2.25)).value, 1.5);
  EXPECT_DOUBLE_EQ(exp(Dual(0.0)).value, 1.0);
  EXPECT_DOUBLE_EQ(log(Dual(std::numbers::e)).value, 1.0);
  EXPECT_DOUBLE_EQ(sin(Dual(std::numbers::pi / 6.0)).value, 0.5);
  EXPECT_DOUBLE_EQ(cos(Dual(std::numbers::pi / 3.0)).value, 0.5);
  EXPECT_DOUBLE_EQ(acos(Dual(0.5)).value, std::numbers::pi / 3.0);
  EXPECT_DOUBLE_EQ(atan2(Dual(1.0), Dual(-1.0)).value, 0.75 * std::numbers::pi);
  EXPECT_DOUBLE_EQ((Dual(7.0) / Dual(2.0) - 3.0 * Dual(0.5) + 1.0).value, 3.0);
}

TEST(Dual, FallsFlatWhereSlopesCancel) {
  // sin^2 + cos^2 is 1 everywhere; one rounding of each term is left (2e-16 at most here).
  const Dual x = Dual::variable(0.83, 0);
  EXPECT_NEAR((sin(x) * sin(x) + cos(x) * cos(x)).slope[0], 0.0, 1e-15);
  EXPECT_NEAR((log(exp(x)) - x).slope[0], 0.0, 1e-15);
}

TEST(Dual, StartsWithoutSlopes) {
  EXPECT_EQ(Dual().value, 0.0);
  const Dual plain = 3.0;
  for (const double slope : plain.slope) EXPECT_EQ(slope, 0.0);
}

TEST(Dual, KeepsEveryVariableApart) {
  Dual sum = 0.0;
  for (std::size_t i = 0; i < kSlopes; ++i) {
    const double weight = static_cast<double>(i) + 1.0;
    sum += weight * Dual::variable(10.0, i);
  }
  for (std::size_t i = 0; i < kSlopes; ++i) {
    EXPECT_EQ(sum.slope[i], static_cast<double>(i) + 1.0) << "variable " << i;
  }
  EXPECT_EQ(sum.value, 5.0 * kSlopes * (kSlopes + 1));  // 10 x (1 + 2 + ... + n)
}

TEST(Dual, TakesTheUnitOfItsVariable) {
  // d(x^2) = 2 x dx: a variable counted in thousandths has a slope a thousandth as large.
  const Dual x = Dual::variable(3.0, 2, 1e-3);
  EXPECT_DOUBLE_EQ((x * x).slope[2], 6e-3);
}

TEST(Dual, AddsAndSubtractsInPlaceAndScales) {
  Dual x = Dual::variable(3.0, 0);
  x += Dual::variable(2.0, 1);
  x -= Dual::variable(1.0, 0, 0.25);
  x = 4.0 * x;
  EXPECT_EQ(x.value, 16.0);    // 4 (3 + 2 - 1)
  EXPECT_EQ(x.slope[0], 3.0);  // 4 (1 - 0.25)
  EXPECT_EQ(x.slope[1], 4.0);
}

TEST(Dual, GivesItsValueToABranch) {
  EXPECT_EQ(value_of(Dual::variable(3.0, 0)), 3.0);
  EXPECT_EQ(value_of(3.0), 3.0);
}

}  // namespace
}  // namespace ellwand
