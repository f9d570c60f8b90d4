#include "ellwand/studio/table.hpp"

#include "ellwand/studio/encoding.hpp"
#include "ellwand/units/characters.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string_view>
#include <utility>

namespace ellwand::studio {

std::string trimmed(const std::string& text) {
  std::size_t first = 0;
  std::size_t last = text.size();
  while (first < last && is_blank(text[first])) ++first;
  while (last > first && is_blank(text[last - 1])) --last;
  return text.substr(first, last - first);
}

namespace {
bool ends_line(char c) { return c == '\n' || c == '\r'; }

std::string_view without_mark(std::string_view text) {
  if (text.substr(0, kByteOrderMark.size()) == kByteOrderMark) {
    text.remove_prefix(kByteOrderMark.size());
  }
  return text;
}

/// The first ending of a line outside quotes, and the separator the first line shows most.
TableFormat format_of(std::string_view text) {
  TableFormat format;
  format.byte_order_mark = without_mark(text).size() != text.size();
  bool in_quotes = false;
  bool line_has_text = false;
  std::map<char, int> seen;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '"') in_quotes = !in_quotes;
    if (in_quotes) continue;
    if (ends_line(c)) {
      const bool both = c == '\r' && i + 1 < text.size() && text[i + 1] == '\n';
      format.line_ending = both ? "\r\n" : std::string(1, c);
      if (line_has_text) break;
      continue;
    }
    line_has_text = true;
    if (c == ',' || c == ';' || c == '\t') ++seen[c];
  }
  if (seen[';'] > seen[',']) format.separator = ';';
  if (seen['\t'] > std::max(seen[','], seen[';'])) format.separator = '\t';
  return format;
}

void check_columns(const std::vector<std::string>& columns, int line, Findings& findings) {
  for (std::size_t i = 0; i < columns.size(); ++i) {
    const Place place{line, static_cast<int>(i) + 1};
    if (columns[i].empty()) {
      findings.complain(place, "this column has no name; name it in the first line");
      continue;
    }
    const auto first = std::find(columns.begin(), columns.end(), columns[i]);
    const auto at = first - columns.begin();
    if (static_cast<std::size_t>(at) < i) {
      findings.complain(place, fmt::format("column {} is named '{}' like column {}; rename one of "
                                           "the two",
                                           i + 1, columns[i], at + 1));
    }
  }
}

/// Leaves out empty cells beyond the last column.
void trim_row(TableRow& row, std::size_t width) {
  while (row.cells.size() > width && trimmed(row.cells.back()).empty()) row.cells.pop_back();
}

std::string cells_text(std::size_t cells) {
  return fmt::format("{} cell{}", cells, cells == 1 ? "" : "s");
}

void complain_of_width(const TableRow& row, std::size_t width, Findings& findings) {
  const char* what_to_do = row.cells.size() < width
                               ? "add the missing cells, empty ones too"
                               : "put a cell that has the separator in it in double quotes";
  findings.complain({row.line, 0}, fmt::format("this row has {}, the first line has {}; {}",
                                               cells_text(row.cells.size()), width, what_to_do));
}

/// How many cells every row has, where all are alike.
std::optional<std::size_t> common_width(const std::vector<TableRow>& rows) {
  const std::size_t first = rows.front().cells.size();
  const bool are_alike = std::all_of(
      rows.begin(), rows.end(), [first](const TableRow& row) { return row.cells.size() == first; });
  return are_alike ? std::optional(first) : std::nullopt;
}

/// Brings rows to `width` cells. Where none has as many and all are alike, the first line is at
/// fault, and once is enough.
/// @returns whether the first line is at fault
bool fit_rows(std::vector<TableRow>& rows, int heading_line, std::size_t width,
              Findings& findings) {
  constexpr std::size_t kSeveral = 3;
  for (TableRow& row : rows) trim_row(row, width);
  const auto common = rows.size() < kSeveral ? std::nullopt : common_width(rows);
  const bool is_at_fault = common && *common != width;
  if (is_at_fault) {
    findings.complain({heading_line, 0},
                      fmt::format("the first line has {}, and every row below it {}; look for a "
                                  "separator too {} in it",
                                  cells_text(width), *common, *common < width ? "many" : "few"));
  }
  for (TableRow& row : rows) {
    if (!common && row.cells.size() != width) complain_of_width(row, width, findings);
    row.cells.resize(width);
  }
  return is_at_fault;
}
}  // namespace

