#pragma once
/// Tables written for analysts: every column with its unit and what it means, so that their
/// description cannot differ from them.

#include <string>
#include <vector>

namespace ellwand::studio {

struct ExportColumn {
  std::string name;
  std::string unit;  ///< "g"; empty for words and for what is a share, a factor or a count
  std::string meaning;
};

struct ExportTable {
  std::string file;   ///< "swatches.csv"
  std::string about;  ///< what a row is
  std::vector<ExportColumn> columns;
  std::vector<std::vector<std::string>> rows;  ///< each as long as the columns
};

/// Commas, decimal points, lines ended by LF, a heading; cells in quotes where they must be.
std::string csv_of(const ExportTable& table);

/// Columns of all these tables as a table, itself among them.
ExportTable described(const std::vector<ExportTable>& tables, const std::string& file);

/// Eight digits, more than any figure here is worth; empty for what is not finite.
std::string export_number(double value);

}  // namespace ellwand::studio
