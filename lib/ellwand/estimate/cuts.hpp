#pragma once
/// The cut list: what is cut to a measure, how long, and how many.

#include "ellwand/estimate/estimate.hpp"

namespace ellwand::estimate {

/// Fringe and pile by band, then the ends of a beam warp; each length rounded up to `step`, pile
/// being short to half of it.
std::vector<Cut> cut_list(const PieceModel& model, const std::vector<LedgerLine>& plan,
                          const Length<>& step);

/// What whole cuts of one yarn take beyond the exact lengths, as bought.
double cut_rounding_m(const std::vector<Cut>& cuts, const std::string& yarn);

/// What the spare strands of one yarn take, as bought.
double spare_m(const std::vector<Cut>& cuts, const std::string& yarn);

}  // namespace ellwand::estimate
