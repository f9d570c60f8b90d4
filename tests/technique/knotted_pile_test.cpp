#include "ellwand/technique/knotted_pile.hpp"

#include <gtest/gtest.h>

#include <string>

#include "ellwand/units/error.hpp"
#include "support/lies.hpp"

namespace ellwand::technique {
namespace {

KnottedFringe short_knots(int rows) {
  KnottedFringe knots;
  knots.strand = {"pile", 2, 1};
  knots.rows = rows;
  knots.hang = millimetres(12.0);
  return knots;
}

Woven plain_ground() {
  Woven ground;
  ground.grid = cloth::spread(cloth::plain(), 33, cloth::Remainder::Right);
  ground.areas = {{{"ground", 1, 1}, 33, Join::None, std::nullopt}};
  return ground;
}

TEST(KnottedPile, KnotsStandBetweenTheBareEdgesAndTheGroundPassesEveryEnd) {
  const KnottedPile pile = knotted_pile(short_knots(5), plain_ground(), 33, 2, 3);
  EXPECT_EQ(pile.knots.ends, 29);
  EXPECT_EQ(pile.knots.knots_per_row(), 14);
  EXPECT_EQ(pile.knots.ends_left_over(), 1);
  EXPECT_EQ(pile.ground.areas.at(0).ends, 33);
  EXPECT_EQ(pile.ground.extent.count, 15);  // five rows of knots, three picks after each
}

std::string refusal(int all_ends, int edge_ends, int ends_per_knot) {
  try {
    knotted_ends(all_ends, edge_ends, ends_per_knot);
  } catch (const OutOfRange& refused) {
    return refused.what();
  }
  return "";
}

TEST(KnottedPile, EdgesMayTakeAllEndsButThoseOfOneKnot) {
  EXPECT_EQ(knotted_ends(33, 15, 2), 3);
  EXPECT_EQ(refusal(33, 16, 2),
            "16 ends bare at each edge of 33 leave none for a knot round 2; leave at most 15 bare");
  EXPECT_EQ(knotted_ends(8, 2, 4), 4);
  EXPECT_EQ(refusal(7, 2, 4),
            "2 ends bare at each edge of 7 leave none for a knot round 4; leave at most 1 bare");
}

TEST(KnottedPile, AnOddNumberOfEndsCannotShareAKnot) {
  EXPECT_EQ(refusal(33, 0, 3),
            "a knot takes as many ends to its left as to its right, so 3 cannot share one; let it "
            "take 2 or 4");
}

TEST(KnottedPile, AKnotRoundFourEndsWrapsTwoPairs) {
  // Pairs of 1.0 mm ends in bundles of 1.0 sqrt(2 / 0.5) = 2.0 mm, 8 mm apart; strands of 1.2 mm,
  // two held: 1.2 sqrt(2 / 0.5) = 2.4 mm. Wrap 8 + 1.5 pi 4.4 = 28.7345 mm, tails 2 (12 + 8) = 40.
  // Of 33 ends one is left over: 7 knots so, and one 4 mm longer.
  KnottedFringe knots = short_knots(1);
  knots.ends = 33;
  knots.ends_per_knot = 4;
  Lie<> lie = test::notched_lie();
  lie.strand_diameter = millimetres(1.2);
  lie.take = 1.0;
  const auto cut = fringe_cut(knots, lie);
  EXPECT_NEAR(in_millimetres(cut.each), 68.7345, 5e-4);
  EXPECT_NEAR(in_millimetres(cut.last), 72.7345, 5e-4);
  EXPECT_EQ(cut.strands_each, 14);
  EXPECT_EQ(cut.strands_last, 2);
  // 14 x 68.7345 + 2 x 72.7345
  EXPECT_NEAR(in_millimetres(fringe_yarn(knots, lie).total()), 1107.752, 5e-3);
}

TEST(KnottedPile, EveryEndLeftOverIsASpacingMore) {
  // 7 ends, knots round four: one knot that takes in the other three, 12 mm more.
  KnottedFringe knots = short_knots(1);
  knots.ends = 7;
  knots.ends_per_knot = 4;
  const Lie<> lie = test::notched_lie();
  const auto cut = fringe_cut(knots, lie);
  EXPECT_EQ(cut.strands_each, 0);
  EXPECT_EQ(cut.strands_last, 2);
  EXPECT_NEAR(in_millimetres(cut.last - cut.each), 12.0 * 1.05, 1e-9);  // with its take
}

}  // namespace
}  // namespace ellwand::technique
