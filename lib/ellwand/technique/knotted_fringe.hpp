#pragma once
/// Fringe knotted round pairs of ends: cut strands, folded, hanging from the knot.

#include "ellwand/technique/ledger_entry.hpp"
#include "ellwand/technique/lie.hpp"
#include "ellwand/technique/strand.hpp"

namespace ellwand::technique {

/// A row of fringe. Each knot takes two ends; with an odd number of ends the last takes three
/// (common practice, no published source).
struct KnottedFringe {
  Strand strand;
  int ends = 2;               ///< warp ends it is knotted on, 2 or more
  int rows = 1;               ///< rows of knots, 1 or more
  Length<> hang;              ///< finished, from the middle of the knot; above 0
  bool pulled_tight = false;  ///< the knot draws its two ends together
  Length<> card_thickness;    ///< 0 unless the strands are wound on a card and cut
  bool wound_on_card = false;

  int knots_per_row() const { return ends / 2; }
  bool last_spans_three() const { return ends % 2 == 1; }
};

/// Yarn in the knot of one strand bundle: from end to end, and one and a half turns round an end
/// and the bundle.
///
/// @param spacing   p_k: between the two ends of the knot; above 0
/// @param end       d_e; above 0
/// @param bundle    d_b, of all strands held together; above 0
/// @returns         p_k + 1.5 pi (d_e + d_b)
/// Source:   derived: the middle of the bundle crosses from one end to the other (p_k) and wraps
///           three quarters of a turn round each, its axis at (d_e + d_b)/2 from the end's.
/// Accuracy: short of a taut path in three dimensions, since tails pass under the crossing bar;
///           no test measures by how much yet.
template <class Scalar>
Length<Scalar> knot_wrap(const Length<Scalar>& spacing, const Length<Scalar>& end,
                         const Length<Scalar>& bundle);

/// How long the strands of a fringe are cut.
template <class Scalar>
struct FringeCut {
  Length<Scalar> each;    ///< 2 (hang + trim) + take wrap
  Length<Scalar> last;    ///< of the knot that spans three ends: one more spacing in its wrap
  Length<Scalar> bundle;  ///< d_b
  int strands_each = 0;   ///< strands cut to `each`, all rows
  int strands_last = 0;   ///< strands cut to `last`, all rows
};
template <class Scalar>
FringeCut<Scalar> fringe_cut(const KnottedFringe& fringe, const Lie<Scalar>& lie);

/// The ledger of a fringe: hang as `straight`, wraps, take on the wraps alone, trims.
template <class Scalar>
Entries<Scalar> fringe_yarn(const KnottedFringe& fringe, const Lie<Scalar>& lie);

/// Height of one row of knots on the warp: `row_height` bundle diameters.
/// @param row_height  above 0; starting value, to be calibrated
template <class Scalar>
Length<Scalar> fringe_row_height(const KnottedFringe& fringe, const Lie<Scalar>& lie,
                                 double row_height);

/// The height of the card round which strands are wound and cut along one edge, one turn a strand.
///
/// @param cut        length of one strand; must exceed two thicknesses and half a turn of yarn
/// @param thickness  of the card; 0 or more
/// @param strand     diameter of the yarn; above 0
/// @returns          (cut - 2 thickness - pi strand) / 2
/// @throws OutOfRange when the card would have no height
/// Source: derived: one turn is twice the height, twice the thickness, and a full turn of the
///         yarn's own axis round the four corners.
Length<> card_height(const Length<>& cut, const Length<>& thickness, const Length<>& strand);

/// Strands to wind beyond those knotted: one in twenty, rounded up (common practice, no published
/// source).
int spare_strands(int strands);

}  // namespace ellwand::technique
