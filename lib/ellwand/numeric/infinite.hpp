#pragma once
/// More than any number.

#include <limits>

namespace ellwand::numeric {

inline constexpr double kInfinite = std::numeric_limits<double>::infinity();

}  // namespace ellwand::numeric
