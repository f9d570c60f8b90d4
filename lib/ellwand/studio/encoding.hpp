#pragma once
/// Text as bytes: whether it is UTF-8, and what to say when it is not.

#include <cstddef>
#include <string>
#include <string_view>

namespace ellwand::studio {

inline constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

/// Where the first byte stands that is not UTF-8 (as RFC 3629 has it) or is NUL; the size of the
/// text when all of it is good.
std::size_t first_bad_byte(std::string_view text);

/// What is wrong with the byte that `first_bad_byte` found, and what to do: one sentence.
std::string bad_byte_sentence(std::string_view text, std::size_t at);

/// Whether a byte of UTF-8 begins a character.
constexpr bool starts_character(char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }

/// The line of a byte, from 1; CR, LF and CRLF each end a line.
int line_of(std::string_view text, std::size_t at);

/// How the text ends its lines: CRLF where it does so anywhere.
std::string line_ending_of(const std::string& text);

}  // namespace ellwand::studio
