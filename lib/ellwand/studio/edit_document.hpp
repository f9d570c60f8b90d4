#pragma once
/// TOML files changed in place: one value, or one block under a heading of double brackets; every
/// other byte stays as it was, remarks and unknown keys too.

#include <cstddef>
#include <string>
#include <variant>
#include <vector>

namespace ellwand::studio {

/// The way to a value: keys of tables, and places in lists counted from 0.
using Way = std::vector<std::variant<std::string, std::size_t>>;

/// The text with a value written anew, or added: to its table where there is one, else with a table
/// made for it (above the first [[measured]], which ends a file).
///
/// @param literal  the value as TOML writes it: `"14 cm"`, `24`, `{ diameter = "10 mm" }`
/// @throws BadInput when the file or the literal is no TOML, or the way leads through what is
///         neither a table nor a list, or beyond a list's end
std::string with_value(const std::string& text, const std::string& file, const Way& way,
                       const std::string& literal);

/// The text without a key and its value; as it is when there is none.
///
/// @throws BadInput as with_value, and where the way does not end in a key
std::string without_value(const std::string& text, const std::string& file, const Way& way);

/// The text with a block such as "[[band]]\nwork = ...\n" put before the block of that name at a
/// place from 0; behind the last one for the place after it.
///
/// @throws BadInput when the file or the block is no TOML, or there is no such place
std::string with_block(const std::string& text, const std::string& file, const std::string& name,
                       std::size_t place, const std::string& block);

/// The text without the block at a place, from its heading to the next.
///
/// @throws BadInput as with_block
std::string without_block(const std::string& text, const std::string& file, const std::string& name,
                          std::size_t place);

/// The block at a place, from its heading to the next.
///
/// @throws BadInput as with_block
std::string block_at(const std::string& text, const std::string& file, const std::string& name,
                     std::size_t place);

}  // namespace ellwand::studio
