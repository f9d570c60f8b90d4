#pragma once
/// The cut list: what is cut to a measure, how long, and how many.

#include "ellwand/estimate/estimate.hpp"

#include <string>
#include <unordered_map>
#include <vector>

namespace ellwand::estimate {

/// Fringe, pile and hems by band, then the cord and the ends of a beam warp; each length rounded up
/// to `step`, pile being short to half of it. An end is long enough for a sample on the same warp.
std::vector<Cut> cut_list(const PieceModel& model, const Length<>& step);

/// What cuts are rounded up to where she measures in cm or in inches.
Length<> usual_cut_step(LengthShown shown);

/// Rounded up to whole steps; one that is whole already, to within rounding, stays.
Length<> whole_steps(const Length<>& exact, const Length<>& step);

/// Makes what hems are sewn with so long that it suffices 19 times in 20, rounded up to `step`. The
/// ranges of the bands must stand already; the yarn's own range has that doubt in it.
void lengthen_hems(const Length<>& step, PieceEstimate& estimate);

/// Makes the ends of a beam warp so long that they suffice 19 times in 20, rounded up to `step`.
///
/// @param warp_m  what the warp takes that far up its range, without spare and broken ends or what
///                a sample takes
void lengthen_warp(double warp_m, const Length<>& sampled_end, const Length<>& step,
                   std::vector<Cut>& cuts);

/// What cuts of one yarn take beyond its plan, as bought; where they are longer than that to be
/// safe, beyond its set-aside.
struct BeyondPlan {
  double rounding_m = 0.0;  ///< whole cuts beyond the exact lengths
  double spare_m = 0.0;     ///< spare strands
};
/// By yarn, those that are cut.
std::unordered_map<std::string, BeyondPlan> beyond_plan(const std::vector<Cut>& cuts);

}  // namespace ellwand::estimate
