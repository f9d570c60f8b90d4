#include "ellwand/studio/read_figures.hpp"

#include "ellwand/estimate/piece_model.hpp"
#include "ellwand/studio/read_common.hpp"
#include "ellwand/units/text.hpp"
#include "ellwand/yarn/diameter.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>
#include <variant>

namespace ellwand::studio {

namespace {
using calibrate::Includes;
using calibrate::Measured;
using calibrate::Measurement;

const double kOneReading = 1.0 / std::sqrt(12.0);
const double kTwoReadings = 1.0 / std::sqrt(6.0);

constexpr double kGramsPerOunce = 28.349523125;
constexpr double kMetresPerYard = 0.9144;
constexpr double kMetresPerInch = 0.0254;

/// A figure that is one cell.
struct PlainColumn {
  const char* column;
  Measured what;
  double unit;  ///< in g or m
  double most;  ///< in its own unit
};

constexpr PlainColumn kPlainColumns[] = {
    {"used_g", Measured::Mass, 1.0, 1e6},
    {"used_oz", Measured::Mass, kGramsPerOunce, 1e5},
    {"used_m", Measured::Length, 1.0, 1e7},
    {"used_yd", Measured::Length, kMetresPerYard, 1e7},
    {"unpicked_m", Measured::Length, 1.0, 1e6},
    {"unpicked_cm", Measured::Length, 0.01, 1e8},
    {"unpicked_in", Measured::Length, kMetresPerInch, 1e8},
    {"unpicked_yd", Measured::Length, kMetresPerYard, 1e6},
    {"unpicked_end_mm", Measured::EndLength, 0.001, 1e6},
    {"unpicked_end_cm", Measured::EndLength, 0.01, 1e5},
    {"unpicked_end_in", Measured::EndLength, kMetresPerInch, 4e4},
    {"height_mm", Measured::Height, 0.001, 1e5},
    {"height_cm", Measured::Height, 0.01, 1e4},
    {"height_in", Measured::Height, kMetresPerInch, 4e3},
    {"measured_width_mm", Measured::Width, 0.001, 2e4},
    {"measured_width_cm", Measured::Width, 0.01, 2e3},
    {"measured_width_in", Measured::Width, kMetresPerInch, 8e2},
};

/// A unit that the columns of one figure may end in.
struct FigureUnit {
  const char* ending;
  double size;  ///< in g or m
};
constexpr FigureUnit kMassUnits[] = {{"_g", 1.0}, {"_oz", kGramsPerOunce}};
constexpr FigureUnit kYarnUnits[] = {{"_m", 1.0}, {"_yd", kMetresPerYard}};

/// A cell that was written to so much: "12.5" to 0.1, "1 3/8" to 1/8, "12" to 1.
double last_digit(const std::string& text, DecimalMark mark) {
  const std::string plain = folded(text);
  const std::size_t stroke = plain.find('/');
  if (stroke != std::string::npos) return 1.0 / read_decimal(plain.substr(stroke + 1), mark);
  const std::size_t power = std::min(plain.find('e'), plain.size());
  const double scale =
      power < plain.size() ? std::pow(10.0, std::stoi(plain.substr(power + 1))) : 1.0;
  const std::size_t point = plain.find_first_of(".,");
  if (point >= power) return scale;
  return scale * std::pow(10.0, -static_cast<double>(power - point - 1));
}

/// A number above 0, or a complaint.
std::optional<double> above_nothing(const Cells& row, const std::string& column, double most) {
  const auto value = row.number(column, 0.0, most);
  if (!value || *value > 0.0) return value;
  row.complain(column, "0 is no measurement; leave the cell empty where nothing was measured");
  return std::nullopt;
}

bool is_a_size(Measured what) { return what == Measured::Height || what == Measured::Width; }
/// Of a yarn that the row names; an end is of the warp's.
bool is_of_a_yarn(Measured what) { return !is_a_size(what) && what != Measured::EndLength; }

/// Rows of a band that are counted; nothing where its height says how many there are.
std::optional<int> counted_rows(const technique::Work& work) {
  return std::visit(
      [](const auto& one) -> std::optional<int> {
        using Work = std::decay_t<decltype(one)>;
        if constexpr (std::is_same_v<Work, technique::Woven>) {
          using By = technique::Extent::By;
          if (one.extent.by == By::Rows) return one.extent.count;
          if (one.extent.by == By::Repeats) return one.extent.count * one.repeat_picks;
          return std::nullopt;
        } else if constexpr (requires { one.rows; }) {
          return one.rows;
        } else {
          return std::nullopt;
        }
      },
      work);
}

/// One row on its way to measurements.
class Figures {
 public:
  Figures(const Cells& row, const Figured& figured) : row_(row), figured_(figured) {}

