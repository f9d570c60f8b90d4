#pragma once
/// Yarns weighed against one of a piece's, for reading.

#include "show.hpp"

#include "ellwand/decide/swap.hpp"

#include <cstddef>
#include <iosfwd>

namespace ellwand::tools {

/// @param top       of the candidates, so many
/// @param is_named  she named them, so that every one is told of and why any is left out
void print_swap(const decide::Swap& swap, const decide::SwapAnswer& answer,
                const decide::Currency& currency, const Shower& show, std::size_t top,
                bool is_named, std::ostream& out);

}  // namespace ellwand::tools
