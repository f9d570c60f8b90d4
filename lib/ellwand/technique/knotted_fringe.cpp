#include "ellwand/technique/knotted_fringe.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/technique/measures.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ellwand::technique {

using std::numbers::pi;

template <class Scalar>
Length<Scalar> knot_wrap(const Length<Scalar>& spacing, const Length<Scalar>& end,
                         const Length<Scalar>& bundle) {
  return spacing + 1.5 * pi * (end + bundle);
}

namespace {

/// a, or 0 where it is negative.
template <class Scalar>
Length<Scalar> not_below_zero(const Length<Scalar>& a) {
  return value_of(a.si()) > 0.0 ? a : Length<Scalar>();
}

/// s: how much higher one tail comes out than the other.
template <class Scalar>
Length<Scalar> over_each_other(const Length<Scalar>& gap, const Length<Scalar>& bundle) {
  constexpr double kHighest = 0.6;  // of a bundle, where the gap is just one wide
  constexpr double kFade = 0.9;     // bundles of room more, until both lie side by side
  const Scalar room = (gap / bundle - 1.0) / kFade;
  if (value_of(room) <= 0.0) return kHighest * bundle;
  if (value_of(room) >= 1.0) return {};
  return kHighest * (1.0 - room * room * (3.0 - 2.0 * room)) * bundle;
}

/// e: what the higher tail saves by slanting down to the face of the cloth.
template <class Scalar>
Length<Scalar> slant_saves(const Length<Scalar>& out, const Length<Scalar>& down) {
  if (value_of(down.si()) <= 0.0) return {};
  return out + down - across(out, down);
}

}  // namespace

template <class Scalar>
Length<Scalar> taut_knot_wrap(const Length<Scalar>& spacing, const Length<Scalar>& end,
                              const Length<Scalar>& bundle, const Length<Scalar>& cloth, int ends) {
  using std::sqrt;
  const Length<Scalar> r = 0.5 * bundle;
  const Length<Scalar> radius = 0.5 * (end + bundle);
  const Length<Scalar> beyond_ends = not_below_zero<Scalar>(0.5 * (cloth - end));  // t - d_e/2
  const Length<Scalar> face = 0.5 * end + beyond_ends;                             // t
  const Length<Scalar> behind_bar = not_below_zero<Scalar>(radius - face);
  const Length<Scalar> bar =
      Length<Scalar>::from_si(sqrt((9.0 * r * r - behind_bar * behind_bar).si()));  // y
  const Length<Scalar> higher =
      ends == 2 ? over_each_other<Scalar>(spacing - end, bundle) : Length<Scalar>();
  const Length<Scalar> round = 1.5 * pi * radius;
  return (ends - 1.0) * spacing + 2.0 * (face + 0.5 * pi * r - bar) +
         across<Scalar>(round, bar - r) + across<Scalar>(round, bar - r + higher) - higher -
         slant_saves(beyond_ends, higher);
}

namespace {

/// Wrap of a knot round the ends to either side of it, p_k apart: the ends' spacing, or less where
/// the knot draws them together.
template <class Scalar>
Length<Scalar> wrap_of(const KnottedFringe& fringe, const Lie<Scalar>& lie,
                       const Length<Scalar>& bundle) {
  const int to_a_side = fringe.ends_per_knot / 2;
  const Length<Scalar> side = yarn::bundle_diameter(lie.warp_diameter, to_a_side);
  const Length<Scalar> apart = static_cast<double>(to_a_side) * lie.warp_spacing;
  const Length<Scalar> drawn = side + bundle;
  const bool closes = fringe.pulled_tight && value_of(drawn.si()) < value_of(apart.si());
  return knot_wrap(closes ? drawn : apart, side, bundle);
}

}  // namespace

template <class Scalar>
FringeCut<Scalar> fringe_cut(const KnottedFringe& fringe, const Lie<Scalar>& lie) {
  const Length<Scalar> bundle = yarn::bundle_diameter(lie.strand_diameter, fringe.strand.held);
  const Length<Scalar> ends = 2.0 * (fringe.hang + lie.trim);
  const Length<Scalar> wrap = wrap_of(fringe, lie, bundle);
  const auto left_over = static_cast<double>(fringe.ends_left_over());

  FringeCut<Scalar> cut;
  cut.bundle = bundle;
  cut.each = ends + wrap * lie.take;
  cut.last = ends + (wrap + left_over * lie.warp_spacing) * lie.take;
  const int wide_knots = fringe.ends_left_over() > 0 ? 1 : 0;
  cut.strands_last = fringe.rows * wide_knots * fringe.strand.held;
  cut.strands_each = fringe.rows * (fringe.knots_per_row() - wide_knots) * fringe.strand.held;
  return cut;
}

template <class Scalar>
Entries<Scalar> fringe_yarn(const KnottedFringe& fringe, const Lie<Scalar>& lie) {
  const FringeCut<Scalar> cut = fringe_cut(fringe, lie);
  const double strands =
      static_cast<double>(cut.strands_each + cut.strands_last) / fringe.strand.split_into;
  const double further =
      static_cast<double>(cut.strands_last) * fringe.ends_left_over() / fringe.strand.split_into;
  const Length<Scalar> wraps =
      strands * wrap_of(fringe, lie, cut.bundle) + further * lie.warp_spacing;

  Entries<Scalar> entries;
  entries.add(Cause::Straight, Portion::Cut, Length<Scalar>(2.0 * strands * fringe.hang));
  entries.add(Cause::Wraps, Portion::Laid, wraps);
  entries.add(Cause::Take, Portion::Laid, wraps * (lie.take - 1.0));
  entries.add(Cause::Trims, Portion::Trims, 2.0 * strands * lie.trim);
  return entries;
}

template <class Scalar>
Length<Scalar> fringe_row_height(const KnottedFringe& fringe, const Lie<Scalar>& lie,
                                 double row_height) {
  return row_height * lie.row_spacing *
         yarn::bundle_diameter(lie.strand_diameter, fringe.strand.held);
}

Length<> card_height(const Length<>& cut, const Length<>& thickness, const Length<>& strand) {
  const Length<> height = (cut - 2.0 * thickness - pi * strand) / 2.0;
  if (!(height.si() > 0.0)) {
    throw OutOfRange("the strands are too short to wind on a card of this thickness");
  }
  return height;
}

int spare_strands(int strands) { return (strands + 19) / 20; }

template Length<double> knot_wrap(const Length<double>&, const Length<double>&,
                                  const Length<double>&);
template Length<Dual> knot_wrap(const Length<Dual>&, const Length<Dual>&, const Length<Dual>&);
template Length<double> taut_knot_wrap(const Length<double>&, const Length<double>&,
                                       const Length<double>&, const Length<double>&, int);
template Length<Dual> taut_knot_wrap(const Length<Dual>&, const Length<Dual>&, const Length<Dual>&,
                                     const Length<Dual>&, int);
template FringeCut<double> fringe_cut(const KnottedFringe&, const Lie<double>&);
template FringeCut<Dual> fringe_cut(const KnottedFringe&, const Lie<Dual>&);
template Entries<double> fringe_yarn(const KnottedFringe&, const Lie<double>&);
template Entries<Dual> fringe_yarn(const KnottedFringe&, const Lie<Dual>&);
template Length<double> fringe_row_height(const KnottedFringe&, const Lie<double>&, double);
template Length<Dual> fringe_row_height(const KnottedFringe&, const Lie<Dual>&, double);

}  // namespace ellwand::technique