  std::vector<Measurement> read() {
    read_circumstances();
    for (const PlainColumn& column : kPlainColumns) read_plain(column);
    require_ends_length();
    read_balls();
    read_wraps();
    read_weighed();
    check_tool_step();
    return all_;
  }

 private:
  void read_circumstances() {
    const auto includes =
        row_.choice("includes", {"left the ball", "in the piece", "in the band, unpicked"});
    common_.includes = static_cast<Includes>(includes.value_or(0));
    constexpr piece::State kStates[] = {piece::State::OnLoom, piece::State::OffLoom,
                                        piece::State::Finished, piece::State::OffLoom,
                                        piece::State::Finished};
    const auto state =
        row_.choice("state", {"on the loom", "off", "washed", "off the loom", "finished"});
    if (state) common_.state = kStates[*state];
    has_state_ = row_.has("state");
    common_.yarn = row_.has("yarn") ? row_.text("yarn") : figured_.yarn;
    common_.line = row_.line();
    step_ = above_nothing(row_, "tool_step", 1e4);
    read_band();
  }

  void read_band() {
    const auto band = row_.whole("band", 1, 1'000'000);
    if (!band || figured_.piece == nullptr) return;
    const std::size_t bands = figured_.piece->bands.size();
    if (static_cast<std::size_t>(*band) > bands) {
      row_.complain("band", fmt::format("there is no band {}; the piece has {}, counted from the "
                                        "bottom",
                                        *band, bands));
      return;
    }
    common_.band = static_cast<std::size_t>(*band) - 1;
  }

  /// The step of a figure, in the unit of its cell.
  double step_of(const std::string& column, Measured what) const {
    const bool is_row_s = step_ && (what == Measured::Mass || !row_has_mass());
    return is_row_s ? *step_ : last_digit(row_.text(column), row_.decimal_mark());
  }

  bool row_has_mass() const {
    for (const char* column :
         {"used_g", "used_oz", "ball_before_g", "ball_before_oz", "weighed_g", "weighed_oz"}) {
      if (row_.has(column)) return true;
    }
    return false;
  }

  void check_tool_step() const {
    if (!step_ || row_has_mass() || all_.size() < 2) return;
    row_.complain("tool_step",
                  "this row has several figures, and which of them it is of cannot be told; give "
                  "each figure a row of its own");
  }

  void add(const std::string& column, Measured what, double value, double step, double deviations) {
    Measurement one = common_;
    one.what = what;
    one.column = column;
    one.value = value;
    one.step = step;
    one.reading_sd = step * deviations;
    if (!is_of_a_yarn(what)) one.yarn.clear();
    if (is_of_a_yarn(what) && one.yarn.empty()) {
      if (!row_.has("yarn"))
        row_.complain(column, "of which yarn? Write its id in the column yarn");
      return;
    }
    if (what == Measured::Mass || what == Measured::Length) settle_warp(column, one);
    all_.push_back(one);
  }

  /// A yarn that the warp is of as well is told apart by its band; the warp needs a length.
  void settle_warp(const std::string& column, Measurement& one) const {
    const piece::Piece* piece = figured_.piece;
    if (piece == nullptr || !figured_.is_swatch || one.yarn != piece->warp.yarn) return;
    if (one.yarn == figured_.yarn) {
      one.band = 0;
    } else if (!figured_.span_is_known) {
      row_.complain(column,
                    "how long the warp is is not said; fill in span_cm, or name a loom of "
                    "studio.toml that has a span");
    }
  }

  bool is_less_than_a_step(const std::string& column, double value, double step) const {
    if (value >= step) return false;
    row_.complain(column, fmt::format("{:.4g} is less than a step of the tool, {:.4g}; weigh or "
                                      "measure more at once, or use a finer tool",
                                      value, step));
    return true;
  }

  void read_plain(const PlainColumn& column) {
    const auto value = above_nothing(row_, column.column, column.most);
    if (!value) return;
    const double step = step_of(column.column, column.what);
    if (is_less_than_a_step(column.column, *value, step)) return;
    if (is_a_size(column.what) && !has_state_) {
      row_.complain(column.column,
                    "needs state beside it: on the loom, off or washed, for it shrinks on the way");
    }
    const std::size_t before = all_.size();
    add(column.column, column.what, *value * column.unit, step * column.unit, kOneReading);
    if (all_.size() == before) return;
    if (column.what == Measured::EndLength) {
      take_unpicked_ends(column.column, all_.back());
    } else if (std::string_view(column.column).starts_with("unpicked")) {
      take_unpicked(all_.back());
    }
  }

