#pragma once
/// The columns of swatches.csv that say what was woven, and a swatch's piece from them: for the
/// reader and the writer of swatches alone.

#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/piece/piece.hpp"
#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/studio.hpp"

#include <string>
#include <vector>

namespace ellwand::studio {

/// Every column that says what was woven: keys of a piece file, those of a length or a thread
/// density once for each unit ("pitch_mm", "pitch_cm", "pitch_in").
const std::vector<std::string>& work_columns();

/// What is read of the work of one swatch.
struct SwatchWork {
  piece::Piece piece;
  bool span_is_known = true;  ///< otherwise nothing can be said of its warp
};

/// The piece of a swatch whose columns are filled in one of its rows, or in several alike. It is
/// put together as a piece file would say it and read as one.
///
/// @param rows  of one swatch, at least one
/// Complaints go to the findings of the rows; the piece is then not to be used.
SwatchWork read_swatch_work(const std::string& id, const std::vector<Cells>& rows,
                            const Studio& studio, const estimate::StartingValues& starting);

/// A piece that only has this yarn in it, for what was measured of the yarn alone.
piece::Piece yarn_alone(const std::string& id, const std::string& yarn);

}  // namespace ellwand::studio
