#include "ellwand/studio/edit_document.hpp"

#include "ellwand/studio/document.hpp"
#include "ellwand/studio/encoding.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace ellwand::studio {

namespace {

/// Where each line begins, and the end of the text.
std::vector<std::size_t> line_starts(const std::string& text) {
  std::vector<std::size_t> starts = {0};
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '\n') starts.push_back(i + 1);
  }
  return starts;
}

bool continues_character(char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; }

/// The byte at which a place of a text stands; columns count characters.
std::size_t byte_at(const std::string& text, const Place& place) {
  const std::vector<std::size_t> starts = line_starts(text);
  std::size_t at =
      starts[std::min<std::size_t>(static_cast<std::size_t>(place.line) - 1, starts.size() - 1)];
  if (at == 0 && text.rfind("\xEF\xBB\xBF", 0) == 0) at = 3;
  for (int column = 1; column < place.column && at < text.size(); ++column) {
    do ++at;
    while (at < text.size() && continues_character(text[at]));
  }
  return at;
}

/// A document, its text and the lines on which its headings stand.
struct Document {
  std::string text;
  std::string file;
  Value root;
  std::vector<int> headings;  ///< lines from 1, in order
};

bool is_heading(const std::string& text, const Value& value) {
  return value.kind == Value::Kind::Table && value.place.line > 0 &&
         text.compare(byte_at(text, value.place), 1, "[") == 0;
}

void gather_headings(const Value& value, Document& document) {
  if (is_heading(document.text, value)) document.headings.push_back(value.place.line);
  for (const Value::Entry& entry : value.entries) gather_headings(entry.value, document);
  for (const Value& item : value.items) gather_headings(item, document);
}

Document opened(const std::string& text, const std::string& file) {
  Document document{text, file, read_toml(text, file), {}};
  for (const Value::Entry& entry : document.root.entries) gather_headings(entry.value, document);
  std::sort(document.headings.begin(), document.headings.end());
  return document;
}

/// The text behind what stands under a heading, up to the next one.
std::size_t end_of_section(const Document& document, int heading_line) {
  const auto next =
      std::upper_bound(document.headings.begin(), document.headings.end(), heading_line);
  return next == document.headings.end() ? document.text.size()
                                         : byte_at(document.text, {*next, 1});
}

/// Behind the last line from `begin` that is neither blank nor a remark.
std::size_t end_of_content(const std::string& text, std::size_t begin, std::size_t end) {
  std::size_t content = begin;
  for (std::size_t at = begin; at < end;) {
    const std::size_t stop = std::min(text.find('\n', at), end - 1) + 1;
    const std::size_t first = text.find_first_not_of(" \t\r", at);
    if (first < stop && text[first] != '\n' && text[first] != '#') content = stop;
    at = stop;
  }
  return content;
}

/// `text` with a line put in, which the line before it is ended for.
std::string with_lines(const std::string& text, std::size_t at, const std::string& lines) {
  const bool is_ended = at == 0 || text[at - 1] == '\n';
  return text.substr(0, at) + (is_ended ? "" : line_ending_of(text)) + lines + text.substr(at);
}

const Value::Entry* entry_of(const Value& table, const std::string& key) {
  const auto found = std::find_if(table.entries.begin(), table.entries.end(),
                                  [&](const Value::Entry& entry) { return entry.key == key; });
  return found == table.entries.end() ? nullptr : &*found;
}

/// What the first `steps` of a way lead to, or null where a key is missing.
const Value* found(const Document& document, const Way& way, std::size_t steps) {
  const Value* value = &document.root;
  for (std::size_t i = 0; i < steps && value != nullptr; ++i) {
    if (const auto* key = std::get_if<std::string>(&way[i])) {
      if (value->kind != Value::Kind::Table) {
        refuse_file(document.file, fmt::format("'{}' is looked for in what is no table", *key));
      }
      const Value::Entry* entry = entry_of(*value, *key);
      value = entry == nullptr ? nullptr : &entry->value;
      continue;
    }
    const std::size_t item = std::get<std::size_t>(way[i]);
    if (value->kind != Value::Kind::Array || item >= value->items.size()) {
      refuse_file(document.file, fmt::format("there is no place {} in this list", item + 1));
    }
    value = &value->items[item];
  }
  return value;
}

