#include "ellwand/studio/encoding.hpp"

#include <algorithm>

namespace ellwand::studio {

namespace {
unsigned byte_at(std::string_view text, std::size_t at) {
  return at < text.size() ? static_cast<unsigned char>(text[at]) : 0U;
}

bool within(unsigned byte, unsigned low, unsigned high) { return byte >= low && byte <= high; }

/// Bytes of the character that begins here by the table of RFC 3629, section 4; 0 when none does.
std::size_t character_size(std::string_view text, std::size_t at) {
  const unsigned first = byte_at(text, at);
  const unsigned second = byte_at(text, at + 1);
  if (within(first, 0x01, 0x7F)) return 1;
  if (within(first, 0xC2, 0xDF)) return within(second, 0x80, 0xBF) ? 2 : 0;
  const bool third_is_good = within(byte_at(text, at + 2), 0x80, 0xBF);
  if (within(first, 0xE0, 0xEF)) {
    const unsigned low = first == 0xE0 ? 0xA0 : 0x80;
    const unsigned high = first == 0xED ? 0x9F : 0xBF;  // surrogates are not characters
    return within(second, low, high) && third_is_good ? 3 : 0;
  }
  if (!within(first, 0xF0, 0xF4) || !third_is_good) return 0;
  const unsigned low = first == 0xF0 ? 0x90 : 0x80;
  const unsigned high = first == 0xF4 ? 0x8F : 0xBF;
  return within(second, low, high) && within(byte_at(text, at + 3), 0x80, 0xBF) ? 4 : 0;
}

bool begins_as_utf16(std::string_view text) {
  return text.substr(0, 2) == "\xFF\xFE" || text.substr(0, 2) == "\xFE\xFF";
}
}  // namespace

std::size_t first_bad_byte(std::string_view text) {
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t size = character_size(text, at);
    if (size == 0) return at;
    at += size;
  }
  return text.size();
}

std::string bad_byte_sentence(std::string_view text, std::size_t at) {
  if (begins_as_utf16(text)) return "this file is UTF-16 text; save it again as UTF-8";
  if (byte_at(text, at) == 0) return "a zero byte stands here, so this is not a text file";
  return "this line is not UTF-8 text; save the file again as UTF-8";
}

int line_of(std::string_view text, std::size_t at) {
  int line = 1;
  for (std::size_t i = 0; i < std::min(at, text.size()); ++i) {
    const bool ends_with_lf = text[i] == '\r' && i + 1 < text.size() && text[i + 1] == '\n';
    if (text[i] == '\n' || (text[i] == '\r' && !ends_with_lf)) ++line;
  }
  return line;
}

std::string line_ending_of(const std::string& text) {
  return text.find("\r\n") == std::string::npos ? "\n" : "\r\n";
}

}  // namespace ellwand::studio
