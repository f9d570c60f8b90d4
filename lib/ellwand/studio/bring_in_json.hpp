#pragma once
/// What is brought in from an old spreadsheet, for other programs.

#include "ellwand/studio/bring_in.hpp"

#include <string>

namespace ellwand::studio {

/// @param is_written  whether it stands in the studio's file already
/// @returns one object: the file, the columns and rows that are new, the headings left out
std::string brought_in_json(const BroughtIn& brought, bool is_written);

}  // namespace ellwand::studio
