#include "ellwand/yarn/colour.hpp"

#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace ellwand::yarn {

namespace {

struct NamedColour {
  const char* word;
  Colour colour;
};

/// As wool and linen take them rather than as paint has them: our own choice.
constexpr std::array<NamedColour, 22> kColours{{
    {"white", {250, 250, 247}}, {"cream", {243, 233, 208}}, {"oat", {222, 205, 172}},
    {"sand", {214, 188, 143}},  {"straw", {226, 200, 120}}, {"grey", {150, 150, 148}},
    {"charcoal", {74, 74, 76}}, {"black", {34, 33, 34}},    {"red", {178, 44, 44}},
    {"rust", {168, 78, 44}},    {"orange", {218, 124, 48}}, {"yellow", {235, 200, 70}},
    {"ochre", {196, 146, 52}},  {"green", {64, 122, 72}},   {"moss", {106, 120, 60}},
    {"teal", {40, 118, 118}},   {"blue", {62, 106, 164}},   {"indigo", {44, 56, 104}},
    {"violet", {112, 78, 140}}, {"plum", {104, 48, 84}},    {"pink", {222, 150, 164}},
    {"brown", {112, 76, 52}},
}};

/// @returns -1 for what is no hexadecimal digit
int digit_of(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  return -1;
}

/// @param digits  3 or 6, after the #
std::optional<Colour> from_digits(std::string_view digits) {
  std::array<int, 3> parts{};
  const std::size_t each = digits.size() / 3;
  for (std::size_t i = 0; i < 3; ++i) {
    const int high = digit_of(digits[i * each]);
    const int low = digit_of(digits[i * each + each - 1]);
    if (high < 0 || low < 0) return std::nullopt;
    parts[i] = 16 * high + low;
  }
  return Colour{parts[0], parts[1], parts[2]};
}

double linear(int part) {
  const double share = part / 255.0;
  return share <= 0.03928 ? share / 12.92 : std::pow((share + 0.055) / 1.055, 2.4);
}

}  // namespace

std::optional<Colour> find_colour(std::string_view text) {
  const std::string word = folded(text);
  if (!word.empty() && word.front() == '#') {
    if (word.size() != 4 && word.size() != 7) return std::nullopt;
    return from_digits(std::string_view(word).substr(1));
  }
  for (const NamedColour& named : kColours) {
    if (word == named.word) return named.colour;
  }
  return std::nullopt;
}

std::vector<std::string> colour_words() {
  std::vector<std::string> words;
  for (const NamedColour& named : kColours) words.emplace_back(named.word);
  return words;
}

std::string hex(const Colour& colour) {
  return fmt::format("#{:02x}{:02x}{:02x}", colour.red, colour.green, colour.blue);
}

double luminance(const Colour& colour) {
  return 0.2126 * linear(colour.red) + 0.7152 * linear(colour.green) + 0.0722 * linear(colour.blue);
}

double contrast(const Colour& a, const Colour& b) {
  const double one = luminance(a);
  const double other = luminance(b);
  return (std::max(one, other) + 0.05) / (std::min(one, other) + 0.05);
}

}  // namespace ellwand::yarn
