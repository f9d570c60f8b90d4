#pragma once
/// The starting values that every band asks for, looked up once a piece.

#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/piece/piece.hpp"

#include <array>
#include <variant>

namespace ellwand::estimate {

class UsualHabits {
 public:
  explicit UsualHabits(const StartingValues& values);

  /// Yarn per taut length in one part of a work.
  double take(const technique::Work& work, std::size_t part) const {
    const bool is_woven = technique::woven_part(work, part).cloth != nullptr;
    return takes_[is_woven ? 0 : work.index()];  // weaving stands first
  }
  /// Of a row, in diameters of what is worked; 0 in works whose rows follow from the beat.
  double row_height(const technique::Work& work) const { return row_heights_[work.index()]; }
  Length<> working_length(piece::Carrier carrier) const {
    return working_lengths_[static_cast<std::size_t>(carrier)];
  }

  Length<> tail;
  Length<> trim;

 private:
  static constexpr std::size_t kWorks = std::variant_size_v<technique::Work>;
  std::array<double, kWorks> takes_{};
  std::array<double, kWorks> row_heights_{};
  std::array<Length<>, 3> working_lengths_;
};

}  // namespace ellwand::estimate
