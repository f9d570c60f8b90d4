#pragma once
/// Whether what is left is enough, for other programs.

#include "ellwand/decide/enough.hpp"

#include <string>
#include <vector>

namespace ellwand::studio {

/// One JSON object with "schema": 1; amounts in the unit "unit" says, g or m. What was never
/// weighed is null.
std::string enough_json(const std::string& piece, const decide::Enough& answer,
                        const std::vector<decide::Change>& changes);

}  // namespace ellwand::studio
