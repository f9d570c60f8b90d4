#include "ellwand/studio/swatch_columns.hpp"

#include "ellwand/studio/document.hpp"
#include "ellwand/studio/read_piece_parts.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>
#include <utility>

namespace ellwand::studio {

namespace {

/// A short length is not told in metres.
enum class Kind { Whole, Number, Text, Flag, Length, ShortLength, ThreadDensity, Angle, Draft };
enum class In { Loom, Warp, Band, Ground };

struct WorkColumn {
  const char* column;  ///< without the unit
  Kind kind;
  In in;
  const char* key;  ///< in the table of a piece file
};

constexpr WorkColumn kWorkColumns[] = {
    {"span", Kind::Length, In::Loom, "span"},
    {"pitch", Kind::ShortLength, In::Loom, "pitch"},
    {"every", Kind::Whole, In::Loom, "every"},
    {"warp_yarn", Kind::Text, In::Warp, "yarn"},
    {"warp_held", Kind::Whole, In::Warp, "held"},
    {"ends", Kind::Whole, In::Warp, "ends"},
    {"sett", Kind::ThreadDensity, In::Warp, "sett"},
    {"width", Kind::Length, In::Warp, "width"},
    {"floating_selvedges", Kind::Flag, In::Warp, "floating_selvedges"},
    {"draw_in", Kind::Text, In::Warp, "draw_in"},
    {"work", Kind::Text, In::Band, "work"},
    {"rows", Kind::Whole, In::Band, "rows"},
    {"repeats", Kind::Whole, In::Band, "repeats"},
    {"weave", Kind::Text, In::Band, "weave"},
    {"grid", Kind::Draft, In::Band, "grid"},
    {"remainder", Kind::Text, In::Band, "remainder"},
    {"beat", Kind::Text, In::Band, "beat"},
    {"beat_ratio", Kind::Number, In::Band, "beat_ratio"},
    {"picks", Kind::ThreadDensity, In::Band, "picks"},
    {"weft_angle", Kind::Angle, In::Band, "weft_angle"},
    {"held", Kind::Whole, In::Band, "held"},
    {"split_into", Kind::Whole, In::Band, "split_into"},
    {"second_yarn", Kind::Text, In::Band, "second_yarn"},
    {"over", Kind::Whole, In::Band, "over"},
    {"back", Kind::Whole, In::Band, "back"},
    {"under", Kind::Whole, In::Band, "under"},
    {"first_under", Kind::Whole, In::Band, "first_under"},
    {"strands", Kind::Whole, In::Band, "strands"},
    {"folded_start", Kind::Flag, In::Band, "folded_start"},
    {"loop_height", Kind::ShortLength, In::Band, "loop_height"},
    {"raised", Kind::Text, In::Band, "raised"},
    {"overlap", Kind::ShortLength, In::Band, "overlap"},
    {"hang", Kind::ShortLength, In::Band, "hang"},
    {"pile_height", Kind::ShortLength, In::Band, "pile_height"},
    {"ends_per_knot", Kind::Whole, In::Band, "ends_per_knot"},
    {"edge_ends", Kind::Whole, In::Band, "edge_ends"},
    {"pulled_tight", Kind::Flag, In::Band, "pulled_tight"},
    {"card", Kind::ShortLength, In::Band, "card"},
    {"gathered_ends", Kind::Whole, In::Band, "ends"},
    {"core", Kind::ShortLength, In::Band, "core"},
    {"covered", Kind::ShortLength, In::Band, "covered"},
    {"turns", Kind::Whole, In::Band, "turns"},
    {"places", Kind::Whole, In::Band, "places"},
    {"carried_by", Kind::Text, In::Band, "carried_by"},
    {"tail", Kind::ShortLength, In::Band, "tail"},
    {"trim", Kind::ShortLength, In::Band, "trim"},
    {"working_length", Kind::Length, In::Band, "working_length"},
    {"ground_yarn", Kind::Text, In::Ground, "yarn"},
    {"picks_between", Kind::Whole, In::Ground, "picks_between"},
};

/// What ends a column's name, and the unit that stands for.
using Unit = std::pair<const char*, const char*>;

std::vector<Unit> units_of(Kind kind) {
  if (kind == Kind::Length) {
    return {{"_mm", " mm"}, {"_cm", " cm"}, {"_m", " m"}, {"_in", " in"}, {"_yd", " yd"}};
  }
  if (kind == Kind::ShortLength) return {{"_mm", " mm"}, {"_cm", " cm"}, {"_in", " in"}};
  if (kind == Kind::ThreadDensity) return {{"_per_cm", " /cm"}, {"_per_in", " /in"}};
  if (kind == Kind::Angle) return {{"_deg", " deg"}};
  return {{"", ""}};
}

/// The looms that can be named beside those of the studio.
const std::vector<std::string> kLoomKinds = {"notched", "frame", "beam"};
/// Where nothing is said of it: the longest there may be, so that any swatch has room.
constexpr const char* kAnySpan = "20 m";

Value text_value(const std::string& text, const Place& place) {
  Value value;
  value.kind = Value::Kind::Text;
  value.place = place;
  value.text = text;
  return value;
}

Value table_value(const Place& place) {
  Value value;
  value.kind = Value::Kind::Table;
  value.place = place;
  return value;
}

Value list_value(const Place& place) {
  Value value;
  value.kind = Value::Kind::Array;
  value.place = place;
  return value;
}

void put(Value& table, const std::string& key, Value value) {
  const Place place = value.place;
  table.entries.push_back({key, place, std::move(value)});
}

/// Picks of a grid, bottom row first, between strokes: "o2 u2 | u2 o2".
Value grid_value(const std::string& text, const Place& place) {
  Value list = list_value(place);
  std::size_t at = 0;
  while (at <= text.size()) {
    const std::size_t stroke = std::min(text.find('|', at), text.size());
    list.items.push_back(text_value(folded(text.substr(at, stroke - at)), place));
    at = stroke + 1;
  }
  return list;
}

/// A cell as a piece file would have it; nothing and a complaint where it cannot be read.
std::optional<Value> cell_value(const Cells& cells, const std::string& column, Kind kind,
                                const char* unit) {
  constexpr double kMost = 1e9;
  const Place place = cells.place_of(column);
  Value value = text_value(cells.text(column), place);
  switch (kind) {
    case Kind::Text:
      return value;
    case Kind::Draft:
      return grid_value(cells.text(column), place);
    case Kind::Flag: {
      const auto flag = cells.yes_or_no(column);
      if (!flag) return std::nullopt;
      value.kind = Value::Kind::Flag;
      value.flag = *flag;
      return value;
    }
    case Kind::Whole: {
      const auto whole = cells.whole(column, 0, static_cast<int>(kMost));
      if (!whole) return std::nullopt;
      value.kind = Value::Kind::Whole;
      value.whole = *whole;
      value.decimal = *whole;
      return value;
    }
    default:
      break;
  }
  const auto number = cells.number(column, 0.0, kMost);
  if (!number) return std::nullopt;
  value.kind = kind == Kind::Number ? Value::Kind::Decimal : Value::Kind::Text;
  value.decimal = *number;
  value.text = fmt::format("{}{}", *number, unit);
  return value;
}

/// The row that fills a column; a complaint where another fills it otherwise.
const Cells* row_with(const std::string& column, const std::vector<Cells>& rows) {
  const Cells* first = nullptr;
  for (const Cells& row : rows) {
    if (!row.has(column)) continue;
    if (first == nullptr) {
      first = &row;
    } else if (first->text(column) != row.text(column)) {
      row.complain(column, fmt::format("{} here, but line {} says {} of the same swatch; correct "
                                       "one of them, or give this row another swatch",
                                       row.text(column), first->line(), first->text(column)));
    }
  }
  return first;
}

class Assembly {
 public:
  Assembly(const std::vector<Cells>& rows, const Studio& studio) : rows_(rows), studio_(studio) {
    for (Value& table : tables_) table = table_value({rows.front().line(), 0});
  }

