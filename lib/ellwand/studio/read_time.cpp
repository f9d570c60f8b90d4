#include "ellwand/studio/read_time.hpp"

#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/read_figures.hpp"

namespace ellwand::studio {

namespace {
/// A year without sleep.
constexpr double kMostMinutesSpent = 525'600.0;

TimeSpent read_spent(const Cells& row, const Studio& studio) {
  TimeSpent spent;
  spent.line = row.line();
  spent.piece = row.text("piece");
  spent.swatch = row.text("swatch");
  if (spent.piece.empty() == spent.swatch.empty()) {
    row.complain("piece", spent.piece.empty()
                              ? "is empty, and so is swatch; write in one of them what was woven"
                              : "swatch is filled as well; leave one of the two empty");
  }
  spent.band = row.whole("band", 1, 1'000'000);
  spent.rows = row.whole("rows", 1, 1'000'000);
  if (!row.has("minutes")) row.complain("minutes", "is empty; write how many were spent");
  spent.minutes = row.number("minutes", 0.0, kMostMinutesSpent).value_or(1.0);
  if (spent.minutes <= 0.0) row.complain("minutes", "0 are no time; leave the row out");
  spent.weaver = read_row_weaver(row, studio).value_or(studio.weaver);
  spent.date = row.date("date");
  return spent;
}
}  // namespace

const std::vector<std::string>& time_columns() {
  static const std::vector<std::string> all = {"date", "piece",   "swatch", "band",
                                               "rows", "minutes", "weaver", "note"};
  return all;
}

TimeTable read_times(const std::string& text, const std::string& file, const Studio& studio) {
  const Table table = Table::read(text, file);
  Findings findings(file);
  require_columns(table, {"minutes"}, findings);
  table.warn_of_others(time_columns(), findings);
  TimeTable times;
  for (const TableRow& row : table.rows()) {
    times.spent.push_back(read_spent(Cells(table, row, findings), studio));
  }
  findings.stop_if_any();
  times.warnings = findings.warnings();
  return times;
}

}  // namespace ellwand::studio
