#pragma once
/// How far a stash goes, as text.

#include "ellwand/decide/howfar.hpp"
#include "show.hpp"

#include <iosfwd>
#include <string>
#include <vector>

namespace ellwand::tools {

/// "34 rows of band 3", "12.5 cm hang of band 1", "110 % of its size".
std::string setting_text(const decide::Setting& setting, const Shower& show);
/// The value alone: "34", "12.5 cm", "110 %".
std::string value_text(const decide::Setting& setting, const Shower& show);

/// @param piece  its name
void print_how_far(const std::string& piece, const decide::HowFar& far, double confidence,
                   const Shower& show, std::ostream& out);

void print_frontier(const std::string& piece, const decide::Frontier& answers, double confidence,
                    const Shower& show, std::ostream& out);

}  // namespace ellwand::tools
