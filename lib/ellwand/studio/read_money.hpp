#pragma once
/// Amounts of money in a table of studio.toml.

#include "ellwand/decide/price.hpp"
#include "ellwand/studio/document.hpp"

#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

/// Money as text, "22.50", or as a number. Anything else is among the findings.
std::optional<decide::Money> money(Section& section, const std::string& key);

/// One amount, or a table of them by what they are for; none where the key is missing.
///
/// @param name  what sentences call such a table, "[price.consumables]"
std::vector<decide::Consumable> read_consumables(Section& section, const std::string& key,
                                                 const std::string& name);

}  // namespace ellwand::studio
