#pragma once
/// The cut list: what is cut to a measure, how long, and how many.

#include "ellwand/estimate/estimate.hpp"

namespace ellwand::estimate {

/// Fringe, pile and hems by band, then the cord and the ends of a beam warp; each length rounded up
/// to `step`, pile being short to half of it.
std::vector<Cut> cut_list(const PieceModel& model, const std::vector<LedgerLine>& plan,
                          const Length<>& step);

/// Makes what hems are sewn with so long that it suffices 19 times in 20, rounded up to `step`. The
/// ranges of the bands must stand already; the yarn's own range has that doubt in it.
void lengthen_hems(const Length<>& step, PieceEstimate& estimate);

/// What whole cuts of one yarn take beyond the exact lengths, as bought.
double cut_rounding_m(const std::vector<Cut>& cuts, const std::string& yarn);

/// What the spare strands of one yarn take, as bought.
double spare_m(const std::vector<Cut>& cuts, const std::string& yarn);

}  // namespace ellwand::estimate
