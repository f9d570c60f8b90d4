#include "ellwand/studio/slips.hpp"

#include "ellwand/calibrate/doubtful.hpp"
#include "ellwand/estimate/piece_model.hpp"
#include "ellwand/numeric/normal.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/units/plain_digits.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace ellwand::studio {

namespace {
using calibrate::Measured;
using calibrate::Measurement;

/// A slip that makes a figure so many times what it should be.
struct Slip {
  std::array<Measured, 2> of;
  const char* unit;  ///< that the column ends in; any where empty
  double times;
  const char* question;
  const char* column = "";  ///< what the right column ends in, which the question is to name
};

constexpr std::array kWeights = {Measured::Mass, Measured::Density};
constexpr std::array kLength = {Measured::Length, Measured::Length};
constexpr std::array kSizes = {Measured::Height, Measured::Width};
constexpr std::array kWidth = {Measured::Width, Measured::Width};
constexpr std::array kCounted = {Measured::Mass, Measured::Height};
constexpr std::array kWraps = {Measured::Diameter, Measured::Diameter};

constexpr const char* kTwoRowsAsOne = "is a row there and back counted as one?";
constexpr const char* kOneRowAsTwo = "is each row counted twice?";
constexpr const char* kConvention = "were the wraps touching, or a thread's width apart?";
constexpr const char* kWrapUnit = "were they counted over an inch, or over a centimetre?";

/// Weighed wet, wool holds some third of its mass and more; a core or a card is as heavy.
constexpr Slip kSlips[] = {
    {kWeights, "_g", 1.0 / 28.349523125, "are these ounces?", "_oz"},
    {kWeights, "_oz", 28.349523125, "are these grams?", "_g"},
    {kWeights, "_g", 0.001, "are these kilograms?"},
    {kWeights, "", 1.5, "was it weighed wet, or with its card or core?"},
    {kCounted, "", 2.0, kTwoRowsAsOne},
    {kCounted, "", 0.5, kOneRowAsTwo},
    {kLength, "_m", 100.0, "are these centimetres?"},
    {kLength, "_cm", 0.01, "are these metres?"},
    {kLength, "_cm", 1.0 / 2.54, "are these inches?"},
    {kLength, "_in", 2.54, "are these centimetres?"},
    {kSizes, "_cm", 10.0, "are these millimetres?"},
    {kSizes, "_mm", 0.1, "are these centimetres?"},
    {kSizes, "_cm", 1.0 / 2.54, "are these inches?"},
    {kSizes, "_in", 2.54, "are these centimetres?"},
    {kWidth, "", 2.0, "are two ends in a dent counted as one?"},
    {kWraps, "", 2.0, kConvention},
    {kWraps, "", 0.5, kConvention},
    {kWraps, "", 2.54, kWrapUnit},
    {kWraps, "", 1.0 / 2.54, kWrapUnit},
};
constexpr const char* kDecimal = "has a decimal point slipped, or is it of something else?";
constexpr const char* kOther = "is it of something else, or of another swatch?";

bool ends_in(const std::string& column, const std::string& unit) {
  return column.size() >= unit.size() &&
         column.compare(column.size() - unit.size(), unit.size(), unit) == 0;
}

bool is_of(const Slip& slip, const Measurement& figure) {
  return ends_in(figure.column, slip.unit) &&
         std::find(slip.of.begin(), slip.of.end(), figure.what) != slip.of.end();
}

/// A unit that columns end in, in what figures are kept in: g or m.
struct ColumnUnit {
  const char* ending;
  double size;
  const char* told;
};

constexpr ColumnUnit kUnits[] = {
    {"_oz", 28.349523125, "oz"}, {"_yd", 0.9144, "yd"}, {"_in", 0.0254, "in"}, {"_mm", 0.001, "mm"},
    {"_cm", 0.01, "cm"},         {"_m", 1.0, "m"},      {"_g", 1.0, "g"}};

/// A figure in the unit it was written in, as a sentence tells it.
std::string figure_told(const Measurement& figure, double value, LengthShown shown,
                        int digits = 3) {
  if (figure.what == Measured::Density) {
    return ends_in(figure.column, "_oz")
               ? plain_digits(value * 0.9144 / 28.349523125, digits) + " oz a yard"
               : plain_digits(value, digits) + " g a metre";
  }
  if (figure.what == Measured::Diameter) return in_unit(thread_size(metres(value), 2), shown);
  for (const ColumnUnit& unit : kUnits) {
    if (ends_in(figure.column, unit.ending))
      return plain_digits(value / unit.size, digits) + ' ' + unit.told;
  }
  return plain_digits(value, digits);
}

std::string sentence(const Measurement& figure, const calibrate::Doubtful& doubtful,
                     LengthShown shown) {
  return fmt::format("{}: {} where {}about {} would be usual; {}", figure.column,
                     figure_told(figure, figure.value, shown),
                     doubtful.by_others ? "by what else is measured of it " : "",
                     figure_told(figure, doubtful.expected, shown),
                     likely_slip(figure, figure.value / doubtful.expected, doubtful.log_sd));
}

/// Off the loom cloth is narrower than in the reed, by draw-in and by relaxing, some 5 % together.
/// A width that is the reed's to the last digit was most likely never measured: of honest ones 20
/// cm wide, read to a millimetre, one in 40 reads so (log-sd 0.045 about 5 % less).
bool is_width_in_reed(const calibrate::Swatch& swatch, const Measurement& figure) {
  const piece::Piece& piece = swatch.piece;
  const bool is_off_a_beam = figure.what == Measured::Width &&
                             figure.state != piece::State::OnLoom &&
                             piece.loom.kind == piece::LoomKind::Beam && piece.warp.sett;
  if (!is_off_a_beam) return false;
  const double reed_m = in_metres(piece.warp.ends / *piece.warp.sett);
  return std::abs(figure.value - reed_m) <= 0.501 * figure.step;
}

/// A length of rows that is shorter than their straight way; empty where it is not.
std::string too_short(const calibrate::Swatch& swatch, const Measurement& figure,
                      LengthShown shown) {
  if (figure.what != Measured::Length) return {};
  const auto least_m = calibrate::straight_way_m(swatch, figure);
  if (!least_m || figure.value >= *least_m - figure.step) return {};
  return fmt::format(
      "{}: {} cannot be, for these rows take more than {} even where they lie straight; write what "
      "all strands held together, of all rows, come to, added up",
      figure.column, figure_told(figure, figure.value, shown),
      figure_told(figure, *least_m, shown));
}

/// What of a swatch cannot be foretold at all, or cannot be.
std::vector<Complaint> not_in_it(const calibrate::Swatch& swatch,
                                 const estimate::Workshop& workshop) {
  std::vector<Complaint> complaints;
  for (const Measurement& figure : swatch.measurements) {
    try {
      calibrate::foretold(swatch, figure, workshop);
      const std::string refusal = too_short(swatch, figure, workshop.shown);
      if (!refusal.empty()) complaints.push_back({swatch.file, figure.line, 0, refusal});
    } catch (const OutOfRange& refusal) {
      complaints.push_back({swatch.file, figure.line, 0,
                            fmt::format("{}: {}", figure.column, refusal.told(workshop.shown))});
    }
  }
  return complaints;
}

}  // namespace

