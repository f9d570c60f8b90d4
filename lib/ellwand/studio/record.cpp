#include "ellwand/studio/record.hpp"

#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/read_figures.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/studio/read_swatches.hpp"
#include "ellwand/studio/read_time.hpp"
#include "ellwand/studio/slips.hpp"
#include "ellwand/studio/swatch_columns.hpp"

#include <algorithm>
#include <system_error>
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

RecordBook::RecordBook(RecordedIn table, fs::path folder, const Studio& studio,
                       const estimate::StartingValues& starting)
    : table_(table),
      folder_(std::move(folder)),
      path_(folder_ / file_of(table)),
      studio_(studio),
      starting_(starting) {}

std::string RecordBook::file_text() const {
  std::error_code unseen;
  return fs::exists(path_, unseen) ? read_file(path_) : heading_of(table_);
}

std::vector<Complaint> RecordBook::read_back(const std::string& text) const {
  if (table_ == RecordedIn::Lots) return read_lots(text, path_.string(), studio_.yarns).warnings;
  if (table_ == RecordedIn::Minutes) return read_times(text, path_.string(), studio_).warnings;
  SwatchTable read = read_swatches_in(folder_, text, studio_, starting_);
  const int line = Table::read(text, path_.string()).rows().back().line;
  for (const calibrate::Swatch& swatch : read.swatches) {
    const bool is_it =
        std::any_of(swatch.measurements.begin(), swatch.measurements.end(),
                    [line](const calibrate::Measurement& one) { return one.line == line; });
    if (!is_it) continue;
    const std::vector<Complaint> slips = slips_of(swatch, studio_, starting_);
    read.warnings.insert(read.warnings.end(), slips.begin(), slips.end());
  }
  return read.warnings;
}

Recorded RecordBook::write(const std::string& text, const std::vector<NewCell>& cells) const {
  Recorded recorded{path_, Table::read(text, path_.string()).rows().back().line, cells, {}, {}};
  recorded.warnings = about(recorded.line, read_back(text));
  write_file(path_, text);
  return recorded;
}

Recorded RecordBook::add(const std::vector<NewCell>& cells) const {
  const std::string wide = Table::read(file_text(), path_.string()).with_columns(names_of(cells));
  return write(Table::read(wide, path_.string()).with_row(cells), cells);
}

Recorded RecordBook::amend(const std::vector<NewCell>& cells) const {
  const Table old = Table::read(file_text(), path_.string());
  if (old.rows().empty()) refuse_empty(path_);
  std::string text = old.with_columns(names_of(cells));
  for (const NewCell& cell : cells) {
    const Table table = Table::read(text, path_.string());
    text = table.with_cell(table.rows().size() - 1, cell);
  }
  return write(text, cells);
}

Recorded RecordBook::undo() const {
  const Table table = Table::read(file_text(), path_.string());
  if (table.rows().empty()) refuse_empty(path_);
  const TableRow& last = table.rows().back();
  Recorded recorded{path_, last.line, {}, {}, {}};
  for (std::size_t i = 0; i < table.columns().size(); ++i) {
    if (!last.cells[i].empty()) recorded.cells.push_back({table.columns()[i], last.cells[i]});
  }
  write_file(path_, table.without_last_row());
  return recorded;
}

bool RecordBook::knows_work_of(const std::string& swatch) const {
  const Table table = Table::read(file_text(), path_.string());
  Findings unheard(path_.string());
  return std::any_of(table.rows().begin(), table.rows().end(), [&](const TableRow& row) {
    const Cells cells(table, row, unheard);
    return cells.text("swatch") == swatch && cells.has("work");
  });
}

}  // namespace ellwand::studio
