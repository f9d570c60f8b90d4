#pragma once
/// One row of a table, asked for its cells by column name; what is wrong is gathered.

#include "ellwand/studio/table.hpp"
#include "ellwand/units/quantity.hpp"

#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

/// An empty cell, or one whose column the file does not have, gives no answer. An unreadable one
/// gives a complaint at its line and table column, and no answer.
class Cells {
 public:
  Cells(const Table& table, const TableRow& row, Findings& findings)
      : table_(&table), row_(&row), findings_(&findings) {}

  int line() const { return row_->line; }
  DecimalMark decimal_mark() const { return table_->decimal_mark(); }

  std::string text(const std::string& column) const;  ///< without blanks around it
  bool has(const std::string& column) const { return !text(column).empty(); }

  std::optional<double> number(const std::string& column, double low, double high) const;
  std::optional<int> whole(const std::string& column, int low, int high) const;
  std::optional<bool> yes_or_no(const std::string& column) const;
  std::optional<std::size_t> choice(const std::string& column,
                                    const std::vector<std::string>& words) const;
  /// A day as ISO 8601 writes it: 2026-03-14.
  std::string date(const std::string& column) const;

  /// What `read(text)` gives; an UnreadableText it throws becomes a complaint.
  template <class Read>
  auto read(const std::string& column, Read read_text) const
      -> std::optional<decltype(read_text(std::string()))> {
    const std::string cell = text(column);
    if (cell.empty()) return std::nullopt;
    try {
      return read_text(cell);
    } catch (const UnreadableText& unreadable) {
      complain(column, unreadable.what());
      return std::nullopt;
    }
  }

  void complain(const std::string& column, const std::string& sentence) const;
  void warn(const std::string& column, const std::string& sentence) const;

 private:
  Place place_of(const std::string& column) const;

  const Table* table_;
  const TableRow* row_;
  Findings* findings_;
};

/// Complains of every required column the table lacks.
void require_columns(const Table& table, const std::vector<std::string>& columns,
                     Findings& findings);

}  // namespace ellwand::studio