namespace {
/// Of a slip between units, the column that has the right one: " Then it is used_oz".
std::string right_column(const Slip& slip, const std::string& column) {
  if (*slip.column == '\0') return {};
  const std::string stem = column.substr(0, column.rfind('_'));
  const std::string right = stem + slip.column;
  if (stem != "ball_before") return " Then it is " + right;
  return " Then it is " + right + " and ball_after" + slip.column;
}
}  // namespace

std::string likely_slip(const Measurement& figure, double times, double log_sd) {
  const auto off = [&](double slip) { return std::abs(std::log(times / slip)); };
  std::string likely;
  double nearest = 2.0 * log_sd;  // as far as 19 of 20 such figures lie from where they should
  const auto consider = [&](double slip, const std::string& question) {
    if (off(slip) >= nearest) return;
    nearest = off(slip);
    likely = question;
  };
  for (const Slip& slip : kSlips) {
    if (is_of(slip, figure)) {
      consider(slip.times, slip.question + right_column(slip, figure.column));
    }
  }
  for (const double decimal : {0.01, 0.1, 10.0, 100.0}) consider(decimal, kDecimal);
  return likely.empty() ? kOther : likely;
}

std::string told_out_of_line(const Measurement& figure, double expected, double log_sd,
                             const std::string& by, LengthShown shown) {
  const double reach = std::exp(numeric::normal_quantile(0.95) * log_sd);
  return fmt::format("{} is {}, where {} lead to expect {} to {}; {}", figure.column,
                     figure_told(figure, figure.value, shown), by,
                     figure_told(figure, expected / reach, shown, 2),
                     figure_told(figure, expected * reach, shown, 2),
                     likely_slip(figure, figure.value / expected, log_sd));
}

