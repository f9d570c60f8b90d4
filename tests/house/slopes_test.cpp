#include "support/slopes.hpp"

#include <gtest/gtest-spi.h>
#include <gtest/gtest.h>

#include <array>

#include "ellwand/numeric/dual.hpp"

namespace ellwand::test {
namespace {

/// x^2 whose slope is off by one part in ten thousand.
double nearly_squared(double x) { return x * x; }
Dual nearly_squared(const Dual& x) { return detail::chain(x, x.value * x.value, 2.0001 * x.value); }

/// 3 x whose value differs between the two scalars.
double differing(double x) { return 3.0 * x; }
Dual differing(const Dual& x) { return 3.0 * x + 0.001; }

/// x y that forgets the slope along y.
double forgetful(double x, double y) { return x * y; }
Dual forgetful(const Dual& x, const Dual& y) { return x * y.value; }

TEST(ExpectSlopesMatch, AcceptsTheRightSlope) {
  expect_slopes_match([](const auto& x) { return x[0] * x[0] / x[1]; }, std::array{3.0, -0.002});
}

TEST(ExpectSlopesMatch, AcceptsAVariableAtZero) {
  expect_slopes_match([](const auto& x) { return (1.0 + x[0]) * x[1]; }, std::array{0.0, 2.0});
}

TEST(ExpectSlopesMatch, RefusesASlopeThatIsSlightlyWrong) {
  EXPECT_NONFATAL_FAILURE(
      expect_slopes_match([](const auto& x) { return nearly_squared(x[0]); }, std::array{3.0}),
      "slope along variable 0");
}

TEST(ExpectSlopesMatch, RefusesAMissingSlope) {
  EXPECT_NONFATAL_FAILURE(expect_slopes_match([](const auto& x) { return forgetful(x[0], x[1]); },
                                              std::array{3.0, 2.0}),
                          "slope along variable 1");
}

TEST(ExpectSlopesMatch, RefusesTwoValues) {
  EXPECT_NONFATAL_FAILURE(
      expect_slopes_match([](const auto& x) { return differing(x[0]); }, std::array{3.0}),
      "value with slopes and without");
}

}  // namespace
}  // namespace ellwand::test
