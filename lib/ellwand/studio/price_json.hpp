#pragma once
/// What a piece is priced at, for programs.

#include "ellwand/decide/price.hpp"

#include <string>

namespace ellwand::studio {

/// Money is a number in the currency's units, rounded as the currency is paid.
std::string price_json(const decide::Pricing& pricing, const decide::Priced& priced);

/// "log", "stated", "starting value", "given": where minutes come from.
const char* name_of(decide::Basis basis);

}  // namespace ellwand::studio
