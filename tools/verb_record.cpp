// ellwand record: a measured swatch, a bought lot, minutes spent, or a finished piece.

#include "data_folder.hpp"
#include "verbs.hpp"

#include "ellwand/studio/calibration_file.hpp"
#include "ellwand/studio/freeze.hpp"
#include "ellwand/studio/read_figures.hpp"
#include "ellwand/studio/read_starting_values.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/studio/record.hpp"
#include "ellwand/studio/record_json.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <iostream>
#include <ostream>
#include <set>
#include <system_error>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

using studio::NewCell;
using studio::Recorded;
using studio::RecordedIn;

const std::vector<std::string> kKinds = {"swatch", "lot", "minutes", "finished"};

/// Column names have underscores, options hyphens.
std::string option_of(std::string column) {
  std::replace(column.begin(), column.end(), '_', '-');
  return column;
}

std::vector<std::string> columns_for(const std::string& kind) {
  if (kind == "lot") return studio::columns_of(RecordedIn::Lots);
  if (kind == "minutes") return studio::columns_of(RecordedIn::Minutes);
  if (kind == "swatch") return studio::columns_of(RecordedIn::Swatches);
  std::vector<std::string> all = {"piece"};
  for (const auto* more : {&studio::circumstance_columns(), &studio::figure_columns()}) {
    all.insert(all.end(), more->begin(), more->end());
  }
  return all;
}

std::vector<std::string> every_column() {
  std::vector<std::string> all;
  std::set<std::string> seen;
  for (const std::string& kind : kKinds) {
    for (const std::string& column : columns_for(kind)) {
      if (seen.insert(column).second) all.push_back(column);
    }
  }
  return all;
}

