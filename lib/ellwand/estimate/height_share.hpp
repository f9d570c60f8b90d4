#pragma once
/// How warp and weft share the crimp height in her cloth: as the starting values have it, moved by
/// what her swatches found.

#include "ellwand/cloth/crossing.hpp"
#include "ellwand/estimate/learned.hpp"
#include "ellwand/estimate/starting_values.hpp"

namespace ellwand::estimate {

/// "height_share.balanced": what it is called where it was learned, as a number added to the weft's
/// share. No estimate is unsure by it.
const char* height_share_name(cloth::Face face);

/// The row of the starting values it has its spread and its meaning from.
StartingRow height_share_row(cloth::Face face);

/// The weft's share of the crimp height: 0 to 1.
/// @param learned  null where nothing was learned
double weft_height_share(const StartingValues& values, const Learned* learned, cloth::Face face);

}  // namespace ellwand::estimate
