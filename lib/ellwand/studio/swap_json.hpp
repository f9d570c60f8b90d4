#pragma once
/// Yarns weighed against one of a piece's, for other programs: one JSON object.

#include "ellwand/decide/swap.hpp"

#include <string>

namespace ellwand::studio {

/// Lengths in m and cm, masses in g, as the keys say; money rounded as the currency is. The
/// original has the same fields as its candidates. Whatever is not known is null.
std::string swap_json(const decide::Swap& swap, const decide::SwapAnswer& answer,
                      const decide::Currency& currency);

}  // namespace ellwand::studio