bool is_bare_key(const std::string& key) {
  return !key.empty() && std::all_of(key.begin(), key.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
           c == '_';
  });
}

std::string as_key(const std::string& key) {
  if (is_bare_key(key)) return key;
  std::string quoted = "\"";
  for (const char c : key) quoted += c == '"' || c == '\\' ? std::string{'\\', c} : std::string{c};
  return quoted + '"';
}

/// A literal that is one value and nothing more.
void require_value(const std::string& literal, const std::string& file) {
  const Value read = read_toml("value = " + literal + "\n", file);
  if (read.entries.size() != 1) refuse_file(file, "one value is wanted, and more was given");
}

std::string without_end_of_line(std::string text) {
  while (!text.empty() && (text.back() == '\n' || text.back() == '\r')) text.pop_back();
  return text;
}

/// A value within a table: behind its last entry, within the braces or on a line of its own.
std::string with_entry(const Document& document, const Value& table, const std::string& key,
                       const std::string& literal) {
  const std::string entry = as_key(key) + " = " + literal;
  const std::string& text = document.text;
  if (is_heading(text, table)) {
    const std::size_t begin = byte_at(text, {table.place.line, 1});
    const std::size_t end = end_of_section(document, table.place.line);
    return with_lines(text, end_of_content(text, begin, end), entry + line_ending_of(text));
  }
  if (text.compare(byte_at(text, table.place), 1, "{") != 0) {
    refuse_file(document.file, "'" + key + "' cannot be added here; give the table a heading");
  }
  const std::size_t brace = byte_at(text, table.end) - 1;
  std::size_t last = brace;
  while (text[last - 1] == ' ') --last;
  const std::string before = table.entries.empty() ? " " : ", ";
  return text.substr(0, last) + before + entry + " " + text.substr(brace);
}

/// Where a new heading goes: above the first [[measured]], or at the end.
std::size_t place_for_heading(const Document& document) {
  const Value::Entry* measured = entry_of(document.root, "measured");
  if (measured == nullptr || measured->value.items.empty()) return document.text.size();
  return byte_at(document.text, {measured->value.items.front().place.line, 1});
}

std::string with_section(const Document& document, const std::string& heading,
                         const std::string& line) {
  const std::size_t at = place_for_heading(document);
  const std::string ending = line_ending_of(document.text);
  const bool is_last = at == document.text.size();
  const std::string before = at == 0 ? "" : is_last ? ending : "";
  return with_lines(
      document.text, at,
      before + "[" + as_key(heading) + "]" + ending + line + ending + (is_last ? "" : ending));
}

/// Where blocks of a name begin, and behind them where the next would.
std::vector<std::size_t> block_starts(const Document& document, const std::string& name) {
  std::vector<std::size_t> starts;
  const Value::Entry* list = entry_of(document.root, name);
  int last = 0;
  if (list != nullptr) {
    for (const Value& item : list->value.items) {
      if (!is_heading(document.text, item)) {
        refuse_file(document.file,
                    "'" + name + "' is written as a list; write [[" + name + "]] blocks");
      }
      last = item.place.line;
      starts.push_back(byte_at(document.text, {last, 1}));
    }
  }
  starts.push_back(last == 0 ? place_for_heading(document) : end_of_section(document, last));
  return starts;
}

std::size_t start_of(const Document& document, const std::string& name, std::size_t place,
                     std::size_t beyond) {
  const std::vector<std::size_t> starts = block_starts(document, name);
  if (place + beyond >= starts.size()) {
    refuse_file(document.file,
                fmt::format("there is no place {} among the [[{}]]", place + 1, name));
  }
  return starts[place];
}

/// The same file, which must still be TOML.
std::string checked(std::string text, const std::string& file) {
  static_cast<void>(read_toml(text, file));
  return text;
}

}  // namespace

