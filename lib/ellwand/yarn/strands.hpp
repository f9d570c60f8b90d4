#pragma once
/// Strands put together, and a roving taken apart.

#include "ellwand/units/quantity.hpp"

#include <vector>

namespace ellwand::yarn {

/// No bundle has more strands.
inline constexpr int kMostStrands = 10000;

/// Several strands as one: their linear densities add. Twisted together they come out a few per
/// cent heavier per length, for twisting shortens them; that is not in it.
/// @throws OutOfRange for no strands, or one without a positive linear density
/// Source: C. P. Brooks, Cotton Manufacturing, p. 91 (in counts: 1 / sum of 1/n).
LinearDensity<> together(const std::vector<LinearDensity<>>& strands);

/// `strands` of one yarn held as one, 1 or more.
/// @throws OutOfRange
LinearDensity<> together(const LinearDensity<>& strand, int strands);

/// The strand to add to `one` so that both together are `target`.
/// @throws OutOfRange unless the target is heavier than the one
LinearDensity<> partner_for(const LinearDensity<>& target, const LinearDensity<>& one);

/// The mean strip of a roving split lengthways into `parts`, 1 or more. Strips split by hand differ
/// from one another by 10 to 15 % (coefficient of variation; common practice, no published source);
/// the spread of the estimate carries that, not this mean.
/// @throws OutOfRange
LinearDensity<> split_into(const LinearDensity<>& roving, int parts);

}  // namespace ellwand::yarn
