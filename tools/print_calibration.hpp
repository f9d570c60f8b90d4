#pragma once
/// A calibration as she reads it on a terminal.

#include "ellwand/studio/calibration_report_json.hpp"
#include "show.hpp"

#include <iosfwd>

namespace ellwand::tools {

/// What improved, what was found, what is settled and what is not, what stands out of line.
void print_calibration(const studio::Calibrated& calibrated, const estimate::StartingValues& values,
                       const Shower& show, std::ostream& out);

}  // namespace ellwand::tools
