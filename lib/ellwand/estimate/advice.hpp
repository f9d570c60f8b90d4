#pragma once
/// What to look out for: warnings about this design, and the usual cautions about the work.

#include "ellwand/estimate/estimate.hpp"

namespace ellwand::estimate {

/// Threads that lie flattened, rows kept apart, twills beaten out of sight, warp nearly used up,
/// stock in several lots; a beam warp without loom waste, or cut to the middle of its need, or
/// short of a rod.
/// @param cut_step  what cuts are rounded up to
std::vector<Warning> warnings_of(const PieceModel& model, const Shelf& shelf,
                                 const PieceEstimate& estimate, const Length<>& cut_step);

/// The usual cautions for what this piece is made of and how it hangs. They defer to local rules
/// and to those licensed to judge; none says that a piece passes a standard.
std::vector<std::string> cautions_of(const PieceModel& model);

}  // namespace ellwand::estimate
