#pragma once
/// The machine output of a shopping list.

#include "ellwand/decide/buy.hpp"

#include <string>

namespace ellwand::studio {

/// One object with a schema number. Masses in g, lengths in m, chances from 0 to 1, money rounded
/// as the currency is paid.
std::string buy_json(const decide::ShoppingList& list, const decide::Currency& currency);

}  // namespace ellwand::studio
