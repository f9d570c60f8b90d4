// Wraps against published turns, a helix added up chord by chord, and hand sums.

#include "ellwand/technique/wrapping.hpp"

#include <gtest/gtest.h>

#include <array>
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

double turn_mm(double core_mm, double wrap_mm, double pitch_mm) {
  return in_millimetres(
      wrap_turn(millimetres(core_mm), millimetres(wrap_mm), millimetres(pitch_mm)));
}

TEST(WrapTurn, CloseWrapsAsWorkedOut) {
  // Derived from the helix, apart from this program; no measurement. The pitch is one diameter.
  struct Row {
    double core, wrap, turn;
  };
  for (const Row& row :
       {Row{10, 1, 34.572}, Row{10, 2, 37.752}, Row{25, 2, 84.847}, Row{6, 1.5, 23.610}}) {
    EXPECT_NEAR(turn_mm(row.core, row.wrap, row.wrap), row.turn, 5e-4) << row.core;  // its digits
  }
}

TEST(WrapTurn, IsAHelixAddedUpChordByChord) {
  const auto added_up = [](double core, double wrap, double pitch) {
    constexpr int kChords = 20'000;
    constexpr int kTurns = 7;
    double length = 0.0;
    std::array<double, 3> before{0.5 * (core + wrap), 0.0, 0.0};
    for (int i = 1; i <= kChords; ++i) {
      const double turned = static_cast<double>(kTurns) * i / kChords;
      const std::array<double, 3> here{0.5 * (core + wrap) * std::cos(2.0 * pi * turned),
                                       0.5 * (core + wrap) * std::sin(2.0 * pi * turned),
                                       pitch * turned};
      length += std::hypot(here[0] - before[0], here[1] - before[1], here[2] - before[2]);
      before = here;
    }
    return length / kTurns;
  };
  for (const double pitch : {0.0, 2.0, 30.0}) {
    // A chord is short by (2 pi 7 / 20 000)^2 / 24 = 2e-7 of its arc.
    EXPECT_NEAR(turn_mm(10.0, 2.0, pitch) / added_up(10.0, 2.0, pitch), 1.0, 1e-6) << pitch;
  }
}

TEST(WrapTurn, RefusesWhatIsNoWrap) {
  EXPECT_THROW(turn_mm(-1.0, 2.0, 2.0), OutOfRange);
  EXPECT_THROW(turn_mm(10.0, 0.0, 0.0), OutOfRange);
  EXPECT_THROW(turn_mm(10.0, 2.0, std::nan("")), OutOfRange);
}

/// 30 turns of one strand of 2 mm round a core of 10 mm, at three places.
Wrapping three_places() {
  Wrapping wrapping;
  wrapping.strand = {"linen", 1, 1};
  wrapping.core = millimetres(10.0);
  wrapping.turns = 30;
  wrapping.places = 3;
  return wrapping;
}

Lie<> linen_lie() {
  Lie<> lie = notched_lie();
  lie.strand_diameter = millimetres(2.0);
  return lie;
}

std::map<Cause, double> causes(const Entries<double>& entries) {
  std::map<Cause, double> sums;
  for (const auto& entry : entries) sums[entry.cause] += in_metres(entry.yarn);
  return sums;
}

TEST(WrappingYarn, ThreePlacesByHand) {
  // 3 x 30 x 37.752 = 3.3977 m, take 5 % 0.1699; at each place 1.1892 m laid is one length of 2 m:
  // 3 x 2 tails of 0.1.
  const auto sum = causes(wrapping_yarn(three_places(), linen_lie()));
  EXPECT_NEAR(sum.at(Cause::Wraps), 3.3977, 5e-5);
  EXPECT_NEAR(sum.at(Cause::Take), 0.1699, 5e-5);
  EXPECT_NEAR(sum.at(Cause::Tails), 0.6, 1e-9);
}

TEST(WrappingYarn, ALongWrapIsBegunAgain) {
  // 100 turns: 3.7752 x 1.05 = 3.964 m in lengths of 1.80: 3 at each place, 18 tails.
  Wrapping wrapping = three_places();
  wrapping.turns = 100;
  EXPECT_NEAR(causes(wrapping_yarn(wrapping, linen_lie())).at(Cause::Tails), 1.8, 1e-9);
  // Smoothly 3.964 / 1.8 + 1/2 = 2.7022 lengths.
  Lie<> smooth = linen_lie();
  smooth.counting = Counting::Smooth;
  EXPECT_NEAR(causes(wrapping_yarn(wrapping, smooth)).at(Cause::Tails), 6 * 0.27022, 1e-4);
  // Three turns are still one length, smoothly counted too.
  wrapping.turns = 3;
  EXPECT_NEAR(causes(wrapping_yarn(wrapping, smooth)).at(Cause::Tails), 0.6, 1e-4);
}

