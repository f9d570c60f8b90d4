#pragma once
/// TOML files, read key by key: what is wrong is gathered with its place, and what nobody asked for
/// is pointed out.

#include "ellwand/studio/findings.hpp"
#include "ellwand/units/quantity.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace ellwand::studio {

/// A value of a TOML file with its place.
struct Value {
  enum class Kind { Text, Whole, Decimal, Flag, Date, Array, Table };

  struct Entry;

  Kind kind = Kind::Text;
  Place place;
  Place end;         ///< behind its last character
  std::string text;  ///< of a text, or a number or date as it would be written
  std::int64_t whole = 0;
  double decimal = 0.0;  ///< of a decimal or whole number; may be infinite or not a number
  bool flag = false;
  std::vector<Value> items;    ///< of an array
  std::vector<Entry> entries;  ///< of a table, in the order of the file
};

struct Value::Entry {
  std::string key;
  Place place;  ///< of the key
  Value value;
};

/// A whole TOML file as one table.
///
/// The first mistake in the grammar of TOML ends the reading, so there is at most one such
/// complaint.
/// @throws BadInput
Value read_toml(const std::string& text, const std::string& file);

/// "12" is "a whole number", {..} is "a table": what was read, for a sentence.
std::string kind_and_text(const Value& value);

/// One table of a document, asked for its keys one by one.
///
/// Every question notes its key as known. A value of a wrong kind or out of range gives a complaint
/// and no answer, just as an absent key gives no answer; `require` complains of absence.
/// Quantities are text with a unit; the bounds are written the same way and repeated in the
/// complaint as they are written.
class Section {
 public:
  /// @param name  as sentences call it: "[loom]", "[[band]]", "areas"
  Section(const Value& table, std::string name, Findings& findings);

  const std::string& name() const { return name_; }
  Findings& findings() const { return *findings_; }
  bool has(const std::string& key) const { return find(key) != nullptr; }
  Place place() const { return table_->place; }
  Place place_of(const std::string& key) const;  ///< of the key's value; the table's when absent

  std::optional<std::string> text(const std::string& key);
  std::optional<bool> flag(const std::string& key);
  std::optional<int> whole(const std::string& key, int low, int high);
  std::optional<double> number(const std::string& key, double low, double high);
  std::optional<Length<>> length(const std::string& key, const char* low, const char* high);
  std::optional<Mass<>> mass(const std::string& key, const char* low, const char* high);
  std::optional<Area<>> area(const std::string& key, const char* low, const char* high);
  std::optional<ThreadDensity<>> thread_density(const std::string& key, const char* low,
                                                const char* high);
  /// "2 %" or 0.02.
  std::optional<double> fraction(const std::string& key, const char* low, const char* high);
  std::optional<double> angle_degrees(const std::string& key, const char* low, const char* high);
  /// Which of the words it is, from 0.
  std::optional<std::size_t> choice(const std::string& key, const std::vector<std::string>& words);

  std::optional<Section> table(const std::string& key, const std::string& name);
  std::vector<Section> tables(const std::string& key, const std::string& name);
  const Value* array(const std::string& key);
  /// The value whatever it is, for readers with a grammar of their own.
  const Value* value(const std::string& key);

  /// The keys there are, in the order of the file.
  std::vector<std::string> keys() const;

  /// Complains unless the key is there. @param hint  an example, such as `span = "34 cm"`
  void require(const std::string& key, const std::string& hint);
  /// Complains when two or more of these are there, or none and `need_one`. @returns the one there
  std::string only_one_of(const std::vector<std::string>& keys, bool need_one);

  void complain(const std::string& key, const std::string& sentence);  ///< "key: sentence"
  void warn(const std::string& key, const std::string& sentence);      ///< "key: sentence"

  /// Keys that are for later: known, and left alone.
  void leave(const std::vector<std::string>& keys);
  /// Warns of every key that no question was about.
  void warn_of_unknown_keys();

 private:
  const Value::Entry* find(const std::string& key) const;
  const Value* ask(const std::string& key);
  const Value* ask(const std::string& key, Value::Kind kind, const char* wanted);
  void note(const std::string& key);
  /// " (is 'yran' meant for 'yarn'?)" where an unknown key is near one of these, or nothing.
  std::string misspelt(const std::vector<std::string>& keys) const;
  template <class Read>
  auto quantity(const std::string& key, const char* low, const char* high, Read read)
      -> std::optional<decltype(read(std::string()))>;

  const Value* table_;
  std::string name_;
  Findings* findings_;
  std::vector<std::string> asked_;
};

}  // namespace ellwand::studio
