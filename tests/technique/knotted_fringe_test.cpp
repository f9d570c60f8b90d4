#include "ellwand/technique/knotted_fringe.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>

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

TEST(KnotWrap, IsABarAndThreeQuartersOfATurnRoundEachEnd) {
  // Traced point by point: straight from end to end, then 270 degrees round each, the bundle's
  // axis (1.0 + 2.578) / 2 from the end's.
  double traced_mm = 4.0;
  const double radius = (1.0 + 2.578) / 2.0;
  constexpr int kPieces = 2700;
  const double step = 1.5 * std::numbers::pi / kPieces;
  for (int end = 0; end < 2; ++end) {
    for (int i = 0; i < kPieces; ++i) {
      traced_mm += std::hypot(radius * (std::cos((i + 1) * step) - std::cos(i * step)),
                              radius * (std::sin((i + 1) * step) - std::sin(i * step)));
    }
  }
  EXPECT_NEAR(in_millimetres(knot_wrap(millimetres(4.0), millimetres(1.0), millimetres(2.578))),
              traced_mm, 1e-5);  // the chords
}

TEST(FringeYarn, RowsHeldAndSplitStrandsMultiplyAndDivide) {
  // Two rows on 5 ends: each a knot of two ends and one of three. Two strands, each a half of a
  // roving: bundle 1.2 sqrt(2 / 0.5) = 2.4; wraps 4 + 1.5 pi 3.4 = 20.0221 and 24.0221; with 296
  // of ends 316.0221 and 320.0221. Four of each, half of that as bought: 1.272088 m.
  KnottedFringe fringe = linen_fringe();
  fringe.strand = {"sliver", 2, 2};
  fringe.ends = 5;
  fringe.rows = 2;
  const auto cut = fringe_cut(fringe, linen_lie());
  EXPECT_EQ(cut.strands_each, 4);
  EXPECT_EQ(cut.strands_last, 4);
  EXPECT_NEAR(in_metres(fringe_yarn(fringe, linen_lie()).total()), 1.272088, 1e-6);
}

TEST(FringeRowHeight, IsSoManyBundlesHigh) {
  // 1.2 bundles of 2.578, rows 10 % wider apart: 3.403
  Lie<> lie = linen_lie();
  lie.row_spacing = 1.1;
  EXPECT_NEAR(in_millimetres(fringe_row_height(linen_fringe(), lie, 1.2)), 3.403, 5e-4);
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
  // One strand of 2.4 round ends of 1.0: the spacing falls from 4 to 3.4, the wrap from 20.02 to
  // 19.42. The third end of the last knot is still a spacing away.
  KnottedFringe fringe = linen_fringe();
  fringe.strand.held = 1;
  Lie<> lie = linen_lie();
  lie.strand_diameter = millimetres(2.4);
  EXPECT_NEAR(in_millimetres(fringe_cut(fringe, lie).each) - 296.0, 20.02, 5e-3);
  fringe.pulled_tight = true;
  EXPECT_NEAR(in_millimetres(fringe_cut(fringe, lie).each) - 296.0, 19.42, 5e-3);
  EXPECT_NEAR(in_millimetres(fringe_cut(fringe, lie).last) - 296.0, 23.42, 5e-3);
}

TEST(FringeCut, ABundleThatFillsTheGapDoesNotPushTheEndsApart) {
  // 1.0 + 3.5 is more than the 4 mm there are: 4 + 1.5 pi 4.5 = 25.206.
  KnottedFringe fringe = linen_fringe();
  fringe.strand.held = 1;
  fringe.pulled_tight = true;
  Lie<> lie = linen_lie();
  lie.strand_diameter = millimetres(3.5);
  EXPECT_NEAR(in_millimetres(fringe_cut(fringe, lie).each) - 296.0, 25.206, 5e-4);
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

TEST(KnotWrap, SlopesAgreeWithCentralDifferences) {
  test::expect_slopes_match(
      [](const auto& x) {
        return in_millimetres(knot_wrap(millimetres(x[0]), millimetres(x[1]), millimetres(x[2])));
      },
      std::array<double, 3>{4.0, 1.0, 2.578});
}

TEST(TautKnotWrap, OverAClothOfThreeByHand) {
  // Ends of 1.0 every 4, bundle 1.5: two tails fit side by side. t = 1.5, beyond R = 1.25, so that
  // y = 2.25; c = 1.5 pi 1.25 = 5.8905: 4 + 2 (1.5 + 1.1781 - 2.25) + 2 sqrt(5.8905^2 + 1.5^2)
  // = 4 + 0.8562 + 12.1569 = 17.0131; three ends: 4 more.
  const auto knot = [](double bundle, double cloth, int ends) {
    return in_millimetres(taut_knot_wrap(millimetres(4.0), millimetres(1.0), millimetres(bundle),
                                         millimetres(cloth), ends));
  };
  EXPECT_NEAR(knot(1.5, 3.0, 2), 17.0131, 2e-4);
  EXPECT_NEAR(knot(1.5, 3.0, 3), 21.0131, 2e-4);
  // Bundle 2.4, one tail over the other: u = 1.25, v = 0.27778, s = 1.44 (1 - 0.18861) = 1.16841.
  // Cloth 4.2: t = 2.1, y = 3.6, c = 8.0111, a = 1.6, e = 2.76841 - 1.98118 = 0.78723:
  // 4 + 2 (2.1 + 1.88496 - 3.6) + 8.36285 + sqrt(64.1777 + 12.7342) - 1.16841 - 0.78723 = 19.9470.
  EXPECT_NEAR(knot(2.4, 4.2, 2), 19.9470, 2e-4);
}

TEST(TautKnotWrap, IsFiniteForAnyThickness) {
  for (const double bundle : {0.01, 0.5, 1.5, 2.9, 3.1, 8.0, 50.0}) {
    for (const double cloth : {0.0, 1.0, 30.0}) {
      const double wrap = in_millimetres(taut_knot_wrap(millimetres(4.0), millimetres(1.0),
                                                        millimetres(bundle), millimetres(cloth)));
      EXPECT_TRUE(std::isfinite(wrap) && wrap > 4.0) << bundle << " " << cloth;
    }
  }
}

TEST(TautKnotWrap, SlopesAgreeWithCentralDifferences) {
  // Side by side, over each other, too thick for the gap; on bare ends and on cloth.
  for (const double bundle : {1.2, 2.0, 3.5}) {
    for (const double cloth : {1.2, 4.2}) {
      for (const int ends : {2, 3}) {
        test::expect_slopes_match(
            [&](const auto& x) {
              return in_millimetres(taut_knot_wrap(millimetres(x[0]), millimetres(x[1]),
                                                   millimetres(x[2]), millimetres(x[3]), ends));
            },
            std::array<double, 4>{4.0, 1.0, bundle, cloth});
      }
    }
  }
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
        [&](const auto& x) { return in_millimetres(fringe_cut(fringe, lie_of(x, lie)).each); }, at);
    test::expect_slopes_match(
        [&](const auto& x) { return in_millimetres(fringe_cut(fringe, lie_of(x, lie)).last); }, at);
    test::expect_slopes_match(
        [&](const auto& x) { return in_millimetres(fringe_cut(fringe, lie_of(x, lie)).bundle); },
        at);
    test::expect_slopes_match(
        [&](const auto& x) {
          return in_millimetres(fringe_row_height(fringe, lie_of(x, lie), 1.2));
        },
        at);
  }
}

}  // namespace
}  // namespace ellwand::technique
