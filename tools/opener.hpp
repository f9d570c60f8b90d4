#pragma once
/// The desktop's own way of opening a file.

#include <filesystem>

namespace ellwand::tools {

/// @returns whether it was taken
bool is_opened(const std::filesystem::path& file);

}  // namespace ellwand::tools
