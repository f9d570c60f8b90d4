#include "ellwand/cloth/racetrack.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"

namespace ellwand::cloth {

namespace {

constexpr double kQuarterPi = std::numbers::pi / 4.0;

template <class Scalar>
double value_mm(const Length<Scalar>& x) {
  return in_millimetres(metres(value_of(x.si())));
}

}  // namespace

template <class Scalar>
Racetrack<Scalar> pressed_to_thickness(const Length<Scalar>& round,
                                       const Length<Scalar>& thickness) {
  require_range("thread diameter, mm", value_mm(round), 1e-9, 1e6, "a flattened thread");
  require_range("flattened thickness over diameter", value_mm(thickness) / value_mm(round), 1e-9,
                1.0, "a flattened thread");
  const Length<Scalar> flat = kQuarterPi * (round * round - thickness * thickness) / thickness;
  return {thickness + flat, thickness};
}

template <class Scalar>
Racetrack<Scalar> spread_to_width(const Length<Scalar>& round, const Length<Scalar>& width) {
  using std::sqrt;
  require_range("thread diameter, mm", value_mm(round), 1e-9, 1e6, "a flattened thread");
  require_range("flattened width over diameter", value_mm(width) / value_mm(round), 1.0, 1e9,
                "a flattened thread");
  // 2 c / (a + root) rather than (a - root) / ..., which cancels for wide threads; the root is
  // (pi / 2 - 1) d or more, so its slope is finite.
  const Scalar ratio = width / round;
  const Scalar root = sqrt(ratio * ratio - 4.0 * (1.0 - kQuarterPi) * kQuarterPi);
  return {width, round * Scalar(2.0 * kQuarterPi / (ratio + root))};
}

template <class Scalar>
Racetrack<Scalar> lying_flat(const Length<Scalar>& round, double ratio) {
  require_range("thread diameter, mm", value_mm(round), 1e-9, 1e6, "a flat thread");
  require_range("width over thickness", ratio, 1.0, 1e9, "a flat thread");
  const double thin = std::sqrt(kQuarterPi / (ratio - 1.0 + kQuarterPi));
  return {round * (thin * ratio), round * thin};
}

template <class Scalar>
Crossing<Scalar> crossing_over_flat(const Length<Scalar>& spacing, const Racetrack<Scalar>& crossed,
                                    const Length<Scalar>& crossing, const Length<Scalar>& height) {
  const Length<Scalar> flat = crossed.width - crossed.thickness;
  if (!(value_mm(flat) >= 0.0 && value_mm(spacing) > value_mm(flat))) {
    throw OutOfRange(fmt::format(
        "flattened threads {:.6g} mm wide and {:.6g} mm thick leave nothing to cross through at a "
        "spacing of {:.6g} mm; a thread is as wide as it is thick or wider, and needs a spacing "
        "above {:.6g} mm",
        value_mm(crossed.width), value_mm(crossed.thickness), value_mm(spacing), value_mm(flat)));
  }
  Crossing<Scalar> made =
      taut_crossing<Scalar>(spacing - flat, crossed.thickness + crossing, height);
  made.yarn += flat;
  return made;
}

// The two scalars this project computes with.
template Racetrack<double> pressed_to_thickness(const Length<double>&, const Length<double>&);
template Racetrack<Dual> pressed_to_thickness(const Length<Dual>&, const Length<Dual>&);
template Racetrack<double> spread_to_width(const Length<double>&, const Length<double>&);
template Racetrack<Dual> spread_to_width(const Length<Dual>&, const Length<Dual>&);
template Racetrack<double> lying_flat(const Length<double>&, double);
template Racetrack<Dual> lying_flat(const Length<Dual>&, double);
template Crossing<double> crossing_over_flat(const Length<double>&, const Racetrack<double>&,
                                             const Length<double>&, const Length<double>&);
template Crossing<Dual> crossing_over_flat(const Length<Dual>&, const Racetrack<Dual>&,
                                           const Length<Dual>&, const Length<Dual>&);

}  // namespace ellwand::cloth
