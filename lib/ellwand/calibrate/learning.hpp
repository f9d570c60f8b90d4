#pragma once
/// How the estimates got better with every piece that was measured.

#include "ellwand/calibrate/report.hpp"

#include <string>
#include <vector>

namespace ellwand::calibrate {

/// Each point of the curve is a fit: of more pieces than that, points are this many, evenly spread.
inline constexpr std::size_t kMostLearningPoints = 12;

/// A number of pieces, the first by date, and how well they foretell those that came after.
struct LearningPoint {
  std::size_t pieces = 0;
  std::string last_piece;  ///< of them; empty of none
  std::string last_date;   ///< its date, where it has one
  Score start;             ///< of the amounts to come, by the starting values
  Score now;               ///< of the same, by these pieces
};

/// An amount as a point of the curve foretells it.
struct Prediction {
  std::size_t pieces = 0;  ///< that it was learned from
  std::size_t swatch = 0;
  std::size_t measurement = 0;
  Foretold told;
};

struct LearningCurve {
  std::vector<LearningPoint> points;    ///< from no piece to all but one
  std::vector<Prediction> predictions;  ///< point after point, swatches in their order
};

/// @returns no point where no amount was measured; a point whose fit does not settle, and one with
///          no amount to come, is left out
///
/// A piece's day is the last of its swatches'; pieces of one day go as they stand, those without a
/// date after the others. Unlike pieces left out one by one, none is foretold by a later one.
///
/// Source: forecasts in the order of time (prequential, A. P. Dawid, J. Roy. Statist. Soc. A 147
///         (1984) 278-292, from memory).
LearningCurve learning_curve(const std::vector<Swatch>& swatches,
                             const estimate::Workshop& workshop, const FitOptions& options = {});

/// The ids of the pieces in that order.
std::vector<std::string> pieces_by_date(const std::vector<Swatch>& swatches);

/// How many pieces each point has: all numbers below `pieces`, or kMostLearningPoints of them from
/// 0 to the last.
std::vector<std::size_t> learning_sizes(std::size_t pieces);

}  // namespace ellwand::calibrate
