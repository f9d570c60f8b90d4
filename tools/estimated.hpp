#pragma once
/// One piece read and reckoned, with all there is to say about it.

#include "ellwand/estimate/estimate.hpp"
#include "workbench.hpp"

#include <filesystem>

namespace ellwand::tools {

struct EstimatedPiece {
  estimate::PieceModel model;
  estimate::PieceEstimate estimate;  ///< its order of work filled; with what reading it warned of
  bool is_woven = false;             ///< it was measured, and is not planned again
};

/// @param asked  what of it is wanted; the order of work and whole steps of cuts are in any case
/// @throws BadInput with every complaint
EstimatedPiece estimated_piece(const Workbench& bench, const std::filesystem::path& file,
                               const estimate::Options& asked);

}  // namespace ellwand::tools
