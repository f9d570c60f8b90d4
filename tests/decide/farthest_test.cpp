// The largest step that suffices.

#include "ellwand/decide/farthest.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <optional>
#include <set>

namespace ellwand::decide {
namespace {

/// Suffices up to a step, is short beyond it.
Outcome up_to(int most, int step) { return step <= most ? Outcome::Suffices : Outcome::Short; }

RC_GTEST_PROP(Farthest, IsWhatTryingEveryStepFinds, ()) {
  const int most = *rc::gen::inRange(1, 300);
  const int start = *rc::gen::inRange(1, most + 1);
  const int suffices = *rc::gen::inRange(-2, 310);
  const int every = *rc::gen::inRange(1, kWidestHole - 1);  // the others are refused
  const int room = *rc::gen::inRange(1, 400);
  const auto outcome = [&](int step) {
    if (step > room) return Outcome::TooLarge;
    return step % every == 0 ? up_to(suffices, step) : Outcome::Refused;
  };
  int best = 0;
  for (int step = 1; step <= most; ++step) {
    if (outcome(step) == Outcome::Suffices) best = step;
  }
  const auto found = farthest(outcome, {1, start, most});
  RC_ASSERT(found.has_value() == (best > 0));
  if (!found) return;
  RC_ASSERT(found->step == best);
  std::optional<int> beyond;
  if (best < most) beyond = best + 1;
  for (int step = std::min(best + kWidestHole, most); step > best; --step) {
    if (outcome(step) != Outcome::Refused) beyond = step;
  }
  const bool is_named = found->too_far == beyond;
  RC_ASSERT(is_named);
}

TEST(Farthest, IsNotHeldByOneDipInTheNeed) {
  // 40 and 41 are short, 42 to 50 suffice again.
  const auto found =
      farthest([](int step) { return step == 40 || step == 41 ? Outcome::Short : up_to(50, step); },
               {1, 10, 1000});
  ASSERT_TRUE(found);
  EXPECT_EQ(found->step, 50);
  EXPECT_EQ(found->too_far, 51);
}

TEST(Farthest, TellsWhereNothingBinds) {
  const auto found = farthest([](int) { return Outcome::Suffices; }, {1, 3, 500});
  ASSERT_TRUE(found);
  EXPECT_EQ(found->step, 500);
  EXPECT_FALSE(found->too_far);
}

TEST(Farthest, NamesTheShortStepBeyondRefusedOnes) {
  // Multiples of four alone can be; 40 suffices and 44 is short.
  const auto found = farthest(
      [](int step) { return step % 4 == 0 ? up_to(41, step) : Outcome::Refused; }, {2, 7, 100});
  ASSERT_TRUE(found);
  EXPECT_EQ(found->step, 40);
  EXPECT_EQ(found->too_far, 44);
}

TEST(Farthest, AsksForEachStepOnceAndForFew) {
  std::multiset<int> asked;
  farthest(
      [&](int step) {
        asked.insert(step);
        return up_to(70'000, step);
      },
      {1, 24, 100'000});
  for (const int step : asked) EXPECT_EQ(asked.count(step), 1u);
  // 12 doublings, 17 halvings, the 24 that are looked at one by one.
  EXPECT_LE(asked.size(), 60u);
}

}  // namespace
}  // namespace ellwand::decide
