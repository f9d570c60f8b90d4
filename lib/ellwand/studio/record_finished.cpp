#include "ellwand/estimate/piece_model.hpp"
#include "ellwand/studio/cells.hpp"
#include "ellwand/studio/changes.hpp"
#include "ellwand/studio/document.hpp"
#include "ellwand/studio/encoding.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/known_without.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/studio/read_swatches.hpp"
#include "ellwand/studio/record.hpp"
#include "ellwand/studio/slips.hpp"
#include "ellwand/studio/write_turn.hpp"
#include "ellwand/units/told.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>

namespace ellwand::studio {

namespace fs = std::filesystem;

namespace {
using calibrate::Measured;
using calibrate::Measurement;

constexpr const char* kHeading = "[[measured]]";
/// What was taken off the shelf, in the unit the lot is kept in: "off_the_shelf_oz".
constexpr const char* kOffTheShelf = "off_the_shelf_";

/// The texts that change together, or not at all.
struct Texts {
  fs::path piece_path;
  fs::path lots_path;
  std::string piece;
  std::optional<std::string> lots;
};

Texts open_texts(const fs::path& folder, const std::string& piece) {
  Texts texts;
  texts.piece_path = folder / "pieces" / (piece + ".toml");
  texts.lots_path = folder / "lots.csv";
  texts.piece = read_file(texts.piece_path);
  texts.lots = text_if_there(texts.lots_path);
  return texts;
}

void write_texts(const fs::path& folder, const Texts& texts, const Texts& before) {
  std::vector<Change> changes = {{texts.piece_path, before.piece, texts.piece}};
  if (texts.lots) changes.push_back({texts.lots_path, before.lots, *texts.lots});
  write_changes(folder, changes);
}

std::string toml_text(const std::string& text) {
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') quoted += '\\';
    if (static_cast<unsigned char>(c) < 0x20) {
      quoted += fmt::format("\\u{:04x}", static_cast<unsigned>(c));
    } else {
      quoted += c;
    }
  }
  return quoted + '"';
}

/// A number that TOML writes as it was typed stands bare.
std::string toml_value(const NewCell& cell) {
  const std::string& text = cell.text;
  const bool is_bare =
      cell.is_number && !text.empty() && text.size() < 10 &&
      std::all_of(text.begin(), text.end(),
                  [](char c) { return (c >= '0' && c <= '9') || c == '.'; }) &&
      text.front() >= '1' && text.front() <= '9' &&
      (text.find('.') == std::string::npos || (text.back() != '0' && text.back() != '.'));
  return is_bare ? text : toml_text(text);
}

std::string block_of(const std::vector<NewCell>& cells, const std::string& line_ending) {
  std::string block = kHeading + line_ending;
  for (const NewCell& cell : cells) {
    block += cell.column + " = " + toml_value(cell) + line_ending;
  }
  return block;
}

std::string with_block(const std::string& text, const std::vector<NewCell>& cells) {
  const std::string ending = line_ending_of(text);
  const bool is_ended = text.empty() || text.back() == '\n';
  return text + (is_ended ? "" : ending) + ending + block_of(cells, ending);
}

int lines_in(const std::string& text) {
  return static_cast<int>(std::count(text.begin(), text.end(), '\n'));
}

/// Where the last [[measured]] begins, which must end the file.
std::size_t last_block(const Texts& texts) {
  const std::string file = texts.piece_path.string();
  const std::string marked = "\n" + texts.piece;
  const std::size_t at = marked.rfind(std::string("\n") + kHeading);
  if (at == std::string::npos) throw BadInput({{file, 0, 0, "nothing is recorded in it"}});
  const Value block = read_toml(texts.piece.substr(at), file);
  if (block.entries.size() != 1 || block.entries.front().value.items.size() != 1) {
    throw BadInput({{file, lines_in(texts.piece.substr(0, at)) + 1, 0,
                     "this [[measured]] is not at the end of the file; take it out by hand"}});
  }
  return at;
}

std::vector<NewCell> cells_of_block(const Texts& texts, std::size_t at) {
  std::vector<NewCell> cells;
  const Value block = read_toml(texts.piece.substr(at), texts.piece_path.string());
  for (const Value::Entry& entry : block.entries.front().value.items.front().entries) {
    cells.push_back(typed_cell(entry.key, entry.value.text));
  }
  return cells;
}

std::string text_in(const std::vector<NewCell>& cells, const std::string& column) {
  for (const NewCell& cell : cells) {
    if (cell.column == column) return cell.text;
  }
  return {};
}

/// What a metre of a yarn weighs by the best that is known: a length of it that was measured and
/// weighed with the piece, else what her swatches tell of its lot, else the label.
double known_grams_per_metre(const SwatchTable& read, const yarn::Yarn& yarn, const Studio& studio,
                             const estimate::StartingValues& starting, const RecordedOn& on) {
  double known = in_tex(yarn.linear_density) / 1000.0;
  for (const calibrate::Swatch& swatch : read.swatches) {
    const estimate::Workshop workshop{studio.yarns, starting, studio.habits, studio.shown.length,
                                      on.learned};
    const estimate::PieceModel model(swatch.piece, workshop);
    for (std::size_t y = 0; y < model.all_yarns().size(); ++y) {
      if (model.all_yarns()[y]->id == yarn.id) known = model.grams_per_metre(y);
    }
  }
  for (const calibrate::Swatch& swatch : read.swatches) {
    for (const Measurement& one : swatch.measurements) {
      if (one.what == Measured::Density && one.yarn == yarn.id) known = one.value;
    }
  }
  return known;
}

/// How much was measured of what left the balls of a yarn, in g; nothing where it was not.
std::optional<double> grams_off(const std::vector<Measurement>& figures, const yarn::Yarn& yarn,
                                double grams_per_metre) {
  for (const Measurement& one : figures) {
    if (one.includes != calibrate::Includes::LeftTheBall || one.yarn != yarn.id) continue;
    if (one.what == Measured::Mass) return one.value;
    if (one.what == Measured::Length) return one.value * grams_per_metre;
  }
  return std::nullopt;
}

/// The lot that was woven from: the one that is named, else the only one, else the only one that is
/// open.
std::optional<Lot> lot_used(const std::vector<Lot>& lots, const std::string& yarn,
                            const std::string& named, const fs::path& file) {
  std::vector<Lot> its;
  std::copy_if(lots.begin(), lots.end(), std::back_inserter(its), [&](const Lot& lot) {
    return lot.yarn == yarn && (named.empty() || lot.lot == named);
  });
  if (its.empty()) return std::nullopt;
  if (its.size() == 1) return its.front();
  const auto is_open = [](const Lot& lot) { return lot.opened; };
  if (std::count_if(its.begin(), its.end(), is_open) == 1) {
    return *std::find_if(its.begin(), its.end(), is_open);
  }
  std::vector<std::string> names;
  for (const Lot& lot : its) names.push_back(lot.lot);
  throw BadInput({{file.string(), its.front().line, 0,
                   fmt::format("{} is on the shelf in several lots; say which it was of: lot is {}",
                               yarn, offered(names))}});
}

std::size_t row_at(const Table& table, int line) {
  const auto found = std::find_if(table.rows().begin(), table.rows().end(),
                                  [line](const TableRow& row) { return row.line == line; });
  return static_cast<std::size_t>(found - table.rows().begin());
}

/// The column of an amount that a lot has filled; the one in g or m where it has neither.
const AmountColumn& column_kept(const Texts& texts, int line,
                                const std::vector<AmountColumn>& columns) {
  const Table table = Table::read(*texts.lots, texts.lots_path.string());
  Findings unheard(table.file());
  const Cells cells(table, table.rows()[row_at(table, line)], unheard);
  const auto kept = std::find_if(columns.begin(), columns.end(),
                                 [&](const AmountColumn& one) { return cells.has(one.column); });
  return kept == columns.end() ? columns.front() : *kept;
}

/// "3.1 oz": an amount of yarn as the studio shows it.
/// @param amount  in g, or in m where it is a length
std::string amount_shown(double amount, bool is_mass, const Shown& shown) {
  return is_mass ? mass_told(grams(amount), shown.mass) : yarn_told(metres(amount), shown.yarn);
}

/// Writes how much of a lot there is now.
void move_stock(Texts& texts, int line, const std::string& column, double now) {
  const Table table = Table::read(*texts.lots, texts.lots_path.string());
  texts.lots = table.with_cell(row_at(table, line), {column, fmt::format("{:.6g}", now), true});
}

/// What is taken off the shelf is kept in the table, so that it can be put back.
void take_off_shelf(Texts& texts, const Studio& studio, const std::vector<Measurement>& figures,
                    double grams_per_metre, std::vector<NewCell>& cells, Recorded& recorded) {
  const std::string id = text_in(cells, "yarn");
  const auto yarn = studio.yarns.find(id);
  const auto grams_used =
      yarn == studio.yarns.end() ? std::nullopt : grams_off(figures, yarn->second, grams_per_metre);
  if (!grams_used) return;
  const std::string file = texts.lots_path.string();
  const std::vector<Lot> lots =
      texts.lots ? read_lots(*texts.lots, file, studio.yarns).lots : std::vector<Lot>{};
  const auto lot = lot_used(lots, id, text_in(cells, "lot"), texts.lots_path);
  if (!lot) {
    recorded.notes.push_back(
        fmt::format("lots.csv has no such lot of {}, so nothing is taken off "
                    "the shelf.",
                    id));
    return;
  }
  if (text_in(cells, "lot").empty() && !lot->lot.empty()) cells.push_back({"lot", lot->lot});
  const auto take = [&](bool is_mass, double there, double used) {
    const AmountColumn& column =
        column_kept(texts, lot->line, is_mass ? lot_mass_columns() : lot_length_columns());
    const double off = std::min(there, used);
    move_stock(texts, lot->line, column.column, (there - off) / column.size);
    cells.push_back(
        {std::string(kOffTheShelf) + column.unit, fmt::format("{:.6g}", off / column.size), true});
    recorded.notes.push_back(fmt::format("Taken off the shelf: {} of {}{}.",
                                         amount_shown(off, is_mass, studio.shown), id,
                                         lot->lot.empty() ? "" : ", lot " + lot->lot));
    if (used > there) {
      recorded.notes.push_back(
          fmt::format("More {} was used than lots.csv had ({:.6g} {}); it has 0 now.", id,
                      there / column.size, column.unit));
    }
  };
  if (lot->net_mass) take(true, in_grams(*lot->net_mass), *grams_used);
  if (lot->net_length) take(false, in_metres(*lot->net_length), *grams_used / grams_per_metre);
}

void put_back(Texts& texts, const Studio& studio, const std::vector<NewCell>& cells,
              Recorded& recorded) {
  const std::string id = text_in(cells, "yarn");
  std::vector<AmountColumn> columns = lot_mass_columns();
  columns.insert(columns.end(), lot_length_columns().begin(), lot_length_columns().end());
  for (std::size_t i = 0; i < columns.size(); ++i) {
    const std::string off = text_in(cells, std::string(kOffTheShelf) + columns[i].unit);
    if (off.empty()) continue;
    const std::vector<Lot> lots =
        texts.lots ? read_lots(*texts.lots, texts.lots_path.string(), studio.yarns).lots
                   : std::vector<Lot>{};
    const auto found = std::find_if(lots.begin(), lots.end(), [&](const Lot& lot) {
      return lot.yarn == id && lot.lot == text_in(cells, "lot");
    });
    if (found == lots.end()) {
      recorded.notes.push_back(
          fmt::format("lots.csv no longer has that lot of {}, so nothing is "
                      "put back on the shelf.",
                      id));
      return;
    }
    const bool is_mass = i < lot_mass_columns().size();
    const double there = is_mass ? in_grams(found->net_mass.value_or(Mass<>()))
                                 : in_metres(found->net_length.value_or(Length<>()));
    const double back = read_decimal(off) * columns[i].size;
    const AmountColumn& kept =
        column_kept(texts, found->line, is_mass ? lot_mass_columns() : lot_length_columns());
    move_stock(texts, found->line, kept.column, (there + back) / kept.size);
    recorded.notes.push_back(fmt::format("Put back on the shelf: {} of {}.",
                                         amount_shown(back, is_mass, studio.shown), id));
  }
}

/// The figures at and below a line.
std::vector<Measurement> figures_from(const SwatchTable& read, int line) {
  std::vector<Measurement> figures;
  for (const calibrate::Swatch& swatch : read.swatches) {
    std::copy_if(swatch.measurements.begin(), swatch.measurements.end(),
                 std::back_inserter(figures),
                 [line](const Measurement& one) { return one.line >= line; });
  }
  return figures;
}

void put_in(Texts& texts, std::vector<NewCell> cells, const Studio& studio,
            const estimate::StartingValues& starting, const RecordedOn& on, Recorded& recorded) {
  const std::string file = texts.piece_path.string();
  const auto read_back = [&] {
    return read_measured_piece(with_block(texts.piece, cells), file, studio, starting);
  };
  const bool is_ended = texts.piece.empty() || texts.piece.back() == '\n';
  recorded.line = lines_in(texts.piece) + (is_ended ? 2 : 3);
  recorded.cells = cells;
  const SwatchTable first = read_back();
  const auto yarn = studio.yarns.find(text_in(cells, "yarn"));
  const double grams_per_metre =
      yarn == studio.yarns.end() ? 0.0
                                 : known_grams_per_metre(first, yarn->second, studio, starting, on);
  take_off_shelf(texts, studio, figures_from(first, recorded.line), grams_per_metre, cells,
                 recorded);
  const SwatchTable read = read_back();
  std::vector<Complaint> warnings = read.warnings;
  for (const calibrate::Swatch& swatch : read.swatches) {
    const std::vector<Complaint> slips = slips_of(swatch, studio, starting, on.learned);
    warnings.insert(warnings.end(), slips.begin(), slips.end());
    if (!swatch.piece.planned) continue;
    recorded.notes.push_back(
        fmt::format("{} still says planned = true; take that out now that it is woven.", file));
  }
  std::copy_if(warnings.begin(), warnings.end(), std::back_inserter(recorded.warnings),
               [&](const Complaint& one) { return one.line >= recorded.line; });
  const std::string doubt = doubt_of_day(text_in(cells, "date"), on.today);
  if (!doubt.empty()) recorded.warnings.push_back({file, recorded.line, 0, "date: " + doubt});
  texts.piece = with_block(texts.piece, cells);
}

/// Takes the last table out. @returns what it said
std::vector<NewCell> take_out(Texts& texts, const Studio& studio, Recorded& recorded) {
  std::size_t at = last_block(texts);
  const std::vector<NewCell> cells = cells_of_block(texts, at);
  recorded.line = lines_in(texts.piece.substr(0, at)) + 1;
  put_back(texts, studio, cells, recorded);
  const std::string ending = line_ending_of(texts.piece);
  const bool has_blank_line =
      at >= 2 * ending.size() &&
      texts.piece.compare(at - 2 * ending.size(), 2 * ending.size(), ending + ending) == 0;
  if (has_blank_line) at -= ending.size();
  texts.piece.erase(at);
  return cells;
}
}  // namespace

