#include "ellwand/units/plain_digits.hpp"

#include <fmt/format.h>

#include <cmath>

namespace ellwand {

std::string plain_digits(double value, int digits) {
  const double size = std::abs(value);
  if (size >= std::pow(10.0, digits)) return fmt::format("{:.0f}", value);
  if (size > 0.0 && size < 1e-4) return fmt::format("{:.6f}", value);
  const std::string text = fmt::format("{:.{}g}", value, digits);
  // 999.6 to three digits is 1e+03.
  return text.find('e') == std::string::npos ? text : fmt::format("{:.0f}", value);
}

}  // namespace ellwand