std::string as_cell(const std::string& text, char separator) {
  const bool plain = text.find_first_of(std::string("\"\r\n") + separator) == std::string::npos &&
                     trimmed(text) == text;
  if (plain) return text;
  std::string cell = "\"";
  for (const char c : text) {
    if (c == '"') cell += '"';
    cell += c;
  }
  return cell + '"';
}

/// Cuts a text into rows of cells, keeping where each begins.
class Table::Cutter {
 public:
  Cutter(std::string_view text, char separator, Findings& findings)
      : text_(text), separator_(separator), findings_(findings) {}

  std::vector<TableRow> rows() {
    std::vector<TableRow> all;
    while (at_ < text_.size()) {
      spans_.emplace_back();
      TableRow row = next_row();
      if (is_empty(row)) {
        spans_.pop_back();
      } else {
        all.push_back(std::move(row));
      }
    }
    return all;
  }

  /// Of the rows, counted from the first byte of `text`.
  std::vector<std::vector<Span>> spans() { return std::move(spans_); }

 private:
  static bool is_empty(const TableRow& row) {
    return std::all_of(row.cells.begin(), row.cells.end(),
                       [](const std::string& cell) { return trimmed(cell).empty(); });
  }

  bool more() const { return at_ < text_.size(); }
  Place here(const TableRow& row) const { return {line_, static_cast<int>(row.cells.size()) + 1}; }

  TableRow next_row() {
    TableRow row;
    row.line = line_;
    while (true) {
      const std::size_t begin = at_;
      row.cells.push_back(next_cell(row));
      spans_.back().push_back({begin, at_});
      if (!more() || text_[at_] != separator_) break;
      ++at_;
    }
    pass_line_ending();
    return row;
  }

  void pass_line_ending() {
    if (!more()) return;
    if (text_[at_] == '\r' && at_ + 1 < text_.size() && text_[at_ + 1] == '\n') ++at_;
    ++at_;
    ++line_;
  }

  std::string next_cell(const TableRow& row) {
    std::size_t first = at_;
    while (first < text_.size() && is_blank(text_[first]) && text_[first] != separator_) ++first;
    if (first < text_.size() && text_[first] == '"') {
      at_ = first;
      return quoted_cell(row);
    }
    return plain_cell(row);
  }

  std::string plain_cell(const TableRow& row) {
    const std::size_t first = at_;
    bool has_quote = false;
    while (more() && text_[at_] != separator_ && !ends_line(text_[at_])) {
      has_quote = has_quote || text_[at_] == '"';
      ++at_;
    }
    std::string cell(text_.substr(first, at_ - first));
    if (has_quote) {
      findings_.complain(here(row), in_quotes(cell) +
                                        " has a double quote inside it; put the whole cell in "
                                        "double quotes and write the inner quote twice");
    }
    return cell;
  }

  std::string quoted_cell(const TableRow& row) {
    const Place opened = here(row);
    std::string cell;
    ++at_;
    while (more()) {
      if (text_[at_] == '"') {
        ++at_;
        if (!more() || text_[at_] != '"') return after_quotes(row, std::move(cell));
      } else if (ends_line(text_[at_])) {
        cell += '\n';
        pass_line_ending();
        continue;
      }
      cell += text_[at_++];
    }
    findings_.complain(opened,
                       "the double quote that opens this cell is never closed; close it, or write "
                       "a quote that belongs to the text twice");
    return cell;
  }

  std::string after_quotes(const TableRow& row, std::string cell) {
    bool has_more = false;
    while (more() && text_[at_] != separator_ && !ends_line(text_[at_])) {
      has_more = has_more || !is_blank(text_[at_]);
      ++at_;
    }
    if (has_more) {
      findings_.complain(here(row),
                         "text follows the closing double quote of this cell; write a quote that "
                         "belongs to the text twice");
    }
    return cell;
  }

  std::string_view text_;
  char separator_;
  Findings& findings_;
  std::vector<std::vector<Span>> spans_;
  std::size_t at_ = 0;
  int line_ = 1;
};

void Table::take_heading() {
  const TableRow heading = rows_.front();
  rows_.erase(rows_.begin());
  heading_spans_ = spans_.front();
  spans_.erase(spans_.begin());
  heading_line_ = heading.line;
  for (const std::string& name : heading.cells) columns_.push_back(trimmed(name));
  while (columns_.back().empty()) columns_.pop_back();
}

