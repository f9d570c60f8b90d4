// The cheapest put-ups: by hand, and against every choice there is.

#include "ellwand/decide/put_ups.hpp"

#include "ellwand/units/error.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <numeric>
#include <vector>

namespace ellwand::decide {
namespace {

using Counts = std::vector<int>;

std::vector<PutUpSize> balls(std::initializer_list<std::pair<double, int>> sizes) {
  std::vector<PutUpSize> all;
  for (const auto& [holds, price] : sizes) all.push_back({holds, Money::of_units(price)});
  return all;
}

TEST(CheapestPutUps, ByHand) {
  // 50 g at 4, 100 g at 7, 400 g at 22. For 130 g: three of 50 are 12; one of 50 and one of 100 are
  // 11; two of 100 are 14; one of 400 is 22.
  const auto sizes = balls({{50.0, 4}, {100.0, 7}, {400.0, 22}});
  EXPECT_EQ(cheapest_put_ups(130.0, sizes), (Counts{1, 1, 0}));
  // For 310 g: 100 + 100 + 100 + 50 are 25, 400 alone is 22.
  EXPECT_EQ(cheapest_put_ups(310.0, sizes), (Counts{0, 0, 1}));
  // For 410 g: 400 + 50 are 26; 4 x 100 + 50 are 32; two of 400 are 44.
  EXPECT_EQ(cheapest_put_ups(410.0, sizes), (Counts{1, 0, 1}));
  EXPECT_EQ(cheapest_put_ups(150.0, sizes), (Counts{1, 1, 0}));
  EXPECT_EQ(cheapest_put_ups(0.0, sizes), (Counts{0, 0, 0}));
}

TEST(CheapestPutUps, TakeTheBestByTheGramOnlyWhereItPays) {
  // By the gram 70 g at 6 is the cheapest (0.086 against 0.09), and the greedy choice, two of it
  // for 100 g, is 12; one of 100 g is 9.
  EXPECT_EQ(cheapest_put_ups(100.0, balls({{70.0, 6}, {100.0, 9}})), (Counts{0, 1}));
  // 130 g: two of 70 are 12, 70 and 100 are 15, two of 100 are 18.
  EXPECT_EQ(cheapest_put_ups(130.0, balls({{70.0, 6}, {100.0, 9}})), (Counts{2, 0}));
}

TEST(CheapestPutUps, OfOnePriceAreTheFewestAndThenTheMostYarn) {
  // 100 g: two of 50 at 4 or one of 100 at 8.
  EXPECT_EQ(cheapest_put_ups(100.0, balls({{50.0, 4}, {100.0, 8}})), (Counts{0, 1}));
  EXPECT_EQ(cheapest_put_ups(60.0, balls({{80.0, 5}, {100.0, 5}})), (Counts{0, 1}));
}

TEST(CheapestPutUps, WithoutPricesAreTheLeastYarn) {
  const std::vector<PutUpSize> sizes = {{50.0, {}}, {200.0, Money::of_units(1)}};
  EXPECT_EQ(cheapest_put_ups(120.0, sizes), (Counts{3, 0}));  // 150 g, not 200
  EXPECT_EQ(cheapest_put_ups(160.0, sizes), (Counts{0, 1}));  // 200 g in one put-up, not in four
}

TEST(CheapestPutUps, OfALotAreThoseOfTheBestValueAndARest) {
  // 200 g at 14 are 0.07 a gram, 50 g at 4 are 0.08: 50 of 200 for 10 000 g, and for 130 g three of
  // 50 at 12 rather than one of 200 at 14.
  EXPECT_EQ(cheapest_put_ups(10130.0, balls({{50.0, 4}, {200.0, 14}})), (Counts{3, 50}));
  EXPECT_EQ(cheapest_put_ups(1e6, {{1.0, {}}}), (Counts{1'000'000}));
}

TEST(CheapestPutUps, RefuseWhatIsNoPurchase) {
  EXPECT_THROW(cheapest_put_ups(10.0, {}), OutOfRange);
  EXPECT_THROW(cheapest_put_ups(10.0, {{0.0, {}}}), OutOfRange);
  EXPECT_THROW(cheapest_put_ups(10.0, {{1.0, {}}, {101.0, {}}}), OutOfRange);
  EXPECT_THROW(cheapest_put_ups(-1.0, {{1.0, {}}}), OutOfRange);
}

/// The least money of every choice, one number of a size after the other.
int least_money(int amount, const std::vector<int>& holds, const std::vector<int>& prices,
                std::size_t from = 0) {
  if (amount <= 0) return 0;
  if (from == holds.size()) return 1'000'000;
  int least = 1'000'000;
  for (int count = 0; (count - 1) * holds[from] < amount; ++count) {
    least = std::min(least, count * prices[from] +
                                least_money(amount - count * holds[from], holds, prices, from + 1));
  }
  return least;
}

RC_GTEST_PROP(CheapestPutUps, AreNeverDearerThanAnyOtherChoice, ()) {
  const auto sizes = static_cast<std::size_t>(*rc::gen::inRange(1, 5));
  std::vector<int> holds;
  std::vector<int> prices;
  std::vector<PutUpSize> all;
  for (std::size_t i = 0; i < sizes; ++i) {
    holds.push_back(*rc::gen::inRange(5, 60));
    prices.push_back(*rc::gen::inRange(0, 40));
    all.push_back({static_cast<double>(holds.back()), Money::of_units(prices.back())});
  }
  const int amount = *rc::gen::inRange(0, 150);
  const Counts counts = cheapest_put_ups(amount, all);
  RC_ASSERT(counts.size() == sizes);
  RC_ASSERT(std::inner_product(counts.begin(), counts.end(), holds.begin(), 0) >= amount);
  RC_ASSERT(std::inner_product(counts.begin(), counts.end(), prices.begin(), 0) ==
            least_money(amount, holds, prices));
}

}  // namespace
}  // namespace ellwand::decide
