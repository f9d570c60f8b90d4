#pragma once
/// Knots at the edge of a piece: warp ends tied in groups so that the last pick cannot slip off.

#include "ellwand/technique/ledger_entry.hpp"
#include "ellwand/technique/lie.hpp"

namespace ellwand::technique {

/// Rope that a tight overhand knot takes up, in diameters of what it is tied in: how much closer
/// its two ends come when it is tied and pulled tight.
/// Source: P. Pieranski, S. Przybyl, A. Stasiak, Eur. Phys. J. E 6 (2001) 123-128 (from memory),
///         computed for a round rope that neither gives nor stretches; within 2 % of a taut path in
///         three dimensions (test TautKnots.AnOpenOverhandTakesTenDiametersAndATenth). Yarn gives:
///         the take says by how much. A closed knot of the same kind needs 16.37 (Denne, Diao,
///         Sullivan, Geom. Topol. 10 (2006) 1-26), of which the open one is spared the closing.
inline constexpr double kOverhandDiameters = 10.1;

/// How the ends of a group are tied.
enum class Tied {
  InOneKnot,   ///< all of them, laid together, in one overhand knot
  TailToTail,  ///< two tails round each other in half a knot
};

/// The knots along one edge. Ends left over make a smaller knot, but one alone goes into the last;
/// two tails at a time leave an odd one to the last knot as well.
struct KnottedEdge {
  Tied tied = Tied::InOneKnot;
  int ends = 2;           ///< warp ends at the edge, 1 or more; not below ends_per_knot
  int ends_per_knot = 2;  ///< 1 or more; 2 when tied tail to tail
  int held = 1;           ///< strands threaded as one end, 1 or more
};

/// Knots along the edge.
/// @throws OutOfRange outside the ranges of the fields
int edge_knots(const KnottedEdge& edge);

/// What one knot takes of each end that is tied in it: `kOverhandDiameters` diameters of the
/// gathered bundle, or, of two tails tied together, half as many of one end each.
///
/// @param ends  in this knot, 1 or more; not read for two tails
/// @param end   d_e, diameter of one end; above 0
/// @throws OutOfRange outside these
/// Source: above; two tails share one knot (derived: the knot is one whichever of its four ends are
///         held), which no test here measures.
template <class Scalar>
Length<Scalar> knot_take_up(Tied tied, int ends, const Length<Scalar>& end);

/// The ledger of one edge: what the knots take of the ends as wraps, and the take on it. It comes
/// out of the warp left unwoven there, it is not laid besides.
/// @throws OutOfRange outside the ranges of the fields
template <class Scalar>
Entries<Scalar> edge_knots_yarn(const KnottedEdge& edge, const Lie<Scalar>& lie);

/// Unwoven warp to leave at the edge: `least`, which is room for her hands (common practice, no
/// published source: 70 mm or more), or what the thickest knot takes where that is more.
///
/// @param least  0 or more
/// @throws OutOfRange outside the ranges of the fields
Length<> room_to_tie(const KnottedEdge& edge, const Lie<>& lie, const Length<>& least);

}  // namespace ellwand::technique
