#include "ellwand/studio/read_swatches.hpp"

#include "ellwand/calibrate/found_shares.hpp"
#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/document.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/findings.hpp"
#include "ellwand/studio/read_figures.hpp"
#include "ellwand/studio/read_piece.hpp"
#include "ellwand/studio/read_piece_parts.hpp"
#include "ellwand/studio/slips.hpp"
#include "ellwand/studio/swatch_columns.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <iterator>
#include <map>
#include <set>
#include <system_error>
#include <utility>

namespace ellwand::studio {

namespace fs = std::filesystem;

namespace {
using calibrate::Measurement;
using calibrate::Swatch;
using Pieces = std::map<std::string, piece::Piece>;

bool contains(const std::vector<std::string>& words, const std::string& word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

std::vector<std::string> known_columns() {
  std::vector<std::string> all = {"swatch", "piece", "measure", "value"};
  for (const auto* more : {&circumstance_columns(), &work_columns(), &figure_columns()}) {
    all.insert(all.end(), more->begin(), more->end());
  }
  return all;
}

/// A row of the table, a figure named by `measure` standing as if in a column of that name.
NamedTexts row_of(const Table& table, const TableRow& row, Findings& findings) {
  NamedTexts texts{table.columns(), row.cells, {}, {row.line, 0}, table.decimal_mark()};
  for (std::size_t i = 0; i < texts.names.size(); ++i) {
    texts.places.push_back({row.line, static_cast<int>(i) + 1});
  }
  const Cells cells(table, row, findings);
  const std::string measure = cells.text("measure");
  if (measure.empty() != !cells.has("value")) {
    cells.complain(measure.empty() ? "value" : "measure",
                   measure.empty()
                       ? "of what? Write in measure the name of a column, such as used_g"
                       : "needs a value beside it");
  } else if (!measure.empty() && !contains(figure_columns(), measure)) {
    cells.complain("measure", unknown_word(measure, figure_columns()));
  } else if (!measure.empty() && cells.has(measure)) {
    cells.complain("measure", measure +
                                  " has a column of its own that is filled as well; empty "
                                  "one of the two");
  } else if (!measure.empty()) {
    const auto named = std::find(texts.names.begin(), texts.names.end(), measure);
    if (named != texts.names.end()) *named = "";
    *std::find(texts.names.begin(), texts.names.end(), "value") = measure;
  }
  return texts;
}

bool is_filled(const Cells& row, const std::vector<std::string>& columns) {
  return std::any_of(columns.begin(), columns.end(),
                     [&](const std::string& column) { return row.has(column); });
}

/// The same figure of the same thing in two rows is most often one that was written down twice.
void warn_of_twins(const std::vector<Measurement>& all, const Measurement& one, const Cells& row) {
  for (const Measurement& other : all) {
    const bool is_same = other.column == one.column && other.value == one.value &&
                         other.yarn == one.yarn && other.band == one.band &&
                         other.state == one.state && other.line != one.line;
    if (!is_same) continue;
    row.warn(one.column,
             fmt::format("line {} says the same of it; was it recorded twice?", other.line));
    return;
  }
}

/// Takes the rows of one swatch one after the other.
class Gathering {
 public:
  Gathering(Swatch& swatch, Figured figured, const Studio& studio)
      : swatch_(swatch), figured_(std::move(figured)), studio_(studio) {}

  void take(const Cells& row) {
    const std::string yarn = read_row_yarn(row, studio_);
    take_day_and_weaver(row);
    take_lot(row, yarn.empty() ? figured_.yarn : yarn);
    if (row.text("state") == "washed" || row.text("state") == "finished") {
      swatch_.piece.finish.washing = piece::Washing::Washed;
    }
    const std::size_t before = row.findings().complaint_count();
    const std::vector<Measurement> figures = read_figures(row, figured_);
    if (figures.empty() && row.findings().complaint_count() == before) {
      row.findings().warn({row.line(), 0},
                          "nothing is measured in this row; it is kept but not used");
    }
    for (const Measurement& one : figures) {
      warn_of_twins(swatch_.measurements, one, row);
      swatch_.measurements.push_back(one);
    }
  }

 private:
  void take_day_and_weaver(const Cells& row) {
    const std::string date = row.date("date");
    swatch_.date = std::max(swatch_.date, date);
    const auto weaver = read_row_weaver(row, studio_);
    if (!weaver) return;
    if (weaver_line_ > 0 && row.text("weaver") != weaver_) {
      row.complain("weaver", fmt::format("{} here, but line {} says {} of the same swatch",
                                         row.text("weaver"), weaver_line_, weaver_));
    }
    weaver_ = row.text("weaver");
    weaver_line_ = row.line();
    set_weaver(*weaver, swatch_.piece);
  }

  void take_lot(const Cells& row, const std::string& yarn) {
    const std::string lot = row.text("lot");
    if (lot.empty()) return;
    if (yarn.empty()) {
      row.complain("lot", "of which yarn? Write its id in the column yarn");
      return;
    }
    const std::string doubt = doubt_of_lot(yarn, lot, studio_.lots);
    if (!doubt.empty()) row.warn("lot", doubt);
    const auto [known, is_new] = swatch_.piece.lots.emplace(yarn, lot);
    if (!is_new && known->second != lot) {
      row.complain("lot", fmt::format("{} here, but {} of this swatch is of lot {} elsewhere; one "
                                      "swatch is of one lot of a yarn",
                                      lot, yarn, known->second));
    }
  }

  Swatch& swatch_;
  Figured figured_;
  const Studio& studio_;
  std::string weaver_;
  int weaver_line_ = 0;
};

/// A warp end says something only of woven cloth, beside what its weft and its height are.
void warn_of_ends_alone(const Swatch& swatch, const std::vector<Cells>& rows) {
  // Common practice, no published source: a warp is wound some 2 % longer than it is slack.
  constexpr double kSpringsBack = 0.98;
  for (const calibrate::Unpicked& one : calibrate::unpicked_of(swatch)) {
    const auto row = std::find_if(rows.begin(), rows.end(), [&](const Cells& cells) {
      return cells.line() == one.end->line;
    });
    const bool has_band = one.end->band && *one.end->band < swatch.piece.bands.size();
    if (row == rows.end() || !has_band) continue;  // what was woven could not be read
    const Measurement* const height = one.height;
    if (height != nullptr && one.end->value < kSpringsBack * height->value / height->share) {
      row->warn(one.end->column,
                "the ends are shorter than the cloth they came out of; straighten them and measure "
                "again, count them again (unpicked_ends), or see the height");
    }
    const bool is_woven =
        std::holds_alternative<technique::Woven>(swatch.piece.bands.at(*one.end->band).work);
    if (is_woven && one.is_whole()) continue;
    row->warn(one.end->column,
              fmt::format("kept but not used: {}",
                          !is_woven             ? "the band is not woven"
                          : one.weft == nullptr ? "unpick rows of its weft as well (unpicked_m)"
                                                : "measure its height as well (height_cm)"));
  }
}

void finish(Swatch& swatch) {
  swatch.lots = swatch.piece.lots;
  swatch.weaver = swatch.piece.weaver;
}

/// The yarn figures are of where a row names none, in a piece that has one weft only.
std::string only_weft(const piece::Piece& piece) {
  std::set<std::string> yarns;
  for (const piece::Band& band : piece.bands) {
    if (const auto* woven = std::get_if<technique::Woven>(&band.work)) {
      for (const auto& area : woven->areas) yarns.insert(area.strand.yarn);
    } else {
      return {};
    }
  }
  return yarns.size() == 1 ? *yarns.begin() : std::string();
}

/// Rows of a finished piece.
Swatch piece_swatch(const piece::Piece& piece, const std::string& file,
                    const std::vector<Cells>& rows, const Studio& studio) {
  Swatch swatch;
  swatch.id = piece.id;
  swatch.file = file;
  swatch.piece = piece;
  Gathering gathering(swatch, {&piece, only_weft(piece), false, true}, studio);
  for (const Cells& row : rows) {
    for (const std::string& column : work_columns()) {
      if (row.has(column)) row.warn(column, "what was woven is as the piece says; not used here");
    }
    gathering.take(row);
  }
  warn_of_ends_alone(swatch, rows);
  finish(swatch);
  return swatch;
}

/// The yarn a swatch is of: that of the row that says the work, else of the first.
std::string weft_of(const std::vector<Cells>& rows) {
  for (const Cells& row : rows) {
    if (row.has("work")) return row.text("yarn");
  }
  return rows.front().text("yarn");
}

/// What was woven, or the yarn alone where nothing was.
Figured take_work(Swatch& swatch, const std::vector<Cells>& rows, const Studio& studio,
                  const estimate::StartingValues& starting) {
  Figured figured;
  figured.yarn = weft_of(rows);
  const bool has_work = std::any_of(
      rows.begin(), rows.end(), [](const Cells& row) { return is_filled(row, work_columns()); });
  const std::vector<std::string> of_yarn = {"wraps", "weighed_m", "weighed_yd", "weighed_g",
                                            "weighed_oz"};
  const bool is_yarn_alone = !has_work && !figured.yarn.empty() &&
                             std::all_of(rows.begin(), rows.end(),
                                         [&](const Cells& row) { return is_filled(row, of_yarn); });
  const std::size_t before = rows.front().findings().complaint_count();
  if (is_yarn_alone) {
    swatch.piece = yarn_alone(swatch.id, figured.yarn);
    set_weaver(studio.weaver, swatch.piece);
  } else {
    SwatchWork work = read_swatch_work(swatch.id, rows, studio, starting);
    figured.span_is_known = work.span_is_known;
    swatch.piece = std::move(work.piece);
  }
  const bool is_read = rows.front().findings().complaint_count() == before;
  if (is_read && !swatch.piece.bands.empty()) figured.piece = &swatch.piece;
  return figured;
}

Swatch read_swatch(const std::string& id, const std::string& file, const std::vector<Cells>& rows,
                   const Studio& studio, const estimate::StartingValues& starting) {
  Swatch swatch;
  swatch.id = id;
  swatch.file = file;
  const Figured figured = take_work(swatch, rows, studio, starting);
  swatch.piece.file = file;
  for (piece::Band& band : swatch.piece.bands) band.line = rows.front().line();
  Gathering gathering(swatch, figured, studio);
  for (const Cells& row : rows) gathering.take(row);
  warn_of_ends_alone(swatch, rows);
  finish(swatch);
  return swatch;
}

std::vector<std::string> names_of(const Pieces& pieces) {
  std::vector<std::string> names;
  for (const auto& [name, piece] : pieces) names.push_back(name);
  return names;
}

/// The rows of one swatch or piece, in the order of the file.
struct Group {
  std::string id;
  bool is_piece = false;
  std::vector<Cells> rows;
};

std::vector<Group> groups_of(const std::vector<NamedTexts>& rows, const Pieces& pieces,
                             Findings& findings) {
  std::vector<Group> groups;
  std::map<std::pair<std::string, bool>, std::size_t> places;
  for (const NamedTexts& texts : rows) {
    const Cells row(texts, findings);
    const bool is_piece = row.has("piece");
    const std::string id = row.text(is_piece ? "piece" : "swatch");
    if (id.empty()) {
      row.complain("swatch",
                   "every row needs one: an id of your own, or in piece the id of a piece");
      continue;
    }
    if (is_piece && pieces.find(id) == pieces.end()) {
      row.complain("piece", in_quotes(id) + " is no piece of the folder pieces" +
                                did_you_mean(id, names_of(pieces)));
      continue;
    }
    if (!is_piece && pieces.find(id) != pieces.end()) {
      row.complain("swatch", in_quotes(id) +
                                 " is the id of a piece; write it in the column piece, "
                                 "or give the swatch another id");
      continue;
    }
    const auto [place, is_new] = places.emplace(std::pair(id, is_piece), groups.size());
    if (is_new) groups.push_back({id, is_piece, {}});
    groups[place->second].rows.push_back(row);
  }
  return groups;
}

/// All that is said of a swatch but its id and notes.
std::string said_of(const Group& group, const std::vector<std::string>& columns) {
  std::string said;
  for (const Cells& row : group.rows) {
    for (const std::string& column : columns) {
      if (column != "swatch" && column != "note") said += row.text(column) + '\n';
    }
  }
  return said;
}

/// How likely it is that another swatch woven alike reads the same in every figure.
///
/// Source: derived. Two such swatches differ by what is a piece's own (log-sd 0.06) and by the
///         weighing (0.03), together sqrt(2) (0.06^2 + 0.03^2)^(1/2) = 0.095, whose density at no
///         difference is 4.2; times the tool's step over the figure.
double chance_of_the_same(const Swatch& swatch) {
  constexpr double kDensityAtNone = 4.2;
  double chance = 1.0;
  for (const Measurement& one : swatch.measurements) {
    chance *= std::min(1.0, kDensityAtNone * one.step / one.value);
  }
  return chance;
}

/// Two swatches of one day, the same in all but their names, are one that was recorded twice unless
/// their figures are so coarse that both may well read so.
void warn_of_doubles(const std::vector<Group>& groups, const std::vector<Swatch>& swatches,
                     const std::vector<std::string>& columns) {
  constexpr double kCoincidence = 0.01;
  std::map<std::string, std::string> first;
  for (std::size_t g = 0; g < groups.size(); ++g) {
    const bool is_dated = std::all_of(groups[g].rows.begin(), groups[g].rows.end(),
                                      [](const Cells& row) { return row.has("date"); });
    if (groups[g].is_piece || !is_dated || swatches[g].measurements.empty()) continue;
    const auto [known, is_new] = first.emplace(said_of(groups[g], columns), groups[g].id);
    if (is_new || chance_of_the_same(swatches[g]) > kCoincidence) continue;
    groups[g].rows.front().warn(
        "swatch", fmt::format("{} is as swatch {} in all that is said and measured of it; was it "
                              "recorded twice?",
                              groups[g].id, known->second));
  }
}

}  // namespace

SwatchTable read_swatches(const std::string& text, const std::string& file, const Studio& studio,
                          const estimate::StartingValues& starting, const Pieces& pieces) {
  const Table table = Table::read(text, file);
  Findings findings(file);
  table.warn_of_others(known_columns(), findings);
  std::vector<NamedTexts> rows;
  for (const TableRow& row : table.rows()) rows.push_back(row_of(table, row, findings));
  SwatchTable read;
  const std::vector<Group> groups = groups_of(rows, pieces, findings);
  for (const Group& group : groups) {
    read.swatches.push_back(group.is_piece
                                ? piece_swatch(pieces.at(group.id), file, group.rows, studio)
                                : read_swatch(group.id, file, group.rows, studio, starting));
  }
  findings.stop_if_any();
  warn_of_doubles(groups, read.swatches, table.columns());
  read.warnings = findings.warnings();
  return read;
}

namespace {
/// A [[measured]] table as a row.
NamedTexts row_of(Section& section) {
  NamedTexts row;
  row.place = section.place();
  for (const std::string& key : section.keys()) {
    const Value& value = *section.value(key);
    if (value.kind == Value::Kind::Table || value.kind == Value::Kind::Array) {
      section.complain(key, kind_and_text(value) + " was read where a number or text is wanted");
      continue;
    }
    row.names.push_back(key);
    row.texts.push_back(value.text);
    row.places.push_back(value.place);
  }
  return row;
}

void warn_of_other_keys(const NamedTexts& row, Findings& findings) {
  std::vector<std::string> known = circumstance_columns();
  known.insert(known.end(), figure_columns().begin(), figure_columns().end());
  // What was taken off the shelf when it was recorded.
  for (const char* key :
       {"off_the_shelf_g", "off_the_shelf_oz", "off_the_shelf_m", "off_the_shelf_yd"}) {
    known.emplace_back(key);
  }
  for (std::size_t i = 0; i < row.names.size(); ++i) {
    if (contains(known, row.names[i])) continue;
    findings.warn(row.places[i], unknown_name("key", row.names[i], " in [[measured]]", known));
  }
}
}  // namespace

SwatchTable read_measured_piece(const std::string& text, const std::string& file,
                                const Studio& studio, const estimate::StartingValues& starting) {
  const Value document = read_toml(text, file);
  Findings findings(file);
  Section section(document, "this file", findings);
  SwatchTable read;
  if (!section.has("measured")) return read;
  const piece::Piece piece =
      read_piece_table(document, fs::path(file).stem().string(), studio, starting, findings);
  std::vector<NamedTexts> texts;
  for (Section& one : section.tables("measured", "[[measured]]")) {
    texts.push_back(row_of(one));
    warn_of_other_keys(texts.back(), findings);
  }
  findings.stop_if_any();
  std::vector<Cells> rows;
  for (const NamedTexts& row : texts) rows.emplace_back(row, findings);
  read.swatches.push_back(piece_swatch(piece, file, rows, studio));
  findings.stop_if_any();
  read.warnings = findings.warnings();
  return read;
}

namespace {

/// The ids of pieces that a table's rows name.
std::set<std::string> pieces_named(const Table& table) {
  std::set<std::string> named;
  Findings unheard(table.file());
  for (const TableRow& row : table.rows()) {
    named.insert(Cells(table, row, unheard).text("piece"));
  }
  return named;
}

/// What is read of several files, their complaints together.
class Together {
 public:
  void gather(const std::function<void()>& read) {
    try {
      read();
    } catch (const BadInput& bad) {
      append(complaints_, bad.complaints());
    }
  }
  void join(SwatchTable more) {
    std::move(more.swatches.begin(), more.swatches.end(), std::back_inserter(all_.swatches));
    append(all_.warnings, more.warnings);
  }
  bool is_good() const { return complaints_.empty(); }
  SwatchTable all() {
    if (!complaints_.empty()) throw BadInput(listed(std::move(complaints_)));
    return std::move(all_);
  }

