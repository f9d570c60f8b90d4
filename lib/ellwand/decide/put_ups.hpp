#pragma once
/// Which put-ups to buy where a yarn is sold in several sizes.

#include "ellwand/decide/money.hpp"

#include <optional>
#include <vector>

namespace ellwand::decide {

/// A size in which a yarn is sold.
struct PutUpSize {
  double holds = 0.0;          ///< g or m, as its yarn is sold; above 0
  std::optional<Money> price;  ///< of one
};

/// More sizes than this are not read.
inline constexpr std::size_t kMostSizes = 5;

/// How many of each size cover an amount for the least money; of those the fewest put-ups, and of
/// those the most yarn. Where a size has no price, the least yarn takes the place of the money.
///
/// Exact: what some sizes come to is kept only where no other choice of them has as much for no
/// more, and each size is added to all of that in every number that may be wanted.
///
/// @param amount  g or m; nothing is bought for none
/// @returns as many counts as there are sizes
/// @throws OutOfRange unless there are 1 to kMostSizes sizes that hold something, and the amount is
///         at most 5000 of the smallest
std::vector<int> cheapest_put_ups(double amount, const std::vector<PutUpSize>& sizes);

}  // namespace ellwand::decide
