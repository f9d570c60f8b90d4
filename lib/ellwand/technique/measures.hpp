#pragma once
/// What the formulas of several works ask of lengths and ends.

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/quantity.hpp"

#include <cmath>

namespace ellwand::technique {

/// The least that a thread or a spacing may measure where a formula divides by it.
inline constexpr double kLeast_mm = 1e-6;
/// No length that a formula takes is longer.
inline constexpr double kMost_mm = 1e5;
/// No warp has more ends.
inline constexpr int kMostEnds = 100'000;

/// A length without its slopes.
template <class Scalar>
double mm(const Length<Scalar>& length) {
  return value_of(in_millimetres(length));
}

/// The slant of two lengths at right angles: sqrt(a^2 + b^2).
template <class Scalar>
Length<Scalar> across(const Length<Scalar>& a, const Length<Scalar>& b) {
  using std::sqrt;
  return Length<Scalar>::from_si(sqrt((a * a + b * b).si()));
}

}  // namespace ellwand::technique
