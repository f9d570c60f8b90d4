#include "ellwand/decide/put_ups.hpp"

#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace ellwand::decide {

namespace {

constexpr double kHair = 1e-9;
constexpr double kMostOfSmallest = 5000.0;

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

void require_sizes(double amount, const std::vector<PutUpSize>& sizes) {
  require_range("sizes of put-ups", static_cast<double>(sizes.size()), 1.0,
                static_cast<double>(kMostSizes), "a purchase");
  for (const PutUpSize& one : sizes) {
    require_range("what a put-up holds", one.holds, 1e-9, 1e9, "a purchase");
    require_range("put-ups of the smallest size", amount / one.holds, 0.0, kMostOfSmallest,
                  "a purchase");
  }
}

}  // namespace

std::vector<int> cheapest_put_ups(double amount, const std::vector<PutUpSize>& sizes) {
  require_sizes(amount, sizes);
  const bool are_priced = std::all_of(sizes.begin(), sizes.end(),
                                      [](const PutUpSize& one) { return one.price.has_value(); });
  std::vector<Choice> choices(1);
  for (const PutUpSize& one : sizes) {
    choices =
        with_size(choices, amount, one.holds, are_priced ? *one.price : Money::near(one.holds));
  }
  const auto enough = [&](const Choice& one) { return one.holds >= amount - kHair; };
  return std::find_if(choices.begin(), choices.end(), enough)->of_each;
}

}  // namespace ellwand::decide
