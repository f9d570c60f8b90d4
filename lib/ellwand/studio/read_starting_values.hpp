#pragma once
/// The table of starting values from its file.

#include "ellwand/estimate/starting_values.hpp"

#include <filesystem>
#include <string>

namespace ellwand::studio {

/// Columns: name, median, unit (ratio, mm, m), spread, spread_scale (none, log, absolute),
/// treatment (held, grid, rule), shared_by, meaning, source. Lengths become metres; so does the
/// spread of a length where its scale is absolute.
///
/// @throws BadInput with every complaint; also when a name an estimate needs is missing
estimate::StartingValues read_starting_values(const std::string& text, const std::string& file);

/// The same from a file.
estimate::StartingValues open_starting_values(const std::filesystem::path& path);

}  // namespace ellwand::studio
