// ellwand sheet: a piece on a page or two, to print and pin up beside the loom.

#include "estimated.hpp"
#include "option_values.hpp"
#include "print_sheet.hpp"
#include "result.hpp"
#include "verbs.hpp"
#include "workbench.hpp"

#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/freeze.hpp"

#include <fmt/format.h>

#include <ostream>

namespace ellwand::tools {

namespace {

std::string date_of(const Given& given) {
  if (!given.has("date")) return studio::today();
  if (!studio::is_date(given.value("date"))) {
    refuse(given, "date", "a day as year-month-day, such as 2026-03-14");
  }
  return given.value("date");
}

Paper paper_of(const Given& given) {
  const std::string& paper = given.value("paper");
  if (!given.has("paper")) return Paper::AsThePrinterHas;
  if (paper == "a4" || paper == "A4") return Paper::A4;
  if (paper == "letter" || paper == "Letter") return Paper::Letter;
  refuse(given, "paper", "'a4' or 'letter'");
}

/// What belongs to the page alone says nothing of a drawing or of figures.
void require_one_form_of_sheet(const Given& given) {
  if (given.has("drawing") && given.has("json")) {
    throw WrongUsage("--drawing and --json are different forms; ask for one");
  }
  for (const char* form : {"drawing", "json"}) {
    if (given.has(form) && given.has("paper")) {
      throw WrongUsage(
          fmt::format("--paper is of the page to print; leave it out with --{}", form));
    }
  }
  if (given.has("drawing") && given.has("date")) {
    throw WrongUsage("--date does not stand in a drawing; leave it out with --drawing");
  }
}

std::vector<studio::SheetYarn> yarns_of(const estimate::PieceModel& model) {
  std::vector<studio::SheetYarn> yarns;
  for (const yarn::Yarn* yarn : model.all_yarns()) {
    yarns.push_back({yarn->id, yarn->label, yarn->colour ? yarn::hex(*yarn->colour) : ""});
  }
  return yarns;
}

int run_sheet(const Given& given, const Streams& streams) {
  const PieceFile file = named_piece(given.words(), "sheet");
  require_one_form_of_sheet(given);
  const Paper paper = paper_of(given);
  const std::string date = date_of(given);
  const Workbench bench(file.studio);
  estimate::Options asked;
  asked.chances = !given.has("drawing");  // which tells none
  const EstimatedPiece piece = estimated_piece(bench, file.piece, asked);
  const Sheet sheet{piece.model, piece.estimate, {bench.studio().name, date}, paper};
  studio::DrawingOptions options;
  options.shown = bench.studio().shown.length;
  options.key = given.has("drawing");
  std::string text;
  if (given.has("json")) {
    text = studio::sheet_json(sheet.head, yarns_of(piece.model), piece.estimate);
  } else if (given.has("drawing")) {
    text = studio::piece_drawing(piece.model, piece.estimate, options).svg;
  } else {
    text = sheet_page(sheet, Shower(bench.studio().shown), options);
  }
  put_result(text, given, {file}, streams);
  return kDone;
}

}  // namespace

Verb sheet_verb() {
  return {"sheet",
          "a page or two to print: the piece drawn to scale, and the order of work",
          "PIECE [options]",
          {"ellwand sheet my-studio/pieces/saltmarsh.toml -o saltmarsh.html",
           "ellwand sheet my-studio/pieces/saltmarsh.toml --paper letter -o saltmarsh.html",
           "ellwand sheet my-studio/pieces/saltmarsh.toml --drawing -o saltmarsh.svg"},
          {{"paper", "PAPER", "'a4' or 'letter'; what the printer has unless said"},
           {"date", "DAY", "of the sheet; today unless said"},
           {"drawing", "", "the drawing alone, SVG"},
           {"json", "", "for other programs"},
           output_option(),
           {"help", "", "this text", 'h'}},
          "The sheet is one HTML file that any browser prints. Yarns are drawn in the colours of "
          "yarns.csv,\ncolumn colour: a word such as rust, or #a84e2c.\n",
          run_sheet};
}

}  // namespace ellwand::tools