  /// Ends drawn out of a band and straightened, all added up: the mean of them.
  void take_unpicked_ends(const std::string& column, Measurement& one) const {
    one.includes = Includes::InTheBand;
    if (figured_.is_swatch) one.band = 0;
    const auto drawn = row_.whole("unpicked_ends", 1, 1'000'000);
    if (figured_.piece == nullptr) return;
    if (!one.band) {
      row_.complain(column, "of which band? Write its number in the column band");
      return;
    }
    const int ends = figured_.piece->warp.ends;
    const int count = drawn.value_or(1);
    if (count > ends) {
      row_.complain(
          "unpicked_ends",
          fmt::format("{} ends were drawn out of a warp of {}; correct one of them", count, ends));
      return;
    }
    one.value /= count;
    one.step /= count;
    one.reading_sd /= count;
  }

  void require_ends_length() const {
    const bool has_length =
        row_.has("unpicked_end_mm") || row_.has("unpicked_end_cm") || row_.has("unpicked_end_in");
    if (!row_.has("unpicked_ends") || has_length) return;
    row_.complain("unpicked_ends",
                  "needs their length beside it, added up, in unpicked_end_cm (or _mm, _in)");
  }

  /// Picks drawn out again and straightened: the share of the band's rows they are.
  void take_unpicked(Measurement& one) const {
    one.includes = Includes::InTheBand;
    if (figured_.is_swatch) one.band = 0;
    const auto drawn = row_.whole("unpicked_rows", 1, 1'000'000);
    if (!drawn || figured_.piece == nullptr) return;
    if (!one.band) {
      row_.complain("unpicked_rows", "of which band? Write its number in the column band");
      return;
    }
    const auto rows = counted_rows(figured_.piece->bands.at(*one.band).work);
    if (!rows) {
      row_.complain("unpicked_rows",
                    "the band does not say its rows; write rows in place of its height");
    } else if (*drawn > *rows) {
      row_.complain("unpicked_rows", fmt::format("{} rows were unpicked of a band of {}; correct "
                                                 "one of them",
                                                 *drawn, *rows));
    } else {
      one.share = static_cast<double>(*drawn) / *rows;
    }
  }

  /// The pair of a figure that is made of two; a complaint where one is missing.
  bool has_both(const std::string& one, const std::string& other) const {
    if (row_.has(one) == row_.has(other)) return row_.has(one);
    const std::string& there = row_.has(one) ? one : other;
    const std::string& missing = row_.has(one) ? other : one;
    row_.complain(there, fmt::format("needs {} beside it, in the same row", missing));
    return false;
  }

  /// A figure stands in one of its units.
  bool is_in_one_unit(const std::string& one, const std::string& other) const {
    if (!row_.has(one) || !row_.has(other)) return true;
    row_.complain(other, fmt::format("{} is filled as well; empty one of the two", one));
    return false;
  }

  void read_balls() {
    if (!is_in_one_unit("ball_before_g", "ball_before_oz")) return;
    if (!is_in_one_unit("ball_after_g", "ball_after_oz")) return;
    for (const FigureUnit& unit : kMassUnits) read_balls_in(unit);
  }

  void read_balls_in(const FigureUnit& unit) {
    const std::string before = std::string("ball_before") + unit.ending;
    const std::string after = std::string("ball_after") + unit.ending;
    if (!has_both(before, after)) return;
    const auto first = above_nothing(row_, before, 1e6);
    const auto last = row_.number(after, 0.0, 1e6);
    if (!first || !last) return;
    if (*last >= *first) {
      row_.complain(after, fmt::format("{} {} after and {} {} before: the ball did not get "
                                       "lighter; are the two swapped?",
                                       row_.text(after), unit.ending + 1, row_.text(before),
                                       unit.ending + 1));
      return;
    }
    const double step = std::max(step_of(before, Measured::Mass), step_of(after, Measured::Mass));
    if (is_less_than_a_step(after, *first - *last, step)) return;
    add(before, Measured::Mass, (*first - *last) * unit.size, step * unit.size, kTwoReadings);
  }

