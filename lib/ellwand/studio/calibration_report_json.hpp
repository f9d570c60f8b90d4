#pragma once
/// The machine output of a calibration: what it found and how well it does.

#include "ellwand/calibrate/report.hpp"
#include "ellwand/studio/calibration_file.hpp"
#include "ellwand/studio/frozen_record.hpp"

#include <string>
#include <vector>

namespace ellwand::studio {

/// All there is to tell of a calibration.
struct Calibrated {
  std::vector<calibrate::Swatch> swatches;
  calibrate::Fit fit;
  calibrate::Report report;
  FrozenRecord record;
  std::string date;
};

/// One JSON object with a schema number. Fields may be added in later versions, never renamed;
/// shares and chances from 0 to 1.
/// `predictions`: of each amount what was measured, and what was foretold of it by the starting
/// values and by a fit without its piece.
std::string calibration_report_json(const Calibrated& calibrated,
                                    const estimate::StartingValues& values);

}  // namespace ellwand::studio
