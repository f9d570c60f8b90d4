#pragma once
/// The piece's size on the loom, off it and finished, and where a fixed span goes.

#include "ellwand/estimate/estimate.hpp"

namespace ellwand::estimate {

/// Fills loom, off_loom, finished and hang.
void reckon_sizes(const PieceModel& model, PieceEstimate& estimate);

/// The finished height as rows that are counted leave it unsure, in m; what it relaxes and shrinks
/// is taken as usual. Nothing where all heights are stated. Sizes must stand already.
std::optional<Spread> finished_height(const PieceModel& model, const PieceEstimate& estimate);

/// What an end takes from the last pick to the top of the rod, as a loop or cut; 0 without a rod.
Length<> round_the_rod(const PieceModel& model);

/// The budget of a fixed span; nothing for a beam loom.
std::optional<Budget> span_budget(const PieceModel& model);

/// The thickest rod that passes the loops of the top edge, with all the warp that is left above the
/// last pick but the needle's room.
Length<> rod_that_passes(const PieceModel& model, const Budget& budget);

/// What to say when the bands do not fit: which is the first that does not, and by how much all
/// of them are too long. Nothing when they fit.
std::optional<Complaint> does_not_fit(const PieceModel& model, const Budget& budget);

}  // namespace ellwand::estimate
