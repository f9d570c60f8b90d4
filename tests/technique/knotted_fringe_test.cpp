#include "ellwand/technique/knotted_fringe.hpp"

#include <gtest/gtest.h>

#include "ellwand/units/error.hpp"
#include "support/lies.hpp"
#include "support/slopes.hpp"

namespace ellwand::technique {
namespace {

using test::lie_of;
using test::notched_lie;
using test::variables_of;

/// 33 ends, three strands of 1.2 mm held together, hanging 140 mm.
KnottedFringe linen_fringe() {
  KnottedFringe fringe;
  fringe.strand = {"linen", 3, 1};
  fringe.ends = 33;
  fringe.hang = millimetres(140.0);
  return fringe;
}

Lie<> linen_lie() {
  Lie<> lie = notched_lie();
  lie.strand_diameter = millimetres(1.2);
  lie.take = 1.0;
  return lie;
}

TEST(FringeCut, ThirtyThreeEndsByHand) {
  // Bundle 1.2 sqrt(3 / 0.65) = 2.578; wrap 4 + 1.5 pi 3.578 = 20.861; ends 2 (140 + 8) = 296.
  // 16 knots of two ends, the last of three (common practice, no published source).
  const auto cut = fringe_cut(linen_fringe(), linen_lie());
  EXPECT_NEAR(in_millimetres(cut.bundle), 2.578, 5e-4);
  EXPECT_NEAR(in_millimetres(cut.each), 316.861, 5e-4);
  EXPECT_NEAR(in_millimetres(cut.last), 320.861, 5e-4);
  EXPECT_EQ(cut.strands_each, 45);
  EXPECT_EQ(cut.strands_last, 3);
}

TEST(FringeYarn, AddsUpToTheCutStrands) {
  // 45 x 0.316861 + 3 x 0.320861 = 15.2213 m
  EXPECT_NEAR(in_metres(fringe_yarn(linen_fringe(), linen_lie()).total()), 15.2213, 5e-5);
}

TEST(FringeYarn, TakeIsOnTheWrapAlone) {
  Lie<> loose = linen_lie();
  loose.take = 1.5;
  const double more = in_metres(fringe_yarn(linen_fringe(), loose).total()) -
                      in_metres(fringe_yarn(linen_fringe(), linen_lie()).total());
  // Half of the wraps: (48 x 20.861 + 3 x 4) / 2 = 506.66 mm
  EXPECT_NEAR(more, 0.50666, 5e-5);
}

TEST(FringeCut, AKnotPulledTightDrawsItsEndsTogether) {
  // d_e 1.0, d_b 2.4 (two strands of 1.2 sqrt(2 / 0.5) / 2...: one strand of 2.4): the spacing
  // falls from 4 to 3.4, the wrap from 20.02 to 19.42.
  KnottedFringe fringe = linen_fringe();
  fringe.strand.held = 1;
  Lie<> lie = linen_lie();
  lie.strand_diameter = millimetres(2.4);
  EXPECT_NEAR(in_millimetres(fringe_cut(fringe, lie).each) - 296.0, 20.02, 5e-3);
  fringe.pulled_tight = true;
  EXPECT_NEAR(in_millimetres(fringe_cut(fringe, lie).each) - 296.0, 19.42, 5e-3);
}

TEST(FringeCut, AnEvenNumberOfEndsHasNoWideKnot) {
  KnottedFringe fringe = linen_fringe();
  fringe.ends = 34;
  const auto cut = fringe_cut(fringe, linen_lie());
  EXPECT_EQ(cut.strands_each, 51);
  EXPECT_EQ(cut.strands_last, 0);
}

TEST(CardHeight, OfThirtyTwoCentimetreStrands) {
  // (320 - 2 x 2 - pi 1.2) / 2 = 156.1
  EXPECT_NEAR(in_millimetres(card_height(millimetres(320.0), millimetres(2.0), millimetres(1.2))),
              156.1, 0.05);
  EXPECT_THROW(card_height(millimetres(5.0), millimetres(2.0), millimetres(1.2)), OutOfRange);
}

TEST(SpareStrands, AreOneInTwentyRoundedUp) {
  EXPECT_EQ(spare_strands(40), 2);
  EXPECT_EQ(spare_strands(41), 3);
}

TEST(FringeYarn, SlopesAgreeWithCentralDifferences) {
  for (const bool tight : {false, true}) {
    KnottedFringe fringe = linen_fringe();
    fringe.pulled_tight = tight;
    fringe.strand = {"linen", 1, 2};
    Lie<> lie = linen_lie();
    lie.take = 1.1;
    const auto at = variables_of(lie);
    test::expect_slopes_match(
        [&](const auto& x) { return in_millimetres(fringe_yarn(fringe, lie_of(x, lie)).total()); },
        at);
    test::expect_slopes_match(
        [&](const auto& x) { return in_millimetres(fringe_cut(fringe, lie_of(x, lie)).last); }, at);
    test::expect_slopes_match(
        [&](const auto& x) {
          return in_millimetres(fringe_row_height(fringe, lie_of(x, lie), 1.2));
        },
        at);
  }
}

}  // namespace
}  // namespace ellwand::technique
