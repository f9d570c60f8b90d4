#include "ellwand/technique/lengths.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "ellwand/units/error.hpp"
#include "support/lies.hpp"
#include "support/slopes.hpp"

namespace ellwand::technique {
namespace {

using test::lie_of;
using test::notched_lie;
using test::variables_of;

/// With the plan drawn up from these very threads.
Lie<> planned_lie() {
  Lie<> lie = notched_lie();
  lie.planned = {millimetres(1.04), lie.tail, lie.working_length};
  return lie;
}

TEST(LengthsLaid, WholeOnesAreRoundedUpAndSmoothOnesAddAHalf) {
  Lie<> lie = notched_lie();
  EXPECT_EQ(lengths_laid(metres(10.1025), 1, lie).count, 6.0);  // 10.1025 / 1.8 = 5.6125
  EXPECT_EQ(lengths_laid(metres(1.8), 1, lie).count, 1.0);
  EXPECT_EQ(lengths_laid(metres(0.01), 1, lie).count, 1.0);
  lie.counting = Counting::Smooth;
  EXPECT_NEAR(lengths_laid(metres(10.1025), 1, lie).count, 6.1125, 1e-6);
  EXPECT_NEAR(lengths_laid(metres(0.01), 1, lie).count, 1.0, 1e-6);
  // One length just used up: (1 + 1/256)^(1/8) = 1.000487.
  EXPECT_NEAR(lengths_laid(metres(1.8), 1, lie).count, 1.500487, 1e-6);
}

TEST(LengthsLaid, EveryPlaceBeginsWithItsOwn) {
  // 4 places of 1.0 m out of lengths that weave 1.8 m: one each, 4 x 2 tails of 0.1 m.
  const LengthsLaid<double> laid = lengths_laid(metres(4.0), 4, notched_lie());
  EXPECT_EQ(laid.count, 4.0);
  EXPECT_NEAR(in_metres(laid.tails), 0.8, 1e-12);
  EXPECT_EQ(in_metres(laid.half_length), 0.0);
}

TEST(LengthsLaid, SmoothTailsOfTheHalfLengthStandApart) {
  // 5.6125 lengths of 0.2 m tails, and half a length's.
  Lie<> lie = notched_lie();
  lie.counting = Counting::Smooth;
  const LengthsLaid<double> laid = lengths_laid(metres(10.1025), 1, lie);
  EXPECT_NEAR(in_metres(laid.tails), 1.1225, 1e-9);
  EXPECT_NEAR(in_metres(laid.half_length), 0.1, 1e-6);
}

TEST(WorkingLength, UsedUpByItsTailsIsRefused) {
  Lie<> lie = notched_lie();
  lie.working_length = millimetres(200.0);
  EXPECT_THROW(working_length(lie), OutOfRange);
}

TEST(WorkingLength, TailsThatTurnOutLongLeaveSomethingToWeaveWith) {
  // Once the plan is made: 2 x 1.2 m is more than the 2 m carried. The plan leaves 2 x 0.1 of
  // 2.0 m, a ninth of what is woven; twelve times the tail leaves 12^(1 / 0.9) / 9 = 1.7573 of it:
  // 2.0 / 2.7573 = 0.7253 m woven, 0.6373 m at each end.
  Lie<> lie = planned_lie();
  lie.tail = metres(1.2);
  const WorkingLength<double> length = working_length(lie);
  EXPECT_NEAR(in_metres(length.used), 0.7253, 5e-5);
  EXPECT_NEAR(in_metres(length.tail), 0.6373, 5e-5);
  EXPECT_EQ(lengths_laid(metres(3.0), 1, lie).count, 5.0);  // 3.0 / 0.7253 = 4.14
}

TEST(WorkingLength, OfAPlanWithoutTailsHasNone) {
  Lie<> lie = planned_lie();
  lie.planned->tail = lie.tail = metres(0.0);
  EXPECT_EQ(in_metres(working_length(lie).tail), 0.0);
  EXPECT_EQ(in_metres(working_length(lie).used), 2.0);
}

TEST(WorkingLength, MovesAsThePlansOwnFormulaDoesNearThePlan) {
  // Central differences of ln(2 tail / (length - 2 tail)), by both.
  const auto ratio = [](Lie<> lie, double tail, double length) {
    lie.tail = lie.tail * tail;
    lie.working_length = lie.working_length * length;
    const WorkingLength<double> worked = working_length(lie);
    return std::log(2.0 * worked.tail / worked.used);
  };
  const double h = 1e-5;
  const auto by_tail = [&](const Lie<>& lie) {
    return (ratio(lie, 1.0 + h, 1.0) - ratio(lie, 1.0 - h, 1.0)) / (2.0 * h);
  };
  const auto by_length = [&](const Lie<>& lie) {
    return (ratio(lie, 1.0, 1.0 + h) - ratio(lie, 1.0, 1.0 - h)) / (2.0 * h);
  };
  EXPECT_NEAR(by_tail(planned_lie()), by_tail(notched_lie()), 1e-8);
  EXPECT_NEAR(by_length(planned_lie()), by_length(notched_lie()), 1e-8);
}

TEST(LengthsLaid, SlopesAgreeWithCentralDifferences) {
  // While planning and after; the last with tails of nearly half the length.
  Lie<> spent = notched_lie();
  spent.tail = millimetres(970.0);
  for (const Lie<>& like : {notched_lie(), planned_lie(), spent}) {
    const auto laid = [&](const auto& x) {
      return lengths_laid(millimetres(10102.5) * x[4], 2, lie_of(x, like));
    };
    const auto at = variables_of(like);
    test::expect_slopes_match([&](const auto& x) { return laid(x).count; }, at);
    test::expect_slopes_match([&](const auto& x) { return in_metres(laid(x).tails); }, at);
    test::expect_slopes_match([&](const auto& x) { return in_metres(laid(x).half_length); }, at);
  }
}

}  // namespace
}  // namespace ellwand::technique
