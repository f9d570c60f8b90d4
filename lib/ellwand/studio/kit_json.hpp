#pragma once
/// The machine output of packed kits.

#include "ellwand/decide/kit.hpp"

#include <string>

namespace ellwand::studio {

/// One object with a schema number. Masses in g, lengths in m, shares and chances from 0 to 1,
/// money rounded as the currency is paid.
std::string kit_json(const decide::Kits& kits, const decide::Currency& currency);

}  // namespace ellwand::studio