namespace {
/// What she is known to do by all but a piece of which something is measured already.
class KnownBefore {
 public:
  KnownBefore(const fs::path& folder, const Texts& texts, const std::string& piece,
              const Studio& studio, const estimate::StartingValues& starting, const RecordedOn& on)
      : on_(on) {
    const bool was_measured =
        ("\n" + texts.piece).find(std::string("\n") + kHeading) != std::string::npos;
    if (on.learned == nullptr || !was_measured) return;
    others_ = known_without(folder, piece, studio, starting);
    on_.learned = others_ ? &*others_ : nullptr;
  }
  KnownBefore(const KnownBefore&) = delete;
  KnownBefore& operator=(const KnownBefore&) = delete;
  const RecordedOn& on() const { return on_; }

 private:
  RecordedOn on_;
  std::optional<estimate::Learned> others_;
};
}  // namespace

Recorded record_finished(const fs::path& folder, const std::string& piece,
                         const std::vector<NewCell>& cells, const Studio& studio,
                         const estimate::StartingValues& starting, const RecordedOn& on) {
  const WriteTurn turn(folder);
  const Texts before = open_texts(folder, piece);
  Texts texts = before;
  Recorded recorded{texts.piece_path, 0, {}, {}, {}};
  const KnownBefore known(folder, before, piece, studio, starting, on);
  put_in(texts, cells, studio, starting, known.on(), recorded);
  write_texts(folder, texts, before);
  return recorded;
}

