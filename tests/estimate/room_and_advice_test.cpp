// Room on the warp, put-ups, cuts and what she is told to look out for, by hand.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "ellwand/estimate/cuts.hpp"
#include "ellwand/estimate/estimate.hpp"
#include "support/studios.hpp"

namespace ellwand::estimate {
namespace {

const std::string kBand = "[[band]]\nwork = \"weave\"\nyarn = \"worsted-moss\"\n";

/// 33 ends of a measured 1.0 mm on a span of 340 mm, with rod and knots.
std::string budget_piece(const std::string& bands) {
  return "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"34 cm\"\npitch = \"4 "
         "mm\"\n"
         "[warp]\nyarn = \"seine-12-6\"\nends = 33\n" +
         bands +
         "[finish]\nbottom = { knots = \"overhand\", ends_per_knot = 3 }\n"
         "rod = { diameter = \"10 mm\" }\n";
}

/// The demo's yarns with a weft of a measured 1.6 mm, one of 2.9 mm, and a fringe of 1.2 mm.
YarnTable measured_yarns() {
  YarnTable yarns = test::demo_studio().yarns;
  yarns.at("worsted-moss").measured_diameter = millimetres(1.6);
  yarns.at("rug-wool-ink").measured_diameter = millimetres(2.9);
  yarns.at("linen-fringe").measured_diameter = millimetres(1.2);
  return yarns;
}

PieceEstimate estimated(const std::string& text, const Shelf& shelf = {}) {
  const YarnTable yarns = measured_yarns();
  return estimate(test::read_demo_piece(text), {yarns, test::starting_values(), {}}, shelf, {});
}

bool has_warning(const PieceEstimate& estimate, const std::string& code) {
  return std::any_of(estimate.warnings.begin(), estimate.warnings.end(),
                     [&](const Warning& warning) { return warning.code == code; });
}

std::string text_of(const PieceEstimate& result, const std::string& code) {
  for (const Warning& warning : result.warnings) {
    if (warning.code == code) return warning.text;
  }
  return "";
}

TEST(Budget, OfANotchedLoomByHand) {
  // 340 - 70 (tie) - 30 (needle) - 17.34 (loops on a 10 mm rod over a last pick of 1.6) = 222.66
  const PieceEstimate result = estimated(budget_piece(kBand + "rows = 60\n"));
  ASSERT_TRUE(result.budget.has_value());
  EXPECT_NEAR(in_millimetres(result.budget->left() + result.budget->bands), 222.7, 0.05);
  EXPECT_NEAR(in_millimetres(result.budget->bands), 62.4, 1e-9);  // 60 rows of 0.65 x 1.6
}

TEST(Budget, BandsThatDoNotFitAreRefusedWithTheBandAndHowMuch) {
  // Rows of a measured 1 mm: 120 + 120 - 222.66 = 17.3.
  const std::string band =
      kBand + "height = \"12 cm\"\nmeasured = { rows = 10, height = \"1 cm\" }\n";
  try {
    estimated(budget_piece(band + band));
    FAIL() << "not refused";
  } catch (const BadInput& bad) {
    const std::string told = bad.what();
    EXPECT_NE(told.find("band 2 (weave) does not fit"), std::string::npos) << told;
    EXPECT_NE(told.find("1.7 cm too long"), std::string::npos) << told;
  }
}

TEST(Budget, WhatDoesNotFitByLessThanIsToldIsATenth) {
  // 222.7 and 222.66, or 223 in whole rows of 1 mm: by less than half a tenth of a centimetre.
  try {
    estimated(budget_piece(kBand + "height = \"22.27 cm\"\n" +
                           "measured = { rows = 10, height = \"1 cm\" }\n"));
    FAIL() << "not refused";
  } catch (const BadInput& bad) {
    const std::string told = bad.what();
    EXPECT_NE(told.find("; 0.1 cm too long"), std::string::npos) << told;
  }
}

TEST(Budget, TheFirstBandThatDoesNotFitIsNamed) {
  // 120, 240, 360 in 222.66: the second passes it; all three are 137.3 too long.
  const std::string band =
      kBand + "height = \"12 cm\"\nmeasured = { rows = 10, height = \"1 cm\" }\n";
  try {
    estimated(budget_piece(band + band + band));
    FAIL() << "not refused";
  } catch (const BadInput& bad) {
    const std::string told = bad.what();
    EXPECT_NE(told.find("band 2 (weave) does not fit"), std::string::npos) << told;
    EXPECT_NE(told.find("13.7 cm too long"), std::string::npos) << told;
  }
}

TEST(Budget, TheRodRestsOnTheLastPickNotOnTheThickest) {
  // 1.6 above 2.9: the loops of 17.34 mm as ever. On a last pick of 2.9, h = 6.45 and R = 5.5:
  // sqrt(41.6025 - 30.25) + 5.5 (pi - acos(5.5 / 6.45)) = 3.3694 + 14.2558 = 17.625.
  const std::string thick = "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ink\"\nrows = 9\n";
  const std::string thin = kBand + "rows = 9\n";
  const auto loops_mm = [](const std::string& bands) {
    return in_millimetres(estimated(budget_piece(bands)).budget.value().rod_loops);
  };
  EXPECT_NEAR(loops_mm(thick + thin), 17.34, 5e-3);
  EXPECT_NEAR(loops_mm(thin + thick), 17.625, 5e-3);
}

TEST(Budget, TheRodRestsOnTheThickestOfPicksSideBySide) {
  // All loops hang from one rod, so that those over the thin weft are as long: 17.625 as above.
  const auto loops_mm = [](const std::string& areas) {
    const std::string band = "[[band]]\nwork = \"weave\"\nrows = 9\nareas = [" + areas + "]\n";
    return in_millimetres(estimated(budget_piece(band)).budget.value().rod_loops);
  };
  const std::string thick = "{ yarn = \"rug-wool-ink\", ends = 10";
  const std::string thin = "{ yarn = \"rug-wool-ash\", ends = 23";
  EXPECT_NEAR(loops_mm(thick + " }, " + thin + ", join = \"slit\" }"), 17.625, 5e-3);
  EXPECT_NEAR(loops_mm(thin + " }, " + thick + ", join = \"slit\" }"), 17.625, 5e-3);
}

TEST(Budget, WarpLeftBareAboveTheClothIsTold) {
  // 222.66 are there to weave in: 60 rows of 1.04 leave 160.3 mm, 170 rows 45.9.
  const PieceEstimate bare = estimated(budget_piece(kBand + "rows = 60\n"));
  ASSERT_TRUE(has_warning(bare, "bare_warp"));
  EXPECT_NE(text_of(bare, "bare_warp").find("16.0 cm of bare warp"), std::string::npos)
      << text_of(bare, "bare_warp");
  EXPECT_FALSE(has_warning(estimated(budget_piece(kBand + "rows = 170\n")), "bare_warp"));
}

TEST(Budget, EverythingStatedTakesItsRoom) {
  // 340 - 12 (header) - 60 - 50 (knots at both edges) - 25 (needle) = 193, and no rod.
  const PieceEstimate result = estimated(
      "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"34 cm\"\n"
      "pitch = \"4 mm\"\nheader = \"12 mm\"\nneedle_room = \"25 mm\"\n[warp]\n"
      "yarn = \"seine-12-6\"\nends = 33\n" +
      kBand +
      "rows = 60\n[finish]\nbottom = { knots = \"overhand\", room = \"6 cm\" }\n"
      "top = { knots = \"overhand\", room = \"5 cm\" }\n");
  ASSERT_TRUE(result.budget.has_value());
  EXPECT_NEAR(in_millimetres(result.budget->left() + result.budget->bands), 193.0, 1e-9);
  EXPECT_EQ(in_metres(result.budget->rod_loops), 0.0);
}

TEST(Budget, ASpanWithoutRoomIsRefusedAsAWhole) {
  // 95 - 70 - 30 - 17.3 is less than nothing.
  std::string piece = budget_piece(kBand + "rows = 1\n");
  piece.replace(piece.find("34 cm"), 5, "95 mm");
  try {
    estimated(piece);
    FAIL() << "not refused";
  } catch (const BadInput& bad) {
    EXPECT_NE(std::string(bad.what()).find("nothing can be woven on a span of 9.5 cm"),
              std::string::npos)
        << bad.what();
  }
}

TEST(Budget, ABeamHasNone) {
  EXPECT_FALSE(estimate(test::demo_piece("sedge"), test::demo_workshop(), {}, {}).budget);
}

const std::string kFringe =
    "[[band]]\nwork = \"knotted fringe\"\nyarn = \"linen-fringe\"\nheld = 3\nhang = \"14 "
    "cm\"\n";

TEST(Cuts, AFringeOnACardByHand) {
  // Strands of 1.2 mm, trims of 8 mm: 316.861 mm for 15 knots and 320.861 mm for the wide one, of
  // 3 strands each. In whole cm 32 and 33; the card (320 - 4 - pi 1.2) / 2 = 156.1 and 161.1 mm;
  // one spare in twenty, rounded up: 3 and 1.
  const PieceEstimate result = estimated(budget_piece(kFringe + "card = \"2 mm\"\n"));
  ASSERT_EQ(result.cuts.size(), 2U);
  const Cut& each = result.cuts[0];
  const Cut& wide = result.cuts[1];
  EXPECT_EQ(each.what, "fringe");
  EXPECT_EQ(each.yarn, "linen-fringe");
  EXPECT_EQ(each.band, 1);
  EXPECT_EQ(each.count, 45);
  EXPECT_EQ(wide.count, 3);
  EXPECT_NEAR(in_millimetres(each.exact), 316.861, 5e-4);
  EXPECT_NEAR(in_millimetres(each.length), 320.0, 1e-9);
  EXPECT_NEAR(in_millimetres(wide.length), 330.0, 1e-9);
  ASSERT_TRUE(each.card_height && wide.card_height);
  EXPECT_NEAR(in_millimetres(*each.card_height), 156.1, 0.05);
  EXPECT_NEAR(in_millimetres(*wide.card_height), 161.1, 0.05);
  EXPECT_EQ(each.spare, 3);
  EXPECT_EQ(wide.spare, 1);
  // 45 x 3.139 + 3 x 9.139 mm beyond the plan; 3 x 32 + 33 cm to spare.
  EXPECT_NEAR(result.yarns[1].cut_rounding_m, 0.16867, 5e-6);
  EXPECT_NEAR(result.yarns[1].spare_m, 1.29, 1e-9);
}

TEST(Cuts, StrandsOfOneLengthWhenRoundedUpAreCutTogether) {
  // The same in steps of 5 cm: 316.861 and 320.861 mm both make 350. 48 strands, one spare in
  // twenty: 3. Beyond the plan 45 x 33.139 + 3 x 29.139 mm.
  Options coarse;
  coarse.cut_step = centimetres(5.0);
  const YarnTable yarns = measured_yarns();
  const PieceEstimate result =
      estimate(test::read_demo_piece(budget_piece(kFringe + "card = \"2 mm\"\n")),
               {yarns, test::starting_values(), {}}, {}, coarse);
  ASSERT_EQ(result.cuts.size(), 1U);
  EXPECT_EQ(result.cuts[0].count, 48);
  EXPECT_EQ(result.cuts[0].spare, 3);
  EXPECT_NEAR(in_millimetres(result.cuts[0].length), 350.0, 1e-9);
  EXPECT_NEAR(result.yarns[1].cut_rounding_m, 1.57867, 5e-5);
}

TEST(Cuts, WithoutACardNothingIsSpare) {
  const PieceEstimate result = estimated(budget_piece(kFringe));
  ASSERT_EQ(result.cuts.size(), 2U);
  EXPECT_FALSE(result.cuts[0].card_height.has_value());
  EXPECT_EQ(result.yarns[1].spare_m, 0.0);
}

TEST(Cuts, OfSplitRovingTakeAShareOfAStrandAsBought) {
  // Ten parts of 316.1 mm cut to 320, two from each strand: 10 x 3.9 / 2 = 19.5 mm; 3 spare ones
  // 3 x 320 / 2 = 480 mm.
  const std::vector<Cut> cuts = {
      {"fringe", "sliver", 1, 10, millimetres(316.1), millimetres(320.0), 2, 3, std::nullopt}};
  EXPECT_NEAR(beyond_plan(cuts).at("sliver").rounding_m, 0.0195, 1e-12);
  EXPECT_NEAR(beyond_plan(cuts).at("sliver").spare_m, 0.48, 1e-12);
  EXPECT_EQ(beyond_plan(cuts).count("linen"), 0U);
}

TEST(Cuts, EndsOfABeamWarpFromKnotToKnot) {
  // Weft-faced, so that the ends run straight: 30 rows of a measured 1 mm, 20 cm of fringe, 50 cm
  // of loom waste: 73 cm, which is whole already; in steps of 5 cm it is 75.
  const std::string text =
      "[piece]\nname = \"Trial\"\n[loom]\nkind = \"beam\"\n[warp]\nyarn = \"seine-12-6\"\n"
      "ends = 40\nheld = 2\nsett = \"2.5 /cm\"\nfringe = \"20 cm\"\nloom_waste = \"50 cm\"\n" +
      kBand + "beat = \"weft-faced\"\nrows = 30\nmeasured = { rows = 10, height = \"1 cm\" }\n";
  const PieceEstimate result = estimated(text);
  ASSERT_EQ(result.cuts.size(), 1U);
  EXPECT_EQ(result.cuts[0].what, "warp");
  EXPECT_EQ(result.cuts[0].count, 80);
  EXPECT_NEAR(in_millimetres(result.cuts[0].exact), 730.0, 1e-9);
  EXPECT_NEAR(in_millimetres(result.cuts[0].length), 730.0, 1e-9);
  Options coarse;
  coarse.cut_step = centimetres(5.0);
  const YarnTable yarns = measured_yarns();
  const PieceEstimate in_fives =
      estimate(test::read_demo_piece(text), {yarns, test::starting_values(), {}}, {}, coarse);
  EXPECT_NEAR(in_millimetres(in_fives.cuts[0].length), 750.0, 1e-9);
}

TEST(Cuts, ALengthThatIsWholeAlreadyIsNotRoundedUp) {
  // 70 cm and 1 to 60 rows of a measured 1 mm, to the mm: sums of binary fractions that may come
  // out a trifle over.
  Options fine;
  fine.cut_step = millimetres(1.0);
  const YarnTable yarns = measured_yarns();
  for (int rows = 1; rows <= 60; ++rows) {
    const std::string text =
        "[piece]\nname = \"Trial\"\n[loom]\nkind = \"beam\"\n[warp]\nyarn = \"seine-12-6\"\n"
        "ends = 40\nsett = \"2.5 /cm\"\nfringe = \"20 cm\"\nloom_waste = \"50 cm\"\n" +
        kBand + "beat = \"weft-faced\"\nmeasured = { rows = 10, height = \"1 cm\" }\nrows = " +
        std::to_string(rows) + "\n";
    const PieceEstimate result =
        estimate(test::read_demo_piece(text), {yarns, test::starting_values(), {}}, {}, fine);
    EXPECT_NEAR(in_millimetres(result.cuts[0].length), 700.0 + rows, 1e-6) << rows;
  }
}

/// A fringe on a card with linen in put-ups of one kind.
YarnEstimate linen(const std::optional<yarn::PutUp>& put_up, const Shelf& shelf = {}) {
  YarnTable yarns = measured_yarns();
  yarns.at("linen-fringe").put_up = put_up;
  return estimate(test::read_demo_piece(budget_piece(kFringe + "card = \"2 mm\"\n")),
                  {yarns, test::starting_values(), {}}, shelf, {})
      .yarns[1];
}

TEST(PutUps, HoldTheSparesAndTheRoundingToo) {
  const YarnEstimate bare = linen(std::nullopt);
  const double beyond_m = bare.cut_rounding_m + bare.spare_m;
  const double beyond_g = beyond_m * bare.plan_g / bare.plan_m;
  ASSERT_GT(beyond_m, 1.0);
  // One that holds the set-aside and half of what is cut beyond it is not enough; all of it is.
  for (const double part : {0.5, 1.001}) {
    yarn::PutUp by_length;
    by_length.length = metres(bare.set_aside_m + part * beyond_m);
    yarn::PutUp by_mass;
    by_mass.net_mass = grams(bare.set_aside_g + part * beyond_g);
    const int wanted = part < 1.0 ? 2 : 1;
    EXPECT_EQ(linen(by_length).put_ups, wanted);
    EXPECT_EQ(linen(by_mass).put_ups, wanted);
    EXPECT_NEAR(*linen(by_length).left_over_m,
                wanted * in_metres(*by_length.length) - bare.length_m.mid - beyond_m, 1e-9);
    EXPECT_NEAR(*linen(by_mass).left_over_g,
                wanted * in_grams(*by_mass.net_mass) - bare.mass_g.mid - beyond_g, 1e-9);
  }
}

TEST(Shelf, WhatIsCutBeyondThePlanIsNotThereToWeaveWith) {
  // With the set-aside and all that is cut beyond it on the shelf: short one time in twenty. With
  // the middle of the range and that: every second time.
  const YarnEstimate bare = linen(std::nullopt);
  const double beyond_g = (bare.cut_rounding_m + bare.spare_m) * bare.plan_g / bare.plan_m;
  const auto chance_with = [](double mass) {
    return linen(std::nullopt, {{"linen-fringe", {grams(mass), grams(mass), 1}}}).chance_short;
  };
  EXPECT_NEAR(chance_with(bare.set_aside_g + beyond_g), 0.05, 1e-6);
  EXPECT_NEAR(chance_with(bare.mass_g.mid + beyond_g), 0.50, 1e-6);
}

TEST(PutUps, ByMassAreWhatTheSetAsideFills) {
  // Worsted in put-ups of 100 g, 2240 yd a lb: 0.22145 g a metre. 2500 rows take some 470 m, 104 g
  // in the middle of their range: two put-ups, and no third before 200 g.
  std::string text = budget_piece(kBand + "rows = 2500\n");
  text.replace(text.find("34 cm"), 5, "3 m");
  const YarnEstimate yarn = estimated(text).yarns[1];
  EXPECT_GT(yarn.set_aside_g, 100.0);
  EXPECT_LT(yarn.set_aside_g, 200.0);
  EXPECT_EQ(yarn.put_ups, 2);
  EXPECT_NEAR(*yarn.left_over_g, 200.0 - yarn.mass_g.mid, 1e-9);
  EXPECT_NEAR(*yarn.left_over_m, *yarn.left_over_g / 0.22145, 0.05);
}

TEST(PutUps, AreCountedOnceFromTheSetAsideAndWholeCuts) {
  // Linen in put-ups of 250 m: a fringe of 48 strands takes 24 m, one put-up; 700 such strands
  // some 230 m and its range pass 250 m: two.
  const auto fringe = [](int rows) {
    return budget_piece(
        "[[band]]\nwork = \"knotted fringe\"\nyarn = \"linen-fringe\"\nheld = 3\n"
        "hang = \"14 cm\"\nrows = " +
        std::to_string(rows) + "\n");
  };
  const PieceEstimate one = estimated(fringe(1));
  const PieceEstimate many = estimated(fringe(16));
  EXPECT_EQ(one.yarns[1].put_ups, 1);
  EXPECT_GT(many.yarns[1].set_aside_m, 250.0);
  EXPECT_EQ(many.yarns[1].put_ups, 2);
  EXPECT_NEAR(*many.yarns[1].left_over_m,
              500.0 - many.yarns[1].length_m.mid - many.yarns[1].cut_rounding_m, 1e-9);
}

TEST(Sizes, ComeOneAfterTheOther) {
  // Relaxation 2 %, then wool washed 8 % (starting values).
  const PieceEstimate result = estimated(
      "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"34 cm\"\npitch = \"4 mm\"\n"
      "[warp]\nyarn = \"seine-12-6\"\nends = 33\n" +
      kBand + "rows = 60\n[finish]\nwashed = true\n");
  EXPECT_NEAR(in_millimetres(result.loom.width), 132.2, 1e-9);
  EXPECT_NEAR(in_millimetres(result.off_loom.width), 132.2 * 0.98, 1e-9);
  EXPECT_NEAR(in_millimetres(result.finished.height), 62.4 * 0.98 * 0.92, 1e-9);
}

// All of one wool was told to shrink as cotton does, 2 % (2026-11-28).
TEST(Sizes, WoolShrinksAsWoolWhereItIsWarpAndWeft) {
  const PieceEstimate wool = estimated(
      "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"34 cm\"\npitch = \"4 mm\"\n"
      "[warp]\nyarn = \"worsted-moss\"\nends = 33\n" +
      kBand + "rows = 60\n[finish]\nwashed = true\n");
  EXPECT_NEAR(wool.finished.width / wool.off_loom.width, 0.92, 1e-12);
  const PieceEstimate cotton = estimated(
      "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"34 cm\"\npitch = \"4 mm\"\n"
      "[warp]\nyarn = \"cotton-8-2\"\nends = 33\n[[band]]\nwork = \"weave\"\n"
      "yarn = \"cotton-8-2\"\nrows = 60\n[finish]\nwashed = true\n");
  EXPECT_NEAR(cotton.finished.width / cotton.off_loom.width, 0.98, 1e-12);
}

/// One band of counted rows: its height is lognormal, as unsure as one row; the same height stated
/// is as sure as the ruler.
TEST(Sizes, AHeightOfCountedRowsIsAsUnsureAsARow) {
  Options options;
  options.order = true;
  const auto of = [&](const std::string& extent) {
    const piece::Piece piece = test::read_demo_piece(budget_piece(kBand + extent));
    const PieceModel model(piece, test::demo_workshop());
    return std::make_pair(estimate(model, {}, options), model.log_height(0));
  };
  const auto [rows, row] = of("rows = 60\n");
  const PieceModel model(test::read_demo_piece(budget_piece(kBand + "rows = 60\n")),
                         test::demo_workshop());
  const std::vector<double>& spreads = model.coefficients().spreads;
  double variance = 0.0;
  for (std::size_t c = 0; c < row.slopes.size(); ++c) {
    variance += std::pow(row.slopes[c] * spreads[c], 2.0);
  }
  ASSERT_TRUE(rows.height_m.has_value());
  ASSERT_GT(variance, 0.0);
  EXPECT_NEAR(std::log(rows.height_m->high / rows.height_m->low),
              2.0 * 1.6448536 * std::sqrt(variance), 1e-6);
  EXPECT_NEAR(rows.height_m->mid, in_metres(rows.finished.height), 1e-9);
  EXPECT_FALSE(of("height = \"10 cm\"\n").first.height_m.has_value());
}

TEST(Sizes, TheHangIsThatOfTheLongestFringe) {
  const std::string shorter =
      "[[band]]\nwork = \"knotted fringe\"\nyarn = \"linen-fringe\"\nhang = \"9 cm\"\n";
  const PieceEstimate result = estimated(budget_piece(kFringe + shorter));
  EXPECT_NEAR(in_millimetres(result.hang), 140.0, 1e-9);
  EXPECT_EQ(in_metres(estimated(budget_piece(kBand + "rows = 9\n")).hang), 0.0);
}

TEST(Warnings, ComeWhenTheyAreDueAndNotOtherwise) {
  // 180 rows of 1.04 mm leave 35 mm of the 222.66.
  const PieceEstimate plain = estimated(budget_piece(kBand + "rows = 180\n"));
  EXPECT_TRUE(plain.warnings.empty());
  const PieceEstimate hidden = estimated(budget_piece(kBand + "weave = \"2/2 twill\"\nrows = 9\n"));
  EXPECT_TRUE(has_warning(hidden, "weave_hidden"));
  const PieceEstimate shown =
      estimated(budget_piece(kBand + "weave = \"2/2 twill\"\nbeat = \"balanced\"\nrows = 9\n"));
  EXPECT_FALSE(has_warning(shown, "weave_hidden"));
  const PieceEstimate roving =
      estimated(budget_piece("[[band]]\nwork = \"weave\"\nyarn = \"fleece-sliver\"\nrows = 3\n"));
  EXPECT_TRUE(has_warning(roving, "weft_flattened"));
  EXPECT_FALSE(has_warning(roving, "rows_need_room"));  // said once, by what is the matter
}

/// The program's starting values, the median of one of them another.
StartingValues with_median(const std::string& name, double median) {
  std::vector<StartingValue> rows;
  for (const auto& [its_name, value] : test::starting_values().all()) {
    rows.push_back(value);
    if (its_name == name) rows.back().median = median;
  }
  return StartingValues(std::move(rows));
}

PieceEstimate judged(const std::string& text, const std::string& name, double median) {
  const YarnTable yarns = measured_yarns();
  const StartingValues values = with_median(name, median);
  return estimate(test::read_demo_piece(text), {yarns, values, {}}, {}, {});
}

TEST(Judgements, AreThoseOfTheTable) {
  // Rows of 0.65 x 1.6 = 1.04 mm between ends 4 mm apart: 3.85 picks to an end.
  const std::string twill = budget_piece(kBand + "weave = \"2/2 twill\"\nrows = 9\n");
  EXPECT_TRUE(has_warning(judged(twill, "judge.hidden_picks", 3.8), "weave_hidden"));
  EXPECT_FALSE(has_warning(judged(twill, "judge.hidden_picks", 3.9), "weave_hidden"));
  // Ends of 1.0 mm and a weft of 1.6 mm are 2.6 mm; 4 mm are 1.54 times that.
  const std::string plain = budget_piece(kBand + "rows = 9\n");
  EXPECT_TRUE(has_warning(judged(plain, "judge.ends_apart", 1.5), "ends_far_apart"));
  EXPECT_FALSE(has_warning(judged(plain, "judge.ends_apart", 1.6), "ends_far_apart"));
  // 32 x 4 mm are 128 mm, on a span of 340: 0.376 of it.
  EXPECT_TRUE(has_warning(judged(plain, "judge.too_wide", 0.37), "warp_far_too_wide"));
  EXPECT_FALSE(has_warning(judged(plain, "judge.too_wide", 0.38), "warp_far_too_wide"));
  const std::string loops = budget_piece(
      "[[band]]\nwork = \"looped pile\"\nyarn = \"worsted-moss\"\nover = 3\nrows = 2\n"
      "loop_height = \"15 mm\"\n");
  EXPECT_TRUE(has_warning(judged(loops, "judge.tallest_loop", 0.014), "loops_too_tall"));
  EXPECT_FALSE(has_warning(judged(loops, "judge.tallest_loop", 0.016), "loops_too_tall"));
}

TEST(Judgements, OfTailsAreThoseOfTheTable) {
  // A pick is 160.4 x 1.05 = 168.4 mm (weft-faced-ledger.case), 60 of them 10.10 m; a length of
  // 40 cm less two tails of 9 cm lays 22 cm: 45.9, so 46 lengths, 1.3 rows each.
  const std::string piece = budget_piece(kBand + "rows = 60\nworking_length = \"40 cm\"\n");
  EXPECT_TRUE(has_warning(judged(piece, "judge.many_lengths", 46.0), "many_tails"));
  EXPECT_FALSE(has_warning(judged(piece, "judge.many_lengths", 47.0), "many_tails"));
  EXPECT_TRUE(has_warning(judged(piece, "judge.few_rows", 1.31), "many_tails"));
  EXPECT_FALSE(has_warning(judged(piece, "judge.few_rows", 1.30), "many_tails"));
}

/// A row is 13 cm long; 40 cm less two tails go a row or two, 1.5 m go ten.
TEST(Warnings, TellOfLengthsThatAreMostlyTails) {
  const std::string rows = kBand + "rows = 90\n";
  EXPECT_TRUE(
      has_warning(estimated(budget_piece(rows + "working_length = \"40 cm\"\n")), "many_tails"));
  EXPECT_FALSE(
      has_warning(estimated(budget_piece(rows + "working_length = \"150 cm\"\n")), "many_tails"));
}

/// 40 ends 4 mm apart on a beam loom, hidden by 90 rows of a weft of a measured 1.6 mm.
std::string beam_piece(const std::string& more_warp, const std::string& more_band) {
  return "[piece]\nname = \"Trial\"\n[loom]\nkind = \"beam\"\n[warp]\nyarn = \"seine-12-6\"\n"
         "ends = 40\nsett = \"2.5 /cm\"\nfringe = \"20 cm\"\n" +
         more_warp + kBand + "beat = \"weft-faced\"\nrows = 90\n" + more_band;
}

TEST(Warnings, TellThatNoLoomWasteIsCounted) {
  EXPECT_TRUE(has_warning(estimated(beam_piece("", "")), "no_loom_waste"));
  EXPECT_FALSE(has_warning(estimated(beam_piece("loom_waste = \"50 cm\"\n", "")), "no_loom_waste"));
  EXPECT_FALSE(has_warning(estimated(beam_piece("loom_waste = \"0 cm\"\n", "")), "no_loom_waste"));
  EXPECT_FALSE(has_warning(estimated(budget_piece(kBand + "rows = 60\n")), "no_loom_waste"));
}

TEST(Cuts, EndsOfABeamWarpSufficeWhereTheRowsAreUnsure) {
  // 90 rows of 0.65 x 1.6 mm are 93.6 mm, and with 70 cm 79.4 cm: by plan 80. The beat varies by
  // 0.20 of its logarithm, that of a piece by 0.05 more: 93.6 exp(1.645 x 0.2062) = 131.4 mm, or
  // 132.7 were the thread's thickness unsure by 5 % too. 83.1 to 83.3 cm: 84, also where the range
  // is 3 % wide of it.
  const std::string waste = "loom_waste = \"50 cm\"\n";
  const PieceEstimate unsure = estimated(beam_piece(waste, ""));
  ASSERT_EQ(unsure.cuts.size(), 1U);
  EXPECT_NEAR(in_centimetres(unsure.cuts[0].exact), 79.36, 1e-2);
  EXPECT_NEAR(in_centimetres(unsure.cuts[0].length), 84.0, 1e-9);
  // What is to have is whole ends: 40 of 84 cm, all of the set-aside among them.
  const YarnEstimate& warp = unsure.yarns[0];
  EXPECT_NEAR(warp.set_aside_m + beyond_plan_m(warp), 40 * 0.84, 1e-9);
  // Rows that were measured leave nothing unsure.
  const PieceEstimate sure =
      estimated(beam_piece(waste, "measured = { rows = 10, height = \"1 cm\" }\n"));
  EXPECT_FALSE(sure.cuts.at(0).enough.has_value());
  EXPECT_NEAR(in_centimetres(sure.cuts[0].length), 79.0, 1e-9);
}

/// The same with another fringe and what is said of its finish.
std::string beam_piece_on_a_rod(const std::string& fringe, const std::string& finish) {
  std::string piece = beam_piece("loom_waste = \"50 cm\"\n", "");
  const std::string usual = "fringe = \"20 cm\"\n";
  piece.replace(piece.find(usual), usual.size(), fringe);
  return piece + "[finish]\n" + finish;
}

/// Round a rod of 10 mm an end of 1.0 mm goes 17.34 mm from a last pick of 1.6 mm, as on a fixed
/// span. Tied tail to tail it gives up 10.1 / 2 = 5.05 mm and is held by 30: 52.39 mm in all, twice
/// that 104.78, in whole centimetres 11.
TEST(Warnings, TellWhereABeamWarpIsShortOfItsRod) {
  const std::string rod = "rod = { diameter = \"10 mm\" }\n";
  const auto told = [&](const std::string& fringe, const std::string& finish) {
    return text_of(estimated(beam_piece_on_a_rod(fringe, finish)), "rod_wants_fringe");
  };
  EXPECT_EQ(told("fringe = \"10 cm\"\n", rod),
            "top: each end goes 1.7 cm round the rod and wants 3.5 cm to be tied there, and half "
            "of the fringe is 2.39 mm short of both; state fringe = \"11.0 cm\" or more under "
            "[warp]");
  EXPECT_NE(told("", rod).find("half of the fringe is 52.4 mm short"), std::string::npos);
  EXPECT_NE(told("fringe = \"10.4 cm\"\n", rod), "");
  EXPECT_EQ(told("fringe = \"10.5 cm\"\n", rod), "");
  EXPECT_EQ(told("fringe = \"10 cm\"\n", "washed = false\n"), "");
}

/// Four ends laid together are 1.0 sqrt(4 / 0.69) = 2.408 mm thick, and a knot takes 10.1 of that,
/// 24.32 mm; with 30 to hold 54.32, and 17.34 round the rod: 71.66, twice that 143.3.
TEST(Warnings, OfARodGoByTheKnotsOfTheTop) {
  const std::string finish =
      "rod = { diameter = \"10 mm\" }\ntop = { knots = \"overhand\", ends_per_knot = 4 }\n";
  const PieceEstimate tight = estimated(beam_piece_on_a_rod("fringe = \"8 cm\"\n", finish));
  const std::string told = text_of(tight, "rod_wants_fringe");
  EXPECT_NE(
      told.find("goes 1.7 cm round the rod and wants 5.4 cm to be tied there, and half of the "
                "fringe is 31.7 mm short of both"),
      std::string::npos)
      << told;
  EXPECT_NE(told.find("state fringe = \"15.0 cm\""), std::string::npos) << told;
  EXPECT_FALSE(has_warning(tight, "room_to_tie"));  // said once
  EXPECT_FALSE(has_warning(estimated(beam_piece_on_a_rod("fringe = \"15 cm\"\n", finish)),
                           "rod_wants_fringe"));
}

TEST(Warnings, OfferALoomWasteInTheUnitOfTheStudio) {
  const auto offered = [](LengthShown shown) {
    const YarnTable yarns = measured_yarns();
    const Workshop workshop{yarns, test::starting_values(), {}, shown};
    return text_of(estimate(test::read_demo_piece(beam_piece("", "")), workshop, {}, {}),
                   "no_loom_waste");
  };
  EXPECT_NE(offered(LengthShown::Centimetres).find("loom_waste = \"60 cm\" in [warp]"),
            std::string::npos);
  EXPECT_NE(offered(LengthShown::Inches)
                .find("loom_waste = \"24 in\" in [warp], or what your loom "
                      "takes, or \"0 in\""),
            std::string::npos);
}

TEST(Warnings, TellOfEndsAndPicksThatAreNotWovenIn) {
  // 33 ends are 8 repeats of 4 and one more at the right. Shaft 5 is tied to no treadle: end 4 of
  // each repeat stays down, under every pick.
  const PieceEstimate untied = estimated(
      budget_piece(kBand + "rows = 9\nremainder = \"right\"\nthreading = [1, 2, 3, 5]\n"
                           "tie_up = [[1, 2], [2, 3], [3], [1]]\ntreadling = [1, 2, 3, 4]\n"));
  EXPECT_EQ(text_of(untied, "ends_not_woven"),
            "band 1: 8 of the 33 ends are not woven in, the first of them end 4 from the left; "
            "every pick passes over it: correct the weave unless it is to float");
  EXPECT_FALSE(has_warning(untied, "picks_not_woven"));
  const PieceEstimate slipped = estimated(budget_piece(
      kBand + "rows = 9\nremainder = \"right\"\ngrid = [\"o1 u2\", \"u1 o2\", \"o3\"]\n"));
  EXPECT_EQ(text_of(slipped, "picks_not_woven"),
            "band 1: pick 3 of the 3 of its repeat passes over every end and is not woven in: "
            "correct the weave");
  EXPECT_FALSE(has_warning(slipped, "ends_not_woven"));
}

TEST(Warnings, TellWhereTheGapsKeepTheRowsApart) {
  // Gaps of 3 mm for a weft of 2.9: pi 2.9^2 / 4 / 3 = 2.20 mm, the beat would have 0.65 x 2.9 =
  // 1.89. For a weft of 1.6 it is 0.67 against 1.04.
  const std::string thick = "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ink\"\nrows = 9\n";
  const PieceEstimate kept = estimated(budget_piece(thick));
  EXPECT_TRUE(has_warning(kept, "rows_need_room"));
  EXPECT_FALSE(has_warning(kept, "weft_flattened"));
  EXPECT_NEAR(in_millimetres(kept.bands.back().row_spacing), 2.20, 5e-3);
  EXPECT_FALSE(has_warning(estimated(budget_piece(kBand + "rows = 9\n")), "rows_need_room"));
}

TEST(Warnings, TellWhenOnlySeveralLotsTogetherAreEnough) {
  const std::string piece = budget_piece(kBand + "rows = 60\n");
  const double need_g = estimated(piece).yarns[1].set_aside_g;
  const Shelf two = {{"worsted-moss", {grams(1.5 * need_g), grams(0.75 * need_g), 2}}};
  const Shelf one = {{"worsted-moss", {grams(1.5 * need_g), grams(1.2 * need_g), 2}}};
  const Shelf little = {{"worsted-moss", {grams(0.9 * need_g), grams(0.45 * need_g), 2}}};
  EXPECT_TRUE(has_warning(estimated(piece, two), "lots_mixed"));
  EXPECT_FALSE(has_warning(estimated(piece, one), "lots_mixed"));
  EXPECT_FALSE(has_warning(estimated(piece, little), "lots_mixed"));
}

TEST(Cautions, FollowWhatThePieceIs) {
  const auto has = [](const PieceEstimate& estimate, const std::string& word) {
    return std::any_of(estimate.cautions.begin(), estimate.cautions.end(),
                       [&](const std::string& one) { return one.find(word) != std::string::npos; });
  };
  const PieceEstimate hung = estimated(budget_piece(kBand + "rows = 9\n"));
  EXPECT_TRUE(has(hung, "Hanging load"));
  EXPECT_TRUE(has(hung, "needles"));
  EXPECT_TRUE(has(hung, "licensed to judge"));
  EXPECT_TRUE(has(hung, "felt"));  // worsted
  EXPECT_FALSE(has(hung, "small children"));
  EXPECT_FALSE(has(hung, "scald"));
  const PieceEstimate fringed =
      estimate(test::demo_piece("saltmarsh"), test::demo_workshop(), {}, {});
  EXPECT_TRUE(has(fringed, "small children"));
  const PieceEstimate washed = estimate(test::demo_piece("sedge"), test::demo_workshop(), {}, {});
  EXPECT_TRUE(has(washed, "scald"));
  EXPECT_FALSE(has(washed, "Hanging load"));
  // Cotton alone, neither washed nor hung.
  const PieceEstimate cotton = estimated(
      "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"34 cm\"\npitch = \"4 mm\"\n"
      "[warp]\nyarn = \"seine-12-6\"\nends = 33\n[[band]]\nwork = \"weave\"\n"
      "yarn = \"cotton-8-2\"\nrows = 9\n");
  for (const char* word : {"felt", "Fibre dust", "Hanging load", "scald", "small children"}) {
    EXPECT_FALSE(has(cotton, word)) << word;
  }
  EXPECT_TRUE(has(cotton, "licensed to judge"));
}

/// 2 bundles of 4 of the 33 ends, 6 turns of a measured 1.6 mm: 8 ends wrapped for 9.6 mm.
TEST(Advice, AsksWhatStandsBesideSomeEndsThatAreWrapped) {
  const std::string weave = kBand + "rows = 10\n";
  const std::string some =
      "[[band]]\nwork = \"wrapping\"\nyarn = \"worsted-moss\"\nends = 4\nturns = 6\nplaces = 2\n";
  const std::string gap = "[[band]]\nwork = \"gap\"\nheight = \"9.6 mm\"\n";
  const std::string all =
      "[[band]]\nwork = \"wrapping\"\nyarn = \"worsted-moss\"\nends = 4\nturns = 6\nplaces = 8\n";
  const PieceEstimate asked = estimated(budget_piece(weave + some + weave));
  const auto question =
      std::find_if(asked.warnings.begin(), asked.warnings.end(),
                   [](const Warning& one) { return one.code == "wrapped_beside_what"; });
  ASSERT_NE(question, asked.warnings.end());
  EXPECT_EQ(question->band, 2);
  EXPECT_NE(question->text.find("8 of 33 ends are wrapped for 1.0 cm"), std::string::npos)
      << question->text;
  for (const std::string& clear : {weave + some, some + weave, weave + some + gap + weave,
                                   weave + gap + some + weave, weave + all + weave}) {
    EXPECT_FALSE(has_warning(estimated(budget_piece(clear)), "wrapped_beside_what")) << clear;
  }
}

// Rows of 0.65 diameters: 40 of a thick yarn are higher than 40 of one half as thick.
TEST(Advice, AsksAboutAreasThatWouldNotBeOfOneHeight) {
  const auto areas = [](const std::string& extent) {
    return estimated(budget_piece("[[band]]\nwork = \"weave\"\n" + extent +
                                  "areas = [ { yarn = \"rug-wool-ink\", ends = 10 },\n"
                                  "  { yarn = \"worsted-moss\", ends = 23 } ]\n"));
  };
  const PieceEstimate by_rows = areas("rows = 40\n");
  ASSERT_TRUE(has_warning(by_rows, "uneven_areas"));
  EXPECT_FALSE(has_warning(areas("height = \"4 cm\"\n"), "uneven_areas"));
}

// A weft of 2.9 mm between ends of 1 mm wants pi 2.9^2 / 4 / 3 = 2.202 mm a row: 4 cm are 18 rows;
// of one of 1.6 mm 40 / 1.04 = 38, 20 more.
TEST(Advice, SaysThatJoinedWeftsHoldEachOtherRowByRow) {
  const auto joined = [](const std::string& join, const std::string& more) {
    return estimated(budget_piece("[[band]]\nwork = \"weave\"\nheight = \"4 cm\"\n" + more +
                                  "areas = [ { yarn = \"rug-wool-ink\", ends = 10 },\n"
                                  "  { yarn = \"worsted-moss\", ends = 23, join = \"" +
                                  join + "\" } ]\n"));
  };
  for (const char* join : {"interlocked", "dovetailed"}) {
    const std::string told = text_of(joined(join, ""), "uneven_joins");
    EXPECT_NE(told.find("worsted-moss takes 38 rows where rug-wool-ink beside it takes 18; put in "
                        "the 20 more"),
              std::string::npos)
        << told;
  }
  EXPECT_FALSE(has_warning(joined("slit", ""), "uneven_joins"));
  // Beaten alike: both take 24 rows.
  EXPECT_FALSE(has_warning(joined("interlocked", "picks = \"6 /cm\"\n"), "uneven_joins"));
}

}  // namespace
}  // namespace ellwand::estimate
