#pragma once
/// Fringe knotted round pairs of ends: cut strands, folded, hanging from the knot.

#include "ellwand/technique/ledger_entry.hpp"
#include "ellwand/technique/lie.hpp"
#include "ellwand/technique/strand.hpp"

namespace ellwand::technique {

/// A row of fringe. Each knot takes two ends, or half as many to either side where it takes more;
/// ends left over are taken in by the last, three with an odd number of ends and knots of two
/// (common practice, no published source).
struct KnottedFringe {
  Strand strand;
  int ends = 2;               ///< warp ends it is knotted on, `ends_per_knot` or more
  int ends_per_knot = 2;      ///< even, 2 or more
  int rows = 1;               ///< rows of knots, 1 or more
  Length<> hang;              ///< finished, from the middle of the knot; above 0
  bool pulled_tight = false;  ///< the knot draws its two ends together
  Length<> card_thickness;    ///< 0 unless the strands are wound on a card and cut
  bool wound_on_card = false;

  int knots_per_row() const { return ends / ends_per_knot; }
  int ends_left_over() const { return ends % ends_per_knot; }
};

/// Yarn in the knot of one strand bundle: from end to end, and one and a half turns round an end
/// and the bundle.
///
/// @param spacing   p_k: between the two ends of the knot; above 0
/// @param end       d_e; above 0
/// @param bundle    d_b, of all strands held together; above 0
/// @returns         p_k + 1.5 pi (d_e + d_b)
/// Source:   derived: the middle of the bundle crosses from one end to the other (p_k) and wraps
///           three quarters of a turn round each, its axis at (d_e + d_b)/2 from the end's. How the
///           tails pass under the crossing bar and over the cloth is left out: `taut_knot_wrap`.
/// Accuracy: within 3 % of taut paths in three dimensions where the cloth under the knot is 1.0 to
///           1.6 bundles thick and the ends leave room for both tails side by side; more than 14 %
///           short where it is thick for the bundle, more than 12 % over on bare ends that leave no
///           such room (test TautKnots.WhereTheShortFormulaHolds).
template <class Scalar>
Length<Scalar> knot_wrap(const Length<Scalar>& spacing, const Length<Scalar>& end,
                         const Length<Scalar>& bundle);

/// Yarn in the knot of one strand bundle that sits on the edge of a cloth, pulled tight: what its
/// strands are longer than two straight tails that end where theirs do and begin at the height of
/// the bar's axis, halfway between the ends. A tail hangs down in front of the cloth; how far in
/// front does not matter once it hangs.
///
/// @param spacing  p_k: between neighbouring ends of the knot; above 0
/// @param end      d_e; above 0
/// @param bundle   d_b, of all strands held together; above 0
/// @param cloth    2 t: thickness of the cloth the knot sits on, d_e where there is none but bare
///                 ends (less counts as that), about d_e + 2 d_w in a weft-faced cloth
/// @param ends     2, or 3 where the bar lies across three; each tail of three has its own gap
///
/// With r = d_b/2, R = (d_e + d_b)/2 and gaps of u = (p_k - d_e)/d_b bundles:
///   (ends - 1) p_k + 2 (t + pi r/2 - y) + sqrt(c^2 + (y - r)^2) + sqrt(c^2 + (y - r + s)^2) - s -
///   e c = 3/2 pi R: three quarters of a turn round an end, climbing from the tail up to the bar;
///   y = sqrt((3 r)^2 - max(0, R - t)^2): the bar's axis above the edge, one bundle's thickness
///       over tails which begin to turn down at the face of the cloth;
///   s = 0.6 d_b (1 - v^2 (3 - 2 v)), v = (u - 1)/0.9 kept within 0 and 1: how much higher one tail
///       comes out than the other where they have no room side by side; 0 for three ends;
///   e = a + s - sqrt(a^2 + s^2), a = t - d_e/2: the higher tail slants to the face of the cloth.
///
/// Bundles do not fit between the ends at all where u < 1. Then s stays 0.6 d_b and the ends are
/// not pushed apart: finite, without a taut path to compare with.
///
/// Source:   derived, but for the 0.6 and 0.9 of s, which are fitted to taut paths.
/// Accuracy: of taut paths in three dimensions, p_k 2-12, d_e 0.5-2, d_b 0.5-6 mm, cloth d_e to
///           d_e + 3 d_b (at most d_e + 7.5 mm) thick: within 1.5 % for u >= 2 and for three ends
///           (test TautKnots.TailsSideBySide); within 3 % for most u from 1 to 2, 4 % at worst, in
///           between (test TautKnots.TailsOverEachOther). Near u = 1.8 thin bare ends hold the
///           tails apart only just: a slight give lets them lie side by side.
template <class Scalar>
Length<Scalar> taut_knot_wrap(const Length<Scalar>& spacing, const Length<Scalar>& end,
                              const Length<Scalar>& bundle, const Length<Scalar>& cloth,
                              int ends = 2);

/// How long the strands of a fringe are cut.
///
/// A knot round more than two ends draws those to either side of it into a round bundle of m =
/// ends_per_knot / 2: its wrap is that of two such bundles m p_e apart (derived: as `knot_wrap`).
template <class Scalar>
struct FringeCut {
  Length<Scalar> each;    ///< 2 (hang + trim) + take wrap
  Length<Scalar> last;    ///< of the knot that takes in ends left over: a spacing more for each
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
