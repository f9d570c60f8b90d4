#pragma once
/// Normal draws that are the same on every machine.

#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>

namespace ellwand::numeric {

/// Standard normal numbers by Box and Muller's transform of mt19937_64 (G. E. P. Box and
/// M. E. Muller, Ann. Math. Stat. 29 (1958) 610-611).
class NormalDraws {
 public:
  explicit NormalDraws(std::uint64_t seed) : engine_(seed) {}

  double next() {
    if (has_spare_) {
      has_spare_ = false;
      return spare_;
    }
    const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
    const double angle = 2.0 * std::numbers::pi * uniform();
    spare_ = radius * std::sin(angle);
    has_spare_ = true;
    return radius * std::cos(angle);
  }

  /// With Student's t: a normal over the root of a mean square of others.
  ///
  /// @param degrees_of_freedom  1 or more
  double next_student(int degrees_of_freedom) {
    const double normal = next();
    double squares = 0.0;
    for (int i = 0; i < degrees_of_freedom; ++i) squares += std::pow(next(), 2.0);
    return normal / std::sqrt(squares / degrees_of_freedom);
  }

 private:
  double uniform() { return static_cast<double>(engine_() >> 11) * 0x1.0p-53; }
  std::mt19937_64 engine_;
  double spare_ = 0.0;
  bool has_spare_ = false;
};

}  // namespace ellwand::numeric
