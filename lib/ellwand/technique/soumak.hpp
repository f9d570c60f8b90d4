#pragma once
/// Soumak: a strand carried forward over some ends and back behind fewer, again and again.

#include "ellwand/technique/ledger_entry.hpp"
#include "ellwand/technique/lie.hpp"
#include "ellwand/technique/strand.hpp"

namespace ellwand::technique {

/// Rows of soumak, to and fro, of one continuous weft.
struct Soumak {
  Strand strand;  ///< held strands lie side by side
  int ends = 0;   ///< of the warp
  int over = 2;   ///< a: ends passed over, forward
  int back = 1;   ///< b: ends passed behind, backward; as many as `over` where a group of ends is
                  ///< wrapped once before the strand moves on over it to the next
  int rows = 1;
};

/// Yarn in one wrap of a row without end, to the same place of the next wrap.
///
/// Seen along the ends, a wrap runs (a - 1) p_e and half a turn before them, and (b - 1) p_e and
/// half a turn behind, half a turn being pi / 2 D, D = d_e + d_w. Seen from the front it swings up
/// and down the warp by
///     y = 0.48 (1 + b / a) ((a - 1) p_e + D) tan(s),
/// for its passes lie side by side, each a - b ends beyond the last (`slope_of_passes`). So
///     sqrt(((a - 1) p_e + pi / 2 D)^2 + y^2) + sqrt(((b - 1) p_e + pi / 2 D)^2 + y^2).
/// Where a = b = m the strand goes round a group and over it once more to the next: that is the
/// wrap over 2 m ends and back behind m.
///
/// @param spacing  p_e, between neighbouring ends; above 0
/// @param end      d_e, diameter of an end; above 0
/// @param weft     d_w, diameter of the weft; above 0
/// @param over     a, ends passed over; `back` or more
/// @param back     b, ends passed behind; 1 or more
/// @throws OutOfRange outside these
///
/// Round wefts go between the ends where d_e + d_w <= p_e; beyond that the weft is pressed flat in
/// the gaps, D is p_e, and the slope of passes goes on as though the gaps opened: no jump.
///
/// Source:   derived; the factor 0.48 is fitted to taut paths.
/// Accuracy: within 3 % of taut paths in three dimensions for 2/1, 3/1, 4/1, 3/2, 4/2, 5/3 and
///           groups of 1 to 3 ends, spacings of 2 to 12 mm, ends of 0.5 to 2 mm, wefts of 0.5 to 6
///           mm, where they fit and d_w <= 0.87 (a - b) p_e (test SoumakWrap.IsATautPath). Nearer
///           to d_w = (a - b) p_e, where the length grows without bound, it is not proved.
template <class Scalar>
Length<Scalar> soumak_wrap(const Length<Scalar>& spacing, const Length<Scalar>& end,
                           const Length<Scalar>& weft, int over, int back);

/// Whole wraps in a row: floor((ends - a) / (a - b)) + 1, or floor(ends / m) where a = b = m.
/// @throws OutOfRange for ends passed over or behind below 1, over all the ends, behind more than
///         over, or no rows
int soumak_wraps(const Soumak& soumak);

/// What a band of soumak comes to.
template <class Scalar>
struct SoumakLaid {
  Entries<Scalar> entries;
  Scalar lengths{0.0};
  bool flattened = false;  ///< in the plan: the weft goes through the gaps pressed flat
};

/// The ledger: straight, wraps, turns, take on all of it, and two tails a length.
///
/// Ends left over at the right get one more wrap, over them and the b ends behind which the last
/// wrap came back, and back behind b; of a = b, a wrap round those left over. From row to row the
/// strand goes on over the ends behind which it last came back, to the edge, and once round the
/// edge end, climbing one row: a habit, not physics.
///
/// @param row_height  as for `soumak_row_height`
/// @throws OutOfRange as `soumak_wraps` does, for the row height, of a plan gaps that no weft goes
///         through, and as `lengths_laid` does
template <class Scalar>
SoumakLaid<Scalar> soumak_laid(const Soumak& soumak, const Lie<Scalar>& lie, double row_height);
template <class Scalar>
Entries<Scalar> soumak_yarn(const Soumak& soumak, const Lie<Scalar>& lie, double row_height);

/// Height of one row on the warp: so many diameters of the weft as held.
/// @param row_height  in diameters; above 0; starting value
/// @throws OutOfRange as `soumak_wraps` does, and for the row height
template <class Scalar>
Length<Scalar> soumak_row_height(const Soumak& soumak, const Lie<Scalar>& lie, double row_height);

/// ln of the room in a gap over what the weft needs to go through round, p_e / (d_e + d_w). Below 0
/// it is pressed flat.
double log_room(const Soumak& soumak, const Lie<>& lie);

/// How near the threads are to filling the gaps between the ends: |log_room|.
double nearest_change(const Soumak& soumak, const Lie<>& lie);

}  // namespace ellwand::technique
