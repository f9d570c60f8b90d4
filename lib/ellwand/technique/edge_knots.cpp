#include "ellwand/technique/edge_knots.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/technique/measures.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <algorithm>

namespace ellwand::technique {

namespace {

constexpr int kMostInAKnot = 1000;

void require_stated(const KnottedEdge& edge) {
  require_range("ends at the edge", edge.ends, 1, kMostEnds, "a knotted edge");
  require_range("strands in one end", edge.held, 1, 1000, "a knotted edge");
  if (edge.tied == Tied::TailToTail) {
    require_range("ends in one knot", edge.ends_per_knot, 2, 2, "tying two tails together");
  }
  require_range("ends in one knot", edge.ends_per_knot, 1, std::min(edge.ends, kMostInAKnot),
                "this edge");
}

/// The knots of an edge: `alike` of them as stated, then perhaps one more of `in_last` ends.
struct Knots {
  int alike = 0;
  int in_last = 0;  ///< 0 when there is no other knot
};

Knots knots_of(const KnottedEdge& edge) {
  require_stated(edge);
  const int whole = edge.ends / edge.ends_per_knot;
  const int over = edge.ends % edge.ends_per_knot;
  if (over == 1) return {whole - 1, edge.ends_per_knot + 1};
  return {whole, over};
}

}  // namespace

int edge_knots(const KnottedEdge& edge) {
  const Knots knots = knots_of(edge);
  return knots.alike + (knots.in_last > 0 ? 1 : 0);
}

template <class Scalar>
Length<Scalar> knot_take_up(Tied tied, int ends, const Length<Scalar>& end) {
  if (tied == Tied::TailToTail) {
    require_range("diameter of an end, mm", value_of(in_millimetres(end)), 1e-3, 1e3, "a knot");
    return 0.5 * kOverhandDiameters * end;
  }
  return kOverhandDiameters * yarn::bundle_diameter(end, ends);
}

template <class Scalar>
Entries<Scalar> edge_knots_yarn(const KnottedEdge& edge, const Lie<Scalar>& lie) {
  const Knots knots = knots_of(edge);
  const double alike = static_cast<double>(knots.alike) * edge.ends_per_knot;
  Length<Scalar> ends = alike * knot_take_up(edge.tied, edge.ends_per_knot, lie.warp_diameter);
  if (knots.in_last > 0) {
    // Three ends are no longer two tails: they go into one knot together.
    ends += knots.in_last * knot_take_up(Tied::InOneKnot, knots.in_last, lie.warp_diameter);
  }
  const Length<Scalar> strands = edge.held * ends;

  Entries<Scalar> entries;
  entries.add(Cause::Wraps, Portion::Laid, strands);
  entries.add(Cause::Take, Portion::Laid, strands * (lie.take - 1.0));
  return entries;
}

Length<> room_to_tie(const KnottedEdge& edge, const Lie<>& lie, const Length<>& least) {
  require_range("room to tie, mm", in_millimetres(least), 0.0, 1e5, "a knotted edge");
  const Knots knots = knots_of(edge);
  const Length<> stated = knot_take_up(edge.tied, edge.ends_per_knot, lie.warp_diameter);
  const Length<> last =
      knots.in_last > 0 ? knot_take_up(Tied::InOneKnot, knots.in_last, lie.warp_diameter) : stated;
  return std::max({least, lie.take * stated, lie.take * last});
}

template Length<double> knot_take_up(Tied, int, const Length<double>&);
template Length<Dual> knot_take_up(Tied, int, const Length<Dual>&);
template Entries<double> edge_knots_yarn(const KnottedEdge&, const Lie<double>&);
template Entries<Dual> edge_knots_yarn(const KnottedEdge&, const Lie<Dual>&);

}  // namespace ellwand::technique