  bool span_is_known() const { return span_is_known_; }

  Value document() {
    take_loom();
    for (const WorkColumn& column : kWorkColumns) take(column);
    take_yarn();
    fill_span();
    Value& band = of(In::Band);
    if (!of(In::Ground).entries.empty()) put(band, "ground", of(In::Ground));
    const Place place{rows_.front().line(), 0};
    Value bands = list_value(place);
    bands.items.push_back(band);
    Value document = table_value(place);
    put(document, "loom", of(In::Loom));
    put(document, "warp", of(In::Warp));
    put(document, "band", std::move(bands));
    if (const auto washed = finish()) put(document, "finish", *washed);
    return document;
  }

 private:
  Value& of(In in) { return tables_[static_cast<std::size_t>(in)]; }

  static bool has_key(const Value& table, const std::string& key) {
    return std::any_of(table.entries.begin(), table.entries.end(),
                       [&](const Value::Entry& entry) { return entry.key == key; });
  }

  void take(const WorkColumn& column) {
    for (const auto& [ending, unit] : units_of(column.kind)) {
      const std::string name = std::string(column.column) + ending;
      const Cells* row = row_with(name, rows_);
      if (row == nullptr) continue;
      if (has_key(of(column.in), column.key)) {
        row->complain(name, "is given in another unit as well; empty one of the two");
        continue;
      }
      auto value = cell_value(*row, name, column.kind, unit);
      if (value) put(of(column.in), column.key, std::move(*value));
    }
  }

