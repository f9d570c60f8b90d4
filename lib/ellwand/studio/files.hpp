#pragma once
/// Whole files in and out; what is written is written whole or not at all.

#include <filesystem>
#include <string>

namespace ellwand::studio {

/// The bytes of a file.
///
/// @throws BadInput naming the file and why it cannot be read
std::string read_file(const std::filesystem::path& path);

/// Puts `text` in place of a file, or makes it: the text goes to a new file in the same folder, is
/// forced to the disk, and takes the old one's name in one step, so that at any moment one of the
/// two is there complete. The permissions of an old file are kept, and a symbolic link stays one.
///
/// @throws BadInput naming the file and why it cannot be written; the old file is then unchanged
void write_file(const std::filesystem::path& path, const std::string& text);

}  // namespace ellwand::studio
