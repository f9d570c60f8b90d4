#include "ellwand/units/told.hpp"

#include "ellwand/units/plain_digits.hpp"

#include <fmt/format.h>

#include <cmath>

namespace ellwand {

namespace {

/// A mark holds both tellings: kOpen metric kOr inches kClose. No text file that is read may have
/// these characters in what it says.
constexpr char kOpen = '\x02';
constexpr char kOr = '\x1f';
constexpr char kClose = '\x03';

std::string marked(const std::string& metric, const std::string& inches) {
  return kOpen + metric + kOr + inches + kClose;
}

}  // namespace

std::string thread_size(const Length<>& length, int digits) {
  return marked(fmt::format("{:.{}g} mm", in_millimetres(length), digits),
                fmt::format("{:.{}g} in", in_inches(length), digits));
}

std::string cloth_size(const Length<>& length) {
  return marked(fmt::format("{:.1f} cm", in_centimetres(length)),
                fmt::format("{:.1f} in", in_inches(length)));
}

std::string rod_size(const Length<>& diameter) {
  return marked(fmt::format("{:.1f} cm", in_centimetres(diameter)),
                fmt::format("{:.2f} in", in_inches(diameter)));
}

std::string rod_size_within(const Length<>& diameter) {
  constexpr double kRounding = 1e-9;
  const auto whole = [](double steps) { return std::floor(steps * (1.0 + kRounding)); };
  return marked(fmt::format("{:.1f} cm", whole(10.0 * in_centimetres(diameter)) / 10.0),
                fmt::format("{:.2f} in", whole(100.0 * in_inches(diameter)) / 100.0));
}

std::string cloth_area(const Area<>& area) {
  return marked(fmt::format("{:.1f} cm2", in_square_centimetres(area)),
                fmt::format("{:.1f} in2", area / square_inches(1.0)));
}

std::string density(const ThreadDensity<>& threads, int digits) {
  return marked(fmt::format("{:.{}g} per cm", in_per_cm(threads), digits),
                fmt::format("{:.{}g} per inch", in_per_inch(threads), digits));
}

std::string mass_told(const Mass<>& mass, MassShown unit, int digits) {
  return unit == MassShown::Grams ? plain_digits(in_grams(mass), digits) + " g"
                                  : plain_digits(in_ounces(mass), digits) + " oz";
}

std::string yarn_told(const Length<>& yarn, YarnShown unit, int digits) {
  return unit == YarnShown::Metres ? plain_digits(in_metres(yarn), digits) + " m"
                                   : plain_digits(in_yards(yarn), digits) + " yd";
}

std::string in_unit(std::string_view sentence, LengthShown unit) {
  std::string told;
  while (!sentence.empty()) {
    const std::size_t open = sentence.find(kOpen);
    const std::size_t bar = sentence.find(kOr, open);
    const std::size_t close = sentence.find(kClose, bar);
    if (open == std::string_view::npos || close == std::string_view::npos) break;
    told += sentence.substr(0, open);
    told += unit == LengthShown::Centimetres ? sentence.substr(open + 1, bar - open - 1)
                                             : sentence.substr(bar + 1, close - bar - 1);
    sentence.remove_prefix(close + 1);
  }
  return told + std::string(sentence);
}

}  // namespace ellwand