 private:
  SwatchTable all_;
  std::vector<Complaint> complaints_;
};

/// The pieces that rows name, read; and of the others their ids.
Pieces pieces_for(const std::string& text, const std::string& file, const fs::path& folder,
                  const Studio& studio, const estimate::StartingValues& starting) {
  const std::set<std::string> named = pieces_named(Table::read(text, file));
  Together together;
  Pieces pieces;
  for (const fs::path& path : piece_files(folder)) {
    piece::Piece& piece = pieces[path.stem().string()];
    if (named.count(path.stem().string()) == 0) continue;
    together.gather([&] { piece = open_piece(path, studio, starting).piece; });
  }
  together.all();
  return pieces;
}
}  // namespace

SwatchTable read_swatches_in(const fs::path& folder, const std::string& text, const Studio& studio,
                             const estimate::StartingValues& starting) {
  const std::string file = (folder / "swatches.csv").string();
  return read_swatches(text, file, studio, starting,
                       pieces_for(text, file, folder, studio, starting));
}

SwatchTable open_swatches(const fs::path& folder, const Studio& studio,
                          const estimate::StartingValues& starting) {
  Together together;
  for (const fs::path& path : piece_files(folder)) {
    together.gather([&] {
      together.join(read_measured_piece(read_file(path), path.string(), studio, starting));
    });
  }
  const fs::path file = folder / "swatches.csv";
  std::error_code unseen;
  // Rows of pieces that could not be read would only be complained of twice.
  if (fs::exists(file, unseen) && together.is_good()) {
    together.gather(
        [&] { together.join(read_swatches_in(folder, read_file(file), studio, starting)); });
  }
  SwatchTable all = together.all();
  for (const Swatch& swatch : all.swatches) {
    together.gather([&] { append(all.warnings, slips_of(swatch, studio, starting)); });
  }
  together.all();
  return all;
}

}  // namespace ellwand::studio
