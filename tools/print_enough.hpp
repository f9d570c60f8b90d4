#pragma once
/// Whether what is left is enough, as text.

#include "ellwand/decide/enough.hpp"
#include "show.hpp"

#include <iosfwd>
#include <string>

namespace ellwand::tools {

/// "95 %", "99.9 %".
std::string percent_text(double share);

/// @param piece  its name
void print_enough(const std::string& piece, const decide::Enough& answer, const Shower& show,
                  std::ostream& out);

}  // namespace ellwand::tools
