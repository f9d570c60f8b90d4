// Tables: any bytes are read or refused, and what is written into a table is read back from it.

#include "checks.hpp"

#include "ellwand/studio/table.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <optional>

namespace ellwand::fuzz {

namespace {

using studio::NewCell;
using studio::Table;

/// A row as it would be added again.
std::vector<NewCell> row_of(const Table& table, std::size_t row) {
  std::vector<NewCell> cells;
  for (std::size_t i = 0; i < table.columns().size(); ++i) {
    cells.push_back({table.columns()[i], table.rows()[row].cells[i], false});
  }
  return cells;
}

void must_be_same(const std::vector<studio::TableRow>& one,
                  const std::vector<studio::TableRow>& other, std::size_t rows, const char* what) {
  must(one.size() >= rows && other.size() >= rows, std::string(what) + ": rows are lost");
  for (std::size_t i = 0; i < rows; ++i) {
    const std::size_t width = std::min(one[i].cells.size(), other[i].cells.size());
    must(std::equal(one[i].cells.begin(), one[i].cells.begin() + static_cast<std::ptrdiff_t>(width),
                    other[i].cells.begin()),
         std::string(what) + ": a row changed");
  }
}

void write_into(const Table& table, const std::string& text) {
  const std::size_t rows = table.rows().size();
  const Table wide = Table::read(table.with_columns({"of our own"}), "wide");
  must(wide.find_column("of our own") < wide.columns().size(), "a column that is not there");
  must_be_same(wide.rows(), table.rows(), rows, "with_columns");
  if (rows == 0) return;
  const std::size_t row = drawn_from(text, rows);
  const std::vector<NewCell> cells = row_of(table, row);
  const Table longer = Table::read(table.with_row(cells), "longer");
  must(longer.rows().size() == rows + 1, "with_row: not one row more");
  must_be_same(longer.rows(), table.rows(), rows, "with_row");
  must(longer.rows().back().cells == table.rows()[row].cells, "with_row: another row");
  const Table shorter = Table::read(table.without_last_row(), "shorter");
  must(shorter.rows().size() == rows - 1, "without_last_row: not one row fewer");
  must_be_same(shorter.rows(), table.rows(), rows - 1, "without_last_row");
  const std::size_t column = drawn_from(text, table.columns().size());
  const NewCell cell{table.columns()[column], " a \"cell\",\nof;\tits own", false};
  const Table changed = Table::read(table.with_cell(row, cell), "changed");
  must(changed.rows().size() == rows, "with_cell: other rows");
  must(changed.rows()[row].cells[column] == cell.text, "with_cell: another text");
}

}  // namespace
}  // namespace ellwand::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const ellwand::fuzz::Within within(1);
  using namespace ellwand;
  const std::string text(reinterpret_cast<const char*>(data), size);
  std::optional<studio::Table> table;
  try {
    table = studio::Table::read(text, "table.csv");
  } catch (const BadInput&) {
    return 0;
  }
  fuzz::write_into(*table, text);
  return 0;
}
