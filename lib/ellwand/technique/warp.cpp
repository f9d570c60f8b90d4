#include "ellwand/technique/warp.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ellwand::technique {

template <class Scalar>
Entries<Scalar> spanned_warp_yarn(const SpannedWarp& warp, const Length<Scalar>& spacing,
                                  const Scalar& stretch) {
  require_range("warp stretch", value_of(stretch), -0.5, 1.0, "a warp that is still on the loom");
  const double strands = warp.held;
  const Length<> across = strands * warp.ends * warp.span;
  const Length<Scalar> round = strands * (warp.ends - 1) * spacing;
  const Length<Scalar> slack = (across + round) / (1.0 + stretch);

  Entries<Scalar> entries;
  entries.add(Cause::Straight, Portion::Cut, Length<Scalar>(across));
  entries.add(Cause::Turns, Portion::Cut, round);
  entries.add(Cause::Stretch, Portion::Cut, slack - across - round);
  entries.add(Cause::Tails, Portion::Cut, Length<Scalar>(strands * 2.0 * warp.tie));
  return entries;
}

template <class Scalar>
Entries<Scalar> beam_warp_band_yarn(const BeamWarp& warp, const WovenEnd<Scalar>& end) {
  const double strands = static_cast<double>(warp.ends) * warp.held;
  Entries<Scalar> entries;
  entries.add(Cause::Straight, Portion::Cut, strands * end.straight);
  entries.add(Cause::Crimp, Portion::Cut, strands * end.crimp);
  return entries;
}

Entries<double> beam_warp_rest_yarn(const BeamWarp& warp) {
  const double strands = static_cast<double>(warp.ends) * warp.held;
  Entries<double> entries;
  entries.add(Cause::Straight, Portion::Cut, strands * warp.gaps);
  entries.add(Cause::Trims, Portion::Cut, strands * warp.fringe);
  entries.add(Cause::Waste, Portion::Cut, strands * warp.loom_waste);
  return entries;
}

Length<> rod_loop(const Length<>& rod, const Length<>& end, const Length<>& weft) {
  const double radius = in_metres(rod + end) / 2.0;
  const double height = std::max(in_metres(rod + weft) / 2.0, radius);
  const double straight = std::sqrt(height * height - radius * radius);
  return metres(straight + radius * (std::numbers::pi - std::acos(radius / height)));
}

WarpEdges spanned_warp_edges(int ends) {
  require_range("ends of a wound warp", ends, 2, 1e6, "a warp wound to and fro");
  WarpEdges edges;
  edges.turns = ends - 1;
  edges.loops_above = ends / 2;
  edges.loops_below = edges.turns - edges.loops_above;
  edges.ties_above = ends % 2;
  edges.ties_below = 2 - edges.ties_above;
  return edges;
}

Length<> thickest_rod(const Length<>& room, const Length<>& end, const Length<>& weft) {
  Length<> fits;
  Length<> too_thick = metres(1.0);
  if (room < rod_loop(fits, end, weft)) return {};
  for (int halving = 0; halving < 60; ++halving) {
    const Length<> middle = 0.5 * (fits + too_thick);
    (rod_loop(middle, end, weft) > room ? too_thick : fits) = middle;
  }
  return fits;
}

template Entries<double> spanned_warp_yarn(const SpannedWarp&, const Length<double>&,
                                           const double&);
template Entries<Dual> spanned_warp_yarn(const SpannedWarp&, const Length<Dual>&, const Dual&);
template Entries<double> beam_warp_band_yarn(const BeamWarp&, const WovenEnd<double>&);
template Entries<Dual> beam_warp_band_yarn(const BeamWarp&, const WovenEnd<Dual>&);

}  // namespace ellwand::technique
