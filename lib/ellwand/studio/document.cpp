#include "ellwand/studio/document.hpp"

#include "ellwand/studio/encoding.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <sstream>
#include <string_view>

// The parser of toml++ 3.3 takes for granted what some broken files do not keep ("[[[", "[[="), and
// would stop the program, or run on past it where NDEBUG is defined. Here it is told apart instead.
namespace ellwand::studio {
struct BrokenGrammar {};
static void refuse_grammar() { throw BrokenGrammar{}; }
}  // namespace ellwand::studio
#undef NDEBUG
#define TOML_ASSERT(expr) ((expr) ? static_cast<void>(0) : ellwand::studio::refuse_grammar())
#define TOML_EXCEPTIONS 0
#define TOML_ENABLE_FORMATTERS 0
#include <toml++/toml.h>

namespace ellwand::studio {

namespace {
Place place_of(const toml::source_position& position) {
  return {static_cast<int>(position.line), static_cast<int>(position.column)};
}

Place place_in(const toml::source_region& source) { return place_of(source.begin); }

template <class T>
std::string written(const T& x) {
  std::ostringstream out;
  out << x;
  return out.str();
}

Value converted(const toml::node& node);

void convert_table(const toml::table& table, Value& value) {
  value.kind = Value::Kind::Table;
  for (const auto& [key, child] : table) {
    value.entries.push_back({std::string(key.str()), place_in(key.source()), converted(child)});
  }
  std::stable_sort(
      value.entries.begin(), value.entries.end(), [](const Value::Entry& a, const Value::Entry& b) {
        return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
      });
}

void convert_number(const toml::node& node, Value& value) {
  if (const auto* whole = node.as_integer()) {
    value.kind = Value::Kind::Whole;
    value.whole = whole->get();
    value.decimal = static_cast<double>(value.whole);
    value.text = fmt::format("{}", value.whole);
  } else if (const auto* decimal = node.as_floating_point()) {
    value.kind = Value::Kind::Decimal;
    value.decimal = decimal->get();
    value.text = fmt::format("{}", value.decimal);
  }
}

Value converted(const toml::node& node) {
  Value value;
  value.place = place_in(node.source());
  value.end = place_of(node.source().end);
  if (const auto* table = node.as_table()) {
    convert_table(*table, value);
  } else if (const auto* array = node.as_array()) {
    value.kind = Value::Kind::Array;
    for (const toml::node& item : *array) value.items.push_back(converted(item));
  } else if (const auto* text = node.as_string()) {
    value.text = text->get();
  } else if (const auto* flag = node.as_boolean()) {
    value.kind = Value::Kind::Flag;
    value.flag = flag->get();
    value.text = value.flag ? "true" : "false";
  } else if (node.is_number()) {
    convert_number(node, value);
  } else {
    value.kind = Value::Kind::Date;
    if (const auto* date = node.as_date()) value.text = written(date->get());
  }
  return value;
}

bool breaks_the_parser(std::string_view text) {
  try {
    static_cast<void>(toml::parse(text));
    return false;
  } catch (const BrokenGrammar&) {
    return true;
  }
}

/// The line at which a text begins to break the parser.
int breaking_line(const std::string& text) {
  std::vector<std::size_t> ends;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '\n') ends.push_back(i + 1);
  }
  const auto holds = [&](std::size_t end) {
    return !breaks_the_parser(std::string_view(text).substr(0, end));
  };
  return static_cast<int>(std::partition_point(ends.begin(), ends.end(), holds) - ends.begin()) + 1;
}

toml::parse_result parsed_text(const std::string& text, const std::string& file) {
  try {
    return toml::parse(text);
  } catch (const BrokenGrammar&) {
    throw BadInput({{file, breaking_line(text), 0,
                     "this is not TOML as it is written; look for a bracket, quote or equals sign "
                     "too many"}});
  }
}

constexpr const char* kNotToml = "this is not TOML as it is written: ";
constexpr const char* kValueSentence =
    "a value is a number, true, false, or text in straight double quotes such as \"14 cm\", and "
    "nothing follows it";
constexpr const char* kNameSentence =
    "a line begins with a name of letters a to z, digits, hyphens and underscores, with a heading "
    "in brackets, or with # for a remark";

/// Where texts and remarks end, as TOML has them.
class Outside {
 public:
  explicit Outside(std::string_view text) : text_(text) {}

