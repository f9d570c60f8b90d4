#pragma once
/// A studio's swatches fitted anew, for the verbs that tell what they teach.

#include "command_line.hpp"
#include "workbench.hpp"

#include "ellwand/studio/calibration_report_json.hpp"

#include <string>

namespace ellwand::tools {

struct Calibrating {
  studio::Calibrated calibrated;
  std::string no_answer;  ///< why they teach nothing; then there is no report
};

/// Opens the swatches, fits and reports; warnings are told on streams.talk. Keeps nothing.
///
/// @param bench  opened with Learning::LeftOut
/// @param date   the day it is of
/// @throws BadInput with every complaint
Calibrating calibrating(const Workbench& bench, const std::string& date, const Streams& streams);

}  // namespace ellwand::tools
