#include "ellwand/technique/cord.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <cmath>
#include <numbers>

namespace ellwand::technique {

namespace {

void require_stated(const HangingCord& cord) {
  constexpr double kMost_mm = 1e5;
  if (!(cord.rise.si() > 0.0)) {
    throw OutOfRange(
        "a hanging cord needs the rise of its middle above the rod, more than 0; measure from the "
        "rod to the nail");
  }
  require_range("rise of the cord, mm", in_millimetres(cord.rise), 0.0, kMost_mm, "a cord");
  require_range("distance between the ties of a cord, mm", in_millimetres(cord.tie_distance), 0.0,
                kMost_mm, "a cord");
  require_range("wraps at each tie", cord.wraps_at_each_tie, 0, 1e4, "a cord");
  require_range("diameter of the rod, mm", in_millimetres(cord.rod),
                cord.wraps_at_each_tie > 0 ? 1e-3 : 0.0, kMost_mm, "a cord wrapped round it");
  require_range("yarn in the knots of a cord, mm", in_millimetres(cord.knots), 0.0, kMost_mm,
                "a cord");
}

/// Both legs.
Length<> straight_of(const HangingCord& cord) {
  return metres(2.0 * std::hypot(0.5 * in_metres(cord.tie_distance), in_metres(cord.rise)));
}

/// All turns round the rod.
template <class Scalar>
Length<Scalar> wraps_of(const HangingCord& cord, const Lie<Scalar>& lie) {
  const Length<Scalar> thickness = yarn::bundle_diameter(lie.strand_diameter, cord.strand.held);
  return 2.0 * cord.wraps_at_each_tie * std::numbers::pi * (cord.rod + thickness);
}

}  // namespace

template <class Scalar>
Length<Scalar> cord_cut(const HangingCord& cord, const Lie<Scalar>& lie) {
  require_stated(cord);
  return (straight_of(cord) + wraps_of(cord, lie)) * lie.take + cord.knots;
}

template <class Scalar>
Entries<Scalar> cord_yarn(const HangingCord& cord, const Lie<Scalar>& lie) {
  require_stated(cord);
  const double k = cord.strand.yarn_per_laid();
  const Length<Scalar> straight = k * straight_of(cord);
  const Length<Scalar> wraps = k * wraps_of(cord, lie);

  Entries<Scalar> entries;
  entries.add(Cause::Straight, Portion::Laid, straight);
  entries.add(Cause::Wraps, Portion::Laid, wraps);
  entries.add(Cause::Take, Portion::Laid, (straight + wraps) * (lie.take - 1.0));
  entries.add(Cause::Tails, Portion::Tails, Length<Scalar>(k * cord.knots));
  return entries;
}

template Length<double> cord_cut(const HangingCord&, const Lie<double>&);
template Length<Dual> cord_cut(const HangingCord&, const Lie<Dual>&);
template Entries<double> cord_yarn(const HangingCord&, const Lie<double>&);
template Entries<Dual> cord_yarn(const HangingCord&, const Lie<Dual>&);

}  // namespace ellwand::technique
