#pragma once
/// Knotted pile: rows of cut strands knotted round the ends, each row held by woven picks.

#include "ellwand/technique/knotted_fringe.hpp"
#include "ellwand/technique/woven.hpp"

#include <cstddef>

namespace ellwand::technique {

/// The two yarns of a pile, one upon the other in its height.
///
/// Knots are reckoned as `fringe_yarn` and `fringe_row_height` have it, the ground as `woven_area`.
/// The ground passes every end, the edge ends without knots included. What a weaver adds along such
/// edges to bring them up to the height of the knots is not counted. Source: those two together.
struct KnottedPile {
  KnottedFringe knots;  ///< its hang is the pile's length, its ends those between the bare edges
  Woven ground;         ///< one area over every end, so many rows in all

  static constexpr std::size_t kKnots = 0;  ///< the parts, as places a yarn is used in
  static constexpr std::size_t kGround = 1;
};

/// A pile whose ground is so many picks after each row of knots.
///
/// @param ground     one area; its extent is set here
/// @param all_ends   of the warp
/// @param edge_ends  left without knots at each edge, 0 or more
/// @param picks      after each row of knots, 1 or more
/// @throws OutOfRange when the edges leave fewer ends than one knot takes, or an odd number of ends
///         is to share a knot; the sentence names what works
KnottedPile knotted_pile(KnottedFringe knots, Woven ground, int all_ends, int edge_ends, int picks);

/// Ends between the bare edges.
/// @throws OutOfRange as `knotted_pile` does
int knotted_ends(int all_ends, int edge_ends, int ends_per_knot);

}  // namespace ellwand::technique
