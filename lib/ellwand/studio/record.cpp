#include "ellwand/studio/record.hpp"

#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/changes.hpp"
#include "ellwand/studio/read_figures.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/studio/read_swatches.hpp"
#include "ellwand/studio/read_time.hpp"
#include "ellwand/studio/slips.hpp"
#include "ellwand/studio/swatch_columns.hpp"
#include "ellwand/studio/time_log.hpp"
#include "ellwand/studio/write_turn.hpp"
#include "ellwand/units/plain_digits.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace ellwand::studio {

namespace fs = std::filesystem;

namespace {
const char* file_of(RecordedIn table) {
  switch (table) {
    case RecordedIn::Swatches:
      return "swatches.csv";
    case RecordedIn::Lots:
      return "lots.csv";
    case RecordedIn::Minutes:
      return "time.csv";
  }
  return "";
}

/// The first line of a file that is made; more columns are added as they are needed.
const char* heading_of(RecordedIn table) {
  switch (table) {
    case RecordedIn::Swatches:
      return "swatch,piece,band,date,weaver,loom,warp_yarn,ends,work,yarn,lot,rows,state,tool_step,"
             "used_g,height_cm,note\n";
    case RecordedIn::Lots:
      return "yarn,lot,bought,net_g,opened,longest_left_m\n";
    case RecordedIn::Minutes:
      return "date,piece,swatch,band,rows,minutes,weaver,note\n";
  }
  return "";
}

bool is_words(const std::string& column) {
  const std::vector<std::string> words = {"swatch", "piece",     "lot",         "yarn", "weaver",
                                          "date",   "note",      "bought",      "work", "weave",
                                          "loom",   "warp_yarn", "second_yarn", "grid", "draw_in"};
  return std::find(words.begin(), words.end(), column) != words.end();
}

void append(std::vector<std::string>& all, const std::vector<std::string>& more) {
  all.insert(all.end(), more.begin(), more.end());
}

std::vector<std::string> names_of(const std::vector<NewCell>& cells) {
  std::vector<std::string> names;
  for (const NewCell& cell : cells) names.push_back(cell.column);
  return names;
}

[[noreturn]] void refuse_empty(const fs::path& path) {
  throw BadInput({{path.string(), 0, 0, "nothing is recorded in it"}});
}

/// Warnings about one line.
std::vector<Complaint> about(int line, const std::vector<Complaint>& all) {
  std::vector<Complaint> its;
  std::copy_if(all.begin(), all.end(), std::back_inserter(its),
               [line](const Complaint& one) { return one.line == line; });
  return its;
}
}  // namespace

std::vector<std::string> columns_of(RecordedIn table) {
  if (table == RecordedIn::Lots) return lot_columns();
  if (table == RecordedIn::Minutes) return time_columns();
  std::vector<std::string> all = {"swatch", "piece"};
  append(all, circumstance_columns());
  append(all, work_columns());
  append(all, figure_columns());
  return all;
}

NewCell typed_cell(const std::string& column, const std::string& text) {
  NewCell cell{column, text, false};
  if (is_words(column)) return cell;
  try {
    read_decimal(text);
    cell.is_number = true;
  } catch (const UnreadableText&) {
    cell.is_number = false;
  }
  return cell;
}

std::string doubt_of_day(const std::string& day, const std::string& today) {
  if (!is_date(day) || today.empty() || day <= today) return {};
  return day + " is still to come; is the year right?";
}

RecordBook::RecordBook(RecordedIn table, fs::path folder, const Studio& studio,
                       const estimate::StartingValues& starting, RecordedOn on)
    : table_(table),
      folder_(std::move(folder)),
      path_(folder_ / file_of(table)),
      studio_(studio),
      starting_(starting),
      on_(std::move(on)) {}

std::optional<std::string> RecordBook::file_text() const { return text_if_there(path_); }

/// A file that is not there yet has its heading.
Table RecordBook::table_of(const std::optional<std::string>& text) const {
  return Table::read(text.value_or(heading_of(table_)), path_.string());
}

/// What the log makes of the last row, as its weaver's.
std::vector<Complaint> RecordBook::doubts_of_minutes(const std::string& text) const {
  const TimeTable table = read_times(text, path_.string(), studio_);
  const estimate::Workshop workshop{studio_.yarns, starting_, studio_.habits, studio_.shown.length,
                                    on_.learned};
  return read_time_log(text, folder_, studio_, workshop, table.spent.back().weaver.name).warnings;
}

