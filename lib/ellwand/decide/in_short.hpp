#pragma once
/// What is told of an answer in one figure.

#include "ellwand/decide/kit.hpp"
#include "ellwand/decide/price.hpp"
#include "ellwand/decide/swap.hpp"

namespace ellwand::decide {

/// g left of all lots of a yarn when the kits asked for are made.
double left_g(const KitYarn& yarn);

/// Thickness against the original's at the place where it differs most; 1 where it is the same.
double thickness_of(const SwapRow& row);

/// The same for the cover, of places that are to cover.
double cover_of(const SwapRow& row);

/// What the lines of a cost, each rounded (yarn by yarn, consumable by consumable, labour,
/// overhead), lack of the rounded cost.
Money rounding_of(const Priced& priced, const PriceQuestion& question);

}  // namespace ellwand::decide