  void read_wraps() {
    const bool in_cm = row_.has("wraps_over_cm");
    const std::string over =
        in_cm || !row_.has("wraps_over_in") ? "wraps_over_cm" : "wraps_over_in";
    if (!has_both("wraps", over)) return;
    const auto wraps = above_nothing(row_, "wraps", 1e5);
    const auto length = above_nothing(row_, over, 1e4);
    const auto convention = row_.choice("wraps_convention", {"touching", "thread apart"});
    if (!row_.has("wraps_convention")) {
      row_.complain("wraps",
                    "needs wraps_convention beside it: touching, or thread apart when a thread's "
                    "width was left between the wraps");
    }
    if (!wraps || !length || !convention) return;
    const double metres_over = *length * (over == "wraps_over_cm" ? 0.01 : kMetresPerInch);
    try {
      const double diameter_m =
          in_metres(yarn::diameter_from_wraps(ThreadDensity<>::from_si(*wraps / metres_over),
                                              static_cast<yarn::WrapConvention>(*convention)));
      // A wrap more or less is so much of the diameter.
      add("wraps", Measured::Diameter, diameter_m, diameter_m / *wraps, kOneReading);
    } catch (const OutOfRange& refusal) {
      row_.complain("wraps", refusal.what());
    }
  }

  void read_weighed() {
    if (!is_in_one_unit("weighed_g", "weighed_oz")) return;
    if (!is_in_one_unit("weighed_m", "weighed_yd")) return;
    const bool in_ounces =
        row_.has("weighed_oz") || (row_.has("weighed_yd") && !row_.has("weighed_g"));
    const bool in_yards = row_.has("weighed_yd") || (in_ounces && !row_.has("weighed_m"));
    const FigureUnit& of_mass = kMassUnits[in_ounces ? 1 : 0];
    const FigureUnit& of_length = kYarnUnits[in_yards ? 1 : 0];
    const std::string mass_column = std::string("weighed") + of_mass.ending;
    const std::string length_column = std::string("weighed") + of_length.ending;
    if (!has_both(mass_column, length_column)) return;
    const auto mass = above_nothing(row_, mass_column, 1e6);
    const auto length = above_nothing(row_, length_column, 1e7);
    if (!mass || !length) return;
    const double mass_step = step_of(mass_column, Measured::Mass);
    if (is_less_than_a_step(mass_column, *mass, mass_step)) return;
    const double density = *mass * of_mass.size / (*length * of_length.size);
    const double length_step = last_digit(row_.text(length_column), row_.decimal_mark());
    const double relative = std::hypot(mass_step / *mass, length_step / *length);
    add(mass_column, Measured::Density, density, density * relative, kOneReading);
  }

  const Cells& row_;
  const Figured& figured_;
  Measurement common_;
  bool has_state_ = false;
  std::optional<double> step_;
  std::vector<Measurement> all_;
};

}  // namespace

const std::vector<std::string>& figure_columns() {
  static const std::vector<std::string> all = [] {
    std::vector<std::string> names;
    for (const PlainColumn& column : kPlainColumns) names.emplace_back(column.column);
    for (const char* name :
         {"unpicked_rows", "unpicked_ends", "ball_before_g", "ball_before_oz", "ball_after_g",
          "ball_after_oz", "wraps", "wraps_over_cm", "wraps_over_in", "weighed_m", "weighed_yd",
          "weighed_g", "weighed_oz"}) {
      names.emplace_back(name);
    }
    return names;
  }();
  return all;
}

const std::vector<std::string>& circumstance_columns() {
  static const std::vector<std::string> all = {
      "band",     "date",      "weaver",           "yarn", "lot", "state",
      "includes", "tool_step", "wraps_convention", "note"};
  return all;
}

std::vector<Measurement> read_figures(const Cells& row, const Figured& figured) {
  return Figures(row, figured).read();
}

std::string read_row_yarn(const Cells& row, const Studio& studio) {
  const std::string id = row.text("yarn");
  if (id.empty() || studio.yarns.find(id) != studio.yarns.end()) return id;
  row.complain("yarn", in_quotes(id) + " is no yarn of yarns.csv" +
                           did_you_mean(id, estimate::ids_of(studio.yarns)));
  return {};
}

std::optional<Weaver> read_row_weaver(const Cells& row, const Studio& studio) {
  const std::string word = row.text("weaver");
  if (word.empty()) return std::nullopt;
  const auto weaver = find_weaver(word, studio.weavers);
  if (weaver) return weaver;
  const std::string hint =
      studio.weavers.empty() ? "; others are named in studio.toml: [[weaver]] name = \"...\"" : "";
  row.complain("weaver", unknown_word(word, weaver_words(studio.weavers)) + hint);
  return std::nullopt;
}

}  // namespace ellwand::studio
