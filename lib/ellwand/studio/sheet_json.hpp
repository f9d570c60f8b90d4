#pragma once
/// What a sheet for the loom shows, for other programs.

#include "ellwand/estimate/estimate.hpp"

#include <string>
#include <vector>

namespace ellwand::studio {

/// What a sheet says besides the estimate.
struct SheetHead {
  std::string studio;
  std::string date;  ///< year-month-day
};

/// A yarn as the sheet names and draws it.
struct SheetYarn {
  std::string id;
  std::string label;
  std::string colour;  ///< "#7a4b3c"; empty where it is not said
};

/// One JSON object with "schema": 1; everything of the piece as `estimate_json` has it, of which it
/// is a part.
std::string sheet_json(const SheetHead& head, const std::vector<SheetYarn>& yarns,
                       const estimate::PieceEstimate& piece);

}  // namespace ellwand::studio
