#pragma once
/// Looped pile: a pick laid over groups of ends, its floats raised into loops.

#include "ellwand/technique/woven.hpp"

namespace ellwand::technique {

/// How the loops of a row are raised.
enum class Raised {
  ByHand,     ///< pulled up and left standing: the strand springs into a free arch
  OverGauge,  ///< taut over a rod that lies across the pick under one loop, drawn out afterwards
  OverRodAlongPick,  ///< taut round a rod laid along the pick, each loop turned on to it by a
                     ///< quarter
};

/// A band of looped pile. Every float over the ends becomes a loop; a float cut short by the edge
/// becomes a loop with the base it has.
struct LoopedPile {
  Strand strand;
  cloth::Grid row = cloth::plain();  ///< over the ends a loop passes; spread over every end, its
                                     ///< rows repeating upwards: see `loop_row`
  int rows = 1;                      ///< rows of loops, 1 or more
  Length<> loop_height;              ///< from the cloth's face to the top of the loop; above 0
  Raised raised = Raised::ByHand;
  /// Roving that breaks is joined by laying two thinned ends over each other for this length, in
  /// place of two tails (common practice, no published source: 5 to 8 cm). 0: every length has its
  /// tails.
  Length<> overlap;
};

/// The grid of a row whose loops all pass over alike, from the left edge; what is left at the right
/// edge is a shorter loop, or ends passed under.
///
/// @param over         ends a loop passes over, 1 or more
/// @param under        ends the pick passes under between two loops, 1 or more
/// @param ends         of the warp, 2 or more
/// @param first_under  ends it passes under before the first loop, 0 or more
/// @throws OutOfRange outside these, and when no loop or no end to hold it is left on the warp
cloth::Grid loop_row(int over, int under, int ends, int first_under = 0);

/// Yarn in a loop beyond its base, raised by hand: the strand springs up between two feet that are
/// held and free to turn.
///
/// @param base    from foot to foot: the ends passed over times p_e; above 0
/// @param height  from the face to the top; above 0, and not below a millionth of the base
/// @returns       height free_arch_excess(base / height): falls to pi^2 height^2 / (4 base) for low
///                loops, and comes to 2.554 heights for tall ones
/// @throws OutOfRange outside these
///
/// The feet and the crest of the strand's axis lie half a strand under the face and under the top,
/// so that the axis rises by the height itself, whatever the strand's thickness.
///
/// Source:   derived: Euler's elastica (numeric/elastica.hpp). Weight is left out, and a lean, a
///           twist or a crowded row; what a hand does with them is in the take.
/// Accuracy: of the arch: its height within 1e-4 of a chain of 400 stiff links brought to its least
///           bending energy, bases of 1/4 to 6 heights (test
///           RaisedByHand.IsTheShapeOfLeastBending).
template <class Scalar>
Length<Scalar> raised_by_hand(const Length<Scalar>& base, const Length<>& height);

/// Yarn in a loop beyond its base, taut round a gauge.
///
/// The axis leaves a foot, touches a circle as high as the loop that stands on the line through the
/// feet, and runs round it; the gauge is `gauge_diameter`. Each tangent is half a base long, for
/// the line through the feet is the other tangent from the same foot.
///
/// @param base    from foot to foot; 0 or more
/// @param height  from the face to the top; above 0
/// @returns       2 height atan2(height, base): falls to 2 height^2 / base for low loops, and
///                rises to pi heights for tall ones
/// @throws OutOfRange outside these
///
/// Source:   derived.
/// Accuracy: of the path in the plane of the pick: within 2e-4 of a string pulled tight round the
///           gauge (test RaisedOverGauge.IsAStringPulledTight).
template <class Scalar>
Length<Scalar> raised_over_gauge(const Length<Scalar>& base, const Length<>& height);

/// Yarn in a loop beyond its base, taut round a rod that lies along the pick.
///
/// Drawn up between two ends and turned by a quarter, a loop goes once round the rod while its
/// other foot lies a base further along it. Its axis runs on a cylinder as thick as the loop is
/// high that stands on the line through the feet: unrolled, a straight line across pi heights and
/// along a base.
///
/// @param base    from foot to foot; 0 or more
/// @param height  from the face to the top; above 0
/// @returns       sqrt(base^2 + (pi height)^2) - base: up to 31 % of the whole loop more than over
/// a
///                gauge (test RaisedOverRodAlongPick.IsUpToAThirdLongerThanOverAGauge)
/// @throws OutOfRange outside these
///
/// Source:   derived.
/// Accuracy: within 3e-4 of a string pulled tight round the rod in three dimensions (test
///           RaisedOverRodAlongPick.IsAStringPulledTight). How the loop bends out of the cloth on
///           to the rod is left out.
template <class Scalar>
Length<Scalar> raised_over_rod_along_pick(const Length<Scalar>& base, const Length<>& height);

/// The rod over which loops of this height are raised: the height less the strand that lies on it.
///
/// @param strand  diameter of one strand; above 0
/// @param held    strands held together, side by side; 1 or more
/// @throws OutOfRange unless the height exceeds the strands' thickness
Length<> gauge_diameter(const Length<>& height, const Length<>& strand, int held = 1);

/// What a band of looped pile comes to: rows of taut picks (woven.hpp) with every float raised,
/// times the take, plus tails or overlaps.
///
/// With an overlap the band has two tails, one at each end, and one overlap for each break between
/// its lengths: (laid + 2 tail - overlap) / (working length - overlap) lengths. Counted smoothly
/// half a length more, and never less than no break.
///
/// @param row_height  rows lie this many diameters of the held strands apart, but never closer than
///                    the gaps between the ends have room for; above 0; starting value
/// @throws OutOfRange where `woven_area`, a loop or, while the plan is drawn up, its gauge does;
/// for rows, an overlap below 0 or one that
///         uses up the working length
///
/// Source: derived: a loop takes the place of as much straight float as its base is long.
template <class Scalar>
WovenArea<Scalar> looped_pile(const LoopedPile& pile, const Lie<Scalar>& lie, double row_height);

/// How near the pick under the loops is to lying in another way: see woven.hpp.
double nearest_change(const LoopedPile& pile, const Lie<>& lie, double row_height);

/// Of the pick under the loops: see woven.hpp.
double log_room(const LoopedPile& pile, const Lie<>& lie, double row_height);

/// The ledger of `looped_pile`: straight, crimp, floats, turns, loops, take, tails.
template <class Scalar>
Entries<Scalar> looped_pile_yarn(const LoopedPile& pile, const Lie<Scalar>& lie, double row_height);

/// Height of one row of loops on the warp; the loops lie over it and add nothing.
template <class Scalar>
Length<Scalar> looped_pile_row_height(const LoopedPile& pile, const Lie<Scalar>& lie,
                                      double row_height);

}  // namespace ellwand::technique
