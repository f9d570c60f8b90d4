#pragma once
/// Files of a studio changed together: all of them or none, also when the program is killed on the
/// way or another program changed one of them meanwhile.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

/// A file as it was read, and what it is to be.
struct Change {
  std::filesystem::path path;
  std::optional<std::string> was;  ///< nothing where there was no such file
  std::string now;
};

/// The text of a file, or nothing where there is none.
///
/// @throws BadInput where it cannot be read
std::optional<std::string> text_if_there(const std::filesystem::path& path);

/// Writes what changes, if every file is still as it was read. New texts are first all put beside
/// their files, then noted in a hidden file of the folder, then take their places; so a program
/// that is killed has changed nothing, or finish_changes does the rest.
///
/// @param folder  of the studio, whose WriteTurn the caller has
/// @throws BadInput naming the file that another program changed meanwhile, or that cannot be
///         written; nothing is then changed
void write_changes(const std::filesystem::path& folder, const std::vector<Change>& changes);

/// Whether write_changes was cut off in the middle.
bool are_changes_left(const std::filesystem::path& folder);

/// Does the rest of what write_changes noted. A file that was changed since then is left as it is.
/// In a folder that cannot be written all stays as it was left.
void finish_changes(const std::filesystem::path& folder);

}  // namespace ellwand::studio
