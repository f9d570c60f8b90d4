#include "ellwand/technique/knotted_pile.hpp"

#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace ellwand::technique {

int knotted_ends(int all_ends, int edge_ends, int ends_per_knot) {
  if (ends_per_knot < 2 || ends_per_knot % 2 != 0) {
    throw OutOfRange(
        fmt::format("a knot takes as many ends to its left as to its right, so {} cannot share "
                    "one; let it take {} or {}",
                    ends_per_knot, std::max(2, ends_per_knot - 1), std::max(2, ends_per_knot) + 1));
  }
  const int left = all_ends - 2 * edge_ends;
  if (left >= ends_per_knot) return left;
  throw OutOfRange(
      fmt::format("{} ends bare at each edge of {} leave none for a knot round {}; leave at most "
                  "{} bare",
                  edge_ends, all_ends, ends_per_knot, std::max(0, (all_ends - ends_per_knot) / 2)));
}

KnottedPile knotted_pile(KnottedFringe knots, Woven ground, int all_ends, int edge_ends,
                         int picks) {
  knots.ends = knotted_ends(all_ends, edge_ends, knots.ends_per_knot);
  ground.extent.by = Extent::By::Rows;
  ground.extent.count = knots.rows * picks;
  return {std::move(knots), std::move(ground)};
}

}  // namespace ellwand::technique
