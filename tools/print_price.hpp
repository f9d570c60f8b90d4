#pragma once
/// A price as a sentence and tables.

#include "show.hpp"

#include "ellwand/decide/price.hpp"

#include <iosfwd>
#include <string>

namespace ellwand::tools {

/// What is charged and what it costs, line by line, at several numbers of pieces, what is unsure of
/// it and why.
/// Of yarns that nothing is charged for, and what to do; empty where there are none.
std::string left_out_sentence(const decide::Priced& priced);

void print_price(const decide::Pricing& pricing, const decide::Priced& priced, const Shower& show,
                 std::ostream& out);

/// That no tax is in it.
extern const char* const kTaxSentence;

}  // namespace ellwand::tools
