#pragma once
/// The warp: its yarn on a fixed span and on a beam, and what its loops need on a rod.

#include "ellwand/technique/ledger_entry.hpp"

namespace ellwand::technique {

/// A warp wound as one thread to and fro across a fixed span (notched and frame looms), its two
/// free ends tied.
struct SpannedWarp {
  int ends = 2;   ///< passes across the span, 2 or more
  int held = 1;   ///< strands in each end
  Length<> span;  ///< between the two edges of the loom; above 0
  Length<> tie;   ///< left at each of the two free ends; 0 or more
};

/// (ends span + (ends - 1) spacing) / (1 + stretch) + 2 ties, in the causes straight, turns,
/// stretch and tails.
///
/// @param spacing  p_e, between neighbouring ends
/// @param stretch  of the wound warp over its slack length; above -1
/// Source: derived: the path wound, taken slack; ties are measured slack.
template <class Scalar>
Entries<Scalar> spanned_warp_yarn(const SpannedWarp& warp, const Length<Scalar>& spacing,
                                  const Scalar& stretch);

/// Where a warp wound to and fro turns, and where its two free ends are tied. The first pass goes
/// up from the bottom.
struct WarpEdges {
  int turns = 0;
  int loops_above = 0;
  int loops_below = 0;
  int ties_above = 0;
  int ties_below = 0;
};

/// n passes make n - 1 turns, by turns above and below, the first above. An odd number ends above,
/// at the corner opposite to where it began; an even one below, at the same edge.
/// @param ends  passes, 2 or more
/// @throws OutOfRange
/// Source: derived.
WarpEdges spanned_warp_edges(int ends);

/// A warp on a beam: every end runs the length woven with its crimp, and what is not woven.
struct BeamWarp {
  int ends = 2;
  int held = 1;
  Length<> gaps;        ///< left unwoven between bands or pieces
  Length<> fringe;      ///< left at both ends together
  Length<> loom_waste;  ///< tie-on and thrums, per end
};

/// What one end lays into one woven band.
template <class Scalar>
struct WovenEnd {
  Length<Scalar> straight;  ///< the band's height on the loom
  Length<Scalar> crimp;     ///< straight take-up / (1 - take-up)
};

/// The part of a beam warp in one band: ends (straight + crimp).
template <class Scalar>
Entries<Scalar> beam_warp_band_yarn(const BeamWarp& warp, const WovenEnd<Scalar>& end);

/// The part of a beam warp outside the bands, derived: ends (gaps + fringe + loom waste).
Entries<double> beam_warp_rest_yarn(const BeamWarp& warp);

/// Room one warp loop needs between the last pick and the top of a rod: the taut path of an end
/// from the last pick, up and round the rod's far side.
///
/// @param rod   diameter of the rod; above 0
/// @param end   d_e; above 0
/// @param weft  d_w of the last pick; above 0
/// @returns     sqrt(h^2 - R^2) + R (pi - acos(R / h)), R = (rod + end)/2, h = (rod + weft)/2 and
///              never under R
/// Source: derived: the rod rests on the last pick, so their axes are h apart; the axis of the end
///         leaves that of the pick, touches a circle of radius R and runs round it to the top.
Length<> rod_loop(const Length<>& rod, const Length<>& end, const Length<>& weft);

/// The thickest rod whose loops take no more than `room`: the other way round of `rod_loop`.
/// @param room  of one loop, above the last pick; 0 or more
/// @returns     0 where no rod passes, at most 1 m
Length<> thickest_rod(const Length<>& room, const Length<>& end, const Length<>& weft);

}  // namespace ellwand::technique
