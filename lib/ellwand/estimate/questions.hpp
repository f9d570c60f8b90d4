#pragma once
/// What in a design can hardly be meant: a unit or a decimal mark gone wrong.

#include "ellwand/estimate/estimate.hpp"

#include <vector>

namespace ellwand::estimate {

/// Ends so far apart that nothing holds the weft, a warp far wider than long, rows that are stated
/// or measured far from where the beat has them, loops taller than any stand, fringe that is all
/// trimmed off. Each a question beside the estimate, for it may be right.
std::vector<Warning> questions_about(const PieceModel& model);

}  // namespace ellwand::estimate
