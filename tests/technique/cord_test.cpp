#include "ellwand/technique/cord.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "ellwand/units/error.hpp"
#include "support/lies.hpp"
#include "support/slopes.hpp"

namespace ellwand::technique {
namespace {

using test::lie_of;
using test::notched_lie;
using test::variables_of;

constexpr double pi = std::numbers::pi;

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

/// A cord of plies 2 mm thick, twisted so that 2 pi a t is `slope`.
HangingCord plied(int plies, double slope) {
  HangingCord cord = cord_of_two_ties();
  cord.plies = plies;
  const double ring_mm = 1.0 / std::sin(pi / plies);
  cord.twist = per_metre(1e3 * slope / (2.0 * pi * ring_mm));
  return cord;
}

TEST(PliedCord, OfOnePlyIsItsStrands) {
  HangingCord cord = cord_of_two_ties();
  EXPECT_EQ(plied_length(cord, millimetres(2.0)), 1.0);
  EXPECT_EQ(cord_diameter(cord, millimetres(2.0)), millimetres(2.0));
}

TEST(PliedCord, OfTwoPliesByHand) {
  // A helix 1 mm off the axis, 15 full turns in 100 mm of cord: sqrt(100^2 + (2 pi 15)^2) = 137.41;
  // 10 turns: 118.10 (derived, apart from this program).
  HangingCord cord = cord_of_two_ties();
  cord.plies = 2;
  cord.twist = per_cm(1.5);
  EXPECT_NEAR(100.0 * plied_length(cord, millimetres(2.0)), 137.41, 5e-3);
  cord.twist = per_cm(1.0);
  EXPECT_NEAR(100.0 * plied_length(cord, millimetres(2.0)), 118.10, 5e-3);
}

/// Distance between the axes of two neighbouring plies that run `ring` off the cord's axis and once
/// round in `pitch`, at its least.
double least_distance(int plies, double ring, double pitch) {
  double least = 1e9;
  for (int i = 0; i <= 4000; ++i) {
    const double turned = -pi * i / 4000.0;
    const double across = 2.0 * ring * std::sin(pi / plies + 0.5 * turned);
    least = std::min(least, std::hypot(across, pitch * turned / (2.0 * pi)));
  }
  return least;
}

/// How far from the cord's axis plies of thickness 1 run that touch in space, the pitch given.
double touching_ring(int plies, double pitch) {
  double low = 0.4;
  double high = 5.0;
  for (int step = 0; step < 50; ++step) {
    const double ring = 0.5 * (low + high);
    (least_distance(plies, ring, pitch) < 1.0 ? low : high) = ring;
  }
  return low;
}

TEST(PliedCord, IsNearlyAsPliesThatTouchInSpace) {
  struct Row {
    int plies;
    double slope;
    double tolerance;  // as the header states it
  };
  for (const Row& row :
       {Row{2, 0.3, 1e-5}, Row{2, 0.7, 1e-5}, Row{2, 0.99, 1e-5}, Row{3, 0.5, 0.01},
        Row{3, 0.7, 0.036}, Row{4, 0.5, 0.02}, Row{4, 0.7, 0.068}}) {
    const double pitch = pi / (std::sin(pi / row.plies) * row.slope);
    const double exact = std::hypot(1.0, 2.0 * pi * touching_ring(row.plies, pitch) / pitch);
    const double ours = plied_length(plied(row.plies, row.slope), millimetres(2.0));
    EXPECT_NEAR(ours / exact, 1.0, row.tolerance) << row.plies << " plies, " << row.slope;
    EXPECT_LE(ours, exact * (1.0 + 1e-6));
  }
}

TEST(PliedCord, ShortensAllButItsCount) {
  // Two plies at 2 pi a t = 0.75: every strand is 1.25 of the cord. The cord hangs 2 x 2 mm thick:
  // 43.0813 + 8 turns of pi 1.4 = 35.1858: 78.2671; x 1.05 + 9 = 91.1805; x 1.25 = 113.976, twice.
  HangingCord cord = plied(2, 0.75);
  cord.knots = centimetres(9.0);
  Lie<> lie = cord_lie();
  lie.take = 1.05;
  EXPECT_NEAR(in_centimetres(cord_cut(cord, lie)), 113.976, 5e-3);
  EXPECT_NEAR(in_centimetres(cord_yarn(cord, lie).total()), 2 * 113.976, 0.01);
}

TEST(PliedCord, TwistedTooTightIsRefusedOnlyWhilePlanned) {
  // 2 pi (1 mm) t reaches 1 at 1.59 turns a cm.
  HangingCord cord = plied(2, 1.0);
  cord.twist = per_cm(2.0);
  try {
    cord_cut(cord, cord_lie());
    FAIL() << "accepted";
  } catch (const OutOfRange& refused) {
    EXPECT_EQ(std::string(refused.what()),
              "2 plies of 2 mm cannot be twisted 2 per cm, for they would push each other apart; "
              "twist 1.59 per cm or less, or use thinner plies");
  }
  Lie<> planned = cord_lie();
  planned.planned = Planned{};
  EXPECT_NO_THROW(cord_cut(cord, planned));
  cord.plies = 5;
  EXPECT_THROW(cord_cut(cord, planned), OutOfRange);
}

TEST(UsualCordKnots, AreTwoOverhandsAndTwoEnds) {
  // 2 (10.1 x 2.0 + 30)
  EXPECT_NEAR(
      in_millimetres(usual_cord_knots(cord_of_two_ties(), millimetres(2.0), millimetres(30.0))),
      100.4, 1e-9);
  EXPECT_THROW(usual_cord_knots(cord_of_two_ties(), millimetres(2.0), metres(-1.0)), OutOfRange);
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
  for (const int plies : {2, 3, 4}) {
    test::expect_slopes_match(
        [&](const auto& x) {
          return in_millimetres(cord_yarn(plied(plies, 0.6), lie_of(x, lie)).total());
        },
        at);
  }
}

}  // namespace
}  // namespace ellwand::technique
