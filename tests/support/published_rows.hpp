#pragma once
/// The rows of a table in data/published/, by the names of its columns.

#include "support/where.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

namespace ellwand::test {

/// One row by the names of its columns.
using PublishedRow = std::map<std::string, std::string>;

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
inline std::vector<PublishedRow> published_rows(const std::string& name, std::size_t at_least = 1) {
  std::ifstream file(test::source_folder() + "/data/published/" + name);
  EXPECT_TRUE(file.is_open()) << name;
  std::vector<std::string> columns;
  std::vector<PublishedRow> rows;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#') continue;
    const std::vector<std::string> fields = fields_of(line);
    if (columns.empty()) {
      columns = fields;
      continue;
    }
    EXPECT_EQ(fields.size(), columns.size()) << line;
    PublishedRow row;
    for (std::size_t i = 0; i < columns.size() && i < fields.size(); ++i) {
      row[columns[i]] = fields[i];
    }
    rows.push_back(row);
  }
  EXPECT_GE(rows.size(), at_least) << name;
  return rows;
}

/// A field as a number; the tables write numbers as C does.
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

/// What a failing row tells: its kind and where it was published.
inline std::string where(const PublishedRow& row) {
  return row.at("kind") + ", " + row.at("source");
}

/// A figure of data/published/statistics.csv by its name and quantity ("dyestuff_reml", "var
/// Batch"), as R 4.2.2 gives it, which agrees with the one printed; fails the test where it is not
/// there.
inline double published_statistic(const std::string& name, const std::string& quantity) {
  for (const PublishedRow& row : published_rows("statistics.csv")) {
    if (row.at("name") == name && row.at("quantity") == quantity) return number(row, "value");
  }
  ADD_FAILURE() << name << ", " << quantity;
  return 0.0;
}

}  // namespace ellwand::test
