#include "show.hpp"

#include "ellwand/units/told.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <ostream>

namespace ellwand::tools {

namespace {

/// Digits further out tell nobody anything.
constexpr double kFinest = 1e-3;

/// Of a step or doubt: what is told of a value is never finer.
double least_told(double value, double doubt) {
  return std::max({doubt, std::abs(value) * 1e-3, kFinest});
}

}  // namespace

double last_place(double value, Steps step) {
  const double least = least_told(value, step.size);
  if (least < 10.0) return std::pow(10.0, std::floor(std::log10(least)));
  return least < 50.0 ? 1.0 : std::pow(10.0, std::floor(std::log10(least / 5.0)));
}

double last_place(double value, double doubt) {
  const double place = last_place(value, Steps{doubt});
  constexpr double kTwoDigitsBelow = 3.55;
  const bool has_one_digit = value != 0.0 && std::abs(value) < 10.0 * place;
  const bool bears_two = least_told(value, doubt) < kTwoDigitsBelow * place;
  return has_one_digit && bears_two ? std::max(0.1 * place, kFinest) : place;
}

namespace {

/// Of a place: what is this near to a whole number of places is that number.
constexpr double kSlack = 1e-6;

/// An amount whose range is no wider than this share of it follows from what is stated alone; it is
/// told to about three digits, without a range.
constexpr double kSureWithin = 1e-6;
constexpr double kSureDigits = 1e-2;

std::string in_places(double value, double place) {
  const int decimals = std::max(0, -static_cast<int>(std::lround(std::log10(place))));
  const std::string text = fmt::format("{:.{}f}", value, decimals);
  return text == "-0" ? "0" : text;
}

/// Four digits, or all of those before the point; never a power of ten.
std::string plain_figure(double value) {
  return value < 1e4 ? fmt::format("{:.4g}", value) : fmt::format("{:.0f}", value);
}

std::string to_place(double value, double place) {
  return in_places(std::round(value / place) * place, place);
}

double up_to_place(double value, double place) { return std::ceil(value / place - kSlack) * place; }

}  // namespace

std::string rounded_to(double value, double doubt) {
  return to_place(value, last_place(value, doubt));
}

std::string rounded_to(double value, Steps step) {
  return to_place(value, last_place(value, step));
}

double rounded_up(double value, Steps step) { return up_to_place(value, last_place(value, step)); }

std::string rounded_up_to(double value, double doubt) {
  const double place = last_place(value, doubt);
  return in_places(up_to_place(value, place), place);
}

std::string rounded_up_to(double value, Steps step) {
  const double place = last_place(value, step);
  return in_places(up_to_place(value, place), place);
}

const char* Shower::yarn_unit() const {
  return shown_.yarn == studio::YarnShown::Metres ? "m" : "yd";
}
const char* Shower::mass_unit() const {
  return shown_.mass == studio::MassShown::Grams ? "g" : "oz";
}
const char* Shower::size_unit() const {
  return shown_.length == studio::LengthShown::Centimetres ? "cm" : "in";
}

double Shower::yarn(double metres_of_yarn) const {
  const Length<> length = metres(metres_of_yarn);
  return shown_.yarn == studio::YarnShown::Metres ? in_metres(length) : in_yards(length);
}
double Shower::mass(double grams_of_yarn) const {
  const Mass<> mass = grams(grams_of_yarn);
  return shown_.mass == studio::MassShown::Grams ? in_grams(mass) : in_ounces(mass);
}
double Shower::size(const Length<>& length) const {
  return shown_.length == studio::LengthShown::Centimetres ? in_centimetres(length)
                                                           : in_inches(length);
}

std::string Shower::yarn_text(double metres_of_yarn, double doubt_m) const {
  return rounded_to(yarn(metres_of_yarn), yarn(doubt_m)) + " " + yarn_unit();
}
std::string Shower::mass_text(double grams_of_yarn, double doubt_g) const {
  return rounded_to(mass(grams_of_yarn), mass(doubt_g)) + " " + mass_unit();
}
std::string Shower::enough_yarn_text(double metres_of_yarn, double doubt_m) const {
  return rounded_up_to(yarn(metres_of_yarn), yarn(doubt_m)) + " " + yarn_unit();
}
std::string Shower::enough_mass_text(double grams_of_yarn, double doubt_g) const {
  return rounded_up_to(mass(grams_of_yarn), mass(doubt_g)) + " " + mass_unit();
}

std::string Shower::yarn_text(double metres_of_yarn, Steps step_m) const {
  return rounded_to(yarn(metres_of_yarn), Steps{yarn(step_m.size)}) + " " + yarn_unit();
}
std::string Shower::mass_text(double grams_of_yarn, Steps step_g) const {
  return rounded_to(mass(grams_of_yarn), Steps{mass(step_g.size)}) + " " + mass_unit();
}
std::string Shower::enough_yarn_text(double metres_of_yarn, Steps step_m) const {
  return rounded_up_to(yarn(metres_of_yarn), Steps{yarn(step_m.size)}) + " " + yarn_unit();
}
std::string Shower::enough_mass_text(double grams_of_yarn, Steps step_g) const {
  return rounded_up_to(mass(grams_of_yarn), Steps{mass(step_g.size)}) + " " + mass_unit();
}

std::string Shower::size_text(const Length<>& length) const {
  return fmt::format("{:.1f} {}", size(length), size_unit());
}

std::string Shower::rod_text(const Length<>& diameter) const {
  return in_unit(rod_size(diameter), shown_.length);
}

std::string Shower::rod_text_within(const Length<>& diameter) const {
  return in_unit(rod_size_within(diameter), shown_.length);
}

std::string Shower::thread_text(const Length<>& length) const {
  return in_unit(thread_size(length), shown_.length);
}

std::string Shower::sett_text(const ThreadDensity<>& sett) const {
  return shown_.length == studio::LengthShown::Centimetres
             ? fmt::format("{:.2f} per cm", in_per_cm(sett))
             : fmt::format("{:.1f} per inch", in_per_inch(sett));
}

std::string Shower::cloth_mass_text(const ArealDensity<>& mass) const {
  if (shown_.mass == studio::MassShown::Grams) {
    return fmt::format("{:.0f} g per square metre", in_grams_per_square_metre(mass));
  }
  const Area<> square_yard = yards(1.0) * yards(1.0);
  return fmt::format("{:.1f} oz per square yard", in_ounces(mass * square_yard));
}

std::string Shower::count_text(const LinearDensity<>& yarn) const {
  const std::string tex = plain_figure(in_tex(yarn));
  if (shown_.yarn == studio::YarnShown::Yards) {
    return fmt::format("{} tex ({} yd to 1 lb)", tex, plain_figure(in_yards(ounces(16.0) / yarn)));
  }
  return fmt::format("{} tex ({} m to 100 g)", tex, plain_figure(in_metres(grams(100.0) / yarn)));
}

namespace {

double place_of(const estimate::Spread& spread, double unit) {
  return last_place(spread.mid * unit, 0.5 * (spread.high - spread.low) * unit);
}

}  // namespace

std::string Shower::ends_text(const estimate::Spread& spread, double unit) const {
  const double place = place_of(spread, unit);
  const double low = std::floor(spread.low * unit / place + kSlack) * place;
  const double high = std::ceil(spread.high * unit / place - kSlack) * place;
  return fmt::format("{} to {}", in_places(low, place), in_places(high, place));
}

std::string Shower::range_text(const estimate::Spread& spread, double unit) const {
  if (spread.high - spread.low <= kSureWithin * std::abs(spread.mid)) {
    const double sure = spread.mid * unit;
    return rounded_to(sure, kSureDigits * std::abs(sure));
  }
  return fmt::format("{} ({})", to_place(spread.mid * unit, place_of(spread, unit)),
                     ends_text(spread, unit));
}

TextTable::TextTable(std::vector<std::string> heads, std::vector<std::size_t> left)
    : rows_{std::move(heads)}, left_(std::move(left)) {}

void TextTable::add(std::vector<std::string> cells) { rows_.push_back(std::move(cells)); }

void TextTable::print(std::ostream& out) const {
  std::vector<std::size_t> widths(rows_.front().size(), 0);
  for (const auto& row : rows_) {
    for (std::size_t i = 0; i < row.size(); ++i) widths[i] = std::max(widths[i], row[i].size());
  }
  for (const auto& row : rows_) {
    std::string line = " ";
    for (std::size_t i = 0; i < row.size(); ++i) {
      const bool to_left = i == 0 || std::find(left_.begin(), left_.end(), i) != left_.end();
      line += to_left ? fmt::format(" {:<{}} ", row[i], widths[i])
                      : fmt::format(" {:>{}} ", row[i], widths[i]);
    }
    line.erase(line.find_last_not_of(' ') + 1);
    out << line << '\n';
  }
}

std::string one_in(double chance) {
  if (chance < 0.001) return "under 1 in 1000";
  if (chance > 0.995) return "all but certain";
  if (chance > 0.5) return fmt::format("{:.0f} in 100", 100.0 * chance);
  const double of = 1.0 / chance;
  const double place = of < 100.0 ? 1.0 : std::pow(10.0, std::floor(std::log10(of)) - 1.0);
  return fmt::format("1 in {:.0f}", std::round(of / place) * place);
}

std::string counted(int count, const std::string& one, const std::string& many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

std::string listed(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) text += i + 1 == words.size() ? " and " : ", ";
    text += words[i];
  }
  return text;
}

}  // namespace ellwand::tools
