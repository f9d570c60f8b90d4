#include "ellwand/technique/edge_knots.hpp"

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

KnottedEdge edge_of(int ends, int ends_per_knot, Tied tied = Tied::InOneKnot) {
  KnottedEdge edge;
  edge.ends = ends;
  edge.ends_per_knot = ends_per_knot;
  edge.tied = tied;
  return edge;
}

/// Ends of 1.0 mm, tied as the geometry has it.
Lie<> tight_lie() {
  Lie<> lie = notched_lie();
  lie.take = 1.0;
  return lie;
}

TEST(OverhandKnot, TakesLessThanAnyClosedKnot) {
  // No closed knot is shorter than 15.66 diameters (Denne, Diao, Sullivan, Geom. Topol. 10 (2006)
  // 1-26), and what an open one takes leaves out the way back from end to end. A bound only.
  EXPECT_LT(kOverhandDiameters, 15.66);
}

TEST(KnotTakeUp, IsTenDiametersOfTheBundleAndFiveOfEachOfTwoTails) {
  // About 10.1 diameters (Pieranski, Przybyl, Stasiak, Eur. Phys. J. E 6 (2001), from memory) of
  // three ends of 1.0 mm in a bundle of sqrt(3 / 0.65) = 2.1483: 21.70 mm; of two tails 5.05 each.
  EXPECT_NEAR(in_millimetres(knot_take_up(Tied::InOneKnot, 3, millimetres(1.0))), 21.70, 5e-3);
  EXPECT_NEAR(in_millimetres(knot_take_up(Tied::TailToTail, 2, millimetres(1.0))), 5.05, 1e-9);
}

TEST(EdgeKnots, EndsLeftOverMakeAKnotAndOneAloneJoinsTheLast) {
  EXPECT_EQ(edge_knots(edge_of(33, 3)), 11);
  EXPECT_EQ(edge_knots(edge_of(35, 3)), 12);
  EXPECT_EQ(edge_knots(edge_of(34, 3)), 11);
  EXPECT_EQ(edge_knots(edge_of(33, 2, Tied::TailToTail)), 16);
  EXPECT_EQ(edge_knots(edge_of(3, 2)), 1);
}

TEST(EdgeKnotsYarn, ThirtyThreeEndsByThreeByHand) {
  // 33 x 21.698 = 716.0 mm
  EXPECT_NEAR(in_millimetres(edge_knots_yarn(edge_of(33, 3), tight_lie()).total()), 716.0, 0.1);
  KnottedEdge doubled = edge_of(33, 3);
  doubled.held = 2;
  EXPECT_NEAR(in_millimetres(edge_knots_yarn(doubled, tight_lie()).total()), 1432.1, 0.1);
}

TEST(EdgeKnotsYarn, TheLastKnotHasItsOwnBundle) {
  // 35 by three: 33 as above, and two in a bundle of 2.0: 2 x 20.2 = 40.4: 756.4 mm.
  EXPECT_NEAR(in_millimetres(edge_knots_yarn(edge_of(35, 3), tight_lie()).total()), 756.4, 0.1);
  // 34 by three: 30 x 21.698 and four in a bundle of sqrt(4 / 0.69) = 2.4077: 4 x 24.318 = 97.27.
  EXPECT_NEAR(in_millimetres(edge_knots_yarn(edge_of(34, 3), tight_lie()).total()), 748.2, 0.1);
  // 33 two and two: 30 tails of 5.05, and three ends in one knot: 151.5 + 65.09.
  EXPECT_NEAR(
      in_millimetres(edge_knots_yarn(edge_of(33, 2, Tied::TailToTail), tight_lie()).total()), 216.6,
      0.1);
}

TEST(EdgeKnotsYarn, TakeMultipliesTheKnots) {
  Lie<> loose = tight_lie();
  loose.take = 1.2;
  const auto entries = edge_knots_yarn(edge_of(33, 3), loose);
  EXPECT_NEAR(in_millimetres(entries.total()), 1.2 * 716.04, 0.1);
  EXPECT_EQ(entries.all().back().cause, Cause::Take);
}

TEST(RoomToTie, IsRoomForHandsOrForTheKnot) {
  // Common practice, no published source: 70 mm or more. Thin ends need 21.7 of it; three of 5 mm
  // gathered to 10.742 mm need 108.5 mm for the knot itself.
  EXPECT_EQ(room_to_tie(edge_of(33, 3), tight_lie(), millimetres(70.0)), millimetres(70.0));
  Lie<> thick = tight_lie();
  thick.warp_diameter = millimetres(5.0);
  EXPECT_NEAR(in_millimetres(room_to_tie(edge_of(33, 3), thick, millimetres(70.0))), 108.49, 0.01);
  // 34 by three: the last knot of four is the thickest, 5 x 24.318.
  EXPECT_NEAR(in_millimetres(room_to_tie(edge_of(34, 3), thick, millimetres(70.0))), 121.59, 0.01);
  thick.take = 1.1;
  EXPECT_NEAR(in_millimetres(room_to_tie(edge_of(34, 3), thick, millimetres(70.0))), 133.75, 0.01);
}

std::string refusal(const KnottedEdge& edge) {
  try {
    edge_knots_yarn(edge, tight_lie());
  } catch (const OutOfRange& refused) {
    return refused.what();
  }
  return "accepted";
}

TEST(EdgeKnotsYarn, RefusesWithASentence) {
  EXPECT_EQ(refusal(edge_of(3, 4)), "ends in one knot is 4; this edge holds from 1 to 3");
  EXPECT_EQ(refusal(edge_of(33, 3, Tied::TailToTail)),
            "ends in one knot is 3; tying two tails together holds from 2 to 2");
  EXPECT_NE(refusal(edge_of(0, 1)), "accepted");
  EXPECT_EQ(refusal(edge_of(1, 1)), "accepted");
  EXPECT_THROW(knot_take_up(Tied::TailToTail, 2, metres(std::nan(""))), OutOfRange);
  EXPECT_THROW(room_to_tie(edge_of(33, 3), tight_lie(), metres(-1.0)), OutOfRange);
}

TEST(EdgeKnotsYarn, SlopesAgreeWithCentralDifferences) {
  Lie<> lie = tight_lie();
  lie.take = 1.2;
  for (const KnottedEdge& edge :
       {edge_of(34, 3), edge_of(35, 3), edge_of(33, 2, Tied::TailToTail)}) {
    test::expect_slopes_match(
        [&](const auto& x) {
          return in_millimetres(edge_knots_yarn(edge, lie_of(x, lie)).total());
        },
        variables_of(lie));
  }
}

}  // namespace
}  // namespace ellwand::technique
