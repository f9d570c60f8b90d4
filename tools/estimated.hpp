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

/// @param joint  set aside so that all yarns together suffice
/// @throws BadInput with every complaint
EstimatedPiece estimated_piece(const Workbench& bench, const std::filesystem::path& file,
                               bool joint);

}  // namespace ellwand::tools
