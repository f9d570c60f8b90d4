#pragma once
/// A price as a sentence and tables.

#include "show.hpp"

#include "ellwand/decide/price.hpp"

#include <iosfwd>
#include <string>

namespace ellwand::tools {

/// What is charged and what it costs, line by line, at several numbers of pieces, what is unsure of
/// it and why.
void print_price(const decide::Pricing& pricing, const decide::Priced& priced, const Shower& show,
                 std::ostream& out);

/// That no tax is in it.
extern const char* const kTaxSentence;

}  // namespace ellwand::tools
