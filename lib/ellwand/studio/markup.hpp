#pragma once
/// Text and numbers put into HTML and SVG.

#include <string>
#include <string_view>

namespace ellwand::studio {

/// A text that may stand between tags and inside quoted attributes: the five signs of markup
/// written out, control characters as blanks.
std::string escaped(std::string_view text);

/// A number to so many decimals at most, without zeros at its end: "12.5", "0", "-3".
///
/// @param decimals  0 to 6
std::string short_number(double value, int decimals = 2);

}  // namespace ellwand::studio
