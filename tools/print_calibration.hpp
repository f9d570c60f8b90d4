#pragma once
/// A calibration as she reads it on a terminal.

#include "ellwand/studio/calibration_report_json.hpp"
#include "show.hpp"

#include <iosfwd>

namespace ellwand::tools {

/// What improved, what stands out of line, how it went on swatches left out, what is known by now
/// and what is still the starting value.
///
/// @param with_why  every figure as well, what cannot be told apart, what everything hangs on, and
///                  the scores of the ranges
void print_calibration(const studio::Calibrated& calibrated, const estimate::StartingValues& values,
                       const studio::Shown& shown, bool with_why, std::ostream& out);

}  // namespace ellwand::tools
