#include "ellwand/studio/export_table.hpp"

#include "ellwand/studio/table.hpp"

#include <fmt/format.h>

#include <cmath>

namespace ellwand::studio {

namespace {

std::string csv_line(const std::vector<std::string>& cells) {
  std::string line;
  for (const std::string& cell : cells) {
    if (&cell != &cells.front()) line += ',';
    line += as_cell(cell, ',');
  }
  return line + '\n';
}

void describe(const ExportTable& table, std::vector<std::vector<std::string>>& rows) {
  for (const ExportColumn& column : table.columns) {
    rows.push_back({table.file, table.about, column.name, column.unit, column.meaning});
  }
}

}  // namespace

std::string csv_of(const ExportTable& table) {
  std::vector<std::string> names;
  for (const ExportColumn& column : table.columns) names.push_back(column.name);
  std::string text = csv_line(names);
  for (const std::vector<std::string>& row : table.rows) text += csv_line(row);
  return text;
}

ExportTable described(const std::vector<ExportTable>& tables, const std::string& file) {
  ExportTable all{file,
                  "a column of one of these tables",
                  {{"table", "", "the file it is in"},
                   {"a_row_is", "", "what a row of that table is"},
                   {"column", "", "its name in the heading"},
                   {"unit", "", "of its figures; empty for words, counts, shares and factors"},
                   {"meaning", "", "what it says"}},
                  {}};
  for (const ExportTable& table : tables) describe(table, all.rows);
  describe(ExportTable{all.file, all.about, all.columns, {}}, all.rows);
  return all;
}

std::string export_number(double value) {
  if (!std::isfinite(value)) return {};
  return fmt::format("{:.8g}", value == 0.0 ? 0.0 : value);  // no "-0"
}

}  // namespace ellwand::studio