std::string with_value(const std::string& text, const std::string& file, const Way& way,
                       const std::string& literal) {
  require_value(literal, file);
  const Document document = opened(text, file);
  if (const Value* value = found(document, way, way.size())) {
    const std::size_t begin = byte_at(text, value->place);
    return checked(text.substr(0, begin) + literal + text.substr(byte_at(text, value->end)), file);
  }
  const auto* key = std::get_if<std::string>(&way.back());
  if (key == nullptr) refuse_file(file, "a place in a list that is not there cannot be written");
  const Value* table = found(document, way, way.size() - 1);
  if (way.size() == 1) return checked(as_key(*key) + " = " + literal + "\n" + text, file);
  if (table != nullptr) return checked(with_entry(document, *table, *key, literal), file);
  const std::string entry = as_key(*key) + " = " + literal;
  if (way.size() == 2) {
    return checked(with_section(document, std::get<std::string>(way.front()), entry), file);
  }
  const Way above(way.begin(), way.end() - 1);
  return with_value(text, file, above, "{ " + entry + " }");
}

std::string without_value(const std::string& text, const std::string& file, const Way& way) {
  const Document document = opened(text, file);
  if (way.empty() || !std::holds_alternative<std::string>(way.back())) {
    refuse_file(file, "only a key can be taken out");
  }
  const Value* table = found(document, way, way.size() - 1);
  const Value::Entry* entry =
      table == nullptr ? nullptr : entry_of(*table, std::get<std::string>(way.back()));
  if (entry == nullptr) return text;
  std::size_t begin = byte_at(text, entry->place);
  std::size_t end = byte_at(text, entry->value.end);
  if (text.compare(byte_at(text, table->place), 1, "{") == 0) {
    const bool is_first = entry == &table->entries.front();
    while (text[begin - 1] == ' ') --begin;
    if (!is_first && text[begin - 1] == ',') --begin;
    if (is_first && end < text.size() && text.find_first_not_of(' ', end) != std::string::npos &&
        text[text.find_first_not_of(' ', end)] == ',') {
      end = text.find_first_not_of(' ', end) + 1;
    }
  } else {
    while (begin > 0 && text[begin - 1] != '\n') --begin;
    end = std::min(text.find('\n', end), text.size() - 1) + 1;
  }
  return checked(text.substr(0, begin) + text.substr(end), file);
}

std::string with_block(const std::string& text, const std::string& file, const std::string& name,
                       std::size_t place, const std::string& block) {
  const std::string ending = line_ending_of(text);
  const Value read = read_toml(block, file);
  if (read.entries.size() != 1 || read.entries.front().key != name ||
      read.entries.front().value.items.size() != 1) {
    refuse_file(file, "one [[" + name + "]] is wanted, and something else was given");
  }
  const Document document = opened(text, file);
  const std::size_t at = start_of(document, name, place, 0);
  const bool is_last = at == text.size();
  const bool is_set_off = at < 2 || text[at - 1] != '\n' || text[at - 2] == '\n' ||
                          (at > 2 && text[at - 2] == '\r' && text[at - 3] == '\n');
  const std::string before =
      is_last && at > 0 && !(is_set_off && text[at - 1] == '\n') ? ending : "";
  return checked(
      with_lines(text, at, before + without_end_of_line(block) + ending + (is_last ? "" : ending)),
      file);
}

std::string without_block(const std::string& text, const std::string& file, const std::string& name,
                          std::size_t place) {
  const Document document = opened(text, file);
  const std::size_t begin = start_of(document, name, place, 1);
  return checked(
      text.substr(0, begin) + text.substr(begin + block_at(text, file, name, place).size()), file);
}

std::string block_at(const std::string& text, const std::string& file, const std::string& name,
                     std::size_t place) {
  const Document document = opened(text, file);
  const std::size_t begin = start_of(document, name, place, 1);
  const auto line =
      std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(begin), '\n');
  return text.substr(begin, end_of_section(document, static_cast<int>(line) + 1) - begin);
}

}  // namespace ellwand::studio
