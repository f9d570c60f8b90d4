#pragma once
/// The rows of a table in data/published/, by the names of its columns.

#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <string>
#include <vector>

namespace ellwand::test {

using Row = std::map<std::string, std::string>;

/// The fields of one line; a field between quotes may hold commas.
inline std::vector<std::string> fields_of(const std::string& line) {
  std::vector<std::string> fields(1);
  bool between_quotes = false;
  for (const char c : line) {
    if (c == '"') {
      between_quotes = !between_quotes;
    } else if (c == ',' && !between_quotes) {
      fields.emplace_back();
    } else {
      fields.back() += c;
    }
  }
  return fields;
}

/// Every row of data/published/`name`, lines that begin with # left out. A table that is missing,
/// or has fewer rows than `at_least`, fails the test.
inline std::vector<Row> published_rows(const std::string& name, std::size_t at_least) {
  std::ifstream file(std::string(ELLWAND_SOURCE_DIR) + "/data/published/" + name);
  EXPECT_TRUE(file.is_open()) << name;
  std::vector<std::string> columns;
  std::vector<Row> rows;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#') continue;
    const std::vector<std::string> fields = fields_of(line);
    if (columns.empty()) {
      columns = fields;
      continue;
    }
    EXPECT_EQ(fields.size(), columns.size()) << line;
    Row row;
    for (std::size_t i = 0; i < columns.size() && i < fields.size(); ++i) {
      row[columns[i]] = fields[i];
    }
    rows.push_back(row);
  }
  EXPECT_GE(rows.size(), at_least) << name;
  return rows;
}

/// A field as a number; the tables write numbers as C does.
inline double number(const Row& row, const std::string& column) {
  return std::stod(row.at(column));
}

/// What a failing row tells: its kind and where it was published.
inline std::string where(const Row& row) { return row.at("kind") + ", " + row.at("source"); }

}  // namespace ellwand::test