Recorded amend_finished(const fs::path& folder, const std::string& piece,
                        const std::vector<NewCell>& cells, const Studio& studio,
                        const estimate::StartingValues& starting, const RecordedOn& on) {
  const WriteTurn turn(folder);
  const Texts before = open_texts(folder, piece);
  Texts texts = before;
  Recorded recorded{texts.piece_path, 0, {}, {}, {}};
  std::vector<NewCell> all = cells;
  for (const NewCell& old : take_out(texts, studio, recorded)) {
    const bool is_shelf = old.column.starts_with(kOffTheShelf);
    const bool is_kept = std::none_of(
        cells.begin(), cells.end(), [&](const NewCell& cell) { return cell.column == old.column; });
    if (is_kept && !is_shelf) all.push_back(old);
  }
  const KnownBefore known(folder, before, piece, studio, starting, on);
  put_in(texts, all, studio, starting, known.on(), recorded);
  write_texts(folder, texts, before);
  return recorded;
}

Recorded undo_finished(const fs::path& folder, const std::string& piece, const Studio& studio) {
  const WriteTurn turn(folder);
  const Texts before = open_texts(folder, piece);
  Texts texts = before;
  Recorded recorded{texts.piece_path, 0, {}, {}, {}};
  recorded.cells = take_out(texts, studio, recorded);
  write_texts(folder, texts, before);
  return recorded;
}

}  // namespace ellwand::studio
