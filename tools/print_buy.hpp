#pragma once
/// A shopping list as the weaver reads it.

#include "ellwand/decide/buy.hpp"
#include "show.hpp"

#include <iosfwd>

namespace ellwand::tools {

void print_shopping_list(const decide::ShoppingList& list, const decide::Currency& currency,
                         const Shower& show, std::ostream& out);

}  // namespace ellwand::tools
