#pragma once
/// The table [buy] of studio.toml: how the studio buys.

#include "ellwand/decide/buy_policy.hpp"
#include "ellwand/studio/document.hpp"

namespace ellwand::studio {

/// Keys, each of which may be missing: enough (a chance), running_out (money), left_over_worth (a
/// share of the price). What is wrong is among the findings of `file`.
decide::BuyPolicy read_buy_policy(Section& file);

}  // namespace ellwand::studio
