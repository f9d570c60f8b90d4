#pragma once
/// Figures of swatches that can hardly be meant.

#include "ellwand/calibrate/swatch.hpp"
#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/studio/studio.hpp"

#include <vector>

namespace ellwand::studio {

/// A warning for every figure that is three times or more above or below what a stranger's hand
/// would have measured: a slipped decimal, a figure of another yarn, grams for metres.
///
/// @throws BadInput where the swatch cannot have been woven as it says, or a figure is of something
///         it does not have
std::vector<Complaint> slips_of(const calibrate::Swatch& swatch, const Studio& studio,
                                const estimate::StartingValues& starting);

}  // namespace ellwand::studio
