#pragma once
/// Which put-ups to buy where a yarn is sold in several sizes.

#include "ellwand/decide/money.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::decide {

/// Forgives what decimals miss where amounts are counted in wholes.
inline constexpr double kHair = 1e-9;

/// A size in which a yarn is sold.
struct PutUpSize {
  double holds = 0.0;          ///< g or m, as its yarn is sold; above 0
  std::optional<Money> price;  ///< of one
};

/// Of yarns sold in several sizes, by their id.
using PutUpSizes = std::map<std::string, std::vector<PutUpSize>>;

/// More sizes than this are not read.
inline constexpr std::size_t kMostSizes = 5;

/// Nor sizes further apart.
inline constexpr double kMostOverSmallest = 100.0;

/// @param sizes  one or more
double largest_over_smallest(const std::vector<PutUpSize>& sizes);

/// How many of each size cover an amount for the least money; of those the fewest put-ups, and of
/// those the most yarn. Where a size has no price, the least yarn takes the place of the money.
///
/// What some sizes come to is kept only where no other choice of them has as much for no more, and
/// each size is added to all of that in every number that may be wanted. Of an amount above 40
/// put-ups of the size with the least money by the gram, what is above is bought in that size.
///
/// Accuracy: exact to 40 such put-ups, and beyond where that size is at most 40 times a measure
/// that
///           all sizes are multiples of: of so many others some are together multiples of it, and
///           it takes their place for no more.
/// @param amount  g or m, 0 to 10^9; nothing is bought for none
/// @returns as many counts as there are sizes
/// @throws OutOfRange unless there are 1 to kMostSizes sizes that hold something, the largest at
/// most
///         kMostOverSmallest times the smallest
std::vector<int> cheapest_put_ups(double amount, const std::vector<PutUpSize>& sizes);

}  // namespace ellwand::decide
