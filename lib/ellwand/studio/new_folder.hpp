#pragma once
/// A folder of files, written whole or not at all.

#include <filesystem>
#include <map>
#include <set>
#include <string>

namespace ellwand::studio {

/// What to do with a folder of this name that has these very files in it already.
enum class Earlier { Refused, Replaced };

/// The checks of write_folder alone, for what takes long to make.
///
/// @throws BadInput as write_folder
void refuse_unfit_folder(const std::filesystem::path& folder, const std::set<std::string>& files,
                         Earlier earlier);

/// Puts files into a new folder. They are written into a hidden folder beside it, which takes its
/// name in one step once it is complete.
///
/// @param folder   not there yet, or empty; its parent is there. With Earlier::Replaced it may hold
///                 files of these names and what Jupyter keeps beside them, nothing else
/// @param files    by name, without folders
/// @throws BadInput where it would lie in a studio's folders of pieces or estimates or is the
///         studio's own, is no folder, holds anything else, is the folder the program runs in, or
///         cannot be written; all is then as it was
void write_folder(const std::filesystem::path& folder,
                  const std::map<std::string, std::string>& files, Earlier earlier);

}  // namespace ellwand::studio
