#pragma once
/// Kinds of characters, in no locale.

namespace ellwand {

/// "0" to "9".
constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// What stands between words on a line.
constexpr bool is_blank(char c) { return c == ' ' || c == '\t'; }

/// Of a folded text: a small letter, or a byte of a character beyond ASCII.
constexpr bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (static_cast<unsigned char>(c) & 0x80U) != 0;
}

}  // namespace ellwand
