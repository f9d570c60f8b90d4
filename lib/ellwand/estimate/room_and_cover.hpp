#pragma once
/// Whether a yarn has room where it lies, and how much it covers there, with their doubt.

#include "ellwand/estimate/piece_model.hpp"

#include <optional>
#include <string>
#include <vector>

namespace ellwand::estimate {

/// ln of the room at one of the model's places over what its yarn needs to lie round there: see
/// `log_room` of the works. Of knots the room is that of the ends one stands on, the need its
/// bundle. technique::kFar of works whose yarn lies beside the warp.
PieceModel::SlopingLog log_room(const PieceModel& model, const BandYarn& one);

/// ln of the fractional cover at one of the model's places: thickness over row spacing, of knots
/// the bundle over the width of the ends one stands on. Nothing of works that cover no cloth.
std::optional<PieceModel::SlopingLog> log_cover(const PieceModel& model, const BandYarn& one);

/// The same of the ends: their thickness over their spacing.
PieceModel::SlopingLog log_warp_cover(const PieceModel& model);

/// Chance that such a logarithm lies below `limit`, as though it were straight in the coefficients.
///
/// Accuracy: of room and cover in weft-faced and balanced cloth within 0.015 of samples of the
///           threads themselves (test LogRoom.*).
double chance_below(const PieceModel::SlopingLog& log, double limit,
                    const Coefficients& coefficients);

/// Chance that `log` of one piece is below `limit` beyond `other` of another: what both hang on
/// cancels.
///
/// @param names, other_names  of the pieces' coefficients (coefficient_ids)
/// @param learned             what both models were made with; null without a calibration
double chance_below(const PieceModel::SlopingLog& log, const Coefficients& coefficients,
                    const std::vector<std::string>& names, const PieceModel::SlopingLog& other,
                    const Coefficients& other_coefficients,
                    const std::vector<std::string>& other_names, double limit,
                    const Learned* learned);

}  // namespace ellwand::estimate
