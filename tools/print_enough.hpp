#pragma once
/// Whether what is left is enough, as text.

#include "ellwand/decide/enough.hpp"
#include "show.hpp"

#include <iosfwd>
#include <string>
#include <vector>

namespace ellwand::tools {

/// "95 %", "99.9 %".
std::string percent_text(double share);

/// "50 g of rug-wool-ash were used where 4 to 8 g were foretold; has a decimal point slipped...?"
std::string doubt_of_use(const decide::UseSoFar& use, const std::string& yarn, bool is_mass,
                         const Shower& show);

/// @param piece    its name
/// @param changes  that would make it enough
void print_enough(const std::string& piece, const decide::Enough& answer,
                  const std::vector<decide::Change>& changes, const Shower& show,
                  std::ostream& out);

}  // namespace ellwand::tools
