#pragma once
/// What was recorded, for other programs.

#include "ellwand/studio/record.hpp"

#include <string>

namespace ellwand::studio {

/// One JSON object with "schema": 1: what was done, the file and line, the cells by their columns,
/// warnings with their lines, and what else was done, each a sentence.
///
/// @param done  "recorded", "amended" or "taken back"
std::string record_json(const std::string& done, const Recorded& recorded);

}  // namespace ellwand::studio
