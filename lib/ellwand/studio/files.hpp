#pragma once
/// Whole files in and out; what is written is written whole or not at all.

#include <chrono>
#include <filesystem>
#include <string>
#include <vector>

namespace ellwand::studio {

/// Nobody takes so long to write a file or a folder: an older one was left by a program killed.
inline constexpr std::chrono::hours kLeftOver{1};

/// @throws BadInput always, naming the file
[[noreturn]] void refuse_file(const std::filesystem::path& path, const std::string& why);

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

/// Whether a file of the pieces' folder is a piece; what begins with a dot is some program's own.
bool is_piece(const std::filesystem::path& file);

/// The studio's piece files in the order of their names; none where there are none.
std::vector<std::filesystem::path> piece_files(const std::filesystem::path& studio);

}  // namespace ellwand::studio