bool contains(const std::vector<std::string>& words, const std::string& word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

/// What cannot be done without: one of these columns.
struct NeededColumn {
  std::vector<std::string> columns;
  std::string what;
};

/// What was given by options, and what is asked for besides.
class Entry {
 public:
  Entry(const Given& given, const std::string& kind) {
    const std::vector<std::string> known = columns_for(kind);
    for (const std::string& column : every_column()) {
      if (!given.has(option_of(column))) continue;
      if (!contains(known, column)) {
        throw WrongUsage(
            fmt::format("'record {}' has no --{}; ellwand record --help tells what "
                        "each takes",
                        kind, option_of(column)));
      }
      cells_.push_back(studio::typed_cell(column, given.value(option_of(column))));
    }
  }

  const std::vector<NewCell>& cells() const { return cells_; }
  bool has(const std::string& column) const { return !text(column).empty(); }
  bool has_one_of(const std::vector<std::string>& columns) const {
    return std::any_of(columns.begin(), columns.end(),
                       [this](const std::string& column) { return has(column); });
  }
  std::string text(const std::string& column) const {
    for (const NewCell& cell : cells_) {
      if (cell.column == column) return cell.text;
    }
    return {};
  }
  void add(const std::string& column, const std::string& text) {
    cells_.push_back(studio::typed_cell(column, text));
  }

  /// Asks at a terminal for each need that is not met, and otherwise names them all.
  void meet(const std::vector<NeededColumn>& needs, const std::string& kind,
            const Streams& streams) {
    std::string missing;
    for (const NeededColumn& need : needs) {
      if (has_one_of(need.columns)) continue;
      if (ask(need, streams)) continue;
      missing += fmt::format("{}--{} ({})", missing.empty() ? "" : ", ",
                             option_of(need.columns.front()), need.what);
    }
    if (!missing.empty()) throw WrongUsage(fmt::format("'record {}' needs {}", kind, missing));
  }

 private:
  bool ask(const NeededColumn& need, const Streams& streams) {
    if (isatty(STDIN_FILENO) == 0) return false;
    streams.talk << need.columns.front() << " (" << need.what << "): " << std::flush;
    std::string answer;
    if (!std::getline(std::cin, answer) || answer.empty()) return false;
    add(need.columns.front(), answer);
    return true;
  }

  std::vector<NewCell> cells_;
};

/// One of these columns, that in the unit she weighs in asked for first.
std::vector<std::string> in_her_unit(std::vector<std::string> columns, const studio::Shown& shown) {
  if (shown.mass == studio::MassShown::Grams) return columns;
  const auto in_ounces = std::find_if(columns.begin(), columns.end(),
                                      [](const std::string& one) { return one.ends_with("_oz"); });
  std::rotate(columns.begin(), in_ounces, columns.end());
  return columns;
}

NeededColumn figure_needed(const studio::Shown& shown) {
  return {in_her_unit(studio::figure_columns(), shown),
          "or another figure that was measured, as --help lists them"};
}

/// What a swatch needs to say; nothing of its work where an earlier row has said it.
std::vector<NeededColumn> needs_of_swatch(const Entry& entry, const studio::RecordBook& book,
                                          const studio::Shown& shown) {
  const NeededColumn figure = figure_needed(shown);
  const std::vector<NeededColumn> alone = {{{"swatch", "piece"}, "an id of your own for it"},
                                           {{"yarn"}, "the id of a yarn of yarns.csv"},
                                           figure};
  const bool is_yarn_alone =
      entry.has_one_of({"wraps", "weighed_m", "weighed_yd", "weighed_g", "weighed_oz"}) &&
      !entry.has_one_of({"work", "loom", "rows"});
  if (is_yarn_alone) return alone;
  const std::string id = entry.text("swatch");
  const bool is_known = entry.has("piece") || (!id.empty() && book.knows_work_of(id));
  if (is_known) return {alone.front(), figure};
  return {
      alone.front(),
      {{"loom"}, "a loom of studio.toml, or notched, frame or beam"},
      {{"warp_yarn"}, "the id of a yarn of yarns.csv"},
      {{"ends", "width_cm", "width_in", "width_mm", "width_m", "width_yd"}, "how many were warped"},
      {{"work"}, "weave, soumak, twining, ..."},
      alone[1],
      {{"rows", "repeats", "turns", "covered_mm", "covered_cm", "covered_in"},
       "how many were woven"},
      figure};
}

/// The id of a piece that there is.
std::string piece_of(const Entry& entry, const fs::path& folder) {
  const std::string id = entry.text("piece");
  std::vector<std::string> ids;
  std::error_code unseen;
  for (const auto& file : fs::directory_iterator(folder / "pieces", unseen)) {
    if (file.path().extension() == ".toml") ids.push_back(file.path().stem().string());
  }
  std::sort(ids.begin(), ids.end());
  if (contains(ids, id)) return id;
  throw BadInput({{(folder / "pieces").string(), 0, 0,
                   fmt::format("there is no piece '{}' here{}", id, did_you_mean(id, ids))}});
}

std::vector<NewCell> without_piece(const std::vector<NewCell>& cells) {
  std::vector<NewCell> others;
  std::copy_if(cells.begin(), cells.end(), std::back_inserter(others),
               [](const NewCell& cell) { return cell.column != "piece"; });
  return others;
}

enum class Doing { Add, Amend, Undo };

Recorded do_finished(Doing doing, Entry& entry, const studio::Studio& studio,
                     const estimate::StartingValues& starting, const studio::RecordedOn& on,
                     const Streams& streams) {
  std::vector<NeededColumn> needs = {{{"piece"}, "the id of a piece of the folder pieces"}};
  if (doing == Doing::Add) needs.push_back(figure_needed(studio.shown));
  entry.meet(needs, "finished", streams);
  if (doing == Doing::Add && !entry.has("date")) entry.add("date", on.today);
  const std::string piece = piece_of(entry, studio.folder);
  const std::vector<NewCell> cells = without_piece(entry.cells());
  switch (doing) {
    case Doing::Undo:
      return studio::undo_finished(studio.folder, piece, studio);
    case Doing::Amend:
      return studio::amend_finished(studio.folder, piece, cells, studio, starting, on);
    case Doing::Add:
      break;
  }
  return studio::record_finished(studio.folder, piece, cells, studio, starting, on);
}

Recorded do_row(Doing doing, const std::string& kind, Entry& entry, const studio::Studio& studio,
                const estimate::StartingValues& starting, const studio::RecordedOn& on,
                const Streams& streams) {
  const RecordedIn table = kind == "lot"       ? RecordedIn::Lots
                           : kind == "minutes" ? RecordedIn::Minutes
                                               : RecordedIn::Swatches;
  const studio::RecordBook book(table, studio.folder, studio, starting, on);
  if (doing == Doing::Undo) return book.undo();
  if (doing == Doing::Amend) return book.amend(entry.cells());
  std::vector<NeededColumn> needs;
  if (table == RecordedIn::Swatches) needs = needs_of_swatch(entry, book, studio.shown);
  if (table == RecordedIn::Lots) {
    needs = {{{"yarn"}, "the id of a yarn of yarns.csv"},
             {in_her_unit({"net_g", "net_oz", "net_m", "net_yd"}, studio.shown), "how much it is"}};
  }
  if (table == RecordedIn::Minutes) {
    needs = {{{"piece", "swatch"}, "what was woven"}, {{"minutes"}, "how many"}};
  }
  entry.meet(needs, kind, streams);
  if (table != RecordedIn::Lots && !entry.has("date")) entry.add("date", on.today);
  return book.add(entry.cells());
}

/// What was recorded may teach something that the calibration does not have yet.
std::string to_calibrate(Doing doing, const std::string& kind, const studio::Studio& studio) {
  if (doing == Doing::Undo || (kind != "swatch" && kind != "finished")) return {};
  const auto kept = studio::open_calibration(studio.folder);
  if (kept && kept->fingerprint == studio::fingerprint_of(studio.folder)) return {};
  return fmt::format("Next: ellwand calibrate {}\n", as_typed(studio.folder));
}

const char* name_of(Doing doing) {
  return doing == Doing::Undo ? "taken back" : doing == Doing::Amend ? "amended" : "recorded";
}

void tell(Doing doing, const std::string& kind, const Recorded& recorded, const Streams& streams) {
  const char* done = doing == Doing::Undo    ? "Taken back from"
                     : doing == Doing::Amend ? "Amended in"
                                             : "Recorded in";
  streams.talk << fmt::format("{} {}, line {}:", done, recorded.file.string(), recorded.line);
  const char* before = " ";
  for (const NewCell& cell : recorded.cells) {
    streams.talk << before << cell.column << ' ' << cell.text;
    before = ", ";
  }
  streams.talk << ".\n";
  for (const std::string& note : recorded.notes) streams.talk << note << '\n';
  for (const Complaint& warning : recorded.warnings) streams.talk << warning.told() << '\n';
  if (!recorded.warnings.empty()) {
    streams.talk << fmt::format(
        "If it is not as it was meant: --amend with what should stand "
        "there, or --undo, after 'record ... {}'.\n",
        kind);
  }
}

Doing doing_of(const Given& given) {
  if (given.has("undo") && given.has("amend")) {
    throw WrongUsage("--undo and --amend do not go together; give one of them");
  }
  return given.has("undo") ? Doing::Undo : given.has("amend") ? Doing::Amend : Doing::Add;
}

/// The second word, what is recorded.
const std::string& kind_of(const Given& given) {
  const std::string torn = given.torn_value(2);
  if (!torn.empty()) throw WrongUsage(torn);
  if (given.words().size() != 2) {
    throw WrongUsage(
        "record takes a studio and what is recorded, as in: ellwand record my-studio lot --yarn "
        "rug-wool-ash --net-g 100");
  }
  const std::string& kind = given.words()[1];
  if (contains(kKinds, kind)) return kind;
  throw WrongUsage(fmt::format("'{}' cannot be recorded{} A swatch, lot, minutes or finished can.",
                               kind, did_you_mean(kind, kKinds)));
}

int run_record(const Given& given, const Streams& streams) {
  const std::string kind = kind_of(given);
  const Doing doing = doing_of(given);
  Entry entry(given, kind);
  const auto is_more = [&](const NewCell& cell) {
    return !(kind == "finished" && cell.column == "piece");
  };
  const bool has_more = std::any_of(entry.cells().begin(), entry.cells().end(), is_more);
  if (doing == Doing::Undo && has_more) {
    throw WrongUsage("--undo takes back the last one whole; it goes with no figures");
  }
  if (doing == Doing::Amend && !has_more) {
    throw WrongUsage("--amend wants what should stand there now, such as --amend --used-g 14");
  }
  const estimate::StartingValues starting =
      studio::open_starting_values(data_folder() / "starting-values.csv");
  const studio::Studio studio = studio::open_studio(given.words().front(), starting);
  try {
    const auto calibration = studio::open_calibration(studio.folder);
    const studio::RecordedOn on{studio::today(), calibration ? &calibration->learned : nullptr};
    const Recorded recorded = kind == "finished"
                                  ? do_finished(doing, entry, studio, starting, on, streams)
                                  : do_row(doing, kind, entry, studio, starting, on, streams);
    if (given.has("json")) {
      streams.results << studio::record_json(name_of(doing), recorded);
    } else {
      tell(doing, kind, recorded, streams);
      streams.talk << to_calibrate(doing, kind, studio);
    }
    return kDone;
  } catch (const BadInput& bad) {
    std::vector<Complaint> complaints = bad.complaints();
    complaints.push_back({"", 0, 0, "Nothing was changed."});
    throw BadInput(std::move(complaints));
  }
}

std::string lines_of(const std::string& title, const std::vector<std::string>& columns) {
  std::string text = title + "\n";
  std::string line = "   ";
  for (const std::string& column : columns) {
    const std::string word = " --" + option_of(column);
    if (line.size() + word.size() > 98) {
      text += line + "\n";
      line = "   ";
    }
    line += word;
  }
  return text + line + "\n";
}

std::vector<std::string> without(std::vector<std::string> columns,
                                 const std::vector<std::string>& others) {
  const auto is_other = [&](const std::string& column) { return contains(others, column); };
  columns.erase(std::remove_if(columns.begin(), columns.end(), is_other), columns.end());
  return columns;
}

std::string options_told() {
  const std::vector<std::string> finished = columns_for("finished");
  return lines_of("finished and swatch: what was measured, and how", finished) +
         lines_of("swatch also: what was woven, as a piece file would say it",
                  without(columns_for("swatch"), finished)) +
         lines_of("lot", columns_for("lot")) + lines_of("minutes", columns_for("minutes")) +
         "\n--unpicked-cm and the like: all strands held together, of all --unpicked-rows, added "
         "up.\n"
         "Each takes a value, as its column in swatches.csv, lots.csv or time.csv does.\n";
}

std::vector<Option> all_options() {
  std::vector<Option> options = {
      {"undo", "", "takes the last one back"},
      {"amend", "", "writes other values into the last one, with --swatch into that swatch"},
      {"json", "", "what was written, for other programs"},
      {"help", "", "this text", 'h'}};
  for (const std::string& column : every_column()) {
    options.push_back({option_of(column), "VALUE", "", 0, false});
  }
  return options;
}

std::vector<std::string> examples() {
  const std::string swatch =
      "ellwand record my-studio swatch --swatch s13 --loom \"notched board\" --warp-yarn "
      "seine-12-6 "
      "--ends 33 --work weave --yarn rug-wool-ash --rows 40 --used-g 5.5";
  return {swatch, "ellwand record my-studio lot --yarn rug-wool-ash --lot 340 --net-g 100",
          "ellwand record my-studio minutes --piece saltmarsh --band 2 --rows 36 --minutes 95",
          "ellwand record my-studio finished --piece saltmarsh --yarn rug-wool-ash --used-g 21",
          "ellwand record my-studio swatch --amend --used-g 6.5"};
}

}  // namespace

Verb record_verb() {
  return {"record",
          "adds a measured swatch, a bought lot, minutes spent or a finished piece",
          "STUDIO swatch|lot|minutes|finished [options]",
          examples(),
          all_options(),
          options_told(),
          run_record};
}

}  // namespace ellwand::tools
