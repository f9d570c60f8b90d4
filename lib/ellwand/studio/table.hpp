#pragma once
/// Tables as spreadsheets keep them: comma-separated text, read strictly, added to without loss.
///
/// The open standard is RFC 4180. Beyond it are read: a byte order mark; lines ended by LF, CR or
/// CRLF; semicolons or tabs in place of commas, told by the first line; blank lines, rows of empty
/// cells, and empty cells beyond the last column; a missing last line ending. In a file with
/// semicolons numbers may have a decimal comma (`Table::decimal_mark`).

#include "ellwand/studio/findings.hpp"
#include "ellwand/units/text.hpp"

#include <cstddef>
#include <map>
#include <string>
#include <vector>

namespace ellwand::studio {

/// How the file is written, so that what is added is written alike.
struct TableFormat {
  char separator = ',';
  std::string line_ending = "\n";
  bool byte_order_mark = false;
};

/// One row below the heading.
struct TableRow {
  std::vector<std::string> cells;  ///< as many as there are columns
  int line = 0;                    ///< where it begins, from 1
};

/// A cell of a row to be added.
struct NewCell {
  std::string column;
  std::string text;        ///< numbers with a decimal point
  bool is_number = false;  ///< written with a decimal comma where the file has them
};

/// A text as a cell: in quotes where it holds a separator, a quote or an end of line, or begins or
/// ends with a blank.
std::string as_cell(const std::string& text, char separator);

/// Without the spaces and tabs around it.
std::string trimmed(const std::string& text);

class Table {
 public:
  /// @throws BadInput with every complaint: no UTF-8, no heading, a column named twice or not at
  ///         all, a row too short or too long, quotes left open or standing inside a cell
  static Table read(const std::string& text, const std::string& file);

  const std::string& file() const { return file_; }
  const std::vector<std::string>& columns() const { return columns_; }
  const std::vector<TableRow>& rows() const { return rows_; }
  int heading_line() const { return heading_line_; }
  const TableFormat& format() const { return format_; }
  DecimalMark decimal_mark() const {
    return format_.separator == ';' ? DecimalMark::Comma : DecimalMark::Point;
  }

  /// The place of a column from 0, or `columns().size()` when there is none of that name.
  std::size_t find_column(const std::string& name) const;

  /// A warning for every column that is not one of `known`: it is kept but not used.
  void warn_of_others(const std::vector<std::string>& known, Findings& findings) const;

  /// The text of the file with a row more at its end, in the file's own manner; every byte that was
  /// there stays. Columns not named stay empty.
  ///
  /// @throws BadInput for a column the file does not have
  std::string with_row(const std::vector<NewCell>& cells) const;

  /// The text of the file with those of the columns that it lacks named after the others, empty in
  /// every row; nothing else changes.
  std::string with_columns(const std::vector<std::string>& columns) const;

  /// The text of the file with one cell written anew; every other byte stays.
  ///
  /// @param row  an index into rows()
  /// @throws BadInput for a column the file does not have
  std::string with_cell(std::size_t row, const NewCell& cell) const;

  /// The text of the file without its last row, which must be there.
  std::string without_last_row() const;

 private:
  /// Where a cell stands in the text, its quotes and blanks included.
  struct Span {
    std::size_t begin = 0;
    std::size_t end = 0;
  };
  class Cutter;

  Table() = default;
  std::string as_written(const NewCell& cell) const;
  void take_heading();

  std::string text_;
  std::string file_;
  TableFormat format_;
  std::vector<std::string> columns_;
  std::vector<TableRow> rows_;
  std::vector<Span> heading_spans_;
  std::vector<std::vector<Span>> spans_;  ///< of the cells of each row, before it is fitted
  int heading_line_ = 1;
};

}  // namespace ellwand::studio
