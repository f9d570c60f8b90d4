// Soumak by hand sums; against taut paths in taut_path_test.cpp.

#include "ellwand/technique/soumak.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <map>
#include <string>

#include "ellwand/units/error.hpp"
#include "support/lies.hpp"
#include "support/slopes.hpp"

namespace ellwand::technique {
namespace {

using test::lie_of;
using test::notched_lie;
using test::variables_of;

double wrap_mm(double spacing, double end, double weft, int over, int back) {
  return in_millimetres(
      soumak_wrap(millimetres(spacing), millimetres(end), millimetres(weft), over, back));
}

TEST(SoumakWrap, ByHand) {
  // Over 4 back 2, spacing 4, D = 1.0 + 1.6: passes 8 apart run at sin = 1.6 / 8, tan 0.20412;
  // y = 0.48 x 1.5 x (12 + 2.6) x 0.20412 = 2.1458. Before 12 + 4.0841, behind 4 + 4.0841:
  // 16.2266 + 8.3640 = 24.5906. (Flat, without y, 24.168.)
  EXPECT_NEAR(wrap_mm(4.0, 1.0, 1.6, 4, 2), 24.5906, 1e-4);
}

TEST(SoumakWrap, RoundAGroupOnceIsOverItTwice) {
  EXPECT_DOUBLE_EQ(wrap_mm(4.0, 1.0, 1.6, 2, 2), wrap_mm(4.0, 1.0, 1.6, 4, 2));
  EXPECT_DOUBLE_EQ(wrap_mm(4.0, 1.0, 1.6, 1, 1), wrap_mm(4.0, 1.0, 1.6, 2, 1));
}

TEST(SoumakWrap, GoesOnWhereWeftsDoNotFit) {
  for (const int back : {1, 2}) {
    // At the edge the value goes on: two thousandths apart, slopes of a few.
    EXPECT_NEAR(wrap_mm(4.0, 1.0, 2.999, 3, back), wrap_mm(4.0, 1.0, 3.001, 3, back), 0.05);
    double thinner = 0.0;
    for (double weft = 0.5; weft < 50.0; weft *= 1.1) {
      const double wrap = wrap_mm(4.0, 1.0, weft, 3, back);
      EXPECT_TRUE(std::isfinite(wrap));
      EXPECT_GT(wrap, thinner) << weft;
      thinner = wrap;
    }
  }
}

TEST(SoumakWrap, AWeftPressedFlatTakesTheWayOfTheGap) {
  // 4/2 at spacing 2: D = 2.6 does not fit, a half turn is pi / 2 x 2. Passes 2 ends apart that
  // would be 5.2: slope 1.6 / sqrt(5.2^2 - 1.6^2) = 0.32338, y = 0.48 x 1.5 x 8 x 0.32338 = 1.8627;
  // sqrt(9.1416^2 + y^2) + sqrt(5.1416^2 + y^2) = 9.3294 + 5.4686.
  EXPECT_NEAR(wrap_mm(2.0, 1.0, 1.6, 4, 2), 14.7980, 2e-4);
}

TEST(SoumakWrap, RefusesWhatIsNoSoumak) {
  EXPECT_THROW(wrap_mm(4.0, 1.0, 1.6, 2, 0), OutOfRange);
  EXPECT_THROW(wrap_mm(4.0, 1.0, 1.6, 2, 3), OutOfRange);
  EXPECT_THROW(wrap_mm(4.0, 1.0, 0.0, 2, 1), OutOfRange);
  EXPECT_THROW(wrap_mm(std::nan(""), 1.0, 1.6, 2, 1), OutOfRange);
}

TEST(SoumakWrap, SlopesAgreeWithCentralDifferences) {
  for (const double weft : {0.4, 1.6, 2.95, 3.5}) {
    for (const int back : {1, 2, 3}) {
      test::expect_slopes_match(
          [&](const auto& x) {
            return in_millimetres(
                soumak_wrap(millimetres(x[0]), millimetres(x[1]), millimetres(x[2]), 3, back));
          },
          std::array<double, 3>{4.0, 1.0, weft});
    }
  }
}

Soumak soumak(int ends, int over, int back, int rows = 1) {
  Soumak band;
  band.strand = {"rug", 1, 1};
  band.ends = ends;
  band.over = over;
  band.back = back;
  band.rows = rows;
  return band;
}

TEST(SoumakWraps, AreCounted) {
  EXPECT_EQ(soumak_wraps(soumak(40, 4, 2)), 19);  // the last begins at end 37
  EXPECT_EQ(soumak_wraps(soumak(41, 4, 2)), 19);  // and one end is left over
  EXPECT_EQ(soumak_wraps(soumak(40, 2, 1)), 39);
  EXPECT_EQ(soumak_wraps(soumak(40, 3, 3)), 13);
}

TEST(SoumakYarn, NeedsAGapInThePlan) {
  // Of 1.6 mm at most pressed to 0.08: ends of 1.0 leave that at 1.08.
  Lie<> lie = notched_lie();
  lie.warp_spacing = millimetres(1.07);
  EXPECT_THROW(soumak_laid(soumak(40, 4, 2), lie, 1.8), OutOfRange);
  lie.warp_spacing = millimetres(1.09);
  EXPECT_TRUE(soumak_laid(soumak(40, 4, 2), lie, 1.8).flattened);
  lie.warp_spacing = millimetres(2.61);
  EXPECT_FALSE(soumak_laid(soumak(40, 4, 2), lie, 1.8).flattened);
}

std::map<Cause, double> causes(const Entries<double>& entries) {
  std::map<Cause, double> sums;
  for (const auto& entry : entries) sums[entry.cause] += in_millimetres(entry.yarn);
  return sums;
}

double row_mm(const Soumak& band) {
  const auto sum = causes(soumak_yarn(band, notched_lie(), 1.8));
  return sum.at(Cause::Straight) + sum.at(Cause::Wraps);
}

TEST(SoumakYarn, TwoRowsByHand) {
  // 40 ends, 4/2: 19 wraps of 24.5906 a row, of which 39 x 4 straight. Into the second row over
  // one more end and once round the edge: 4 + sqrt((2.6 pi)^2 + (1.8 x 1.6)^2) = 12.6610. In all
  // 947.104 x 1.05, one length of 2 m.
  const auto sum = causes(soumak_yarn(soumak(40, 4, 2, 2), notched_lie(), 1.8));
  EXPECT_NEAR(sum.at(Cause::Straight), 2 * 156.0, 1e-9);
  EXPECT_NEAR(sum.at(Cause::Wraps), 2 * (19 * 24.5906 - 156.0), 5e-3);  // the digits, as below
  EXPECT_NEAR(sum.at(Cause::Turns), 12.661, 1e-3);
  EXPECT_NEAR(sum.at(Cause::Take), 0.05 * 947.104, 1e-3);
  EXPECT_NEAR(sum.at(Cause::Tails), 200.0, 1e-9);
  EXPECT_EQ(causes(soumak_yarn(soumak(40, 4, 2), notched_lie(), 1.8)).count(Cause::Turns), 0U);
}

TEST(SoumakYarn, EndsLeftOverGetAShorterWrap) {
  // One end left over: a wrap over 3 back 2 at the slope of the others, y = 0.48 (1 + 2 / 3)
  // (8 + 2.6) 0.20412 = 1.7310: sqrt(12.0841^2 + y^2) + sqrt(8.0841^2 + y^2) = 20.4748.
  EXPECT_NEAR(row_mm(soumak(41, 4, 2)) - row_mm(soumak(40, 4, 2)), 20.4748, 2e-4);
}

TEST(SoumakYarn, GroupsWrappedOnce) {
  // Six ends by threes: round the first and over it to the next, as 6/3; then round the second:
  // over 3 back 3, y = 0.96 (8 + 2.6) tan, sin = 1.6 / 12, tan 0.13453: 1.3690,
  // 2 sqrt(12.0841^2 + y^2) = 24.3229.
  const double wrap = wrap_mm(4.0, 1.0, 1.6, 3, 3);
  EXPECT_NEAR(row_mm(soumak(6, 3, 3)), wrap + 24.3229, 2e-4);
  // Seven: one end is left over and is wrapped: y = 0.96 x 2.6 x 0.13453 = 0.3358,
  // 2 sqrt(4.0841^2 + y^2) = 8.1957.
  EXPECT_NEAR(row_mm(soumak(7, 3, 3)), 2 * wrap + 8.1957, 2e-4);
}

TEST(SoumakYarn, SmoothlyCountedAndHeldStrands) {
  Lie<> lie = notched_lie();
  lie.counting = Counting::Smooth;
  // Two rows as above, 994.46 / 1800 + 1/2 lengths.
  EXPECT_NEAR(causes(soumak_yarn(soumak(40, 4, 2, 2), lie, 1.8)).at(Cause::Tails),
              200.0 * (0.57874 + 0.5), 1e-2);
  Soumak held = soumak(40, 4, 2);
  held.strand = {"rug", 4, 2};
  lie.strand_diameter = millimetres(0.8);  // four are one of 1.6
  EXPECT_NEAR(causes(soumak_yarn(held, lie, 1.8)).at(Cause::Straight), 312.0, 1e-9);
  EXPECT_NEAR(in_millimetres(soumak_row_height(held, lie, 1.8)), 2.88, 1e-9);
}

std::string refusal(const Soumak& band) {
  try {
    soumak_yarn(band, notched_lie(), 1.8);
  } catch (const OutOfRange& refused) {
    return refused.what();
  }
  return "accepted";
}

TEST(SoumakYarn, RefusesWhatCannotBeWorked) {
  EXPECT_EQ(refusal(soumak(40, 2, 3)),
            "soumak over 2 ends and back behind 3 gets nowhere; pass behind no more ends than "
            "over");
  EXPECT_EQ(refusal(soumak(4, 4, 2)),
            "soumak over 4 ends does not fit on a warp of 4 ends; pass over fewer");
  EXPECT_NE(refusal(soumak(40, 2, 0)), "accepted");
  EXPECT_NE(refusal(soumak(40, 0, 0)), "accepted");
  EXPECT_NE(refusal(soumak(40, 2, 1, 0)), "accepted");
  EXPECT_THROW(soumak_yarn(soumak(40, 2, 1), notched_lie(), 0.0), OutOfRange);
}

TEST(SoumakYarn, SlopesAgreeWithCentralDifferences) {
  for (const int ends : {20, 301}) {
    for (const int back : {1, 2, 3}) {
      Soumak band = soumak(ends, 3, back, 5);
      band.strand = {"rug", 2, 1};
      const Lie<> lie = notched_lie();
      test::expect_slopes_match(
          [&](const auto& x) {
            return in_millimetres(soumak_yarn(band, lie_of(x, lie), 1.8).total());
          },
          variables_of(lie));
      test::expect_slopes_match(
          [&](const auto& x) {
            return in_millimetres(soumak_row_height(band, lie_of(x, lie), 1.8));
          },
          variables_of(lie));
    }
  }
}

}  // namespace
}  // namespace ellwand::technique
