// The order of work, step by step, by hand.

#include "ellwand/estimate/order_of_work.hpp"

#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "ellwand/estimate/estimate.hpp"
#include "support/studios.hpp"

namespace ellwand::estimate {
namespace {

/// Yarns of a measured thickness: the warp 1.0 mm, a weft of 1.6 mm, a fringe of 1.2 mm.
YarnTable measured_yarns() {
  YarnTable yarns = test::demo_studio().yarns;
  yarns.at("worsted-moss").measured_diameter = millimetres(1.6);
  yarns.at("linen-fringe").measured_diameter = millimetres(1.2);
  return yarns;
}

const std::string kWoven = "[[band]]\nwork = \"weave\"\nyarn = \"worsted-moss\"\n";
const std::string kFringe =
    "[[band]]\nwork = \"knotted fringe\"\nyarn = \"linen-fringe\"\nheld = 3\nhang = \"14 cm\"\n"
    "trim = \"8 mm\"\ncard = \"2 mm\"\n";

/// `ends` ends 4 mm apart on a span of 60 cm; lengths of 2 m with tails of 10 cm.
std::string piece_of(int ends, const std::string& bands) {
  return "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"60 cm\"\npitch = \"4 "
         "mm\"\nheader = \"2 cm\"\n[warp]\nyarn = \"seine-12-6\"\nends = " +
         std::to_string(ends) +
         "\ntie = \"10 cm\"\nstretch = \"2 %\"\n[habits]\ntail = \"10 cm\"\nworking_length = \"2 "
         "m\"\nwaste = \"0 %\"\nwaste_per_colour = \"0 m\"\n" +
         bands;
}

std::vector<Step> order_of(const std::string& text) {
  const YarnTable yarns = measured_yarns();
  Options options;
  options.order = true;
  return estimate(test::read_demo_piece(text), {yarns, test::starting_values(), {}}, {}, options)
      .order;
}

/// Every step of one kind.
template <class Kind>
std::vector<Kind> all(const std::vector<Step>& steps) {
  std::vector<Kind> found;
  for (const Step& step : steps) {
    if (const auto* one = std::get_if<Kind>(&step)) found.push_back(*one);
  }
  return found;
}

TEST(OrderOfWork, BandsComeFromTheBottomUpWithTheirLengthsAndTheRunningHeight) {
  const auto steps = order_of(piece_of(33, kWoven + "rows = 60\n" + kWoven + "rows = 30\n"));
  const auto bands = all<WorkBand>(steps);
  ASSERT_EQ(bands.size(), 2U);
  // A taut pick of 33 ends, d 1.0 and 1.6, rows of 0.65 x 1.6 = 1.04: 160.357; x 1.05 x 60
  // = 10.1025 m laid. Of each 2 m 1.8 is laid: 6 lengths; 10.1025 + 6 x 0.2 = 11.3025 m, so the
  // last is 1.3025.
  const Carried& first = bands[0].yarns.at(0);
  EXPECT_EQ(first.rows, 60);
  EXPECT_EQ(first.lengths, 6);
  EXPECT_NEAR(in_metres(first.length), 2.0, 1e-12);
  ASSERT_TRUE(first.last.has_value());
  EXPECT_NEAR(in_metres(*first.last), 1.3025, 0.0005);
  EXPECT_NEAR(first.plan_m, 11.3025, 0.0005);
  EXPECT_NEAR(in_millimetres(bands[0].height), 62.4, 1e-9);
  EXPECT_NEAR(in_millimetres(bands[0].up_to), 62.4, 1e-9);
  // Half of it: 5.05125 / 1.8 = 2.8, 3 lengths; 5.05125 + 0.6 - 4 = 1.65125.
  EXPECT_EQ(bands[1].yarns.at(0).lengths, 3);
  EXPECT_NEAR(in_metres(bands[1].yarns.at(0).last.value()), 1.65125, 0.0003);
  EXPECT_NEAR(in_millimetres(bands[1].up_to), 62.4 + 31.2, 1e-9);
  // Two tails of each of 6 + 3 lengths.
  EXPECT_EQ(all<SewIn>(steps).at(0).lengths, 9);
}

TEST(OrderOfWork, BandsAreCalledByTheirWeaveAndBySoumaksWay) {
  const std::string soumak = "[[band]]\nwork = \"soumak\"\nyarn = \"worsted-moss\"\nrows = 2\n";
  const auto bands = all<WorkBand>(order_of(
      piece_of(32, kWoven + "rows = 6\n" + kWoven + "rows = 8\nweave = \"2/2  Twill\"\n" + kWoven +
                       "rows = 6\nweave = \"tabby\"\n" + kWoven +
                       "rows = 2\ngrid = [\"o2 u2\", \"u2 o2\"]\n" + soumak +
                       "over = 4\nback = 2\n" + soumak + "over = 2\nback = 2\n" + kFringe)));
  ASSERT_EQ(bands.size(), 7U);
  const std::vector<std::string> called = {"plain weave",           "weave 2/2 twill",
                                           "plain weave",           "weave by its grid",
                                           "soumak over 4, back 2", "soumak round 2 ends at a time",
                                           "knotted fringe"};
  for (std::size_t b = 0; b < called.size(); ++b) EXPECT_EQ(bands[b].called, called[b]);
}

TEST(OrderOfWork, OneLengthIsAsLongAsWhatItLays) {
  // 6 rows: 1.01025 m laid, in one length of 1.21025 m, two strands of it.
  const auto bands =
      all<WorkBand>(order_of(piece_of(33, kWoven + "rows = 6\nbeat_ratio = 0.65\n")));
  EXPECT_EQ(bands.at(0).yarns.at(0).lengths, 1);
  EXPECT_FALSE(bands[0].yarns[0].last.has_value());
  EXPECT_NEAR(in_metres(bands[0].yarns[0].length), 1.21025, 0.0001);
}

TEST(OrderOfWork, FringeIsCutOnACardWithOneStrandInTwentyToSpare) {
  const auto steps = order_of(piece_of(33, kFringe + kWoven + "rows = 6\n"));
  const auto cuts = all<CutStrands>(steps);
  ASSERT_EQ(cuts.size(), 2U);
  // 16 knots of 3: 15 cut 316.9 mm, 32 cm in whole centimetres, and the last, over three ends,
  // 320.9.
  EXPECT_EQ(cuts[0].count, 45);
  EXPECT_EQ(cuts[0].spare, 3);  // 45 / 20 = 2.25
  EXPECT_NEAR(in_centimetres(cuts[0].length), 32.0, 1e-9);
  EXPECT_NEAR(in_millimetres(cuts[0].card_height.value()), 156.1, 0.05);  // (320 - 4 - 1.2 pi) / 2
  EXPECT_EQ(cuts[1].count, 3);
  EXPECT_EQ(cuts[1].spare, 1);
  EXPECT_NEAR(in_centimetres(cuts[1].length), 33.0, 1e-9);
  const auto trims = all<TrimFringe>(steps);
  ASSERT_EQ(trims.size(), 1U);
  EXPECT_EQ(trims[0].band, 1);
  EXPECT_NEAR(in_millimetres(trims[0].trim), 8.0, 1e-9);
  EXPECT_NEAR(in_centimetres(trims[0].hang), 14.0, 1e-9);
  EXPECT_EQ(all<WorkBand>(steps).at(0).yarns.at(0).lengths, 0);  // cut, not carried
}

TEST(OrderOfWork, TheWarpIsWoundWithItsTiesAtOneEdgeWhenItsEndsAreEven) {
  // (33 x 600 + 32 x 4) / 1.02 + 200 = 19737.3 mm; (34 x 600 + 33 x 4) / 1.02 + 200 = 20329.4.
  const auto odd = all<WindWarp>(order_of(piece_of(33, kWoven + "rows = 6\n"))).at(0);
  EXPECT_FALSE(odd.ties_at_one_edge);
  EXPECT_NEAR(odd.length_m, 19.7373, 0.0001);
  EXPECT_NEAR(in_centimetres(odd.tie), 10.0, 1e-9);
  const auto even = all<WindWarp>(order_of(piece_of(34, kWoven + "rows = 6\n"))).at(0);
  EXPECT_TRUE(even.ties_at_one_edge);
  EXPECT_NEAR(even.length_m, 20.3294, 0.0001);
}

TEST(OrderOfWork, LoopsHangAtTheTopEveryOtherTurn) {
  EXPECT_EQ(loops_at_top(33), 16);  // and 16 below, a free end at each edge
  EXPECT_EQ(loops_at_top(34), 17);  // and 16 below, both free ends there
}

TEST(OrderOfWork, HeaderAndRoomForKnotsAreLeftBeforeTheFirstPickAndUsedAfterTheLast) {
  const auto steps =
      order_of(piece_of(33, kWoven + "rows = 6\n[finish]\nbottom = { knots = \"overhand\", "
                                     "ends_per_knot = 4, room = \"8 cm\" }\n"
                                     "rod = { diameter = \"10 mm\" }\n"
                                     "cord = { yarn = \"linen-fringe\", held = 2, plies = 2, "
                                     "twist = \"1 /cm\", rise = \"12 cm\", wraps = 3 }\n"));
  const auto left = all<LeaveFree>(steps);
  ASSERT_EQ(left.size(), 2U);
  EXPECT_EQ(left[0].what, LeaveFree::What::Header);
  EXPECT_NEAR(in_centimetres(left[0].length), 2.0, 1e-9);
  EXPECT_EQ(left[1].what, LeaveFree::What::RoomToTie);
  EXPECT_NEAR(in_centimetres(left[1].length), 8.0, 1e-9);
  EXPECT_TRUE(all<TakeOff>(steps).at(0).header_comes_out);
  // 33 = 8 x 4 + 1: the odd end goes into the last knot.
  const auto knots = all<TieEnds>(steps);
  ASSERT_EQ(knots.size(), 1U);
  EXPECT_EQ(knots[0].knots, 8);
  EXPECT_EQ(knots[0].ends_in_last, 5);
  EXPECT_EQ(all<PutOnRod>(steps).at(0).loops, 16);
  const auto cords = all<TieCord>(steps);
  ASSERT_EQ(cords.size(), 1U);
  EXPECT_EQ(cords[0].yarn, "linen-fringe");
  EXPECT_EQ(cords[0].wraps_at_each_tie, 3);
  EXPECT_NEAR(in_centimetres(cords[0].rise), 12.0, 1e-9);
}

TEST(OrderOfWork, WashingNamesWhatFeltsAndPressingWhatSteamSpoils) {
  const std::string band = kWoven + "rows = 6\n";
  const std::string silk = "[[band]]\nwork = \"weave\"\nyarn = \"silk-straw\"\nrows = 6\n";
  const auto steps = order_of(piece_of(33, band + silk + "[finish]\nwashed = true\n"));
  const auto washes = all<Wash>(steps);
  ASSERT_EQ(washes.size(), 1U);
  EXPECT_EQ(washes[0].felting, std::vector<std::string>{"worsted-moss"});
  EXPECT_EQ(all<Finishing>(steps).at(0).no_steam, std::vector<std::string>{"worsted-moss"});
  EXPECT_TRUE(all<Wash>(order_of(piece_of(33, band))).empty());
}

TEST(OrderOfWork, StepsComeInTheOrderOfTheWork) {
  const auto steps = order_of(piece_of(33, kFringe + kWoven + "rows = 6\n"));
  std::vector<std::size_t> kinds;
  for (const Step& step : steps) {
    if (kinds.empty() || kinds.back() != step.index()) kinds.push_back(step.index());
  }
  const auto index = [](const Step& step) { return step.index(); };
  EXPECT_EQ(kinds, (std::vector<std::size_t>{
                       index(LayOut{}), index(CutStrands{}), index(WindWarp{}), index(LeaveFree{}),
                       index(WorkBand{}), index(TakeOff{}), index(SewIn{}), index(Finishing{}),
                       index(TrimFringe{}), index(Caution{})}));
}

TEST(OrderOfWork, WarningsStandWithTheirBand) {
  const auto bands = all<WorkBand>(order_of(
      piece_of(33, kWoven + "rows = 6\n[[band]]\nwork = \"weave\"\nyarn = \"fleece-sliver\"\n"
                            "split_into = 3\nrows = 3\n")));
  EXPECT_TRUE(bands.at(0).warnings.empty());
  ASSERT_EQ(bands.at(1).warnings.size(), 1U);
  EXPECT_NE(bands[1].warnings[0].find("flattened"), std::string::npos) << bands[1].warnings[0];
}

TEST(OrderOfWork, ThreadsForHemsAreLeftBeforeTheFirstRowAndAfterTheLast) {
  const std::string hem = "[[band]]\nwork = \"hemstitch\"\nends_per_stitch = 3\nrows_deep = 2\n";
  const auto steps = order_of(piece_of(33, hem + kWoven + "rows = 60\n" + hem));
  const auto threads = all<HemThread>(steps);
  ASSERT_EQ(threads.size(), 1U);
  EXPECT_TRUE(threads[0].before_weaving);
  EXPECT_EQ(threads[0].band, 2);
  EXPECT_EQ(threads[0].yarn, "worsted-moss");
  const auto bands = all<WorkBand>(steps);
  ASSERT_EQ(bands.size(), 3U);
  ASSERT_EQ(bands[1].to_leave.size(), 1U);
  EXPECT_FALSE(bands[1].to_leave[0].before_weaving);
  for (const CutStrands& cut : all<CutStrands>(steps)) EXPECT_NE(cut.what, "hemstitch");
}

TEST(OrderOfWork, OfABeamWarpIsCutAndItsFringeLeftHalfAndHalf) {
  const auto steps = order_of(
      "[piece]\nname = \"Trial\"\n[loom]\nkind = \"beam\"\n[warp]\nyarn = \"cotton-8-2\"\nends = "
      "40\nsett = \"5 /cm\"\nfringe = \"24 cm\"\nloom_waste = \"60 cm\"\n" +
      kWoven + "rows = 20\n");
  EXPECT_TRUE(all<WindWarp>(steps).empty());
  EXPECT_EQ(all<CutStrands>(steps).at(0).what, "warp");
  EXPECT_EQ(all<CutStrands>(steps).at(0).count, 40);
  const auto left = all<LeaveFree>(steps);
  ASSERT_EQ(left.size(), 1U);
  EXPECT_EQ(left[0].what, LeaveFree::What::WarpFringe);
  EXPECT_NEAR(in_centimetres(left[0].length), 12.0, 1e-9);
}

TEST(OrderOfWork, WhatComesOutIsLaidOutAndDrawnOutAndHasNoTailsToSewIn) {
  const auto steps =
      order_of(piece_of(33, kWoven + "rows = 6\ncomes_out = true\n" + kWoven + "rows = 6\n"));
  const auto laid_out = all<LayOut>(steps);
  ASSERT_EQ(laid_out.size(), 3U);  // warp, weft, and the weft lent
  EXPECT_EQ(laid_out[2].yarn, laid_out[1].yarn);
  EXPECT_EQ(laid_out[1].lent_for, 0);
  EXPECT_EQ(laid_out[2].lent_for, 1);
  const auto bands = all<WorkBand>(steps);
  EXPECT_TRUE(bands.at(0).comes_out);
  EXPECT_EQ(bands.at(0).yarns.at(0).rows, 6);
  EXPECT_FALSE(bands.at(1).comes_out);
  EXPECT_EQ(all<TakeOff>(steps).at(0).drawn_out, std::vector<int>{1});
  EXPECT_EQ(all<SewIn>(steps).at(0).lengths, bands.at(1).yarns.at(0).lengths);
}

}  // namespace
}  // namespace ellwand::estimate
