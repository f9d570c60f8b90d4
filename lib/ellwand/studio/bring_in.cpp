#include "ellwand/studio/bring_in.hpp"

#include "ellwand/studio/changes.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/studio/read_swatches.hpp"
#include "ellwand/studio/read_time.hpp"
#include "ellwand/studio/record.hpp"
#include "ellwand/studio/table.hpp"
#include "ellwand/units/plain_digits.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <system_error>

namespace ellwand::studio {

namespace fs = std::filesystem;

namespace {

const char* file_of(BroughtInto table) {
  switch (table) {
    case BroughtInto::Yarns:
      return "yarns.csv";
    case BroughtInto::Lots:
      return "lots.csv";
    case BroughtInto::Swatches:
      return "swatches.csv";
    case BroughtInto::Minutes:
      return "time.csv";
  }
  return "";
}

std::string joined(const std::vector<std::string>& words, const std::string& between) {
  std::string all;
  for (const std::string& word : words) all += (all.empty() ? "" : between) + word;
  return all;
}

/// Letters, digits and hyphens: "Rug wool, ash" is "rug-wool-ash".
std::string id_from(const std::string& label) {
  std::string id;
  for (const char c : folded(label)) {
    const bool is_plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
    if (is_plain) {
      id += c;
    } else if (!id.empty() && id.back() != '-') {
      id += '-';
    }
  }
  while (!id.empty() && id.back() == '-') id.pop_back();
  return id;
}

bool is_number(const std::string& text, DecimalMark mark) {
  try {
    read_decimal(text, mark);
    return true;
  } catch (const UnreadableText&) {
    return false;
  }
}

/// A unit that a name says, in SI.
struct NamedUnit {
  enum class Of { Mass, Length, Threads };
  Of of = Of::Mass;
  double si = 1.0;
};

constexpr double kSameUnit = 1e-9;
bool is_same_unit(const NamedUnit& one, const NamedUnit& other) {
  return one.of == other.of && std::abs(one.si - other.si) <= kSameUnit * other.si;
}

/// The unit that one of our columns is in by its name: g of "net_g", threads per inch of
/// "sett_per_in".
std::optional<NamedUnit> unit_of_column(const std::string& column) {
  const std::size_t last = column.rfind('_');
  if (last == std::string::npos) return std::nullopt;
  const std::string word = column.substr(last + 1);
  if (const auto mass = mass_unit(word)) return NamedUnit{NamedUnit::Of::Mass, mass->si()};
  const auto length = length_unit(word);
  if (!length) return std::nullopt;
  const std::string stem = column.substr(0, last);
  if (stem.ends_with("_per")) return NamedUnit{NamedUnit::Of::Threads, 1.0 / length->si()};
  if (stem.find("_per_") != std::string::npos) return std::nullopt;  // of something counted
  return NamedUnit{NamedUnit::Of::Length, length->si()};
}

/// A quantity with its unit, in SI.
/// @throws UnreadableText
double quantity_si(const std::string& text, NamedUnit::Of of, DecimalMark mark) {
  switch (of) {
    case NamedUnit::Of::Mass:
      return read_mass(text, mark).si();
    case NamedUnit::Of::Length:
      return read_length(text, mark).si();
    case NamedUnit::Of::Threads:
      break;
  }
  return read_thread_density(text, mark).si();
}

/// What stands in brackets or in a heading, where it is a unit of that kind.
std::optional<NamedUnit> unit_named(const std::string& word, NamedUnit::Of of) {
  try {
    return NamedUnit{of, quantity_si("1 " + word, of, DecimalMark::Point)};
  } catch (const UnreadableText&) {
    return std::nullopt;
  }
}

/// As it is written in brackets.
std::string in_brackets(const NamedUnit& unit) {
  for (const char* word :
       {"g", "kg", "oz", "lb", "mm", "cm", "m", "in", "ft", "yd", "/cm", "/in"}) {
    const auto named = unit_named(word, unit.of);
    if (named && is_same_unit(*named, unit)) return fmt::format("[{}]", word);
  }
  return "[unit]";
}

/// A cell of the old table as ours has it: a decimal point, a unit behind a bare number, and what
/// has another unit than the column put into the column's.
std::string as_ours(std::string text, const ColumnNaming& name, DecimalMark mark) {
  const auto unit = unit_of_column(name.column);
  if (is_number(text, mark)) {
    if (mark == DecimalMark::Comma) std::replace(text.begin(), text.end(), ',', '.');
    mark = DecimalMark::Point;
    if (name.unit.empty()) return text;
    const auto named = unit ? unit_named(name.unit, unit->of) : std::nullopt;
    if (named && is_same_unit(*named, *unit)) return text;
    text += " " + name.unit;
  }
  if (!unit) return text;
  try {
    return plain_digits(quantity_si(text, unit->of, mark) / unit->si, 6);
  } catch (const UnreadableText&) {
    return text;  // its reader says what is wrong
  }
}

/// A measured figure is read to its last digit, so it goes to the column that has its unit, where
/// there is one: used_oz for "used_g = Ounces [oz]".
std::vector<ColumnNaming> by_unit(BroughtInto table, std::vector<ColumnNaming> naming) {
  if (table != BroughtInto::Swatches) return naming;
  const std::vector<std::string> ours = columns_of(table);
  for (ColumnNaming& one : naming) {
    const auto unit = unit_of_column(one.column);
    const auto named = unit ? unit_named(one.unit, unit->of) : std::nullopt;
    if (!named || is_same_unit(*named, *unit)) continue;
    const std::string stem = one.column.substr(0, one.column.rfind('_') + 1);
    const auto twin = std::find_if(ours.begin(), ours.end(), [&](const std::string& other) {
      const auto others = unit_of_column(other);
      return others && is_same_unit(*others, *named) &&
             other.substr(0, other.rfind('_') + 1) == stem;
    });
    if (twin != ours.end()) one.column = *twin;
  }
  return naming;
}

std::vector<std::string> letters_of(const std::string& heading) {
  std::vector<std::string> words(1);
  for (const char c : folded(heading)) {
    if (c >= 'a' && c <= 'z') {
      words.back() += c;
    } else if (!words.back().empty()) {
      words.emplace_back();
    }
  }
  if (words.back().empty()) words.pop_back();
  return words;
}

/// Where a heading names a unit and our column is in another: what to write instead.
std::string doubt_of_unit(const ColumnNaming& name) {
  const auto unit = unit_of_column(name.column);
  if (!unit || !name.unit.empty() || name.heading.empty()) return {};
  const std::vector<std::string> words = letters_of(name.heading);
  std::optional<NamedUnit> other;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (words[i] == "in" && i + 1 < words.size()) continue;  // "Grams in stock"
    const bool is_over = unit->of == NamedUnit::Of::Threads && length_unit(words[i]).has_value();
    const auto named = unit_named(is_over ? "/" + words[i] : words[i], unit->of);
    if (!named) continue;
    if (is_same_unit(*named, *unit)) return {};
    other = named;
  }
  if (!other) return {};
  return fmt::format(
      "{} has a unit in its name that {} is not in; write {} = {} {}, or {} where it "
      "is that all the same",
      in_quotes(name.heading), name.column, name.column, name.heading, in_brackets(*other),
      in_brackets(*unit));
}

void require_names(BroughtInto table, const Table& sheet, const std::vector<ColumnNaming>& naming) {
  std::vector<Complaint> complaints;
  const std::vector<std::string> ours = columns_of(table);
  const auto complain = [&](const std::string& sentence) {
    complaints.push_back({sheet.file(), sheet.heading_line(), 0, sentence});
  };
  std::vector<std::string> named;
  for (const ColumnNaming& one : naming) {
    if (std::find(ours.begin(), ours.end(), one.column) == ours.end()) {
      complain(fmt::format("{} has no column {}{}", file_of(table), in_quotes(one.column),
                           did_you_mean(one.column, ours)));
    }
    if (std::find(named.begin(), named.end(), one.column) != named.end()) {
      complain(fmt::format("{} is named twice; name it once", in_quotes(one.column)));
    }
    named.push_back(one.column);
    if (!one.heading.empty() && sheet.find_column(one.heading) == sheet.columns().size()) {
      complain(fmt::format("there is no column {} here{}", in_quotes(one.heading),
                           did_you_mean(one.heading, sheet.columns())));
    }
    const std::string doubt = doubt_of_unit(one);
    if (!doubt.empty()) complain(doubt);
  }
  if (!complaints.empty()) throw BadInput(std::move(complaints));
}

/// The cells of one row that are brought; nothing where all that is named is empty.
std::vector<NewCell> cells_of(const TableRow& row, const Table& sheet,
                              const std::vector<ColumnNaming>& naming) {
  std::vector<NewCell> cells;
  bool any = false;
  for (const ColumnNaming& one : naming) {
    std::string text = one.constant;
    if (!one.heading.empty()) {
      text = trimmed(row.cells[sheet.find_column(one.heading)]);
      any = any || !text.empty();
      text = as_ours(text, one, sheet.decimal_mark());
    }
    if (!text.empty()) cells.push_back(typed_cell(one.column, text));
  }
  return any ? cells : std::vector<NewCell>();
}

const NewCell* cell_of(const std::vector<NewCell>& cells, const std::string& column) {
  const auto found = std::find_if(cells.begin(), cells.end(),
                                  [&](const NewCell& cell) { return cell.column == column; });
  return found == cells.end() ? nullptr : &*found;
}

/// One row on its way.
struct Brought {
  int line = 0;  ///< in the old table
  std::vector<NewCell> cells;
};

std::vector<Brought> rows_of(BroughtInto table, const Table& sheet,
                             const std::vector<ColumnNaming>& naming) {
  std::vector<Brought> rows;
  for (const TableRow& row : sheet.rows()) {
    std::vector<NewCell> cells = cells_of(row, sheet, naming);
    if (cells.empty()) continue;
    const NewCell* label = cell_of(cells, "label");
    if (table == BroughtInto::Yarns && cell_of(cells, "id") == nullptr && label != nullptr) {
      cells.insert(cells.begin(), {"id", id_from(label->text), false});
    }
    rows.push_back({row.line, std::move(cells)});
  }
  if (rows.empty()) {
    throw BadInput({{sheet.file(), 0, 0, "no row has anything in the columns that were named"}});
  }
  return rows;
}

std::vector<std::string> columns_among(const std::vector<Brought>& rows, BroughtInto table) {
  std::vector<std::string> among;
  for (const std::string& column : columns_of(table)) {
    const bool is_used = std::any_of(rows.begin(), rows.end(), [&](const Brought& row) {
      return cell_of(row.cells, column) != nullptr;
    });
    if (is_used) among.push_back(column);
  }
  return among;
}

/// The first line of a file that is made.
std::string heading_of(BroughtInto table, const std::vector<std::string>& columns) {
  const std::vector<std::string>& first = table == BroughtInto::Yarns ? yarn_columns() : columns;
  return joined(first, ",") + "\n";
}

std::vector<Complaint> read_back(BroughtInto table, const std::string& text, const fs::path& path,
                                 const Studio& studio, const estimate::StartingValues& starting) {
  switch (table) {
    case BroughtInto::Yarns:
      return read_yarns(text, path.string(), starting.packing()).warnings;
    case BroughtInto::Lots:
      return read_lots(text, path.string(), studio.yarns).warnings;
    case BroughtInto::Minutes:
      return read_times(text, path.string(), studio).warnings;
    case BroughtInto::Swatches:
      break;
  }
  return read_swatches_in(studio.folder, text, studio, starting).warnings;
}

/// Complaints about what is new, by the lines of the old table.
std::vector<Complaint> by_old_lines(std::vector<Complaint> all, const std::map<int, int>& old_lines,
                                    const std::string& old_file) {
  for (Complaint& one : all) {
    const auto old = old_lines.find(one.line);
    if (old == old_lines.end()) continue;
    one.file = old_file;
    one.line = old->second;
    one.column = 0;
  }
  return all;
}

}  // namespace

