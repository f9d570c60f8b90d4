#include "ellwand/studio/bring_in.hpp"

#include "ellwand/studio/changes.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/studio/read_swatches.hpp"
#include "ellwand/studio/read_time.hpp"
#include "ellwand/studio/record.hpp"
#include "ellwand/studio/table.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
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

/// A cell of the old table as ours has it: a decimal point, and a unit behind a bare number.
std::string as_ours(std::string text, const ColumnNaming& name, DecimalMark mark) {
  if (!is_number(text, mark)) return text;
  if (mark == DecimalMark::Comma) std::replace(text.begin(), text.end(), ',', '.');
  return name.unit.empty() ? text : text + " " + name.unit;
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

BroughtIn brought_in(BroughtInto table, const Table& sheet, const std::vector<ColumnNaming>& naming,
                     const Studio& studio, const estimate::StartingValues& starting) {
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
