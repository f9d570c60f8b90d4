#pragma once
/// The hanging cord: tied to a rod at two places, wrapped round it there, hung by its middle.

#include "ellwand/technique/ledger_entry.hpp"
#include "ellwand/technique/lie.hpp"
#include "ellwand/technique/strand.hpp"

namespace ellwand::technique {

/// Strands held together make a ply; one ply is the cord, or two to four are twisted round each
/// other.
struct HangingCord {
  Strand strand;              ///< held strands lie in their ply as one round bundle
  int plies = 1;              ///< 1 to 4
  ThreadDensity<> twist;      ///< of two plies or more: full turns in a length of cord
  Length<> tie_distance;      ///< along the rod, between the two places it is tied; 0 or more
  Length<> rise;              ///< of its middle above the rod; above 0, and hers to say: no habit
  int wraps_at_each_tie = 0;  ///< turns round the rod at each of the two places; 0 or more
  Length<> rod;               ///< diameter; above 0 where the cord is wrapped
  Length<> knots;             ///< in its knots and what is left beyond them, of cord; 0 or more
};

/// Metres of yarn as bought in one metre of all strands together.
inline double cord_strands(const HangingCord& cord) {
  return cord.plies * cord.strand.yarn_per_laid();
}

/// How thick the cord is: its plies as one round bundle.
template <class Scalar>
Length<Scalar> cord_diameter(const HangingCord& cord, const Length<Scalar>& strand);

/// Length of a strand over the length of the cord it is twisted into: sqrt(1 + (2 pi a t)^2), where
/// a = D / (2 sin(pi / plies)) is how far the axis of a ply of thickness D runs from that of the
/// cord, and t is the twist; 1 for a single ply.
///
/// @param planned  the twist was accepted for the plan, and plies thicker than planned give way
/// @throws OutOfRange for more than 4 plies, and unless planned where 2 pi a t is above 1 for two
///         plies, above 0.7 for three and four: twisted tighter they push each other outwards
/// Source:   derived: each ply is a helix, the plies touch in the plane across the cord.
/// Accuracy: of plies that touch in space: two plies exactly, three within 3.6 %, four within 6.8 %
///           at the tightest, and 1 and 2 % at 2 pi a t = 0.5 (test
///           PliedCord.IsNearlyAsPliesThatTouchInSpace).
template <class Scalar>
Scalar plied_length(const HangingCord& cord, const Length<Scalar>& strand, bool planned = false);

/// The length each strand of a cord is cut to:
/// plied length (take (2 sqrt((tie distance / 2)^2 + rise^2) + 2 wraps pi (D + d)) + knots).
///
/// @throws OutOfRange unless the rise is above 0, and outside the ranges of the fields
/// Source: derived: two straight legs, full turns round the rod in the cord's axis; knots are as
///         measured and not multiplied by the take. A turn's advance along the rod is left out:
///         under 0.2 % of it where the rod is five cords thick (test
///         CordCut.LeavesOutTheAdvanceOfATurn).
template <class Scalar>
Length<Scalar> cord_cut(const HangingCord& cord, const Lie<Scalar>& lie);

/// Cord in two overhand knots and beyond them, where nothing is said of it: at each tie
/// `kOverhandDiameters` (edge_knots.hpp) of the cord, and an end to hold it by.
///
/// @param strand  diameter of one strand; above 0
/// @param end     left beyond each knot; 0 or more
Length<> usual_cord_knots(const HangingCord& cord, const Length<>& strand, const Length<>& end);

/// The ledger of a cord: straight, wraps, take, twist, and its knots as tails.
template <class Scalar>
Entries<Scalar> cord_yarn(const HangingCord& cord, const Lie<Scalar>& lie);

}  // namespace ellwand::technique
