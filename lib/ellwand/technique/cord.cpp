#include "ellwand/technique/cord.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/technique/edge_knots.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/units/told.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <fmt/format.h>

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
  require_range("plies of a cord", cord.plies, 1, 4, "a cord");
  require_range("wraps at each tie", cord.wraps_at_each_tie, 0, 1e4, "a cord");
  require_range("diameter of the rod, mm", in_millimetres(cord.rod),
                cord.wraps_at_each_tie > 0 ? 1e-3 : 0.0, kMost_mm, "a cord wrapped round it");
  require_range("cord in the knots of a cord, mm", in_millimetres(cord.knots), 0.0, kMost_mm,
                "a cord");
}

template <class Scalar>
Length<Scalar> ply_diameter(const HangingCord& cord, const Length<Scalar>& strand) {
  return yarn::bundle_diameter(strand, cord.strand.held);
}

/// Both legs.
Length<> straight_of(const HangingCord& cord) {
  return metres(2.0 * std::hypot(0.5 * in_metres(cord.tie_distance), in_metres(cord.rise)));
}

/// All turns round the rod.
template <class Scalar>
Length<Scalar> wraps_of(const HangingCord& cord, const Lie<Scalar>& lie) {
  const Length<Scalar> thickness = cord_diameter(cord, lie.strand_diameter);
  return 2.0 * cord.wraps_at_each_tie * std::numbers::pi * (cord.rod + thickness);
}

/// The tangent of the angle a ply makes with the cord at most.
constexpr double steepest(int plies) { return plies == 2 ? 1.0 : 0.7; }

void require_twist(const HangingCord& cord, double slope, double ply_mm) {
  if (slope <= steepest(cord.plies)) return;
  const double twist = in_per_cm(cord.twist);
  throw OutOfRange(fmt::format(
      "{} plies of {} cannot be twisted {}, for they would push each other apart; twist {} or "
      "less, "
      "or use thinner plies",
      cord.plies, thread_size(millimetres(ply_mm), 2), density(cord.twist),
      density(per_cm(std::floor(100.0 * twist * steepest(cord.plies) / slope) / 100.0))));
}

}  // namespace

template <class Scalar>
Length<Scalar> cord_diameter(const HangingCord& cord, const Length<Scalar>& strand) {
  require_range("plies of a cord", cord.plies, 1, 4, "a cord");
  return yarn::bundle_diameter(ply_diameter(cord, strand), cord.plies);
}

template <class Scalar>
Scalar plied_length(const HangingCord& cord, const Length<Scalar>& strand, bool planned) {
  using std::sqrt;
  require_range("plies of a cord", cord.plies, 1, 4, "a cord");
  if (cord.plies == 1) return Scalar(1.0);
  const double ring = std::numbers::pi / std::sin(std::numbers::pi / cord.plies);
  const Length<Scalar> ply = ply_diameter(cord, strand);
  const Scalar slope = ring * (ply * cord.twist);
  if (!planned) require_twist(cord, value_of(slope), value_of(in_millimetres(ply)));
  return sqrt(1.0 + slope * slope);
}

template <class Scalar>
Length<Scalar> cord_cut(const HangingCord& cord, const Lie<Scalar>& lie) {
  return cord_yarn(cord, lie).total() / cord_strands(cord);
}

template <class Scalar>
Entries<Scalar> cord_yarn(const HangingCord& cord, const Lie<Scalar>& lie) {
  require_stated(cord);
  const Scalar twisted = plied_length(cord, lie.strand_diameter, lie.planned.has_value());
  const double k = cord_strands(cord);
  const Length<Scalar> straight = k * straight_of(cord);
  const Length<Scalar> wraps = k * wraps_of(cord, lie);
  const Length<Scalar> knots = k * cord.knots;
  const Length<Scalar> laid = (straight + wraps) * lie.take;

  Entries<Scalar> entries;
  entries.add(Cause::Straight, Portion::Laid, straight);
  entries.add(Cause::Wraps, Portion::Laid, wraps);
  entries.add(Cause::Take, Portion::Laid, laid - straight - wraps);
  entries.add(Cause::Twist, Portion::Laid, laid * (twisted - 1.0));
  entries.add(Cause::Tails, Portion::Tails, knots * twisted);
  return entries;
}

Length<> usual_cord_knots(const HangingCord& cord, const Length<>& strand, const Length<>& end) {
  require_range("end of a cord beyond its knot, mm", in_millimetres(end), 0.0, 1e5, "a cord");
  return 2.0 * (kOverhandDiameters * cord_diameter(cord, strand) + end);
}

template Length<double> cord_diameter(const HangingCord&, const Length<double>&);
template Length<Dual> cord_diameter(const HangingCord&, const Length<Dual>&);
template double plied_length(const HangingCord&, const Length<double>&, bool);
template Dual plied_length(const HangingCord&, const Length<Dual>&, bool);
template Length<double> cord_cut(const HangingCord&, const Lie<double>&);
template Length<Dual> cord_cut(const HangingCord&, const Lie<Dual>&);
template Entries<double> cord_yarn(const HangingCord&, const Lie<double>&);
template Entries<Dual> cord_yarn(const HangingCord&, const Lie<Dual>&);

}  // namespace ellwand::technique
