#include "ellwand/studio/record.hpp"

#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/changes.hpp"
#include "ellwand/studio/known_without.hpp"
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
#include <cmath>
#include <tuple>
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

void add_names(std::vector<std::string>& all, const std::vector<std::string>& more) {
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
  add_names(all, circumstance_columns());
  add_names(all, work_columns());
  add_names(all, figure_columns());
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

namespace {
/// Whether two rows may speak of the same: a cell that one of them leaves empty says nothing.
bool may_be_of_one(const Cells& one, const Cells& other) {
  const auto agrees = [&](const char* column) {
    const std::string first = one.text(column);
    const std::string second = other.text(column);
    return first == second || first.empty() || second.empty();
  };
  return one.text("piece") == other.text("piece") && one.text("swatch") == other.text("swatch") &&
         agrees("band") && agrees("weaver");
}

double minutes_of(const Cells& cells, DecimalMark mark) {
  return read_decimal(cells.text("minutes"), mark);
}

/// Where the minutes of a row with rows stand in one without, alone or together with others'.
std::string doubt_of_minutes_twice(const Table& table, std::size_t row) {
  constexpr double kSame = 0.5;  // minutes are written whole
  Findings unheard(table.file());
  const Cells its(table, table.rows()[row], unheard);
  const DecimalMark mark = table.decimal_mark();
  for (const TableRow& line : table.rows()) {
    const Cells other(table, line, unheard);
    if (its.has("rows") == other.has("rows") || !may_be_of_one(its, other)) continue;
    const Cells& whole = its.has("rows") ? other : its;
    const bool is_alone = its.text("date") == other.text("date") &&
                          std::abs(minutes_of(its, mark) - minutes_of(other, mark)) < kSame;
    double sum = 0.0;
    for (const TableRow& part : table.rows()) {
      const Cells cells(table, part, unheard);
      if (cells.has("rows") && may_be_of_one(whole, cells)) sum += minutes_of(cells, mark);
    }
    if (!is_alone && std::abs(sum - minutes_of(whole, mark)) >= kSame) continue;
    return fmt::format(
        "line {} has {} minutes of the same {}; were they recorded twice, with rows and without?",
        line.line, other.text("minutes"), its.has("rows") ? "without rows" : "with rows");
  }
  return {};
}
}  // namespace

/// Whether a row was there before.
std::string RecordBook::doubt_of_twice(const Table& table, std::size_t row) const {
  if (table_ == RecordedIn::Swatches) return {};  // its reader asks, figure by figure
  const TableRow& its = table.rows()[row];
  for (const TableRow& one : table.rows()) {
    if (one.line == its.line || one.cells != its.cells) continue;
    return fmt::format("line {} says the same in every column; was it recorded twice?", one.line);
  }
  return table_ == RecordedIn::Minutes ? doubt_of_minutes_twice(table, row) : std::string();
}

/// What is odd about a row whatever its table is.
std::vector<Complaint> RecordBook::doubts_of_row(const Table& table, std::size_t row,
                                                 const std::vector<NewCell>& cells) const {
  std::vector<Complaint> doubts;
  const auto ask = [&](const std::string& column, const std::string& doubt) {
    if (doubt.empty()) return;
    doubts.push_back({path_.string(), table.rows()[row].line, 0,
                      (column.empty() ? std::string() : column + ": ") + doubt});
  };
  for (const NewCell& cell : cells) {
    if (cell.column == "date" || cell.column == "bought") {
      ask(cell.column, doubt_of_day(cell.text, on_.today));
    }
  }
  if (table_ == RecordedIn::Lots) ask("net_g", doubt_of_mass(cells, studio_));
  ask("", doubt_of_twice(table, row));
  return doubts;
}

/// Whether the file has a row of it already, which a calibration may have learned from.
bool RecordBook::was_measured(const calibrate::Swatch& swatch) const {
  const Table table = table_of(file_text());
  Findings unheard(path_.string());
  return std::any_of(table.rows().begin(), table.rows().end(), [&](const TableRow& row) {
    const Cells cells(table, row, unheard);
    return cells.text("swatch") == swatch.id || cells.text("piece") == swatch.piece.id;
  });
}

std::vector<Complaint> RecordBook::slips_at(int line,
                                            const std::vector<calibrate::Swatch>& swatches) const {
  std::vector<Complaint> slips;
  for (const calibrate::Swatch& swatch : swatches) {
    const bool is_it =
        std::any_of(swatch.measurements.begin(), swatch.measurements.end(),
                    [line](const calibrate::Measurement& one) { return one.line == line; });
    if (!is_it) continue;
    const estimate::Learned* known = on_.learned;
    std::optional<estimate::Learned> others;
    if (known != nullptr && was_measured(swatch)) {
      others = known_without(folder_, swatch.id, studio_, starting_);
      known = others ? &*others : nullptr;
    }
    const std::vector<Complaint> its = slips_of(swatch, studio_, starting_, known);
    slips.insert(slips.end(), its.begin(), its.end());
  }
  return slips;
}

std::vector<Complaint> RecordBook::read_back(const std::string& text, int line) const {
  if (table_ == RecordedIn::Lots) return read_lots(text, path_.string(), studio_.yarns).warnings;
  if (table_ == RecordedIn::Minutes) return doubts_of_minutes(text);
  SwatchTable read = read_swatches_in(folder_, text, studio_, starting_);
  const std::vector<Complaint> slips = slips_at(line, read.swatches);
  read.warnings.insert(read.warnings.end(), slips.begin(), slips.end());
  return read.warnings;
}

Recorded RecordBook::write(const std::optional<std::string>& was, const std::string& text,
                           std::size_t row, const std::vector<NewCell>& cells) const {
  const Table table = Table::read(text, path_.string());
  Recorded recorded{path_, table.rows()[row].line, cells, {}, {}};
  recorded.warnings = about(recorded.line, read_back(text, recorded.line));
  for (Complaint& doubt : doubts_of_row(table, row, cells)) {
    recorded.warnings.push_back(std::move(doubt));
  }
  write_changes(folder_, {{path_, was, text}});
  return recorded;
}

Recorded RecordBook::add(const std::vector<NewCell>& cells) const {
  const WriteTurn turn(folder_);
  const std::optional<std::string> was = file_text();
  const Table wide = Table::read(table_of(was).with_columns(names_of(cells)), path_.string());
  return write(was, wide.with_row(cells), wide.rows().size(), cells);
}

namespace {
/// How well a row fits what is named of it, figures before what else is said.
struct RowFit {
  std::size_t row = 0;
  int same_figures = 0;  ///< that say what is named
  int figures = 0;       ///< that the row has at all
  int columns = 0;

  auto fit() const { return std::tie(same_figures, figures, columns); }
};

/// Whether a cell of a row says what was typed: "61" and "61.0" do.
bool says_the_same(const Cells& its, const NewCell& cell) {
  const std::string text = its.text(cell.column);
  if (!cell.is_number || text == cell.text) return text == cell.text;
  try {
    return read_decimal(text, its.decimal_mark()) == read_decimal(cell.text);
  } catch (const UnreadableText&) {
    return false;
  }
}

RowFit fit_of(const Cells& its, std::size_t row, const std::vector<NewCell>& cells) {
  const std::vector<std::string>& figures = figure_columns();
  RowFit fit{row, 0, 0, 0};
  for (const NewCell& cell : cells) {
    if (cell.column == "swatch" || !its.has(cell.column)) continue;
    ++fit.columns;
    if (std::find(figures.begin(), figures.end(), cell.column) == figures.end()) continue;
    ++fit.figures;
    if (says_the_same(its, cell)) ++fit.same_figures;
  }
  return fit;
}

/// "ball_before_oz 61.0", each figure of a row.
std::vector<std::string> figures_in(const Cells& its) {
  std::vector<std::string> figures;
  for (const std::string& column : figure_columns()) {
    if (its.has(column)) figures.push_back(column + ' ' + its.text(column));
  }
  if (its.has("measure")) figures.push_back(its.text("measure") + ' ' + its.text("value"));
  return figures;
}

/// Several rows of a swatch that may all be meant, told by what they hold.
std::string which_row(const Table& table, const std::string& swatch,
                      const std::vector<RowFit>& fits) {
  Findings unheard(table.file());
  std::string lines;
  std::string example = "--used-g 14";
  for (const RowFit& fit : fits) {
    const Cells its(table, table.rows()[fit.row], unheard);
    const std::vector<std::string> figures = figures_in(its);
    std::string held;
    for (const std::string& figure : figures) held += (held.empty() ? "" : ", ") + figure;
    lines += fmt::format("{}line {} ({})", lines.empty() ? "" : ", ", its.line(),
                         held.empty() ? "no figure" : held);
    if (figures.empty()) continue;
    example = "--" + figures.front();
    std::replace(example.begin(), example.end(), '_', '-');
  }
  return fmt::format(
      "{} rows of swatch {} may be meant: {}; give a figure of the right one again beside what is "
      "to be amended, such as {}",
      fits.size(), swatch, lines, example);
}
}  // namespace

std::size_t RecordBook::row_to_amend(const Table& table, const std::vector<NewCell>& cells) const {
  const std::size_t last = table.rows().size() - 1;
  const auto named = std::find_if(cells.begin(), cells.end(),
                                  [](const NewCell& cell) { return cell.column == "swatch"; });
  const bool is_name_alone = cells.size() == 1;
  if (table_ != RecordedIn::Swatches || named == cells.end() || is_name_alone) return last;
  Findings unheard(table.file());
  std::vector<RowFit> best;  // of its rows, those that fit alike and none better
  std::vector<std::string> known;
  for (std::size_t row = last + 1; row-- > 0;) {
    const Cells its(table, table.rows()[row], unheard);
    known.push_back(its.text("swatch"));
    if (its.text("swatch") != named->text) continue;
    const bool has_all = std::all_of(cells.begin(), cells.end(),
                                     [&](const NewCell& cell) { return its.has(cell.column); });
    if (has_all) return row;
    const RowFit fit = fit_of(its, row, cells);
    if (!best.empty() && best.front().fit() < fit.fit()) best.clear();
    if (best.empty() || best.front().fit() == fit.fit()) best.push_back(fit);
  }
  if (best.size() == 1) return best.front().row;
  if (!best.empty()) {
    std::reverse(best.begin(), best.end());
    throw BadInput({{path_.string(), 0, 0, which_row(table, named->text, best)}});
  }
  const std::string guess = did_you_mean(named->text, known);
  throw BadInput({{path_.string(), 0, 0,
                   fmt::format("there is no swatch '{}' to be amended{} A new name for the last "
                               "one goes alone: --amend --swatch {}",
                               named->text, guess.empty() ? "." : guess, named->text)}});
}

Recorded RecordBook::amend(const std::vector<NewCell>& cells) const {
  const WriteTurn turn(folder_);
  const std::optional<std::string> was = file_text();
  const Table old = table_of(was);
  if (old.rows().empty()) refuse_empty(path_);
  const std::size_t row = row_to_amend(old, cells);
  std::string text = old.with_columns(names_of(cells));
  for (const NewCell& cell : cells) {
    text = Table::read(text, path_.string()).with_cell(row, cell);
  }
  return write(was, text, row, cells);
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
