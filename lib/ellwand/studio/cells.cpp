#include "ellwand/studio/cells.hpp"

#include "ellwand/units/characters.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::studio {

namespace {

int days_in(int year, int month) {
  if (month == 2) return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) ? 29 : 28;
  return month == 4 || month == 6 || month == 9 || month == 11 ? 30 : 31;
}

std::size_t place_in(const std::vector<std::string>& names, const std::string& column) {
  return static_cast<std::size_t>(std::find(names.begin(), names.end(), column) - names.begin());
}
}  // namespace

bool is_date(const std::string& text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
  for (const std::size_t i : {0U, 1U, 2U, 3U, 5U, 6U, 8U, 9U}) {
    if (!is_digit(text[i])) return false;
  }
  const int year = std::stoi(text.substr(0, 4));
  const int month = std::stoi(text.substr(5, 2));
  const int day = std::stoi(text.substr(8, 2));
  return month >= 1 && month <= 12 && day >= 1 && day <= days_in(year, month);
}

std::string Cells::text(const std::string& column) const {
  const std::size_t at = place_in(*names_, column);
  if (at == names_->size()) return {};
  const std::string& cell = (*texts_)[at];
  const auto first = std::find_if_not(cell.begin(), cell.end(), is_blank);
  const auto last = std::find_if_not(cell.rbegin(), cell.rend(), is_blank).base();
  return first < last ? std::string(first, last) : std::string();
}

Place Cells::place_of(const std::string& column) const {
  const std::size_t at = place_in(*names_, column);
  if (at == names_->size()) return place_;
  return places_ != nullptr ? (*places_)[at] : Place{place_.line, static_cast<int>(at) + 1};
}

void Cells::complain(const std::string& column, const std::string& sentence) const {
  findings_->complain(place_of(column), column + ": " + sentence);
}

void Cells::warn(const std::string& column, const std::string& sentence) const {
  findings_->warn(place_of(column), column + ": " + sentence);
}

std::optional<double> Cells::number(const std::string& column, double low, double high) const {
  const DecimalMark mark = decimal_mark();
  const auto value =
      read(column, [mark](const std::string& text) { return read_decimal(text, mark); });
  if (!value) return std::nullopt;
  if (*value >= low && *value <= high) return value;
  complain(column, fmt::format("{} is outside {:g} to {:g}", text(column), low, high));
  return std::nullopt;
}

std::optional<int> Cells::whole(const std::string& column, int low, int high) const {
  const auto value = number(column, low, high);
  if (!value) return std::nullopt;
  if (std::floor(*value) == *value) return static_cast<int>(*value);
  complain(column, fmt::format("{} is not a whole number", text(column)));
  return std::nullopt;
}

std::optional<std::size_t> Cells::choice(const std::string& column,
                                         const std::vector<std::string>& words) const {
  const std::string word = folded(text(column));
  if (word.empty()) return std::nullopt;
  const auto found = std::find(words.begin(), words.end(), word);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  complain(column, unknown_word(word, words));
  return std::nullopt;
}

std::optional<bool> Cells::yes_or_no(const std::string& column) const {
  const auto answer = choice(column, {"no", "yes"});
  if (!answer) return std::nullopt;
  return *answer == 1;
}

std::string Cells::date(const std::string& column) const {
  const std::string day = text(column);
  if (day.empty() || is_date(day)) return day;
  complain(column, in_quotes(day) + " is not a day written as year-month-day, such as 2026-03-14");
  return {};
}

namespace {
/// " (is 'ID' meant?)" where a column is named alike but for capitals or a slip.
std::string column_meant(const Table& table, const std::string& column) {
  std::vector<std::string> names;
  for (const auto& name : table.columns()) {
    if (folded(name) == column)
      return fmt::format(" (is '{}' meant? names are in small letters)", name);
    names.push_back(name);
  }
  const std::string nearest = nearest_word(column, names);
  return nearest.empty() ? "" : fmt::format(" (is '{}' meant?)", nearest);
}
}  // namespace

void require_columns(const Table& table, const std::vector<std::string>& columns,
                     Findings& findings) {
  for (const std::string& column : columns) {
    if (table.find_column(column) < table.columns().size()) continue;
    findings.complain({table.heading_line(), 0},
                      fmt::format("there is no column '{}'{}; add it to the first line", column,
                                  column_meant(table, column)));
  }
}

}  // namespace ellwand::studio
