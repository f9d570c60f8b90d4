#pragma once
/// Twining: two or more strands that turn about each other between groups of ends, in turn before
/// and behind them.

#include "ellwand/technique/ledger_entry.hpp"
#include "ellwand/technique/lie.hpp"
#include "ellwand/technique/strand.hpp"

#include <cstddef>
#include <vector>

namespace ellwand::technique {

/// Rows of twining, every row begun with lengths of its own.
///
/// Two strands: one passes before a group while the other passes behind it, and they change places
/// in every gap. More strands in turn: each passes behind one group, then before all the others,
/// so that in every gap one goes in and one comes out.
struct Twining {
  std::vector<Strand> strands;  ///< one yarn each, 2 or more; usually alike
  int ends = 0;                 ///< of the warp
  int over = 1;                 ///< ends in a group; what is left over is a smaller last group
  int rows = 1;
  /// Each row begins with its first two strands as one length, folded in the middle round the first
  /// group: neither has a tail there.
  bool folded_start = false;

  int groups() const { return (ends + over - 1) / over; }
};

/// Yarn of one strand from the middle of one group to the middle of the next; of three strands and
/// more, what it takes on average.
///
/// Between two groups it crosses from face to face, a crossing l of full height D = d_e + d_w, and
/// it runs (over - 1) p_e along a group. Seen from the front it swings up and down the warp by
///     y = (d_w^4 + (0.91 ((over - 1) p_e + D) tan(a))^4)^(1/4):
/// by its own thickness, where it goes through the gap above another strand; or by what the strands
/// before the neighbouring groups need to lie side by side, tan(a) being their `slope_of_passes`
/// with `over` ends from one to the next. So
///     a gap it crosses in     c = sqrt((l + (over - 1) p_e)^2 + y^2)
///     a gap it floats before  f = sqrt((over p_e)^2 + y^2)
/// and of n strands each crosses in 2 gaps of n: (2 c + (n - 2) f) / n.
///
/// @param spacing  p_e, between neighbouring ends; above 0
/// @param end      d_e, diameter of an end; above 0
/// @param strand   d_w, diameter of one strand; above 0
/// @param over     ends in a group, 1 or more
/// @param strands  n, 2 or more
/// @throws OutOfRange outside these
///
/// Round strands go between the ends where d_e + d_w <= p_e. Beyond that a strand is pressed flat
/// in the gap, as thick as it is wide: the crossing is pi / 2 p_e, and the slope of passes goes on
/// as though the gaps opened. Both continue their value.
///
/// Source:   derived; the power 4 and the factor 0.91 are fitted to taut paths.
/// Accuracy: within 3 % of taut paths in three dimensions of 2 and 3 strands over 1 to 3 ends,
///           spacings of 2 to 12 mm, ends of 0.5 to 2 mm, strands of 0.5 to 6 mm, wherever they fit
///           (test TwiningGap.IsATautPath).
template <class Scalar>
Length<Scalar> twining_gap(const Length<Scalar>& spacing, const Length<Scalar>& end,
                           const Length<Scalar>& strand, int over, int strands);

/// What one strand of twining comes to.
template <class Scalar>
struct Twined {
  Entries<Scalar> entries;
  Scalar lengths{0.0};
  bool flattened = false;  ///< in the plan: the strand goes through the gaps pressed flat
};

/// The ledger of one of the strands, its diameter the lie's: straight, crimp, the fold, take on all
/// of it, and two tails a length.
///
/// A row has a gap less than it has groups; what lies beyond the middle of the first and the last
/// group is in the tails. A fold is half a turn round the first group, shared by its two strands,
/// and a length folded there gives each half of itself and one tail.
///
/// @param strand  an index into twining.strands
/// @throws OutOfRange for fewer than two strands, groups of no end or of all ends, no rows, a fold
///         between unlike strands; of a plan, gaps that no strand goes through; and as
///         `lengths_laid` does
template <class Scalar>
Twined<Scalar> twined(const Twining& twining, std::size_t strand, const Lie<Scalar>& lie);
template <class Scalar>
Entries<Scalar> twining_yarn(const Twining& twining, std::size_t strand, const Lie<Scalar>& lie);

/// Height of one row on the warp: so many diameters of the thickest strand as held.
/// @param row_height  in diameters; above 0; starting value
/// @throws OutOfRange as `twining_yarn` does, and for the row height
template <class Scalar>
Length<Scalar> twining_row_height(const Twining& twining, const Lie<Scalar>& lie,
                                  double row_height);

/// ln of the room in a gap over what one strand needs to go through round, p_e / (d_e + d_w).
/// Below 0 it is pressed flat.
/// @param strand  an index into twining.strands
double log_room(const Twining& twining, std::size_t strand, const Lie<>& lie);

/// How near the threads are to filling the gaps between the ends: the least |log_room|.
double nearest_change(const Twining& twining, const Lie<>& lie);

}  // namespace ellwand::technique
