#pragma once
/// What the weaver carries through the warp: strands of one yarn, held together or split.

#include <string>

namespace ellwand::technique {

/// One yarn as a band uses it.
struct Strand {
  std::string yarn;    ///< id in the yarn table
  int held = 1;        ///< strands held together, 1 or more
  int split_into = 1;  ///< parts a roving is split lengthwise into, 1 or more

  /// Metres of yarn as bought in one metre of what is laid.
  double yarn_per_laid() const { return static_cast<double>(held) / split_into; }
};

}  // namespace ellwand::technique