namespace {
/// A lot so light that it was most likely written in kilograms: what is sold by ten times that and
/// more is hardly bought by 2 g.
std::string doubt_of_mass(const std::vector<NewCell>& cells, const Studio& studio) {
  constexpr double kLightestLot = 2.0;
  std::string yarn;
  std::string mass;
  for (const NewCell& cell : cells) {
    if (cell.column == "yarn") yarn = cell.text;
    if (cell.column == "net_g") mass = cell.text;
  }
  const auto found = studio.yarns.find(yarn);
  const bool is_sold_by_mass =
      found != studio.yarns.end() && found->second.put_up && found->second.put_up->net_mass;
  if (mass.empty() || !is_sold_by_mass) return {};
  const double net_g = read_decimal(mass);
  const double put_up_g = in_grams(*found->second.put_up->net_mass);
  if (net_g <= 0.0 || net_g > kLightestLot || put_up_g < 10.0 * net_g) return {};
  return fmt::format("{} g of a yarn that is sold by {} g; are these kilograms?", mass,
                     plain_digits(put_up_g, 4));
}
}  // namespace

/// What is odd about the last row whatever its table is.
std::vector<Complaint> RecordBook::doubts_of_row(const Table& table,
                                                 const std::vector<NewCell>& cells) const {
  std::vector<Complaint> doubts;
  const TableRow& last = table.rows().back();
  const auto ask = [&](const std::string& column, const std::string& doubt) {
    if (doubt.empty()) return;
    doubts.push_back(
        {path_.string(), last.line, 0, (column.empty() ? std::string() : column + ": ") + doubt});
  };
  for (const NewCell& cell : cells) {
    if (cell.column == "date" || cell.column == "bought") {
      ask(cell.column, doubt_of_day(cell.text, on_.today));
    }
  }
  if (table_ == RecordedIn::Lots) ask("net_g", doubt_of_mass(cells, studio_));
  for (const TableRow& row : table.rows()) {
    if (table_ == RecordedIn::Swatches) break;  // its reader asks, figure by figure
    if (row.line == last.line || row.cells != last.cells) continue;
    ask("", fmt::format("line {} says the same in every column; was it recorded twice?", row.line));
    break;
  }
  return doubts;
}

std::vector<Complaint> RecordBook::read_back(const std::string& text) const {
  if (table_ == RecordedIn::Lots) return read_lots(text, path_.string(), studio_.yarns).warnings;
  if (table_ == RecordedIn::Minutes) return doubts_of_minutes(text);
  SwatchTable read = read_swatches_in(folder_, text, studio_, starting_);
  const int line = Table::read(text, path_.string()).rows().back().line;
  for (const calibrate::Swatch& swatch : read.swatches) {
    const bool is_it =
        std::any_of(swatch.measurements.begin(), swatch.measurements.end(),
                    [line](const calibrate::Measurement& one) { return one.line == line; });
    if (!is_it) continue;
    const std::vector<Complaint> slips = slips_of(swatch, studio_, starting_, on_.learned);
    read.warnings.insert(read.warnings.end(), slips.begin(), slips.end());
  }
  return read.warnings;
}

Recorded RecordBook::write(const std::optional<std::string>& was, const std::string& text,
                           const std::vector<NewCell>& cells) const {
  const Table table = Table::read(text, path_.string());
  Recorded recorded{path_, table.rows().back().line, cells, {}, {}};
  recorded.warnings = about(recorded.line, read_back(text));
  for (Complaint& doubt : doubts_of_row(table, cells)) {
    recorded.warnings.push_back(std::move(doubt));
  }
  write_changes(folder_, {{path_, was, text}});
  return recorded;
}

Recorded RecordBook::add(const std::vector<NewCell>& cells) const {
  const WriteTurn turn(folder_);
  const std::optional<std::string> was = file_text();
  const std::string wide = table_of(was).with_columns(names_of(cells));
  return write(was, Table::read(wide, path_.string()).with_row(cells), cells);
}

Recorded RecordBook::amend(const std::vector<NewCell>& cells) const {
  const WriteTurn turn(folder_);
  const std::optional<std::string> was = file_text();
  const Table old = table_of(was);
  if (old.rows().empty()) refuse_empty(path_);
  std::string text = old.with_columns(names_of(cells));
  for (const NewCell& cell : cells) {
    const Table table = Table::read(text, path_.string());
    text = table.with_cell(table.rows().size() - 1, cell);
  }
  return write(was, text, cells);
}

Recorded RecordBook::undo() const {
  const WriteTurn turn(folder_);
  const std::optional<std::string> was = file_text();
  const Table table = table_of(was);
  if (table.rows().empty()) refuse_empty(path_);
  const TableRow& last = table.rows().back();
  Recorded recorded{path_, last.line, {}, {}, {}};
  for (std::size_t i = 0; i < table.columns().size(); ++i) {
    if (!last.cells[i].empty()) recorded.cells.push_back({table.columns()[i], last.cells[i]});
  }
  write_changes(folder_, {{path_, was, table.without_last_row()}});
  return recorded;
}

bool RecordBook::knows_work_of(const std::string& swatch) const {
  const Table table = table_of(file_text());
  Findings unheard(path_.string());
  return std::any_of(table.rows().begin(), table.rows().end(), [&](const TableRow& row) {
    const Cells cells(table, row, unheard);
    return cells.text("swatch") == swatch && cells.has("work");
  });
}

}  // namespace ellwand::studio
