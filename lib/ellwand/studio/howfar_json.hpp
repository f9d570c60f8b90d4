#pragma once
/// How far a stash goes, for other programs.

#include "ellwand/decide/howfar.hpp"

#include <string>
#include <vector>

namespace ellwand::studio {

/// One JSON object with "schema": 1 and one answer, or one for each value of a second measure. A
/// value is in the unit beside it: rows, repeats, ends, m, or a share of the size it has.
std::string howfar_json(const std::string& piece, double confidence,
                        const decide::Frontier& answers);

}  // namespace ellwand::studio