namespace {
/// A lot's name without what is easily mistaken in it: O for 0, I or l for 1, blanks, hyphens.
std::string plain_lot(const std::string& lot) {
  std::string plain;
  for (const char c : folded(lot)) {
    if (c == ' ' || c == '-' || c == '.') continue;
    plain += c == 'o' ? '0' : (c == 'i' || c == 'l') ? '1' : c;
  }
  return plain;
}
}  // namespace

std::string doubt_of_lot(const std::string& yarn, const std::string& lot,
                         const std::vector<Lot>& shelf) {
  bool has_lots = false;
  std::string alike;
  std::string other;
  for (const Lot& one : shelf) {
    if (one.lot.empty()) continue;
    if (one.yarn == yarn && one.lot == lot) return {};
    has_lots = has_lots || one.yarn == yarn;
    if (one.yarn == yarn && plain_lot(one.lot) == plain_lot(lot)) alike = one.lot;
    if (one.lot == lot) other = one.yarn;
  }
  if (!alike.empty()) {
    return fmt::format("{} has lot {} on the shelf, which is written nearly alike; is it that one?",
                       yarn, alike);
  }
  if (other.empty() || !has_lots) return {};
  return fmt::format(
      "{} is on the shelf as a lot of {}, and {} has others; are lot or yarn mixed "
      "up?",
      lot, other, yarn);
}

std::vector<Complaint> slips_of(const calibrate::Swatch& swatch, const Studio& studio,
                                const estimate::StartingValues& starting,
                                const estimate::Learned* learned) {
  const estimate::Workshop workshop{studio.yarns, starting, studio.habits, studio.shown.length,
                                    learned};
  std::vector<Complaint> complaints = not_in_it(swatch, workshop);
  if (!complaints.empty()) throw BadInput(std::move(complaints));
  std::vector<Complaint> warnings;
  for (const Measurement& figure : swatch.measurements) {
    if (!is_width_in_reed(swatch, figure)) continue;
    warnings.push_back(
        {swatch.file, figure.line, 0,
         fmt::format("{}: {} is the width in the reed, and off the loom cloth is "
                     "narrower; was it measured on the cloth?",
                     figure.column, figure_told(figure, figure.value, studio.shown.length))});
  }
  const std::vector<calibrate::Doubtful> all = calibrate::doubtful_of(swatch, workshop);
  for (std::size_t i = 0; i < swatch.measurements.size(); ++i) {
    const Measurement& figure = swatch.measurements[i];
    const bool is_asked = std::any_of(all.begin(), all.end(), [i](const calibrate::Doubtful& one) {
      return one.measurement == i;
    });
    const auto least_g = calibrate::least_mass_g(swatch, figure, workshop);
    if (is_asked || !least_g || figure.value >= *least_g) continue;
    warnings.push_back(
        {swatch.file, figure.line, 0,
         fmt::format("{}: {} is less than these rows weigh where they lie straight, {} at the "
                     "least; is all of it weighed, and are rows and strands right?",
                     figure.column, figure_told(figure, figure.value, studio.shown.length),
                     figure_told(figure, *least_g, studio.shown.length))});
  }
  for (const calibrate::Doubtful& doubtful : all) {
    const Measurement& figure = swatch.measurements[doubtful.measurement];
    warnings.push_back(
        {swatch.file, figure.line, 0, sentence(figure, doubtful, studio.shown.length)});
  }
  return warnings;
}

}  // namespace ellwand::studio
