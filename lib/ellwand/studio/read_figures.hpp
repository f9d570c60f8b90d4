#pragma once
/// What was measured: the figures of one row of swatches.csv, or of one [[measured]] of a piece.

#include "ellwand/calibrate/swatch.hpp"
#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/studio.hpp"

#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

/// The columns that hold a figure: "used_g", "height_cm", ...
const std::vector<std::string>& figure_columns();

/// The columns that say of what and how a figure was taken: date, weaver, yarn, lot, state,
/// includes, band, tool_step, wraps_convention, note.
const std::vector<std::string>& circumstance_columns();

/// What the figures of a row are measured on.
struct Figured {
  const piece::Piece* piece = nullptr;  ///< null where its work could not be read
  std::string yarn;                     ///< of a row that names none; empty where there is no one
  bool is_swatch = true;                ///< of one band, wefts apart from the warp
  bool span_is_known = true;
};

/// One or more figures of a row. One that is impossible (nothing, below the tool's step, a ball
/// heavier after than before) is complained of.
///
/// Tool's step: of the row's tool_step where a mass is in the row, or its only figure; else the
/// last digit written, or the fraction: 12.5 is read to 0.1, 1 3/8 to 1/8. The standard deviation
/// of one reading is step / sqrt(12), of the difference of two step / sqrt(6) (a uniform error:
/// JCGM 100:2008, 4.3.7).
std::vector<calibrate::Measurement> read_figures(const Cells& row, const Figured& figured);

/// The yarn a row is about, checked against the studio's; empty where it names none or one that
/// is not there.
std::string read_row_yarn(const Cells& row, const Studio& studio);

/// Who wove it, where the row says.
std::optional<Weaver> read_row_weaver(const Cells& row, const Studio& studio);

}  // namespace ellwand::studio
