#pragma once
/// The colour a yarn is drawn in: about what it looks like, for pictures only.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ellwand::yarn {

/// Red, green and blue as screens and printers are told them (sRGB), each 0 to 255.
struct Colour {
  int red = 0;
  int green = 0;
  int blue = 0;
  friend bool operator==(const Colour& a, const Colour& b) {
    return a.red == b.red && a.green == b.green && a.blue == b.blue;
  }
};

/// "#7a4b3c" or "#abc" as style sheets write colours, or one of colour_words(); case and the blanks
/// around it do not matter. Nothing for any other text.
std::optional<Colour> find_colour(std::string_view text);

/// Plain words for colours, in the order they are offered.
std::vector<std::string> colour_words();

/// "#7a4b3c"
std::string hex(const Colour& colour);

/// How light it looks, 0 black to 1 white: relative luminance.
/// Source: W3C, Web Content Accessibility Guidelines 2.1, definition of relative luminance.
double luminance(const Colour& colour);

/// How far two colours stand apart to the eye, 1 (alike) to 21 (black on white).
/// Source: as above, definition of contrast ratio; text wants 4.5, lines and areas want 3.
double contrast(const Colour& a, const Colour& b);

}  // namespace ellwand::yarn
