// Twining by hand sums; against taut paths in taut_path_test.cpp.

#include "ellwand/technique/twining.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <numbers>
#include <string>

#include "ellwand/units/error.hpp"
#include "support/lies.hpp"
#include "support/slopes.hpp"

namespace ellwand::technique {
namespace {

using std::numbers::pi;
using test::lie_of;
using test::notched_lie;
using test::variables_of;

double gap_mm(double spacing, double end, double strand, int over, int strands) {
  return in_millimetres(
      twining_gap(millimetres(spacing), millimetres(end), millimetres(strand), over, strands));
}

TEST(TwiningGap, ByHand) {
  // Spacing 4, D = 1.0 + 1.6: l = sqrt(16 - 6.76) + 2.6 atan(2.6 / 3.0397) = 4.8795.
  // Over one: 0.91 x 2.6 / sqrt(16 - 2.56) = 0.64538, y = 1.6 (1 + 0.64538^4)^(1/4) = 1.6653;
  // sqrt(4.8795^2 + 1.6653^2) = 5.1558. (With y = d_w, as it is without neighbours, 5.135.)
  EXPECT_NEAR(gap_mm(4.0, 1.0, 1.6, 1, 2), 5.1558, 5e-5);
  // Three strands: floats of sqrt(16 + 1.6653^2) = 4.3328; (2 x 5.1558 + 4.3328) / 3.
  EXPECT_NEAR(gap_mm(4.0, 1.0, 1.6, 1, 3), 4.8815, 5e-5);
  // Over two: 0.91 x 6.6 / sqrt(64 - 2.56) = 0.76623, y = 1.7230; sqrt(8.8795^2 + 1.7230^2).
  EXPECT_NEAR(gap_mm(4.0, 1.0, 1.6, 2, 2), 9.0451, 5e-5);
}

TEST(TwiningGap, GoesOnWhereStrandsDoNotFit) {
  for (const int over : {1, 2}) {
    for (const int strands : {2, 3}) {
      // At the edge the value goes on: two thousandths apart, slopes of a few.
      EXPECT_NEAR(gap_mm(4.0, 1.0, 2.999, over, strands), gap_mm(4.0, 1.0, 3.001, over, strands),
                  0.02);
      // Beyond it is finite, and thicker strands take more.
      double thinner = 0.0;
      for (double strand = 0.5; strand < 50.0; strand *= 1.1) {
        const double gap = gap_mm(4.0, 1.0, strand, over, strands);
        EXPECT_TRUE(std::isfinite(gap));
        EXPECT_GT(gap, thinner) << strand;
        thinner = gap;
      }
    }
  }
}

TEST(TwiningGap, AStrandPressedFlatTakesTheWayOfTheGap) {
  // Spacing 2, D = 2.6 does not fit: crossing pi / 2 x 2 = 3.1416; slope 1.6 / sqrt(2.6^2 - 1.6^2)
  // = 0.78072, 0.91 x 2.6 x 0.78072 = 1.8472, y = 1.6 (1 + 1.15450^4)^(1/4) = 2.0654; sqrt(3.1416^2
  // + 2.0654^2) = 3.7597.
  EXPECT_NEAR(gap_mm(2.0, 1.0, 1.6, 1, 2), 3.7597, 2e-4);
}

TEST(TwiningGap, RefusesWhatIsNoTwining) {
  EXPECT_THROW(gap_mm(4.0, 1.0, 1.6, 0, 2), OutOfRange);
  EXPECT_THROW(gap_mm(4.0, 1.0, 1.6, 1, 1), OutOfRange);
  EXPECT_THROW(gap_mm(4.0, 1.0, 0.0, 1, 2), OutOfRange);
  EXPECT_THROW(gap_mm(4.0, std::nan(""), 1.6, 1, 2), OutOfRange);
}

TEST(TwiningGap, SlopesAgreeWithCentralDifferences) {
  for (const double strand : {0.4, 1.6, 2.95, 3.5}) {
    for (const int over : {1, 3}) {
      for (const int strands : {2, 3}) {
        test::expect_slopes_match(
            [&](const auto& x) {
              return in_millimetres(twining_gap(millimetres(x[0]), millimetres(x[1]),
                                                millimetres(x[2]), over, strands));
            },
            std::array<double, 3>{4.0, 1.0, strand});
      }
    }
  }
}

Twining two_strands(int ends, int over, int rows) {
  Twining twining;
  twining.strands = {{"rug", 1, 1}, {"rug", 1, 1}};
  twining.ends = ends;
  twining.over = over;
  twining.rows = rows;
  return twining;
}

TEST(TwiningYarn, NeedsAGapInThePlan) {
  // Of 1.6 mm at most pressed to 0.08: ends of 1.0 leave that at 1.08.
  Lie<> lie = notched_lie();
  lie.warp_spacing = millimetres(1.07);
  EXPECT_THROW(twined(two_strands(33, 1, 1), 0, lie), OutOfRange);
  lie.warp_spacing = millimetres(1.09);
  EXPECT_TRUE(twined(two_strands(33, 1, 1), 0, lie).flattened);
  lie.warp_spacing = millimetres(2.61);
  EXPECT_FALSE(twined(two_strands(33, 1, 1), 0, lie).flattened);
  // Once the plan is drawn up, threads that turn out too thick are pressed and not refused.
  lie.warp_spacing = millimetres(0.9);
  lie.planned = Planned{millimetres(3.0), lie.tail, lie.working_length};
  EXPECT_GT(in_metres(twining_yarn(two_strands(33, 1, 1), 0, lie).total()), 0.0);
}

std::map<Cause, double> causes(const Entries<double>& entries) {
  std::map<Cause, double> sums;
  for (const auto& entry : entries) sums[entry.cause] += in_millimetres(entry.yarn);
  return sums;
}

TEST(TwiningYarn, ThreeRowsByHand) {
  // 101 ends: 100 gaps of 4, 5.1558 taut; three rows. 515.58 x 1.05 is one length of 2 m a row.
  const auto sum = causes(twining_yarn(two_strands(101, 1, 3), 0, notched_lie()));
  EXPECT_NEAR(sum.at(Cause::Straight), 3 * 400.0, 1e-9);
  EXPECT_NEAR(sum.at(Cause::Crimp), 3 * 115.58, 3 * 5e-3);  // the digits given, here and below
  EXPECT_NEAR(sum.at(Cause::Take), 3 * 0.05 * 515.58, 5e-3);
  EXPECT_NEAR(sum.at(Cause::Tails), 3 * 2 * 100.0, 1e-9);
  EXPECT_EQ(sum.count(Cause::Turns), 0U);
}

TEST(TwiningYarn, AFoldedStartSparesTheTails) {
  // Each strand half of half a turn, pi 2.6 / 4, and one tail.
  Twining folded = two_strands(101, 1, 3);
  folded.folded_start = true;
  const auto sum = causes(twining_yarn(folded, 1, notched_lie()));
  EXPECT_NEAR(sum.at(Cause::Turns), 3 * pi * 2.6 / 4.0, 1e-9);
  EXPECT_NEAR(sum.at(Cause::Tails), 3 * 100.0, 1e-9);
  // Of three strands the third starts by itself.
  folded.strands.push_back({"silk", 1, 1});
  EXPECT_NEAR(causes(twining_yarn(folded, 2, notched_lie())).at(Cause::Tails), 600.0, 1e-9);
}

TEST(TwiningYarn, LongRowsAreBegunAgain) {
  // 401 ends: 2062.3 x 1.05 = 2165.5 of 1800 a length: two, smoothly 1.703; folded, half a length
  // of 900 and another whole one, 1.5 lengths.
  Twining twining = two_strands(401, 1, 1);
  EXPECT_NEAR(causes(twining_yarn(twining, 0, notched_lie())).at(Cause::Tails), 400.0, 1e-9);
  Lie<> smooth = notched_lie();
  smooth.counting = Counting::Smooth;
  EXPECT_NEAR(causes(twining_yarn(twining, 0, smooth)).at(Cause::Tails), 340.6, 0.1);
  twining.folded_start = true;
  EXPECT_NEAR(causes(twining_yarn(twining, 0, notched_lie())).at(Cause::Tails), 300.0, 1e-9);
}

TEST(TwiningYarn, EndsLeftOverAreASmallerGroup) {
  // 7 ends by twos: 2 2 2 1, whose middles are 8, 8 and 6 apart; gaps 9.0451 twice and the mean of
  // 9.0451 and 5.1558.
  const auto sum = causes(twining_yarn(two_strands(7, 2, 1), 0, notched_lie()));
  EXPECT_NEAR(sum.at(Cause::Straight), 22.0, 1e-9);
  EXPECT_NEAR(sum.at(Cause::Straight) + sum.at(Cause::Crimp), 25.1906, 2e-4);
}

TEST(TwiningYarn, HeldAndSplitStrands) {
  Twining twining = two_strands(101, 1, 1);
  Lie<> lie = notched_lie();
  lie.strand_diameter = millimetres(0.8);
  for (Strand& strand : twining.strands) strand = {"rug", 4, 2};
  // Four of 0.8 are one of 1.6; 4 / 2 metres for one.
  EXPECT_NEAR(causes(twining_yarn(twining, 0, lie)).at(Cause::Straight), 800.0, 1e-9);
  EXPECT_NEAR(causes(twining_yarn(twining, 0, lie)).at(Cause::Crimp), 231.16, 1e-2);
  EXPECT_NEAR(in_millimetres(twining_row_height(twining, lie, 1.7)), 2.72, 1e-9);
}

std::string refusal(const Twining& twining) {
  try {
    twining_yarn(twining, 0, notched_lie());
  } catch (const OutOfRange& refused) {
    return refused.what();
  }
  return "accepted";
}

TEST(TwiningYarn, RefusesWhatCannotBeTwined) {
  Twining one = two_strands(10, 1, 1);
  one.strands.pop_back();
  EXPECT_EQ(refusal(one), "twining needs two strands or more, and has 1");
  EXPECT_EQ(refusal(two_strands(10, 10, 1)),
            "twining over 10 ends leaves no gap to cross in on a warp of 10 ends; twine over "
            "fewer");
  EXPECT_NE(refusal(two_strands(10, 0, 1)), "accepted");
  EXPECT_NE(refusal(two_strands(10, 1, 0)), "accepted");
  Twining unlike = two_strands(10, 1, 1);
  unlike.strands[1].yarn = "silk";
  EXPECT_EQ(refusal(unlike), "accepted");
  unlike.folded_start = true;
  EXPECT_EQ(refusal(unlike),
            "a row of twining is to start with one length folded into its first two strands, but "
            "they are unlike (rug and silk); start with separate lengths or make them alike");
  EXPECT_THROW(twining_row_height(two_strands(10, 1, 1), notched_lie(), 0.0), OutOfRange);
}

TEST(TwiningYarn, SlopesAgreeWithCentralDifferences) {
  for (const int ends : {30, 801}) {
    for (const int over : {1, 3}) {
      for (const bool folded : {false, true}) {
        Twining twining = two_strands(ends, over, 3);
        twining.strands.push_back({"rug", 2, 1});
        twining.folded_start = folded;
        const Lie<> lie = notched_lie();
        for (const std::size_t strand : {0U, 2U}) {
          test::expect_slopes_match(
              [&](const auto& x) {
                return in_millimetres(twining_yarn(twining, strand, lie_of(x, lie)).total());
              },
              variables_of(lie));
        }
        test::expect_slopes_match(
            [&](const auto& x) {
              return in_millimetres(twining_row_height(twining, lie_of(x, lie), 1.7));
            },
            variables_of(lie));
      }
    }
  }
}

}  // namespace
}  // namespace ellwand::technique
