// Hemstitches by hand sums; taut_knots_test.cpp holds them against taut paths.

#include "ellwand/technique/hemstitch.hpp"

#include <gtest/gtest.h>

#include <array>
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

const Length<> kWeft = millimetres(1.6);
const Length<> kRows = millimetres(1.1);

/// 33 ends by four, two rows deep, sewn with a strand of 1.6 mm.
Hemstitch hem_of(bool drawn_together, int ends = 33) {
  Hemstitch hem;
  hem.strand = {"rug", 1, 1};
  hem.ends = ends;
  hem.ends_per_stitch = 4;
  hem.rows_deep = 2;
  hem.drawn_together = drawn_together;
  return hem;
}

TEST(HemstitchYarn, ALengthOfItsOwnHasATailAtItsBeginningToo) {
  Hemstitch own = hem_of(true);
  own.sewn_with_weft = false;
  const Lie<> lie = notched_lie();
  const Length<> with_weft = hemstitch_length_to_leave(hem_of(true), lie, kWeft, kRows);
  const Length<> cut = hemstitch_length_to_leave(own, lie, kWeft, kRows);
  EXPECT_NEAR(in_millimetres(cut - with_weft), 100.0, 1e-9);
  EXPECT_NEAR(in_metres(hemstitch_yarn(own, lie, kWeft, kRows).total()), in_metres(cut), 1e-12);
}

TEST(HemstitchPath, OfFourEndsLeftApartByHand) {
  // Ends of 1.0 every 4: R = 1.3, cloth 2.1 to either side, u = 2.2, f = 12.
  // Ring: sqrt((24 + 2 pi 1.3)^2 + 1.6^2) = sqrt(32.1681^2 + 2.56) = 32.2079.
  // Down: h = 4.2 + pi 0.8 + 2.2 = 8.9133, x = 4 - 1.3 = 2.7: tangent sqrt(7.29 + 79.4465 - 1.69)
  // = 9.2221; turned atan(8.9133 / 2.7) + asin(1.3 / 9.3133) = 1.2767 + 0.1400: 11.0638.
  // Slant: the gap of 3.0 is 1.875 threads, v = 0.875, q = 1.6 (1 - 0.765625 x 1.25) = 0.06875;
  // s = 2.2 + pi 0.4 + 2.1 + sqrt(2.46875^2 + (2.1 + 0.8 - 1.3)^2) = 5.5566 + 2.9419 = 8.4985,
  // w = 13.3: 15.7834.
  const auto path = hemstitch_path(hem_of(false), 4, notched_lie(), kWeft, kRows);
  EXPECT_NEAR(in_millimetres(path.ring), 32.208, 1e-3);
  EXPECT_NEAR(in_millimetres(path.down), 11.064, 1e-3);
  EXPECT_NEAR(in_millimetres(path.slant), 15.783, 1e-3);
  EXPECT_NEAR(in_millimetres(hemstitch_stitch(hem_of(false), notched_lie(), kWeft, kRows)), 59.055,
              1e-3);
}

TEST(HemstitchPath, OfFourEndsDrawnTogetherByHand) {
  // A bundle of sqrt(4 / 0.69) = 2.4077: R = 2.0039. Ring: sqrt((2 pi 2.0039)^2 + 1.6^2) = 12.6919.
  // Down: x = 8, h = 8.9133: tangent sqrt(64 + 79.4465 - 4.0155) = 11.8081; turned 0.8394 + 0.1681:
  // 13.8269. Slant: s = 5.5566 + sqrt(2.4^2 + 0.8961^2) = 5.5566 + 2.5619 = 8.1185, w = 8: 11.3978.
  const auto path = hemstitch_path(hem_of(true), 4, notched_lie(), kWeft, kRows);
  EXPECT_NEAR(in_millimetres(path.ring), 12.692, 1e-3);
  EXPECT_NEAR(in_millimetres(path.down), 13.827, 1e-3);
  EXPECT_NEAR(in_millimetres(path.slant), 11.398, 1e-3);
}

TEST(HemstitchStitches, EndsLeftOverGetAStitchOfTheirOwn) {
  EXPECT_EQ(hemstitch_stitches(hem_of(true, 32)), 8);
  EXPECT_EQ(hemstitch_stitches(hem_of(true, 33)), 9);
  EXPECT_EQ(hemstitch_stitches(hem_of(true, 4)), 1);
}

