// ellwand notebook: a calibration as tables and a notebook that reads them, for an analyst.

#include "calibrating.hpp"
#include "data_folder.hpp"
#include "progress.hpp"
#include "show.hpp"
#include "verbs.hpp"

#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/freeze.hpp"
#include "ellwand/studio/new_folder.hpp"
#include "ellwand/studio/notebook_json.hpp"
#include "ellwand/studio/notebook_tables.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <map>
#include <ostream>
#include <set>
#include <utility>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

using studio::ExportTable;

constexpr const char* kNotebook = "calibration.ipynb";

struct NotebookAsked {
  fs::path studio;
  fs::path folder;
  std::string date;
  studio::Earlier earlier = studio::Earlier::Refused;
};

NotebookAsked notebook_asked_by(const Given& given) {
  NotebookAsked asked;
  asked.studio = named_studio(given.words(), "notebook");
  asked.folder = given.value("output");
  if (asked.folder.empty()) {
    throw WrongUsage("notebook writes a folder and wants its name, as in: -o my-notebook");
  }
  asked.date = given.has("date") ? given.value("date") : studio::today();
  if (!studio::is_date(asked.date)) {
    throw WrongUsage(fmt::format(
        "--date: '{}' is no day; write it as year-month-day, such as 2026-03-14", asked.date));
  }
  if (given.has("again")) asked.earlier = studio::Earlier::Replaced;
  return asked;
}

std::string notebook_text(const std::string& studio_name, const std::string& date) {
  const fs::path source = notebook_file();
  return studio::notebook_json(
      studio::read_file(source), source.string(),
      {{"studio", studio_name}, {"date", date}, {"engine", studio::kEngineVersion}});
}

/// The pieces to come, before and after. What cannot be estimated is told and left out.
std::vector<studio::PieceForetold> pieces_foretold(const Workbench& bench,
                                                   const estimate::Learned& learned,
                                                   const Streams& streams) {
  ChosenPieces chosen = choose_pieces(bench, {});
  estimate::Workshop taught = bench.workshop();
  taught.learned = &learned;
  estimate::Options options;
  options.chances = false;
  std::vector<studio::PieceForetold> all;
  for (const piece::Piece& piece : chosen.pieces) {
    try {
      all.push_back({estimate::estimate(piece, bench.workshop(), {}, options),
                     estimate::estimate(piece, taught, {}, options)});
    } catch (const BadInput& bad) {
      chosen.complaints.insert(chosen.complaints.end(), bad.complaints().begin(),
                               bad.complaints().end());
    }
  }
  for (const Complaint& complaint : chosen.complaints) streams.talk << complaint.told() << '\n';
  return all;
}

void print_notebook(const NotebookAsked& asked, const studio::ForNotebook& all,
                    const std::vector<ExportTable>& tables, std::ostream& out) {
  out << fmt::format(
      "The notebook {} has {} of {} and {}; its learning curve has {}, each a fit of its own.\n\n",
      (asked.folder / kNotebook).string(),
      counted(static_cast<int>(all.seen.size()), "measurement", "measurements"),
      counted(static_cast<int>(calibrate::pieces_by_date(all.calibrated.swatches).size()), "piece",
              "pieces"),
      counted(static_cast<int>(all.calibrated.fit.coefficients.size()), "coefficient",
              "coefficients"),
      counted(static_cast<int>(all.learning.points.size()), "point", "points"));
  TextTable table({"file", "rows", "a row is"}, {2});
  for (const ExportTable& one : tables) {
    table.add({one.file, std::to_string(one.rows.size()), one.about});
  }
  table.print(out);
}

/// What will be in the folder, before anything is made.
std::set<std::string> file_names() {
  std::set<std::string> names = {kNotebook};
  for (const ExportTable& table : studio::notebook_tables({})) names.insert(table.file);
  return names;
}

int run_notebook(const Given& given, const Streams& streams) {
  const NotebookAsked asked = notebook_asked_by(given);
  studio::refuse_unfit_folder(asked.folder, file_names(), asked.earlier);
  const Workbench bench(asked.studio, Learning::LeftOut);
  Calibrating found = calibrating(bench, asked.date, streams);
  if (!found.no_answer.empty()) {
    streams.talk << found.no_answer << '\n';
    return kNoAnswer;
  }
  const estimate::Workshop workshop = bench.workshop();
  studio::ForNotebook all;
  all.calibrated = std::move(found.calibrated);
  all.folder = asked.studio;
  all.seen = calibrate::seen_trials(all.calibrated.fit, all.calibrated.swatches, workshop);
  all.learning = calibrate::learning_curve(all.calibrated.swatches, workshop);

  all.pieces = pieces_foretold(bench, all.calibrated.fit.learned, streams);

  const std::vector<ExportTable> tables = studio::notebook_tables(all);
  std::map<std::string, std::string> files = {
      {kNotebook, notebook_text(bench.studio().name, asked.date)}};
  for (const ExportTable& table : tables) files[table.file] = csv_of(table);
  studio::write_folder(asked.folder, files, asked.earlier);
  if (given.has("json")) {
    streams.results << studio::notebook_written_json(asked.folder.string(), kNotebook, tables);
  } else {
    print_notebook(asked, all, tables, streams.results);
  }
  return kDone;
}

}  // namespace

Verb notebook_verb() {
  return {"notebook",
          "what the swatches teach as tables and a notebook, for an analyst",
          "STUDIO -o FOLDER [options]",
          {"ellwand notebook my-studio -o my-notebook",
           "ellwand notebook my-studio -o my-notebook --again"},
          {{"output", "FOLDER", "the folder to make", 'o'},
           {"again", "", "replace what was exported there before, changes made to it as well"},
           {"date", "DAY", "the day to write into it, year-month-day; today unless given"},
           {"json", "", "tell other programs what was written"},
           {"help", "", "this text", 'h'}},
          "The notebook reads only the tables beside it and stops where its own figures are not "
          "the engine's. It wants Python 3 with pandas and matplotlib. Nothing is kept in the "
          "studio.\n",
          run_notebook};
}

}  // namespace ellwand::tools
