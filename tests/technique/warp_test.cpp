#include "ellwand/technique/warp.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>
#include <type_traits>

#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"
#include "support/slopes.hpp"

namespace ellwand::technique {
namespace {

double total_m(const Entries<double>& entries) { return in_metres(entries.total()); }

TEST(SpannedWarp, ThirtyThreeEndsByHand) {
  // (33 x 340 + 32 x 4) / 1.02 + 2 x 100 = 11 325.5 mm
  const SpannedWarp warp{33, 1, millimetres(340.0), millimetres(100.0)};
  EXPECT_NEAR(total_m(spanned_warp_yarn(warp, millimetres(4.0), 0.02)), 11.3255, 5e-5);
}

TEST(SpannedWarp, DoubledEndsTakeTwice) {
  const SpannedWarp one{33, 1, millimetres(340.0), millimetres(100.0)};
  const SpannedWarp two{33, 2, millimetres(340.0), millimetres(100.0)};
  EXPECT_NEAR(total_m(spanned_warp_yarn(two, millimetres(4.0), 0.02)),
              2.0 * total_m(spanned_warp_yarn(one, millimetres(4.0), 0.02)), 1e-12);
}

TEST(SpannedWarp, RefusesAStretchNoWarpHas) {
  const SpannedWarp warp{33, 1, millimetres(340.0), millimetres(100.0)};
  EXPECT_THROW(spanned_warp_yarn(warp, millimetres(4.0), -0.9), OutOfRange);
}

TEST(BeamWarp, AWarpOfSatinAsPrinted) {
  // READ: J. T. Taylor, Cotton Weaving and Designing (1909), p. 427: a satin of 180 picks an inch,
  // 72 intersections, needs 98 yd of warp for 94 yd of cloth. Here the crimp is given, 4.11 %.
  const BeamWarp warp{1, 1, {}, {}, {}};
  const Length<> cloth = yards(94.0);
  const WovenEnd<double> end{cloth, cloth * (72.0 * 4.0 / 70.0 / 100.0)};
  EXPECT_NEAR(in_yards(beam_warp_band_yarn(warp, end).total()), 98.0, 0.5);  // printed to a yard
}

TEST(BeamWarp, AgreesWithThePrintedCalculations) {
  // READ or COMPUTED as each row says, with its publication and the tolerance of its printing.
  int checked = 0;
  for (const test::PublishedRow& row : test::published_rows("cloth_calculations.csv")) {
    if (row.at("rule") != "beam warp") continue;
    SCOPED_TRACE(test::where(row));
    const auto given = test::given(row);
    const BeamWarp warp{static_cast<int>(given.at("ends")), 1, {}, {}, yards(given.at("yards"))};
    const double hanks = in_yards(beam_warp_rest_yarn(warp).total()) / 840.0;
    const double printed_as = row.at("unit") == "hanks" ? 1.0 : given.at("count");  // hanks to a lb
    EXPECT_NEAR(hanks / printed_as, test::number(row, "printed"), test::number(row, "tolerance"));
    ++checked;
  }
  EXPECT_EQ(checked, 4);
}

TEST(BeamWarp, HeldStrandsRunEveryLengthNamed) {
  // 40 ends of 2 strands: in a band 80 x (0.9 + 0.018) = 73.44 m, beside it 80 x (0.05 + 0.2 + 0.6)
  // = 68.00 m.
  const BeamWarp warp{40, 2, metres(0.05), metres(0.2), metres(0.6)};
  const WovenEnd<double> end{metres(0.9), metres(0.018)};
  EXPECT_NEAR(total_m(beam_warp_band_yarn(warp, end)), 73.44, 1e-9);
  EXPECT_NEAR(total_m(beam_warp_rest_yarn(warp)), 68.0, 1e-9);
  double waste_m = 0.0;
  for (const auto& entry : beam_warp_rest_yarn(warp)) {
    if (entry.cause == Cause::Waste) waste_m += in_metres(entry.yarn);
  }
  EXPECT_NEAR(waste_m, 48.0, 1e-9);  // 80 x 0.6: tie-on and thrums alone
}

TEST(SpannedWarp, ItsCausesByHand) {
  // Straight 33 x 340 = 11.220 m, turns 32 x 4 = 0.128, wound 11.348; slack 11.348 / 1.02 =
  // 11.12549, so that stretch saves 0.22251; ties 0.2, which are measured slack.
  const SpannedWarp warp{33, 1, millimetres(340.0), millimetres(100.0)};
  std::array<double, kCauses> sums{};
  for (const auto& entry : spanned_warp_yarn(warp, millimetres(4.0), 0.02)) {
    sums[static_cast<std::size_t>(entry.cause)] += in_metres(entry.yarn);
  }
  EXPECT_NEAR(sums[static_cast<std::size_t>(Cause::Straight)], 11.220, 1e-9);
  EXPECT_NEAR(sums[static_cast<std::size_t>(Cause::Turns)], 0.128, 1e-9);
  EXPECT_NEAR(sums[static_cast<std::size_t>(Cause::Stretch)], -0.22251, 5e-6);
  EXPECT_NEAR(sums[static_cast<std::size_t>(Cause::Tails)], 0.2, 1e-9);
}

TEST(RodLoop, OfATenMillimetreRodByHand) {
  // h = 5.8, R = 5.5: sqrt(33.64 - 30.25) + 5.5 (pi - acos(5.5 / 5.8)) = 17.34
  EXPECT_NEAR(in_millimetres(rod_loop(millimetres(10.0), millimetres(1.0), millimetres(1.6))),
              17.34, 5e-3);
}

TEST(RodLoop, IsTheShortestWayFromThePickToTheTop) {
  // Without tangents: the shortest of all paths that leave the pick's axis, reach the circle at
  // some angle in a straight line that stays outside of it, and follow it to the top.
  const double h = 5.8;
  const double radius = 5.5;
  double shortest = 1e9;
  for (int i = 0; i <= 100000; ++i) {
    const double a = std::numbers::pi * i / 100000.0;  // from the bottom of the circle
    const double x = radius * std::sin(a);
    const double y = -radius * std::cos(a);
    // The line from (0, -h) to (x, y) keeps outside while its far end looks away from the centre.
    const bool outside = x * x + y * (y + h) <= 1e-9;
    if (outside)
      shortest = std::min(shortest, std::hypot(x, y + h) + radius * (std::numbers::pi - a));
  }
  EXPECT_NEAR(in_millimetres(rod_loop(millimetres(10.0), millimetres(1.0), millimetres(1.6))),
              shortest,
              1e-3);  // the grid of angles
}

TEST(RodLoop, AThinLastPickLiesAsCloseAsTheEnd) {
  // d_w below d_e: the end's own half thickness holds it away, half a circle of R = 6.
  EXPECT_NEAR(in_millimetres(rod_loop(millimetres(10.0), millimetres(2.0), millimetres(1.0))),
              6.0 * std::numbers::pi, 1e-9);
}

TEST(SpannedWarp, SlopesAgreeWithCentralDifferences) {
  const SpannedWarp warp{33, 1, millimetres(340.0), millimetres(100.0)};
  test::expect_slopes_match(
      [&](const auto& x) {
        return in_millimetres(spanned_warp_yarn(warp, millimetres(x[0]), x[1]).total());
      },
      std::array<double, 2>{4.0, 0.02});
}

TEST(BeamWarp, SlopesAgreeWithCentralDifferences) {
  const BeamWarp warp{240, 2, {}, {}, {}};
  test::expect_slopes_match(
      [&](const auto& x) {
        const WovenEnd<std::decay_t<decltype(x[0])>> end{metres(x[0]), metres(x[1])};
        return in_metres(beam_warp_band_yarn(warp, end).total());
      },
      std::array<double, 2>{0.9, 0.02});
}

TEST(WarpEdges, OddEndsAreTiedAtOppositeCornersEvenOnesAtOneEdge) {
  // By hand: 33 passes turn 32 times, by turns above and below.
  const WarpEdges odd = spanned_warp_edges(33);
  EXPECT_EQ(odd.turns, 32);
  EXPECT_EQ(odd.loops_above, 16);
  EXPECT_EQ(odd.loops_below, 16);
  EXPECT_EQ(odd.ties_above, 1);
  EXPECT_EQ(odd.ties_below, 1);
  const WarpEdges even = spanned_warp_edges(34);
  EXPECT_EQ(even.turns, 33);
  EXPECT_EQ(even.loops_above, 17);
  EXPECT_EQ(even.loops_below, 16);
  EXPECT_EQ(even.ties_above, 0);
  EXPECT_EQ(even.ties_below, 2);
}

TEST(WarpEdges, AreThoseOfAWarpWoundPassByPass) {
  for (int ends = 2; ends < 80; ++ends) {
    bool at_top = false;  // where she stands
    int above = 0;
    int below = 0;
    for (int pass = 1; pass <= ends; ++pass) {
      at_top = !at_top;
      if (pass < ends) ++(at_top ? above : below);
    }
    const WarpEdges edges = spanned_warp_edges(ends);
    EXPECT_EQ(edges.loops_above, above) << ends;
    EXPECT_EQ(edges.loops_below, below) << ends;
    EXPECT_EQ(edges.ties_above, at_top ? 1 : 0) << ends;
  }
  EXPECT_THROW(spanned_warp_edges(1), OutOfRange);
}

TEST(ThickestRod, IsTheOneWhoseLoopsTakeTheRoom) {
  // A rod of 10 mm over ends of 1.0 and a pick of 1.6 takes 17.34 mm (see rod_loop); 0.005 mm of
  // room is a third of it of rod.
  const Length<> rod = thickest_rod(millimetres(17.34), millimetres(1.0), millimetres(1.6));
  EXPECT_NEAR(in_millimetres(rod), 10.0, 0.005);
  // Stiff ends as thick as the rod: the loop cannot close under its own thickness, pi/2 x 5.5 is
  // wanted for a rod of 10 mm and none is left for any rod in less than a turn of the end itself.
  EXPECT_EQ(thickest_rod(millimetres(0.5), millimetres(1.0), millimetres(0.5)), Length<>());
  EXPECT_LT(thickest_rod(millimetres(17.34), millimetres(4.0), millimetres(1.6)), rod);
}

}  // namespace
}  // namespace ellwand::technique
