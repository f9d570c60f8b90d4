#pragma once
/// Hemstitch: the edge of the cloth sewn to the ends that leave it, group by group.

#include "ellwand/technique/ledger_entry.hpp"
#include "ellwand/technique/lie.hpp"
#include "ellwand/technique/strand.hpp"

namespace ellwand::technique {

/// One edge, sewn on the loom with a tail of its weft or with a yarn of its own.
///
/// A stitch, worked here from left to right and met as the thread runs: out of a hole `rows_deep`
/// rows inside the cloth, on the left of the group, to the face; down the face to the edge; there
/// in between the ends to the back; behind the group to its right, out to the front, back over the
/// group to its left and in again, which closes a ring round the group; then up behind the group
/// and the cloth, slanting, to the hole `rows_deep` rows inside on the right of the group, where
/// the next stitch begins.
struct Hemstitch {
  Strand strand;               ///< held strands lie as one round bundle, d_h
  bool sewn_with_weft = true;  ///< with the tail of a weft that is woven in; otherwise with a
                               ///< length of its own, which has a tail at its beginning too
  int ends = 0;                ///< warp ends at the edge, 1 or more
  int ends_per_stitch = 0;     ///< g, 1 to `ends`; those left over get a stitch of their own
  int rows_deep = 0;           ///< k, rows of weft a stitch takes in, 1 or more
  bool drawn_together = true;  ///< the ends of a group are drawn into one round bundle; otherwise
                               ///< they stay as far apart as in the cloth
};

/// Stitches along the edge: groups, with a smaller one at the end.
/// @throws OutOfRange unless 1 <= ends_per_stitch <= ends and rows_deep >= 1
int hemstitch_stitches(const Hemstitch& hem);

/// What one stitch is made of, pulled tight.
template <class Scalar>
struct HemstitchPath {
  Length<Scalar> ring;   ///< once round the group
  Length<Scalar> down;   ///< from the middle of the hole over the face to the back of the group
  Length<Scalar> slant;  ///< from the back of the group up to the middle of the next hole
  Length<Scalar> total() const { return ring + down + slant; }
};

/// Yarn in one stitch.
///
/// @param ends         g, of this stitch; 1 or more
/// @param lie          d_e, p_e, and the strand that is sewn with; diameters and spacing above 0
/// @param weft         d_w, of the weft of the cloth; 0 or more
/// @param row_spacing  p_w, of the rows that are taken in; 0 or more
/// @throws OutOfRange as `hemstitch_stitches` does, and for ends below 1
///
/// With R = (D + d_h)/2 round a group of diameter D (one end, or the bundle when drawn together),
/// the cloth t = d_e/2 + d_w thick to either side of its middle, and u = k p_w:
///   ring   sqrt((2 f + 2 pi R)^2 + d_h^2), f = (g - 1) p_e, or 0 when drawn together;
///   down   the string from a point (x, h) to a circle of radius R and round to its back,
///          sqrt(x^2 + h^2 - R^2) + R (atan(h/x) + asin(R / sqrt(x^2 + h^2))),
///          h = 2 t + pi d_h/2 + u and x = p_e - R, or g p_e/2 when drawn together;
///   slant  sqrt(w^2 + s^2), w = f + R, or g p_e/2 when drawn together,
///          s = u + pi d_h/4 + t + sqrt((3/2 d_h + q)^2 + (t + d_h/2 - R)^2), the last bracket 0
///          where it is negative: the ring takes up 3/2 d_h below the edge, and q more where the
///          passes through one gap do not lie side by side. q = d_h (1 - v^2 (3 - 2 v)), v = gap /
///          d_h - 1 kept within 0 and 1, gap = p_e - d_e; 0 when drawn together.
/// Left apart, the thread leaves its hole along the last end of one group and goes in along the
/// first of the next; drawn together, it leaves the cloth halfway between two bundles.
///
/// Where the thread cannot pass between the ends, p_e < d_e + d_h, or the bundles touch,
/// g p_e < D + d_h, x is never less than R, as if the ends gave way by just so much: finite, and
/// with two ends or more never falling as the spacing grows, but without a taut path to compare
/// with.
///
/// Source:   derived: faces, holes and group unrolled flat; round threads that do not give, no
///           friction. The weft's waves and the strands' flattening are left to the take.
/// Accuracy: within 3 % of taut paths in three dimensions, pitch 2-12, ends 0.5-2, weft 0.5-6, hem
///           thread 0.5-3 mm, 2 to 6 ends, 1 to 4 rows, wherever the thread passes between the ends
///           (test TautHemstitch.StitchesAreWithinThreePercent); a little more than 3 % short where
///           the thread is more than twice as thick as the bundle; of a single end left apart
///           within 5 % (test TautHemstitch.ASingleEndIsWithinFivePercent).
template <class Scalar>
HemstitchPath<Scalar> hemstitch_path(const Hemstitch& hem, int ends, const Lie<Scalar>& lie,
                                     const Length<Scalar>& weft, const Length<Scalar>& row_spacing);

/// One stitch round a whole group: `hemstitch_path` added up.
template <class Scalar>
Length<Scalar> hemstitch_stitch(const Hemstitch& hem, const Lie<Scalar>& lie,
                                const Length<Scalar>& weft, const Length<Scalar>& row_spacing);

/// What to leave hanging at the edge BEFORE the first pick is beaten in, of one strand: all
/// stitches with their take, and one tail, which is what the needle still holds after the last
/// stitch. The other end needs none: it is woven in already. Of a length of its own it is what to
/// cut, with a tail at either end. Where a new length is begun on the way, its tails are not in
/// this.
/// @throws OutOfRange as `hemstitch_path` does
template <class Scalar>
Length<Scalar> hemstitch_length_to_leave(const Hemstitch& hem, const Lie<Scalar>& lie,
                                         const Length<Scalar>& weft,
                                         const Length<Scalar>& row_spacing);

/// The ledger of one edge: the rings as wraps, the ways down and up as straight, take, tails. It
/// adds up to `hemstitch_length_to_leave` of each strand.
/// @throws OutOfRange as `hemstitch_path` does
template <class Scalar>
Entries<Scalar> hemstitch_yarn(const Hemstitch& hem, const Lie<Scalar>& lie,
                               const Length<Scalar>& weft, const Length<Scalar>& row_spacing);

}  // namespace ellwand::technique
