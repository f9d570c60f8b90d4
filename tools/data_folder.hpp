#pragma once
/// Where the program's own data lie.

#include <filesystem>

namespace ellwand::tools {

/// The folder with starting-values.csv and the demo studio: beside the program, in ../data or in
/// ../share/ellwand, or where the environment's ELLWAND_DATA says.
///
/// @throws BadInput when it is in none of them
std::filesystem::path data_folder();

/// The cells of the analyst's notebook, as a Python file.
///
/// @throws BadInput when it is not there
std::filesystem::path notebook_file();

/// The studio's page: installed beside the other data as page.html, or as tools/page/build made it.
///
/// @throws BadInput when it is not there, telling how it is built
std::filesystem::path page_file();

}  // namespace ellwand::tools