Table Table::read(const std::string& text, const std::string& file) {
  Findings findings(file);
  const std::size_t bad = first_bad_byte(text);
  if (bad < text.size()) findings.complain({line_of(text, bad), 0}, bad_byte_sentence(text, bad));
  findings.stop_if_any();
  Table table;
  table.text_ = text;
  table.file_ = file;
  table.format_ = format_of(text);
  Cutter cutter(without_mark(text), table.format_.separator, findings);
  table.rows_ = cutter.rows();
  table.spans_ = cutter.spans();
  if (table.rows_.empty()) {
    findings.complain({}, "this table is empty; its first line names the columns");
  } else {
    table.take_heading();
    const bool is_told =
        fit_rows(table.rows_, table.heading_line_, table.columns_.size(), findings);
    if (!is_told) check_columns(table.columns_, table.heading_line_, findings);
  }
  findings.stop_if_any();
  return table;
}

std::size_t Table::find_column(const std::string& name) const {
  return static_cast<std::size_t>(std::find(columns_.begin(), columns_.end(), name) -
                                  columns_.begin());
}

void Table::warn_of_others(const std::vector<std::string>& known, Findings& findings) const {
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    if (std::find(known.begin(), known.end(), columns_[i]) != known.end()) continue;
    findings.warn({heading_line_, static_cast<int>(i) + 1},
                  unknown_name("column", columns_[i], "", known));
  }
}

std::string Table::as_written(const NewCell& cell) const {
  std::string text = cell.text;
  if (cell.is_number && decimal_mark() == DecimalMark::Comma) {
    std::replace(text.begin(), text.end(), '.', ',');
  }
  return as_cell(text, format_.separator);
}

namespace {
[[noreturn]] void refuse_column(const std::string& file, const std::string& column) {
  throw BadInput({{file, 0, 0,
                   "there is no column '" + column +
                       "' to write to; add it to the first line, and nothing is changed until "
                       "then"}});
}
}  // namespace

std::string Table::with_row(const std::vector<NewCell>& cells) const {
  std::vector<std::string> row(columns_.size());
  for (const NewCell& cell : cells) {
    const std::size_t column = find_column(cell.column);
    if (column == columns_.size()) refuse_column(file_, cell.column);
    row[column] = as_written(cell);
  }
  std::string text = text_;
  if (!ends_line(text.back())) text += format_.line_ending;
  for (std::size_t i = 0; i < row.size(); ++i) {
    if (i > 0) text += format_.separator;
    text += row[i];
  }
  return text + format_.line_ending;
}

std::string Table::with_columns(const std::vector<std::string>& columns) const {
  std::string names;
  const std::size_t named = columns_.size();
  std::size_t width = named;
  for (const std::string& column : columns) {
    if (find_column(column) < named) continue;
    names += format_.separator + as_cell(column, format_.separator);
    ++width;
  }
  const std::size_t mark = text_.size() - without_mark(text_).size();
  std::string text;
  std::size_t done = 0;
  const auto copy_to = [&](std::size_t end) {
    text += text_.substr(done, end - done);
    done = end;
  };
  copy_to(mark + heading_spans_.at(named - 1).end);
  text += names;
  // Cells without a name stood there; those beyond stay, for by their separators the file is read.
  done = mark + heading_spans_.at(std::min(width, heading_spans_.size()) - 1).end;
  for (const std::vector<Span>& cells : spans_) {
    copy_to(mark + cells.back().end);
    for (std::size_t n = cells.size(); n < width; ++n) text += format_.separator;
  }
  copy_to(text_.size());
  return text;
}

std::string Table::with_cell(std::size_t row, const NewCell& cell) const {
  const std::size_t column = find_column(cell.column);
  if (column == columns_.size()) refuse_column(file_, cell.column);
  const std::size_t mark = text_.size() - without_mark(text_).size();
  const Span span = spans_.at(row).at(column);
  std::string text = text_;
  return text.replace(mark + span.begin, span.end - span.begin, as_written(cell));
}

std::string Table::without_last_row() const {
  const std::size_t mark = text_.size() - without_mark(text_).size();
  const std::size_t begin = mark + spans_.back().front().begin;
  std::size_t end = mark + spans_.back().back().end;
  if (text_.compare(end, 2, "\r\n") == 0) {
    end += 2;
  } else if (end < text_.size()) {
    ++end;
  }
  std::string text = text_;
  return text.erase(begin, end - begin);
}

}  // namespace ellwand::studio