std::vector<std::string> columns_of(BroughtInto table) {
  switch (table) {
    case BroughtInto::Yarns:
      return yarn_columns();
    case BroughtInto::Lots:
      return columns_of(RecordedIn::Lots);
    case BroughtInto::Minutes:
      return columns_of(RecordedIn::Minutes);
    case BroughtInto::Swatches:
      break;
  }
  return columns_of(RecordedIn::Swatches);
}

ColumnNaming read_column_naming(const std::string& text) {
  constexpr const char* kHow =
      "a column is named as in 'put_up = Ball [g]', or 'kind = \"plied\"' for the same in every "
      "row";
  const std::size_t equals = text.find('=');
  ColumnNaming name;
  if (equals != std::string::npos) {
    name.column = trimmed(text.substr(0, equals));
    name.heading = trimmed(text.substr(equals + 1));
  }
  if (name.column.empty() || name.heading.empty()) {
    throw UnreadableText(fmt::format("{}: {}", in_quotes(text), kHow));
  }
  if (name.heading.size() > 1 && name.heading.front() == '"' && name.heading.back() == '"') {
    name.constant = name.heading.substr(1, name.heading.size() - 2);
    name.heading.clear();
    return name;
  }
  const std::size_t bracket = name.heading.rfind('[');
  if (bracket != std::string::npos && name.heading.back() == ']') {
    name.unit = trimmed(name.heading.substr(bracket + 1, name.heading.size() - bracket - 2));
    name.heading = trimmed(name.heading.substr(0, bracket));
  }
  return name;
}

