#pragma once
/// What her swatches tell with one of them left out, so that no figure is held against itself.

#include "ellwand/estimate/learned.hpp"
#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/studio/studio.hpp"

#include <filesystem>
#include <optional>
#include <string>

namespace ellwand::studio {

/// @param measured  id of the swatch, or of the piece measured as one, that is left out
/// @returns nothing where no other is measured, or the others lead to no settled result: a
///          stranger's hand
/// @throws BadInput where files of the studio cannot be read
std::optional<estimate::Learned> known_without(const std::filesystem::path& folder,
                                               const std::string& measured, const Studio& studio,
                                               const estimate::StartingValues& starting);

}  // namespace ellwand::studio
