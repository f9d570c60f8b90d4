#pragma once
/// A quote to hand over: as text, and as a page to print.

#include "show.hpp"

#include "ellwand/decide/price.hpp"
#include "ellwand/piece/piece.hpp"
#include "ellwand/studio/studio.hpp"

#include <string>
#include <utility>
#include <vector>

namespace ellwand::tools {

/// What she adds to it.
struct QuoteDetails {
  std::string customer;  ///< or empty
  std::string date;      ///< year-month-day
  std::string until;     ///< the day it holds until, or empty
};

/// What stands in a quote, in either form.
struct Quote {
  std::string studio;
  QuoteDetails details;
  std::string piece;
  std::vector<std::string> about;                          ///< size, fringe, fibres
  std::vector<std::pair<std::string, std::string>> lines;  ///< add up to the total
  std::pair<std::string, std::string> total;
  std::vector<std::pair<std::string, std::string>> to_pay;  ///< deposit and rest, or nothing
  std::vector<std::string> notes;
};

Quote quote_of(const studio::Studio& studio, const decide::Pricing& pricing,
               const decide::Priced& priced, const Shower& show, const QuoteDetails& details);

std::string quote_text(const Quote& quote);

/// One A4 page of HTML: nothing is loaded, nothing runs, every text is escaped.
std::string quote_page(const Quote& quote);

}  // namespace ellwand::tools