  /// The first byte outside texts and remarks that is not of ASCII; the text's size without one.
  std::size_t first_foreign() {
    constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
    if (begins(kByteOrderMark)) at_ += kByteOrderMark.size();
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if ((static_cast<unsigned char>(c) & 0x80U) != 0) return at_;
      if (c == '#') {
        at_ = text_.find('\n', at_);
      } else if ((c == '"' || c == '\'') && may_open_text()) {
        pass_text(c);
      } else {
        ++at_;
      }
    }
    return text_.size();
  }

 private:
  bool begins(std::string_view with) const {
    return at_ < text_.size() && text_.substr(at_, with.size()) == with;
  }
  /// Whether a text can begin here: at the start of a line, or behind what a name or a value
  /// follows.
  bool may_open_text() const {
    const std::size_t before = text_.substr(0, at_).find_last_not_of(" \t");
    constexpr std::string_view kOpeners = "\n=[{,.";
    return before == std::string_view::npos || kOpeners.find(text_[before]) < kOpeners.size() ||
           (before == 2 && text_[before] == '\xBF');  // of a byte order mark
  }
  /// Behind the text that a quote opens: one quote's ends with its line.
  void pass_text(char quote) {
    const std::string three(3, quote);
    const bool is_of_lines = begins(three);
    at_ += is_of_lines ? 3 : 1;
    while (at_ < text_.size()) {
      if (is_of_lines ? begins(three) : (text_[at_] == quote || text_[at_] == '\n')) break;
      at_ += quote == '"' && text_[at_] == '\\' ? 2 : 1;
    }
    at_ += is_of_lines ? 3 : 1;
  }

  std::string_view text_;
  std::size_t at_ = 0;
};

/// One letter, of one byte or several.
std::string_view letter_at(std::string_view text, std::size_t at) {
  std::size_t end = at + 1;
  while (end < text.size() && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) ++end;
  return text.substr(at, end - at);
}

/// TOML has letters beyond ASCII in texts and remarks only. Elsewhere toml++ 3.3 comes to places
/// that it takes for unreachable, so that it does not get to see such a file.
void refuse_foreign_letters(std::string_view text, const std::string& file) {
  const std::size_t at = Outside(text).first_foreign();
  if (at >= text.size()) return;
  const std::size_t before = text.substr(0, at).rfind('\n');
  const std::size_t line = before == std::string_view::npos ? 0 : before + 1;
  int column = 1;
  for (std::size_t i = line; i < at; i += letter_at(text, i).size()) ++column;
  const bool is_value = text.substr(line, at - line).find('=') != std::string_view::npos;
  throw BadInput({{file, line_of(text, at), column,
                   fmt::format("{}'{}' stands outside quotes; {}", kNotToml, letter_at(text, at),
                               is_value ? kValueSentence : kNameSentence)}});
}

/// What the parser's words come to for who wrote the file, the first that fits.
constexpr std::pair<std::string_view, const char*> kPlainWords[] = {
    {"control characters", "the quote that opens this text is not closed on its line; close it"},
    {"cannot redefine",
     "this name is already used above; leave one of the two out, or write double brackets where "
     "there are several, such as [[band]]"},
    {"end-of-file", "a bracket that is opened here is never closed; close it"},
    {"escape sequence", "a backslash inside text must be written twice, or left out"},
    {"leading zeroes", "a number begins with no zero before its digits; write 9, not 09"},
    {"parsing array", "between the items of a list stand commas; put one here, or close the list"},
    {"expected value", "no value follows the equals sign; write one, such as rows = 24"},
    {"expected '='", "a name, an equals sign and a value are wanted here, such as rows = 24"},
    {"determine value type", kValueSentence},
    {"expected a comment or whitespace", kValueSentence},
    {"parsing floating-point", kValueSentence},
    {"parsing decimal integer", kValueSentence},
    {"parsing boolean", kValueSentence},
    {"inline table",
     "between braces stand names and values with commas between them, all on one line, such as "
     "{ yarn = \"rug-wool-ash\", ends = 8 }"},
    {"table header",
     "a heading stands in brackets on a line of its own, such as [warp] or [[band]]"},
    {"root table", kNameSentence}};

std::string in_plain_words(std::string_view description) {
  for (const auto& [sign, sentence] : kPlainWords) {
    if (description.find(sign) != std::string_view::npos) return sentence;
  }
  return std::string(description);
}
}  // namespace

Value read_toml(const std::string& text, const std::string& file) {
  const std::size_t bad = first_bad_byte(text);
  if (bad < text.size()) {
    throw BadInput({{file, line_of(text, bad), 0, bad_byte_sentence(text, bad)}});
  }
  refuse_foreign_letters(text, file);
  const toml::parse_result parsed = parsed_text(text, file);
  if (!parsed) {
    const toml::parse_error& error = parsed.error();
    const Place place = place_in(error.source());
    throw BadInput(
        {{file, place.line, place.column, kNotToml + in_plain_words(error.description())}});
  }
  return converted(parsed.table());
}

