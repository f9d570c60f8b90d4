#pragma once
/// A row more at the end of a table on the disk.

#include "ellwand/studio/table.hpp"

#include <filesystem>
#include <vector>

namespace ellwand::studio {

/// Reads the table, adds the row in the file's own manner (Table::with_row), and puts the new text
/// in the old one's place in one step (write_file).
///
/// @throws BadInput when the file cannot be read as a table, lacks a column, or cannot be written;
///         it is then as it was
void append_row(const std::filesystem::path& path, const std::vector<NewCell>& cells);

}  // namespace ellwand::studio
