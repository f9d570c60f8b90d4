#include "ellwand/decide/put_ups.hpp"

#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace ellwand::decide {

namespace {

/// So many put-ups of the size that is best value are looked at in detail; what is beyond them is
/// bought in that size.
constexpr double kInDetail = 40.0;

/// Some put-ups of the sizes looked at so far.
struct Choice {
  double holds = 0.0;
  Money cost;
  int count = 0;
  std::vector<int> of_each;
};

bool is_cheaper(const Choice& a, const Choice& b) {
  return std::tuple(a.cost, a.count, -a.holds) < std::tuple(b.cost, b.count, -b.holds);
}

/// Those that no other beats: more yarn only for more money or more put-ups.
std::vector<Choice> without_beaten(std::vector<Choice> all) {
  std::sort(all.begin(), all.end(), is_cheaper);
  std::vector<Choice> kept;
  for (Choice& one : all) {
    if (kept.empty() || one.holds > kept.back().holds + kHair) kept.push_back(std::move(one));
  }
  return kept;
}

/// Each choice with none, one, two... of a size more, until it is enough.
std::vector<Choice> with_size(const std::vector<Choice>& choices, double amount, double holds,
                              const Money& price) {
  std::vector<Choice> all;
  for (const Choice& choice : choices) {
    Choice more = choice;
    more.of_each.push_back(0);
    while (true) {
      all.push_back(more);
      if (more.holds >= amount - kHair) break;
      more.holds += holds;
      more.cost += price;
      ++more.count;
      ++more.of_each.back();
    }
  }
  return without_beaten(std::move(all));
}

/// That with the least money, or none priced the largest.
std::size_t best_value(const std::vector<PutUpSize>& sizes, bool are_priced) {
  const auto value = [&](const PutUpSize& one) {
    return are_priced ? one.price->approximately() / one.holds : -one.holds;
  };
  const auto best =
      std::min_element(sizes.begin(), sizes.end(),
                       [&](const PutUpSize& a, const PutUpSize& b) { return value(a) < value(b); });
  return static_cast<std::size_t>(best - sizes.begin());
}

void require_sizes(double amount, const std::vector<PutUpSize>& sizes) {
  require_range("amount to buy", amount, 0.0, 1e9, "a purchase");
  require_range("sizes of put-ups", static_cast<double>(sizes.size()), 1.0,
                static_cast<double>(kMostSizes), "a purchase");
  for (const PutUpSize& one : sizes) {
    require_range("what a put-up holds", one.holds, 1e-9, 1e9, "a purchase");
  }
  require_range("the largest put-up over the smallest", largest_over_smallest(sizes), 1.0,
                kMostOverSmallest, "a purchase");
}

}  // namespace

double largest_over_smallest(const std::vector<PutUpSize>& sizes) {
  const auto [small, large] =
      std::minmax_element(sizes.begin(), sizes.end(),
                          [](const PutUpSize& a, const PutUpSize& b) { return a.holds < b.holds; });
  return large->holds / small->holds;
}

std::vector<int> cheapest_put_ups(double amount, const std::vector<PutUpSize>& sizes) {
  require_sizes(amount, sizes);
  const bool are_priced = std::all_of(sizes.begin(), sizes.end(),
                                      [](const PutUpSize& one) { return one.price.has_value(); });
  const std::size_t best = best_value(sizes, are_priced);
  const double bulk = std::max(0.0, std::floor(amount / sizes[best].holds) - kInDetail);
  const double rest = amount - bulk * sizes[best].holds;
  std::vector<Choice> choices(1);
  for (const PutUpSize& one : sizes) {
    choices = with_size(choices, rest, one.holds, are_priced ? *one.price : Money::near(one.holds));
  }
  const auto enough = [&](const Choice& one) { return one.holds >= rest - kHair; };
  std::vector<int> counts = std::find_if(choices.begin(), choices.end(), enough)->of_each;
  counts[best] += static_cast<int>(bulk);
  return counts;
}

}  // namespace ellwand::decide