TEST(HemstitchLengthToLeave, IsAllStitchesWithTheirTakeAndOneTail) {
  // 8 stitches of 12.6919 + 13.8269 + 11.3978 = 37.9165, one round a single end: R = 1.3, ring
  // sqrt((2 pi 1.3)^2 + 1.6^2) = 8.3234; x = 2, h = 8.9133: tangent 9.0420, turned 1.3501 + 0.1428:
  // 10.9827; s = 8.4410, w = 2: 8.6748; in all 27.9808. Take 5 %: 1.05 x 331.313 = 347.88; tail
  // 100.
  EXPECT_NEAR(in_millimetres(hemstitch_length_to_leave(hem_of(true), notched_lie(), kWeft, kRows)),
              447.88, 0.01);
}

TEST(HemstitchYarn, AddsUpToWhatIsLeftOfEachStrand) {
  Hemstitch hem = hem_of(true);
  hem.strand = {"rug", 2, 1};
  const auto entries = hemstitch_yarn(hem, notched_lie(), kWeft, kRows);
  EXPECT_NEAR(in_millimetres(entries.total()),
              2.0 * in_millimetres(hemstitch_length_to_leave(hem, notched_lie(), kWeft, kRows)),
              1e-9);
  ASSERT_EQ(entries.all().size(), 4U);
  EXPECT_EQ(entries.all()[1].cause, Cause::Wraps);
  EXPECT_EQ(entries.all()[2].cause, Cause::Take);
  EXPECT_NEAR(in_millimetres(entries.all()[3].yarn), 200.0, 1e-9);  // a tail of each strand
}

TEST(HemstitchPath, IsFiniteAndNeverFallsWhereThreadsDoNotFit) {
  for (const bool drawn : {false, true}) {
    double before = 0.0;
    for (const double spacing : {0.01, 0.5, 1.0, 2.0, 2.6, 4.0, 12.0}) {
      Lie<> lie = notched_lie();
      lie.warp_spacing = millimetres(spacing);
      const double stitch = in_millimetres(hemstitch_stitch(hem_of(drawn), lie, kWeft, kRows));
      EXPECT_TRUE(std::isfinite(stitch)) << spacing;
      EXPECT_GE(stitch, before) << spacing;
      before = stitch;
    }
  }
}

std::string refusal(const Hemstitch& hem) {
  try {
    hemstitch_yarn(hem, notched_lie(), kWeft, kRows);
  } catch (const OutOfRange& refused) {
    return refused.what();
  }
  return "accepted";
}

TEST(HemstitchYarn, RefusesWithASentence) {
  Hemstitch hem = hem_of(true);
  hem.ends_per_stitch = 34;
  EXPECT_EQ(refusal(hem),
            "a hemstitch is to take 34 ends at a time; it takes from 1 to the 33 there are");
  hem.ends_per_stitch = 0;
  EXPECT_EQ(refusal(hem),
            "a hemstitch is to take 0 ends at a time; it takes from 1 to the 33 there are");
  hem = hem_of(true);
  hem.rows_deep = 0;
  EXPECT_EQ(refusal(hem), "rows a hemstitch takes in is 0; a hemstitch holds from 1 to 1000");
  EXPECT_NE(refusal(hem_of(true, 0)), "accepted");
  EXPECT_THROW(hemstitch_path(hem_of(true), 0, notched_lie(), kWeft, kRows), OutOfRange);
}

TEST(HemstitchYarn, SlopesAgreeWithCentralDifferences) {
  Lie<> thick = notched_lie();
  thick.warp_spacing = millimetres(2.0);  // the thread does not fit between the ends
  for (const Lie<>& lie : {notched_lie(), thick}) {
    for (const bool drawn : {false, true}) {
      // The weft is 1.1 times the strand that is sewn with, its rows 0.7 times it.
      test::expect_slopes_match(
          [&](const auto& x) {
            return in_millimetres(hemstitch_yarn(hem_of(drawn), lie_of(x, lie),
                                                 millimetres(x[2] * 1.1), millimetres(x[2] * 0.7))
                                      .total());
          },
          variables_of(lie));
      test::expect_slopes_match(
          [&](const auto& x) {
            return in_millimetres(hemstitch_length_to_leave(
                hem_of(drawn), lie_of(x, lie), millimetres(x[2] * 1.1), millimetres(x[2] * 0.7)));
          },
          variables_of(lie));
      test::expect_slopes_match(
          [&](const auto& x) {
            return in_millimetres(hemstitch_stitch(
                hem_of(drawn), lie_of(x, lie), millimetres(x[2] * 1.1), millimetres(x[2] * 0.7)));
          },
          variables_of(lie));
    }
  }
}

}  // namespace
}  // namespace ellwand::technique
