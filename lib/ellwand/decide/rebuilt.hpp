#pragma once
/// A piece with another yarn in place of one of its own: how many strands of it are held, how close
/// warp and picks are set, which rows are kept.

#include "ellwand/estimate/piece_model.hpp"

#include <optional>
#include <set>
#include <string>
#include <vector>

namespace ellwand::decide {

/// What the rows of a band follow.
enum class Keep {
  AsStated,  ///< the band as the piece states it: its rows, or its height
  Rows,      ///< as many rows as before; the height changes
  Height     ///< the height as before; the rows change
};

/// "as stated", "rows", "height".
const char* name_of(Keep keep);

/// Where a yarn is replaced; everywhere unless said.
struct Within {
  bool warp = true;
  bool cord = true;
  bool bands = true;
  std::set<int> only;  ///< of the bands, from 1; all of them where empty
};

enum class Where { Warp, Cord, Band };

/// One place of a piece that a yarn is used in.
struct YarnPlace {
  Where where = Where::Band;
  std::size_t band = 0;  ///< index into the piece's bands
  std::size_t part = 0;  ///< of a band, in the order of its strands
  technique::Strand strand;
  bool is_bundle = false;  ///< its strands lie gathered into a round bundle, not side by side
};

/// The places a yarn is replaced in, the warp first, the bands from the bottom up, the cord last. A
/// hem that is sewn with a weft's own tail goes with that weft.
std::vector<YarnPlace> places_of(const piece::Piece& piece, const std::string& yarn,
                                 const Within& within);

/// How thick the strands of a place are together.
///
/// @param strand_diameter  of one strand as bought
Length<> held_thickness(const Length<>& strand_diameter, const technique::Strand& strand,
                        bool is_bundle);

/// So many strands of a yarn held together, or a roving split so often, that come nearest to a
/// thickness, by their ratio; of two that come as near the fewer.
///
/// @param wanted  above 0
/// @param most    of strands, and of the parts of a roving, 1 or more
technique::Strand nearest_strand(const yarn::Yarn& yarn, const Length<>& strand_diameter,
                                 const Length<>& wanted, const YarnPlace& place, int most);

/// Sett at which ends of another thickness cover as much: in proportion to 1 / thickness.
///
/// Source: of yarns made alike the rule of sett_for_yarn (cloth/setting.hpp), 1 / sqrt(tex).
ThreadDensity<> sett_that_covers(const ThreadDensity<>& sett, const Length<>& from,
                                 const Length<>& to);

/// How picks that are stated are taken.
enum class Picks { ByThickness, AsStated };

/// A piece, and what it was made of.
struct Rebuilt {
  piece::Piece piece;
  std::vector<YarnPlace> places;  ///< those of the original, with what stands there now
};

/// The piece with another yarn at those places. Its strands come nearest to the thickness they
/// take the place of. Ends of a frame or a beam loom are set to cover as before; notches are where
/// they are. Picks that were stated keep the cover too, or stay as stated; rows that were measured
/// with the old yarn beat down in proportion to its thickness. Bands of soumak, twining, loops and
/// pile are stated by rows, which stay: see `with_heights`.
///
/// @param original   as it was stated
/// @param model      of it
/// @param places     of it
/// @param yarn       an id of the workshop's
/// @param most_held  strands
Rebuilt rebuilt_with(const piece::Piece& original, const estimate::PieceModel& model,
                     const std::vector<YarnPlace>& places, const std::string& yarn,
                     const estimate::Workshop& workshop, int most_held, Keep keep, Picks picks);

/// The same with the rows of works that are stated by rows counted anew, so that their bands come
/// as near to the original's heights as whole rows do.
///
/// @param model  of the rebuilt piece as it was
void keep_heights(const estimate::PieceModel& original, const estimate::PieceModel& model,
                  Rebuilt& rebuilt);

}  // namespace ellwand::decide