BroughtIn brought_in(BroughtInto table, const Table& sheet, const std::vector<ColumnNaming>& names,
                     const Studio& studio, const estimate::StartingValues& starting) {
  const std::vector<ColumnNaming> naming = by_unit(table, names);
  require_names(table, sheet, naming);
  const std::vector<Brought> rows = rows_of(table, sheet, naming);
  BroughtIn brought;
  brought.file = fs::path(studio.folder) / file_of(table);
  brought.columns = columns_among(rows, table);
  const std::string path = brought.file.string();
  brought.was = text_if_there(brought.file);
  brought.text = Table::read(brought.was.value_or(heading_of(table, brought.columns)), path)
                     .with_columns(brought.columns);
  std::map<int, int> old_lines;
  for (const Brought& row : rows) {
    brought.text = Table::read(brought.text, path).with_row(row.cells);
    old_lines[Table::read(brought.text, path).rows().back().line] = row.line;
    std::vector<std::string> shown;
    for (const std::string& column : brought.columns) {
      const NewCell* cell = cell_of(row.cells, column);
      shown.push_back(cell == nullptr ? "" : cell->text);
    }
    brought.rows.push_back(std::move(shown));
  }
  try {
    brought.warnings = by_old_lines(read_back(table, brought.text, brought.file, studio, starting),
                                    old_lines, sheet.file());
  } catch (const BadInput& bad) {
    throw BadInput(by_old_lines(bad.complaints(), old_lines, sheet.file()));
  }
  for (const std::string& heading : sheet.columns()) {
    const bool is_taken = std::any_of(naming.begin(), naming.end(), [&](const ColumnNaming& one) {
      return one.heading == heading;
    });
    if (!is_taken) brought.left_out.push_back(heading);
  }
  return brought;
}

}  // namespace ellwand::studio
