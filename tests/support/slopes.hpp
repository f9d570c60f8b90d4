#pragma once
/// Holds the slopes a model function carries against central differences of the same function.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>

#include "ellwand/numeric/dual.hpp"

namespace ellwand::test {

/// The step of a central difference about `x`: the cube root of the rounding unit, relative to x,
/// where the error of the cut-off series (step^2) and of rounding (unit / step) are alike, both
/// near 4e-11 of a function with moderate curvature. At x = 0 the step is taken as if x were 1.
inline double central_step(double x) {
  const double relative = std::cbrt(std::numeric_limits<double>::epsilon());
  return relative * (x == 0.0 ? 1.0 : std::abs(x));
}

/// The slope of f along the i-th variable at `at`, from f's values on both sides.
template <std::size_t N, class F>
double central_difference(F f, const std::array<double, N>& at, std::size_t i) {
  std::array<double, N> below = at;
  std::array<double, N> above = at;
  below[i] -= central_step(at[i]);
  above[i] += central_step(at[i]);
  const double rise = f(above) - f(below);
  return rise / (above[i] - below[i]);  // the step as it was rounded, not as it was meant
}

/// Expects that f, called with Duals, gives the value that f gives with doubles and the slopes that
/// central differences give. `at` must lie at least one step inside the range that f holds in.
///
/// @param f  takes `const std::array<Scalar, N>&`, returns Scalar, for double and for Dual:
///           `[](const auto& x) { return x[0] * x[1]; }`
/// @param relative_tolerance  of the larger of the two slopes. The default, 1e-6, is 25 000 times
///           the error of a central difference of a smooth function, and a wrong term in a slope is
///           rarely so small. Added to it is 64 rounding units of the value over the step, so that
///           a slope of zero is not failed by rounding.
template <std::size_t N, class F>
void expect_slopes_match(F f, const std::array<double, N>& at, double relative_tolerance = 1e-6) {
  static_assert(N <= kSlopes, "a Dual carries no more than kSlopes slopes");
  std::array<Dual, N> variables;
  for (std::size_t i = 0; i < N; ++i) variables[i] = Dual::variable(at[i], i);
  const Dual dual = f(variables);
  const double value = f(at);
  // The two scalars may round in a different order; 1e-12 allows some thousand roundings.
  EXPECT_NEAR(dual.value, value, 1e-12 * std::abs(value)) << "value with slopes and without";
  for (std::size_t i = 0; i < N; ++i) {
    const double difference = central_difference(f, at, i);
    ASSERT_TRUE(std::isfinite(difference)) << "central difference along variable " << i;
    const double rounding =
        64.0 * std::numeric_limits<double>::epsilon() * std::abs(value) / central_step(at[i]);
    const double larger = std::max(std::abs(dual.slope[i]), std::abs(difference));
    EXPECT_NEAR(dual.slope[i], difference, relative_tolerance * larger + rounding)
        << "slope along variable " << i << " at " << at[i];
  }
}

}  // namespace ellwand::test
