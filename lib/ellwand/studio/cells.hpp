#pragma once
/// One row of a table, asked for its cells by column name; what is wrong is gathered.

#include "ellwand/studio/table.hpp"
#include "ellwand/units/quantity.hpp"

#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

/// "2026-03-14", a day that exists.
bool is_date(const std::string& text);

/// A row whose cells do not stand one beside the other in a table.
struct NamedTexts {
  std::vector<std::string> names;
  std::vector<std::string> texts;  ///< as many
  std::vector<Place> places;       ///< as many
  Place place;                     ///< of the row
  DecimalMark mark = DecimalMark::Point;
};

/// An empty cell, or one whose column the file does not have, gives no answer. An unreadable one
/// gives a complaint at its line and table column, and no answer.
class Cells {
 public:
  Cells(const Table& table, const TableRow& row, Findings& findings)
      : names_(&table.columns()),
        texts_(&row.cells),
        place_{row.line, 0},
        mark_(table.decimal_mark()),
        findings_(&findings) {}
  /// @param row  must outlive it
  Cells(const NamedTexts& row, Findings& findings)
      : names_(&row.names),
        texts_(&row.texts),
        places_(&row.places),
        place_(row.place),
        mark_(row.mark),
        findings_(&findings) {}

  int line() const { return place_.line; }
  DecimalMark decimal_mark() const { return mark_; }
  Findings& findings() const { return *findings_; }
  Place place_of(const std::string& column) const;  ///< the row's where there is no such column

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
  const std::vector<std::string>* names_;
  const std::vector<std::string>* texts_;
  const std::vector<Place>* places_ = nullptr;  ///< of the cells, where they are not side by side
  Place place_;
  DecimalMark mark_;
  Findings* findings_;
};

/// Complains of every required column the table lacks.
void require_columns(const Table& table, const std::vector<std::string>& columns,
                     Findings& findings);

}  // namespace ellwand::studio
