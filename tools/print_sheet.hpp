#pragma once
/// A piece on one or two pages to print and pin up beside the loom.

#include "show.hpp"

#include "ellwand/estimate/estimate.hpp"
#include "ellwand/studio/drawing.hpp"
#include "ellwand/studio/sheet_json.hpp"

#include <string>

namespace ellwand::tools {

enum class Paper { AsThePrinterHas, A4, Letter };

/// What a sheet shows.
struct Sheet {
  const estimate::PieceModel& model;
  const estimate::PieceEstimate& estimate;  ///< with its order of work
  studio::SheetHead head;
  Paper paper = Paper::AsThePrinterHas;
};

/// One HTML page: nothing is loaded, nothing runs, every text is escaped. In print the drawing and
/// what to lay out come first, then the order of work.
std::string sheet_page(const Sheet& sheet, const Shower& show,
                       const studio::DrawingOptions& drawing);

}  // namespace ellwand::tools
