#pragma once
/// Estimates kept before weaving, held against what was used.

#include "ellwand/calibrate/swatch.hpp"
#include "ellwand/units/error.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace ellwand::studio {

/// One yarn of a piece that was estimated, woven and weighed.
struct Outcome {
  std::string piece;
  std::string frozen;  ///< date of the estimate
  std::string yarn;
  double low_g = 0.0;  ///< of the range it was to lie in 9 times in 10
  double mid_g = 0.0;
  double high_g = 0.0;
  double used_g = 0.0;

  /// How much above the range, or below it as a negative number; 0 inside.
  double outside_g() const;
};

struct FrozenRecord {
  std::vector<Outcome> outcomes;    ///< the earliest estimate first
  std::vector<Complaint> warnings;  ///< of files in estimates that cannot be read
};

/// Of each piece whose used grams were weighed as a whole the last estimate kept before: one that
/// was kept after the day of weighing foretold nothing.
///
/// @param swatches  all that was measured
FrozenRecord frozen_record(const std::filesystem::path& studio,
                           const std::vector<calibrate::Swatch>& swatches);

}  // namespace ellwand::studio