std::string kind_and_text(const Value& value) {
  switch (value.kind) {
    case Value::Kind::Text:
      return "the text " + in_quotes(value.text);
    case Value::Kind::Whole:
    case Value::Kind::Decimal:
      return "the number " + value.text;
    case Value::Kind::Flag:
      return value.text;
    case Value::Kind::Date:
      return "a date or time";
    case Value::Kind::Array:
      return "a list";
    case Value::Kind::Table:
      return "a table";
  }
  return "";
}

Section::Section(const Value& table, std::string name, Findings& findings)
    : table_(&table), name_(std::move(name)), findings_(&findings) {}

const Value::Entry* Section::find(const std::string& key) const {
  for (const Value::Entry& entry : table_->entries) {
    if (entry.key == key) return &entry;
  }
  return nullptr;
}

Place Section::place_of(const std::string& key) const {
  const Value::Entry* entry = find(key);
  return entry != nullptr ? entry->value.place : table_->place;
}

void Section::note(const std::string& key) {
  if (std::find(asked_.begin(), asked_.end(), key) == asked_.end()) asked_.push_back(key);
}

const Value* Section::ask(const std::string& key) {
  note(key);
  const Value::Entry* entry = find(key);
  return entry != nullptr ? &entry->value : nullptr;
}

const Value* Section::ask(const std::string& key, Value::Kind kind, const char* wanted) {
  const Value* value = ask(key);
  if (value == nullptr || value->kind == kind) return value;
  complain(key, fmt::format("{} was read where {} is wanted", kind_and_text(*value), wanted));
  return nullptr;
}

std::optional<std::string> Section::text(const std::string& key) {
  const Value* value = ask(key, Value::Kind::Text, "text in quotes");
  if (value == nullptr) return std::nullopt;
  return value->text;
}

std::optional<bool> Section::flag(const std::string& key) {
  const Value* value = ask(key, Value::Kind::Flag, "true or false (without quotes)");
  if (value == nullptr) return std::nullopt;
  return value->flag;
}

std::optional<int> Section::whole(const std::string& key, int low, int high) {
  const Value* value = ask(key, Value::Kind::Whole, "a whole number (without quotes)");
  if (value == nullptr) return std::nullopt;
  if (value->whole < low || value->whole > high) {
    complain(key, fmt::format("{} is outside {} to {}", value->whole, low, high));
    return std::nullopt;
  }
  return static_cast<int>(value->whole);
}

std::optional<double> Section::number(const std::string& key, double low, double high) {
  const Value* value = ask(key);
  if (value == nullptr) return std::nullopt;
  if (value->kind != Value::Kind::Whole && value->kind != Value::Kind::Decimal) {
    complain(key, kind_and_text(*value) + " was read where a number (without quotes) is wanted");
    return std::nullopt;
  }
  if (!(value->decimal >= low && value->decimal <= high)) {  // also refuses what is not a number
    complain(key, fmt::format("{} is outside {:g} to {:g}", value->text, low, high));
    return std::nullopt;
  }
  return value->decimal;
}

template <class Read>
auto Section::quantity(const std::string& key, const char* low, const char* high, Read read)
    -> std::optional<decltype(read(std::string()))> {
  const Value* value = ask(key);
  if (value == nullptr) return std::nullopt;
  const bool is_number = value->kind == Value::Kind::Whole || value->kind == Value::Kind::Decimal;
  if (!is_number && value->kind != Value::Kind::Text) {
    complain(key, fmt::format("{} was read where text such as \"{}\" is wanted",
                              kind_and_text(*value), high));
    return std::nullopt;
  }
  try {
    const auto read_value = read(value->text);
    if (read_value >= read(low) && read_value <= read(high)) return read_value;
    complain(key, fmt::format("{} is outside {} to {}", value->text, low, high));
  } catch (const UnreadableText& unreadable) {
    complain(key, unreadable.what());
  }
  return std::nullopt;
}

std::optional<Length<>> Section::length(const std::string& key, const char* low, const char* high) {
  return quantity(key, low, high, [](const std::string& text) { return read_length(text); });
}

std::optional<Mass<>> Section::mass(const std::string& key, const char* low, const char* high) {
  return quantity(key, low, high, [](const std::string& text) { return read_mass(text); });
}

std::optional<Area<>> Section::area(const std::string& key, const char* low, const char* high) {
  return quantity(key, low, high, [](const std::string& text) { return read_area(text); });
}

std::optional<ThreadDensity<>> Section::thread_density(const std::string& key, const char* low,
                                                       const char* high) {
  return quantity(key, low, high,
                  [](const std::string& text) { return read_thread_density(text); });
}

