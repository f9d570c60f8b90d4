#pragma once
/// Bare warp: loops, fringe or openwork, between two bands or at an edge.

#include "ellwand/units/quantity.hpp"

namespace ellwand::technique {

/// It takes no yarn but the warp's.
struct Gap {
  Length<> height;  ///< on the loom; above 0
};

}  // namespace ellwand::technique
