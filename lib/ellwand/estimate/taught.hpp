#pragma once
/// What a calibration has taught about one piece, and what of it is still a stranger's.

#include "ellwand/estimate/learned.hpp"
#include "ellwand/estimate/starting_values.hpp"

#include <string>
#include <vector>

namespace ellwand::estimate {

class PieceModel;

/// A work counts as taught from this many pieces on: one alone does not tell her way from that of
/// the day.
inline constexpr int kPiecesThatTeach = 2;

struct Taught {
  std::string date;  ///< of the calibration
  int swatches = 0;
  bool is_current = true;                ///< swatches are as they were when it was made
  std::vector<std::string> stranger_in;  ///< works of the piece that fewer pieces than that taught
  std::vector<std::string> never_measured;  ///< yarns of the piece no swatch has
};

/// @param model   made with `learned`
/// @param values  name the works
Taught taught(const PieceModel& model, const Learned& learned, const StartingValues& values);

}  // namespace ellwand::estimate
