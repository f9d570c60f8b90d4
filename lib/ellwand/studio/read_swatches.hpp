#pragma once
/// What was measured in a studio: swatches.csv, and the [[measured]] tables of its pieces.

#include "ellwand/calibrate/swatch.hpp"
#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/studio/studio.hpp"

#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace ellwand::studio {

struct SwatchTable {
  std::vector<calibrate::Swatch> swatches;
  std::vector<Complaint> warnings;
};

/// Columns: swatch (an id; rows of one id are one swatch), or piece (the id of a piece of the
/// studio, the work then being as that says, of `band` or the whole); date, weaver, yarn, lot,
/// state ("on the loom", "off", "washed"), includes ("left the ball" unless said, "in the piece",
/// "in the band, unpicked"), tool_step, note; what was woven (swatch_columns.hpp); what was
/// measured (read_figures.hpp), or `measure` with the name of one of those columns and `value`.
/// Two of ends, sett and width tell the third. A row of yarn alone, without work, may have its
/// wraps or a weighed length.
///
/// @param pieces  by id, those that rows name
/// @throws BadInput with every complaint
SwatchTable read_swatches(const std::string& text, const std::string& file, const Studio& studio,
                          const estimate::StartingValues& starting,
                          const std::map<std::string, piece::Piece>& pieces);

/// The same, with the pieces of a studio's folder.
SwatchTable read_swatches_in(const std::filesystem::path& folder, const std::string& text,
                             const Studio& studio, const estimate::StartingValues& starting);

/// The [[measured]] tables of a piece file: keys as the columns above, without what was woven.
/// Nothing where the file has none.
///
/// @throws BadInput with every complaint
SwatchTable read_measured_piece(const std::string& text, const std::string& file,
                                const Studio& studio, const estimate::StartingValues& starting);

/// swatches.csv of a studio's folder, if there is one, and the [[measured]] tables of its pieces.
/// Pieces without any are not read. Figures that can hardly be meant are warned of (slips.hpp).
///
/// @throws BadInput with every complaint of every file
SwatchTable open_swatches(const std::filesystem::path& folder, const Studio& studio,
                          const estimate::StartingValues& starting);

}  // namespace ellwand::studio