TEST(WrappingYarn, OfACoveredLengthTakesItsTurnsFromTheYarn) {
  // 60 mm at 2 mm a turn: 30 turns, as above; the published 18.88 mm a millimetre covered.
  Wrapping wrapping = three_places();
  wrapping.turns = 0;
  wrapping.covered = millimetres(60.0);
  EXPECT_NEAR(wraps_of(wrapping, linen_lie()).turns, 30.0, 1e-9);
  EXPECT_NEAR(causes(wrapping_yarn(wrapping, linen_lie())).at(Cause::Wraps), 3 * 60 * 0.01888,
              3 * 60 * 5e-6);  // its digits
}

TEST(WrappingYarn, RoundAGroupOfEnds) {
  // Four ends of 1.0 in a bundle sqrt(4 / 0.69) = 2.4077; two strands of 1.0 in one of 2.0:
  // pi 4.4077 = 13.847, with the pitch of 2 13.991 a turn; 10 turns of two strands.
  Wrapping wrapping;
  wrapping.strand = {"linen", 2, 1};
  wrapping.ends = 4;
  wrapping.turns = 10;
  Lie<> lie = notched_lie();
  lie.strand_diameter = millimetres(1.0);
  EXPECT_NEAR(causes(wrapping_yarn(wrapping, lie)).at(Cause::Wraps), 0.27981, 2e-5);
  EXPECT_NEAR(in_millimetres(wrapping_height(wrapping, lie)), 20.0, 1e-9);
}

TEST(WrappingYarn, LooserRowsCoverMoreWithTheSameTurns) {
  Wrapping wrapping = three_places();
  Lie<> lie = linen_lie();
  lie.row_spacing = 1.5;
  EXPECT_NEAR(in_millimetres(wrapping_height(wrapping, lie)), 30 * 3.0, 1e-9);
  wrapping.turns = 0;
  wrapping.covered = millimetres(90.0);
  EXPECT_NEAR(wraps_of(wrapping, lie).turns, 30.0, 1e-9);
}

std::string refusal(const Wrapping& wrapping) {
  try {
    wrapping_yarn(wrapping, linen_lie());
  } catch (const OutOfRange& refused) {
    return refused.what();
  }
  return "accepted";
}

TEST(WrappingYarn, RefusesWhatIsNotStatedOrStatedTwice) {
  Wrapping wrapping = three_places();
  wrapping.turns = 0;
  EXPECT_EQ(refusal(wrapping),
            "a wrapping has neither a number of turns nor a length to cover; state one of the two");
  wrapping = three_places();
  wrapping.ends = 4;
  EXPECT_EQ(refusal(wrapping),
            "a wrapping has both ends to gather and a diameter to go round; state one of the two");
  wrapping = three_places();
  wrapping.places = 0;
  EXPECT_NE(refusal(wrapping), "accepted");
}

TEST(WrappingYarn, LessThanATurnIsNoWrap) {
  Wrapping wrapping = three_places();
  wrapping.turns = 0;
  wrapping.covered = millimetres(1.9);
  EXPECT_EQ(refusal(wrapping),
            "1.9 mm covered is less than one turn of this yarn, which covers 2 mm; cover more, or "
            "write turns = 1");
  wrapping.covered = millimetres(2.0);
  EXPECT_NEAR(wraps_of(wrapping, linen_lie()).turns, 1.0, 1e-9);
}

TEST(Wrapping, TakesUpTheWarpWhereNoOtherPlaceIsLeft) {
  Wrapping wrapping;
  wrapping.ends = 4;
  wrapping.places = 8;
  EXPECT_TRUE(takes_up_warp(wrapping, 32));
  EXPECT_TRUE(takes_up_warp(wrapping, 35));  // three are left over, no bundle of four
  EXPECT_FALSE(takes_up_warp(wrapping, 36));
  EXPECT_FALSE(takes_up_warp(three_places(), 3));  // a core is no warp
}

TEST(WrappingYarn, SlopesAgreeWithCentralDifferences) {
  for (const int turns : {0, 7, 100}) {
    for (const int ends : {0, 5}) {
      Wrapping wrapping = three_places();
      wrapping.turns = turns;
      if (turns == 0) wrapping.covered = millimetres(130.0);
      wrapping.ends = ends;
      if (ends > 0) wrapping.core = {};
      wrapping.strand = {"linen", 3, 2};
      const Lie<> lie = linen_lie();
      test::expect_slopes_match(
          [&](const auto& x) {
            return in_millimetres(wrapping_yarn(wrapping, lie_of(x, lie)).total());
          },
          variables_of(lie));
      test::expect_slopes_match(
          [&](const auto& x) { return in_millimetres(wrapping_height(wrapping, lie_of(x, lie))); },
          variables_of(lie));
    }
  }
}

}  // namespace
}  // namespace ellwand::technique
