#include "ellwand/technique/knotted_fringe.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <numbers>

namespace ellwand::technique {

using std::numbers::pi;

template <class Scalar>
Length<Scalar> knot_wrap(const Length<Scalar>& spacing, const Length<Scalar>& end,
                         const Length<Scalar>& bundle) {
  return spacing + 1.5 * pi * (end + bundle);
}

namespace {

/// p_k: the spacing of the ends, or less where the knot draws them together.
template <class Scalar>
Length<Scalar> knot_spacing(const KnottedFringe& fringe, const Lie<Scalar>& lie,
                            const Length<Scalar>& bundle) {
  const Length<Scalar> drawn = lie.warp_diameter + bundle;
  const bool closes = fringe.pulled_tight && value_of(drawn.si()) < value_of(lie.warp_spacing.si());
  return closes ? drawn : lie.warp_spacing;
}

}  // namespace

template <class Scalar>
FringeCut<Scalar> fringe_cut(const KnottedFringe& fringe, const Lie<Scalar>& lie) {
  const Length<Scalar> bundle = yarn::bundle_diameter(lie.strand_diameter, fringe.strand.held);
  const Length<Scalar> spacing = knot_spacing(fringe, lie, bundle);
  const Length<Scalar> ends = 2.0 * (fringe.hang + lie.trim);
  const Length<Scalar> wrap = knot_wrap(spacing, lie.warp_diameter, bundle);

  FringeCut<Scalar> cut;
  cut.bundle = bundle;
  cut.each = ends + wrap * lie.take;
  cut.last = ends + (wrap + lie.warp_spacing) * lie.take;
  const int wide_knots = fringe.last_spans_three() ? 1 : 0;
  cut.strands_last = fringe.rows * wide_knots * fringe.strand.held;
  cut.strands_each = fringe.rows * (fringe.knots_per_row() - wide_knots) * fringe.strand.held;
  return cut;
}

template <class Scalar>
Entries<Scalar> fringe_yarn(const KnottedFringe& fringe, const Lie<Scalar>& lie) {
  const FringeCut<Scalar> cut = fringe_cut(fringe, lie);
  const double strands =
      static_cast<double>(cut.strands_each + cut.strands_last) / fringe.strand.split_into;
  const double wide = static_cast<double>(cut.strands_last) / fringe.strand.split_into;
  const Length<Scalar> spacing = knot_spacing(fringe, lie, cut.bundle);
  const Length<Scalar> wraps =
      strands * knot_wrap(spacing, lie.warp_diameter, cut.bundle) + wide * lie.warp_spacing;

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
template FringeCut<double> fringe_cut(const KnottedFringe&, const Lie<double>&);
template FringeCut<Dual> fringe_cut(const KnottedFringe&, const Lie<Dual>&);
template Entries<double> fringe_yarn(const KnottedFringe&, const Lie<double>&);
template Entries<Dual> fringe_yarn(const KnottedFringe&, const Lie<Dual>&);
template Length<double> fringe_row_height(const KnottedFringe&, const Lie<double>&, double);
template Length<Dual> fringe_row_height(const KnottedFringe&, const Lie<Dual>&, double);

}  // namespace ellwand::technique
