#pragma once
/// Reads the tables of published figures for the tests of this folder.

#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

namespace ellwand::test {

/// One row by the names of its columns.
using PublishedRow = std::map<std::string, std::string>;

/// The fields of one line; a field in double quotes may hold commas and doubled quotes.
inline std::vector<std::string> fields_of(const std::string& line) {
  std::vector<std::string> fields(1);
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      fields.emplace_back();
    } else {
      fields.back() += c;
    }
  }
  return fields;
}

/// All rows of data/published/`name`; fails the test when there are none.
inline std::vector<PublishedRow> published_rows(const std::string& name) {
  std::ifstream file(std::string(ELLWAND_SOURCE_DIR) + "/data/published/" + name);
  std::string line;
  std::getline(file, line);
  const std::vector<std::string> columns = fields_of(line);
  std::vector<PublishedRow> rows;
  while (std::getline(file, line)) {
    const std::vector<std::string> fields = fields_of(line);
    EXPECT_EQ(fields.size(), columns.size()) << name << ": " << line;
    PublishedRow row;
    for (std::size_t i = 0; i < columns.size() && i < fields.size(); ++i)
      row[columns[i]] = fields[i];
    rows.push_back(row);
  }
  EXPECT_FALSE(rows.empty()) << name;
  return rows;
}

inline double number(const PublishedRow& row, const std::string& column) {
  return std::stod(row.at(column));
}

/// The column `given`: "name=number name=number".
inline std::map<std::string, double> given(const PublishedRow& row) {
  std::map<std::string, double> numbers;
  std::istringstream words(row.at("given"));
  for (std::string word; words >> word;) {
    const std::size_t equals = word.find('=');
    numbers[word.substr(0, equals)] = std::stod(word.substr(equals + 1));
  }
  return numbers;
}

}  // namespace ellwand::test
