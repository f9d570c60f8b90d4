#pragma once
/// A number that carries its slopes: forward differentiation by a handful of local variables.
///
/// `double` in a model function gives the estimate; `Dual` in the same function gives the estimate
/// and its slopes. No expression templates: every operation returns a Dual.
///
/// Accuracy: exact slopes, to rounding (test Dual.AgreesWithCentralDifferences).
/// Infinite slopes: sqrt(0), acos(+-1), pow(0, x < 1) give infinite or NaN slopes; a model function
/// refuses the value or takes another form there.

#include <array>
#include <cmath>
#include <cstddef>

namespace ellwand {

inline constexpr std::size_t kSlopes = 8;

/// The slopes lie first: read two at a time as they are written two at a time, they need not wait
/// until both of two writes have reached the cache.
struct Dual {
  std::array<double, kSlopes> slope{};
  double value = 0.0;

  constexpr Dual() = default;
  /// A plain number: every slope is zero.
  constexpr Dual(double v) : value(v) {}  // NOLINT(google-explicit-constructor)

  /// The i-th of the local variables: its own slope is `unit` (1 unless scaled).
  static constexpr Dual variable(double v, std::size_t i, double unit = 1.0) {
    Dual x(v);
    x.slope[i] = unit;
    return x;
  }

  constexpr Dual& operator+=(const Dual& b) {
    value += b.value;
    for (std::size_t i = 0; i < kSlopes; ++i) slope[i] += b.slope[i];
    return *this;
  }
  constexpr Dual& operator-=(const Dual& b) {
    value -= b.value;
    for (std::size_t i = 0; i < kSlopes; ++i) slope[i] -= b.slope[i];
    return *this;
  }
};

namespace detail {
/// f(x) with outer slope `d` = f'(x).
constexpr Dual chain(const Dual& x, double f, double d) {
  Dual y(f);
  for (std::size_t i = 0; i < kSlopes; ++i) y.slope[i] = d * x.slope[i];
  return y;
}
/// f(a, b) with outer slopes `da`, `db`.
constexpr Dual chain(const Dual& a, const Dual& b, double f, double da, double db) {
  Dual y(f);
  for (std::size_t i = 0; i < kSlopes; ++i) y.slope[i] = da * a.slope[i] + db * b.slope[i];
  return y;
}
}  // namespace detail

constexpr Dual operator-(const Dual& a) { return detail::chain(a, -a.value, -1.0); }
constexpr Dual operator+(const Dual& a, const Dual& b) {
  return detail::chain(a, b, a.value + b.value, 1.0, 1.0);
}
constexpr Dual operator-(const Dual& a, const Dual& b) {
  return detail::chain(a, b, a.value - b.value, 1.0, -1.0);
}
constexpr Dual operator*(const Dual& a, const Dual& b) {
  return detail::chain(a, b, a.value * b.value, b.value, a.value);
}
constexpr Dual operator/(const Dual& a, const Dual& b) {
  const double quotient = a.value / b.value;
  return detail::chain(a, b, quotient, 1.0 / b.value, -quotient / b.value);
}
constexpr Dual operator+(Dual a, double k) {
  a.value += k;
  return a;
}
constexpr Dual operator+(double k, const Dual& a) { return a + k; }
constexpr Dual operator-(const Dual& a, double k) { return a + (-k); }
constexpr Dual operator-(double k, const Dual& a) { return -a + k; }
constexpr Dual operator*(const Dual& a, double k) { return detail::chain(a, a.value * k, k); }
constexpr Dual operator*(double k, const Dual& a) { return a * k; }
constexpr Dual operator/(const Dual& a, double k) { return a * (1.0 / k); }
constexpr Dual operator/(double k, const Dual& a) {
  return detail::chain(a, k / a.value, -k / (a.value * a.value));
}

inline Dual sqrt(const Dual& x) {
  const double root = std::sqrt(x.value);
  return detail::chain(x, root, 0.5 / root);
}
inline Dual exp(const Dual& x) {
  const double e = std::exp(x.value);
  return detail::chain(x, e, e);
}
inline Dual log(const Dual& x) { return detail::chain(x, std::log(x.value), 1.0 / x.value); }
inline Dual sin(const Dual& x) { return detail::chain(x, std::sin(x.value), std::cos(x.value)); }
inline Dual cos(const Dual& x) { return detail::chain(x, std::cos(x.value), -std::sin(x.value)); }
inline Dual acos(const Dual& x) {
  return detail::chain(x, std::acos(x.value), -1.0 / std::sqrt(1.0 - x.value * x.value));
}
inline Dual atan2(const Dual& y, const Dual& x) {
  const double r2 = x.value * x.value + y.value * y.value;
  return detail::chain(y, x, std::atan2(y.value, x.value), x.value / r2, -y.value / r2);
}

/// The number without its slopes: the only thing a branch may look at.
constexpr double value_of(double x) { return x; }
constexpr double value_of(const Dual& x) { return x.value; }

}  // namespace ellwand