std::optional<double> Section::fraction(const std::string& key, const char* low, const char* high) {
  const double most = read_fraction(high);
  const auto share = quantity(key, low, high, [most](const std::string& text) {
    return read_fraction(text, DecimalMark::Point, most);
  });
  const std::string doubt = share ? doubt_of_share(ask(key)->text, *share) : std::string();
  if (!doubt.empty()) warn(key, doubt);
  return share;
}

std::optional<double> Section::angle_degrees(const std::string& key, const char* low,
                                             const char* high) {
  return quantity(key, low, high, [](const std::string& text) { return read_angle_degrees(text); });
}

std::optional<std::size_t> Section::choice(const std::string& key,
                                           const std::vector<std::string>& words) {
  const std::optional<std::string> word = text(key);
  if (!word) return std::nullopt;
  const auto found = std::find(words.begin(), words.end(), *word);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  complain(key, unknown_word(*word, words));
  return std::nullopt;
}

std::optional<Section> Section::table(const std::string& key, const std::string& name) {
  const Value* value = ask(key);
  if (value == nullptr) return std::nullopt;
  if (value->kind == Value::Kind::Table) return Section(*value, name, *findings_);
  const bool has_heading = name.rfind('[', 0) == 0;
  std::string hint;
  if (value->kind == Value::Kind::Array && has_heading) hint = "; write " + name;
  if (!has_heading) hint = "; write " + name + " = { ... }";
  complain(key, kind_and_text(*value) + " was read where a table is wanted" + hint);
  return std::nullopt;
}

std::vector<Section> Section::tables(const std::string& key, const std::string& name) {
  std::vector<Section> all;
  const Value* list = ask(key);
  if (list == nullptr) return all;
  if (list->kind != Value::Kind::Array) {
    const std::string hint = name.rfind('[', 0) == 0 ? name : name + " = [ { ... } ]";
    complain(key,
             kind_and_text(*list) + " was read where a list of tables is wanted; write " + hint);
    return all;
  }
  for (const Value& item : list->items) {
    if (item.kind == Value::Kind::Table) {
      all.emplace_back(item, name.rfind('[', 0) == 0 ? name : "one of the " + name, *findings_);
    } else {
      findings_->complain(item.place, fmt::format("{}: {} was read where a table is wanted", key,
                                                  kind_and_text(item)));
    }
  }
  return all;
}

const Value* Section::array(const std::string& key) {
  return ask(key, Value::Kind::Array, "a list");
}

const Value* Section::value(const std::string& key) { return ask(key); }

std::vector<std::string> Section::keys() const {
  std::vector<std::string> all;
  for (const Value::Entry& entry : table_->entries) all.push_back(entry.key);
  return all;
}

void Section::require(const std::string& key, const std::string& hint) {
  note(key);
  if (has(key)) return;
  findings_->complain(place(),
                      fmt::format("{} has no '{}'{}; write {}", name_, key, misspelt({key}), hint));
}

std::string Section::misspelt(const std::vector<std::string>& keys) const {
  std::vector<std::string> unknown;
  for (const Value::Entry& entry : table_->entries) {
    if (std::find(asked_.begin(), asked_.end(), entry.key) == asked_.end()) {
      unknown.push_back(entry.key);
    }
  }
  for (const std::string& key : keys) {
    const std::string nearest = nearest_word(key, unknown);
    if (!nearest.empty()) return fmt::format(" (is '{}' meant for '{}'?)", nearest, key);
  }
  return "";
}

std::string Section::only_one_of(const std::vector<std::string>& keys, bool need_one) {
  std::vector<std::string> there;
  for (const std::string& key : keys) {
    note(key);
    if (has(key)) there.push_back(key);
  }
  if (there.size() > 1) {
    complain(there[1], fmt::format("{} is given as well; one of {} is wanted, not several",
                                   offered({there[0]}), offered(keys)));
  }
  if (there.empty() && need_one) {
    findings_->complain(place(), fmt::format("{} has none of {}{}; write one of them", name_,
                                             offered(keys), misspelt(keys)));
  }
  return there.empty() ? std::string() : there[0];
}

void Section::complain(const std::string& key, const std::string& sentence) {
  findings_->complain(place_of(key), key + ": " + sentence);
}

void Section::warn(const std::string& key, const std::string& sentence) {
  findings_->warn(place_of(key), key + ": " + sentence);
}

void Section::leave(const std::vector<std::string>& keys) {
  for (const std::string& key : keys) note(key);
}

void Section::warn_of_unknown_keys() {
  for (const Value::Entry& entry : table_->entries) {
    if (std::find(asked_.begin(), asked_.end(), entry.key) != asked_.end()) continue;
    findings_->warn(entry.place,
                    unknown_name("key", entry.key, name_.empty() ? "" : " in " + name_, asked_));
  }
}

}  // namespace ellwand::studio
