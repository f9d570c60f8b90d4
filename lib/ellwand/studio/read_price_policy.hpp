#pragma once
/// The table [price] of studio.toml: how the studio prices.

#include "ellwand/decide/price.hpp"
#include "ellwand/studio/document.hpp"

namespace ellwand::studio {

/// Keys, each of which may be missing: hourly_rate (money an hour), overhead (share of labour),
/// margin (share of the price) or markup (share of the cost), fees, wholesale and deposit (shares
/// of the price), round_to (money, a multiple of what the currency has), learning (share of the
/// time that each doubling takes), learning_model
/// ("unit", "cumulative average"), yarn_by ("use", "put-up"), consumables (money, or a table of
/// such), minutes (a table by work: a row 10 cm wide; a turn of a wrapping; besides: a piece).
/// What is wrong is among the findings of `file`; margin and markup together are.
decide::PricePolicy read_price_policy(Section& file, const decide::Currency& currency);

}  // namespace ellwand::studio
