#pragma once
/// What of a yarn can still be used: lots whose pieces are long enough, and what is left over for
/// pieces planned.

#include "ellwand/estimate/estimate.hpp"

#include <string>
#include <vector>

namespace ellwand::estimate {

/// The shortest piece of a yarn that does for one place of a piece.
struct ShortestUse {
  int band = 0;  ///< from 1; 0 for the warp
  std::size_t yarn = 0;
  Length<> length;  ///< of yarn as bought
};

/// Of weft, one row of a strand and its two tails; of cut strands, one strand; of a warp, one pass
/// with two ties, or an end of a beam warp.
/// Source: derived; nothing shorter can be laid without a tail of its own in the row.
std::vector<ShortestUse> shortest_uses(const PieceModel& model);

/// The shelf without the lots whose longest piece, where stated, is too short for every place of
/// the piece its yarn goes to.
Shelf usable_shelf(const PieceModel& model, const Shelf& shelf);

/// Tells of lots left out by `usable_shelf`, and of those too short for some of their places.
void warn_of_short_pieces(const PieceModel& model, const Shelf& shelf,
                          std::vector<Warning>& warnings);

/// From so long on offcuts go to fringe: the length of a hand. Common practice, no published
/// source.
inline constexpr double kHand_cm = 18.0;

/// Nothing where the longer piece of an end may be shorter, and off a fixed span.
std::optional<Thrums> thrums_for_fringe(const PieceModel& model);

/// For each planned piece, each yarn of which at least its whole need is left over.
std::vector<LeftOverUse> uses_of_left_over(const std::vector<YarnEstimate>& yarns,
                                           const std::vector<PieceEstimate>& planned);

}  // namespace ellwand::estimate
