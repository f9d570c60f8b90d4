#pragma once
/// What a woven band is as cloth: how close it is set, how much it covers, what it weighs.

#include "ellwand/estimate/piece_model.hpp"

namespace ellwand::estimate {

struct ClothFacts {
  ThreadDensity<> ends;
  ThreadDensity<> picks;
  ThreadDensity<> greatest_sett;  ///< of this warp in this weave, by Ashenhurst's rule
  double warp_cover = 0.0;        ///< end diameter over end spacing
  double weft_cover = 0.0;        ///< weft diameter over row spacing; above 1 the rows overlap
  ArealDensity<> mass;            ///< on the loom
};

/// The facts of one of the model's woven places at its plan; nothing for other works.
///
/// Source: see cloth/setting.hpp and cloth/areal.hpp.
std::optional<ClothFacts> cloth_facts(const PieceModel& model, std::size_t band_yarn);

}  // namespace ellwand::estimate
