#pragma once
/// Packed kits as the weaver reads them.

#include "ellwand/decide/kit.hpp"
#include "show.hpp"

#include <iosfwd>

namespace ellwand::tools {

/// "19 of 20", "98 of 100", "995 of 1000": the fewest that it comes out even of.
std::string of_so_many(double share);

void print_kits(const decide::Kits& kits, const decide::Currency& currency, const Shower& show,
                std::ostream& out);

}  // namespace ellwand::tools
