#include "ellwand/technique/cord.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "ellwand/units/error.hpp"
#include "support/lies.hpp"
#include "support/slopes.hpp"

namespace ellwand::technique {
namespace {

using test::lie_of;
using test::notched_lie;
using test::variables_of;

/// Tied 16 cm apart, rising 20 cm, four turns at each tie round a rod of 10 mm.
HangingCord cord_of_two_ties() {
  HangingCord cord;
  cord.strand = {"seine", 1, 1};
  cord.tie_distance = centimetres(16.0);
  cord.rise = centimetres(20.0);
  cord.wraps_at_each_tie = 4;
  cord.rod = millimetres(10.0);
  return cord;
}

/// A cord of 2 mm, taken as it comes.
Lie<> cord_lie() {
  Lie<> lie = notched_lie();
  lie.strand_diameter = millimetres(2.0);
  lie.take = 1.0;
  return lie;
}

TEST(CordCut, ByHand) {
  // 2 sqrt(8^2 + 20^2) = 43.081; 8 turns of pi 1.2 = 30.159: 73.24 cm.
  EXPECT_NEAR(in_centimetres(cord_cut(cord_of_two_ties(), cord_lie())), 73.24, 5e-3);
}

TEST(CordCut, LeavesOutTheAdvanceOfATurn) {
  // One turn at each tie more is two turns; a close one of 2 mm round 10 mm is 37.752 mm (derived,
  // apart from this program).
  HangingCord more = cord_of_two_ties();
  more.wraps_at_each_tie = 5;
  const Length<> turns = cord_cut(more, cord_lie()) - cord_cut(cord_of_two_ties(), cord_lie());
  EXPECT_LT(in_millimetres(turns), 2 * 37.752);
  EXPECT_GT(in_millimetres(turns), 2 * 37.752 * (1.0 - 0.002));
}

TEST(CordCut, TakeIsOnAllButTheKnots) {
  HangingCord cord = cord_of_two_ties();
  cord.knots = centimetres(9.0);
  Lie<> lie = cord_lie();
  lie.take = 1.05;
  // 1.05 x 73.240 + 9 = 85.902
  EXPECT_NEAR(in_centimetres(cord_cut(cord, lie)), 85.902, 5e-3);
}

TEST(CordCut, WithoutWrapsIsTwoLegs) {
  // 3-4-5 twice: ties 6 cm apart, rise 4 cm; no rod need be known.
  HangingCord cord;
  cord.tie_distance = centimetres(6.0);
  cord.rise = centimetres(4.0);
  EXPECT_NEAR(in_centimetres(cord_cut(cord, cord_lie())), 10.0, 1e-9);
}

TEST(CordYarn, OfThreeStrandsIsThreeCuts) {
  // Three strands of 2 mm hang as a bundle of 2 sqrt(3 / 0.65) = 4.2967: turns of pi 14.2967 =
  // 44.914, eight of them 35.932 cm; 43.081 + 35.932 = 79.013; x 1.05 + 9 = 91.963, three times.
  HangingCord cord = cord_of_two_ties();
  cord.strand.held = 3;
  cord.knots = centimetres(9.0);
  Lie<> lie = cord_lie();
  lie.take = 1.05;
  const auto entries = cord_yarn(cord, lie);
  EXPECT_NEAR(in_centimetres(entries.total()), 3 * 91.963, 0.02);
  double knots_cm = 0.0;
  for (const auto& entry : entries) {
    if (entry.cause == Cause::Tails) knots_cm += in_centimetres(entry.yarn);
  }
  EXPECT_NEAR(knots_cm, 27.0, 1e-9);
}

std::string refusal(const HangingCord& cord) {
  try {
    cord_yarn(cord, cord_lie());
  } catch (const OutOfRange& refused) {
    return refused.what();
  }
  return "accepted";
}

TEST(CordYarn, AsksForTheRise) {
  HangingCord cord = cord_of_two_ties();
  cord.rise = {};
  EXPECT_EQ(refusal(cord),
            "a hanging cord needs the rise of its middle above the rod, more than 0; measure from "
            "the rod to the nail");
  EXPECT_THROW(cord_cut(cord, cord_lie()), OutOfRange);
}

TEST(CordYarn, RefusesWrapsRoundNoRod) {
  HangingCord cord = cord_of_two_ties();
  cord.rod = {};
  EXPECT_EQ(refusal(cord),
            "diameter of the rod, mm is 0; a cord wrapped round it holds from 0.001 to 100000");
  cord.wraps_at_each_tie = 0;
  EXPECT_EQ(refusal(cord), "accepted");
  cord.tie_distance = metres(std::nan(""));
  EXPECT_NE(refusal(cord), "accepted");
}

TEST(CordYarn, SlopesAgreeWithCentralDifferences) {
  HangingCord cord = cord_of_two_ties();
  cord.strand = {"seine", 3, 1};
  cord.knots = centimetres(9.0);
  Lie<> lie = cord_lie();
  lie.take = 1.05;
  const auto at = variables_of(lie);
  test::expect_slopes_match(
      [&](const auto& x) { return in_millimetres(cord_yarn(cord, lie_of(x, lie)).total()); }, at);
  test::expect_slopes_match(
      [&](const auto& x) { return in_millimetres(cord_cut(cord, lie_of(x, lie))); }, at);
}

}  // namespace
}  // namespace ellwand::technique
