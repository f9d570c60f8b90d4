#pragma once
/// The planned pieces of a studio, which what is left over of another may do for.

#include "ellwand/estimate/estimate.hpp"
#include "workbench.hpp"

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::tools {

/// A piece file, and its estimate, by yarns alone, where it is planned and can be used; of others
/// their own estimate says why.
struct PlannedPiece {
  std::shared_ptr<const Workbench> bench;
  std::filesystem::path file;
  std::string studio_text;  ///< of the studio's files that its estimate rests on
  std::optional<estimate::PieceEstimate> estimate;

  /// Taken from the last ones reckoned, where every file is as it was then: a page in which one
  /// piece is typed asks for the others at each key. May be called by several threads.
  void reckon();
};

/// Every piece file of a studio, not yet reckoned.
void add_pieces_of(const std::shared_ptr<const Workbench>& bench, std::vector<PlannedPiece>& all);

}  // namespace ellwand::tools
