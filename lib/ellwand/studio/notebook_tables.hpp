#pragma once
/// A calibration as tables for an analyst's notebook.

#include "ellwand/calibrate/learning.hpp"
#include "ellwand/estimate/estimate.hpp"
#include "ellwand/studio/calibration_report_json.hpp"
#include "ellwand/studio/export_table.hpp"

#include <filesystem>
#include <vector>

namespace ellwand::studio {

/// A piece as it was estimated before anything was measured, and as it is now.
struct PieceForetold {
  estimate::PieceEstimate start;
  estimate::PieceEstimate now;  ///< the same yarns
};

/// A calibration with what only its export needs.
struct ForNotebook {
  Calibrated calibrated;
  std::vector<calibrate::Trial> seen;  ///< every measurement by the fit to all (seen_trials)
  calibrate::LearningCurve learning;
  std::vector<PieceForetold> pieces;  ///< planned, or all where none is
  std::filesystem::path folder;       ///< of the studio: files are named from there
};

/// swatches.csv, coefficients.csv, covariance.csv, predictions.csv, learning.csv, pieces.csv,
/// engine.csv (what the engine makes of the others, for the notebook to find the same) and
/// columns.csv.
///
/// Amounts in g and m, heights and widths in cm, thickness in mm, whatever the studio shows.
std::vector<ExportTable> notebook_tables(const ForNotebook& all);

/// "swatches.csv", "pieces/sedge.toml": a file of the studio from its folder.
std::string within_studio(const std::string& file, const std::filesystem::path& folder);

}  // namespace ellwand::studio
