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

/// @param piece    its name
/// @param changes  that would make it enough
void print_enough(const std::string& piece, const decide::Enough& answer,
                  const std::vector<decide::Change>& changes, const Shower& show,
                  std::ostream& out);

}  // namespace ellwand::tools
