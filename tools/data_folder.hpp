#pragma once
/// Where the program's own data lie.

#include <filesystem>

namespace ellwand::tools {

/// The folder with starting-values.csv and the demo studio: beside the program, in ../data or in
/// ../share/ellwand, or where the environment's ELLWAND_DATA says.
///
/// @throws BadInput when it is in none of them
std::filesystem::path data_folder();

}  // namespace ellwand::tools
