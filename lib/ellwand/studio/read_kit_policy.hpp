#pragma once
/// The table [kit] of studio.toml: how the studio packs kits.

#include "ellwand/decide/kit.hpp"
#include "ellwand/studio/document.hpp"

namespace ellwand::studio {

/// Keys, each of which may be missing: finish (share of buyers), beginners_spread (how one beginner
/// differs from another, a share), beginners_met (how many it was found from), packed ("balls",
/// "lengths", or a table of such by yarn), ball_step (a mass), length_step (a length),
/// winding_error and lost_in_rewinding (shares), besides (money, or a table of such), minutes.
/// What is wrong is among the findings of `file`.
decide::KitPolicy read_kit_policy(Section& file);

}  // namespace ellwand::studio