  /// One of the studio's looms, or a kind.
  void take_loom() {
    const Cells* row = row_with("loom", rows_);
    if (row == nullptr) {
      rows_.front().complain("loom", "is empty; write " + offered(loom_words()));
      return;
    }
    const std::string word = row->text("loom");
    const bool is_kind = std::find(kLoomKinds.begin(), kLoomKinds.end(), word) != kLoomKinds.end();
    const auto named = studio_.looms.find(word);
    if (!is_kind && named == studio_.looms.end()) {
      row->complain("loom", unknown_word(word, loom_words()));
      return;
    }
    has_span_ = !is_kind && named->second.span > Length<>();
    is_beam_ = is_kind ? word == "beam" : named->second.kind == piece::LoomKind::Beam;
    put(of(In::Loom), is_kind ? "kind" : "use", text_value(word, row->place_of("loom")));
  }

  std::vector<std::string> loom_words() const {
    std::vector<std::string> words = kLoomKinds;
    for (const auto& [name, loom] : studio_.looms) words.push_back(name);
    return words;
  }

  /// How far its edges are apart matters to the warp alone.
  void fill_span() {
    if (is_beam_ || has_span_ || has_key(of(In::Loom), "span")) return;
    put(of(In::Loom), "span", text_value(kAnySpan, of(In::Loom).place));
    span_is_known_ = false;
  }

  /// The band's yarn is that of the row that says the work.
  void take_yarn() {
    const auto says_work = [](const Cells& row) { return row.has("work"); };
    const auto found = std::find_if(rows_.begin(), rows_.end(), says_work);
    const Cells& row = found == rows_.end() ? rows_.front() : *found;
    if (row.has("yarn"))
      put(of(In::Band), "yarn", text_value(row.text("yarn"), row.place_of("yarn")));
  }

  std::optional<Value> finish() const {
    const auto is_washed = [](const Cells& row) {
      const std::string state = folded(row.text("state"));
      return state == "washed" || state == "finished";
    };
    const auto row = std::find_if(rows_.begin(), rows_.end(), is_washed);
    if (row == rows_.end()) return std::nullopt;
    Value finish = table_value(row->place_of("state"));
    Value washed;
    washed.kind = Value::Kind::Flag;
    washed.place = finish.place;
    washed.flag = true;
    put(finish, "washed", std::move(washed));
    return finish;
  }

  const std::vector<Cells>& rows_;
  const Studio& studio_;
  std::array<Value, 4> tables_;
  bool has_span_ = false;
  bool is_beam_ = false;
  bool span_is_known_ = true;
};

/// The columns a swatch cannot do without, told by their names.
void require_cells(const std::vector<Cells>& rows) {
  const std::pair<const char*, const char*> needed[] = {
      {"work", "what was woven, such as weave or soumak"},
      {"warp_yarn", "the id of a yarn of yarns.csv"}};
  for (const auto& [column, hint] : needed) {
    if (row_with(column, rows) != nullptr) continue;
    rows.front().complain(column, fmt::format("is empty; write {}", hint));
  }
  const auto is_filled = [&](const char* column) { return row_with(column, rows) != nullptr; };
  const bool has_extent = is_filled("rows") || is_filled("repeats") || is_filled("turns") ||
                          is_filled("covered_mm") || is_filled("covered_cm") ||
                          is_filled("covered_in");
  if (!has_extent) rows.front().complain("rows", "is empty; count the rows that were woven");
}

}  // namespace

const std::vector<std::string>& work_columns() {
  static const std::vector<std::string> all = [] {
    std::vector<std::string> names = {"loom"};
    for (const WorkColumn& column : kWorkColumns) {
      for (const auto& [ending, unit] : units_of(column.kind)) {
        names.push_back(std::string(column.column) + ending);
      }
    }
    return names;
  }();
  return all;
}

SwatchWork read_swatch_work(const std::string& id, const std::vector<Cells>& rows,
                            const Studio& studio, const estimate::StartingValues& starting) {
  Findings& findings = rows.front().findings();
  const std::size_t before = findings.complaint_count();
  require_cells(rows);
  Assembly assembly(rows, studio);
  const Value document = assembly.document();
  SwatchWork work;
  work.span_is_known = assembly.span_is_known();
  // What a cell should say is told once, by its column.
  if (findings.complaint_count() == before) {
    work.piece = read_piece_table(document, id, studio, starting, findings);
  }
  return work;
}

piece::Piece yarn_alone(const std::string& id, const std::string& yarn) {
  constexpr int kEnds = 2;
  piece::Piece piece;
  piece.id = id;
  piece.name = id;
  piece.loom.kind = piece::LoomKind::Frame;
  piece.loom.span = metres(20.0);
  piece.warp.yarn = yarn;
  piece.warp.ends = kEnds;
  piece.warp.sett = per_cm(0.1);
  technique::Woven woven;
  woven.grid = cloth::spread(cloth::plain(), kEnds, cloth::kNamedWeaveRemainder);
  woven.repeat_picks = 2;
  technique::ColourArea area;
  area.strand.yarn = yarn;
  area.ends = kEnds;
  woven.areas = {area};
  woven.extent.count = 1;
  piece.bands.resize(1);
  piece.bands.front().work = woven;
  return piece;
}

}  // namespace ellwand::studio
