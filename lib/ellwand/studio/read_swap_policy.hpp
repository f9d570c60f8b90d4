#pragma once
/// The table [swap] of studio.toml: what the studio holds against another yarn.

#include "ellwand/decide/swap_policy.hpp"
#include "ellwand/studio/document.hpp"

namespace ellwand::studio {

/// Keys, each of which may be missing: weights from 0 to 100 for cover, thickness, size, cost,
/// shelf, risk and fibre; least_cover (share of the original's cover), most_chance (of being too
/// thick), most_held (strands), keep ("as stated", "rows", "height"). What is wrong is among the
/// findings of `file`.
decide::SwapPolicy read_swap_policy(Section& file);

}  // namespace ellwand::studio
