// What of a lot and of what is left over can be used, by hand.

#include "ellwand/estimate/leftovers.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "support/studios.hpp"

namespace ellwand::estimate {
namespace {

const std::string kHead =
    "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"60 cm\"\npitch = \"4 mm\"\n"
    "[warp]\nyarn = \"seine-12-6\"\nends = 33\ntie = \"10 cm\"\n[habits]\ntail = \"10 cm\"\n"
    "working_length = \"2 m\"\n";
const std::string kWoven =
    "[[band]]\nwork = \"weave\"\nyarn = \"linen-fringe\"\nbeat_ratio = 0.65\nrows = 60\n";
const std::string kFringe =
    "[[band]]\nwork = \"knotted fringe\"\nyarn = \"linen-fringe\"\nheld = 3\nhang = \"14 cm\"\n"
    "trim = \"8 mm\"\n";

/// The demo's yarns, the linen measured 1.6 mm thick.
YarnTable yarns_with_thick_linen() {
  YarnTable yarns = test::demo_studio().yarns;
  yarns.at("linen-fringe").measured_diameter = millimetres(1.6);
  return yarns;
}

PieceModel model_of(const std::string& bands) {
  static const YarnTable yarns = yarns_with_thick_linen();
  return PieceModel(test::read_demo_piece(kHead + bands), {yarns, test::starting_values(), {}});
}

Stock stock_of(const std::vector<StockLot>& lots) {
  Stock stock;
  for (const StockLot& lot : lots) {
    stock.mass += lot.mass;
    stock.largest_lot = std::max(stock.largest_lot, lot.mass);
    ++stock.lots;
    stock.each.push_back(lot);
  }
  return stock;
}

std::vector<std::string> codes(const PieceEstimate& estimate) {
  std::vector<std::string> all;
  for (const Warning& warning : estimate.warnings) all.push_back(warning.code);
  return all;
}

bool has(const std::vector<std::string>& all, const std::string& code) {
  return std::find(all.begin(), all.end(), code) != all.end();
}

TEST(ShortestUses, AreARowWithTailsAStrandAndAPass) {
  const auto uses = shortest_uses(model_of(kFringe + kWoven));
  ASSERT_EQ(uses.size(), 3U);
  // A pass of 60 cm with two ties of 10.
  EXPECT_EQ(uses[0].band, 0);
  EXPECT_NEAR(in_centimetres(uses[0].length), 80.0, 1e-9);
  // Bundle 1.6 sqrt(3 / 0.65) = 3.4373; wrap 4 + 1.5 pi x 4.4373 = 24.911; 296 + 24.911 = 320.91
  // mm, and 3 of 48 strands 4 mm longer: 321.16 on average.
  EXPECT_EQ(uses[1].band, 1);
  EXPECT_NEAR(in_millimetres(uses[1].length), 321.16, 0.01);
  // A row of 33 ends, d 1.0 and 1.6, is 168.375 mm long; with two tails of 100 mm.
  EXPECT_EQ(uses[2].band, 2);
  EXPECT_NEAR(in_millimetres(uses[2].length), 368.375, 0.005);
}

TEST(UsableShelf, LeavesOutLotsWhosePiecesDoForNothing) {
  const PieceModel model = model_of(kFringe + kWoven);
  const Shelf shelf = {{"linen-fringe", stock_of({{"A", grams(40.0), centimetres(30.0)},
                                                  {"B", grams(25.0), centimetres(34.0)},
                                                  {"C", grams(10.0), std::nullopt}})}};
  const Stock usable = usable_shelf(model, shelf).at("linen-fringe");
  EXPECT_EQ(usable.lots, 2);
  EXPECT_NEAR(in_grams(usable.mass), 35.0, 1e-9);
  EXPECT_NEAR(in_grams(usable.largest_lot), 25.0, 1e-9);
  // 34 cm does for the fringe of 32.1 but not for a row with tails, 36.8.
  std::vector<Warning> warnings;
  warn_of_short_pieces(model, shelf, warnings);
  ASSERT_EQ(warnings.size(), 2U);
  EXPECT_EQ(warnings[0].code, "lot_too_short");
  EXPECT_NE(warnings[0].text.find("lot A, 0.3 m"), std::string::npos) << warnings[0].text;
  EXPECT_EQ(warnings[1].code, "piece_too_short_for_some");
  EXPECT_NE(warnings[1].text.find("too short for band 2"), std::string::npos) << warnings[1].text;
}

TEST(UsableShelf, IsWhatTheChanceOfRunningShortIsOf) {
  const PieceModel model = model_of(kWoven);
  const Shelf whole = {{"linen-fringe", stock_of({{"A", grams(500.0), std::nullopt}})}};
  const Shelf bits = {{"linen-fringe", stock_of({{"A", grams(500.0), centimetres(20.0)}})}};
  const YarnEstimate of_whole = estimate(model, whole, {}).yarns.at(1);
  const YarnEstimate of_bits = estimate(model, bits, {}).yarns.at(1);
  EXPECT_EQ(of_whole.on_shelf_g, 500.0);
  EXPECT_LT(of_whole.chance_short, 0.001);
  EXPECT_EQ(of_bits.on_shelf_g, 0.0);
  EXPECT_GT(of_bits.chance_short, 0.999);
}

TEST(Areas, ThatNoSingleLotCanSupplyAreWarnedOfUnlessLotsMayMix) {
  // 60 rows take about 11.3 m; linen of 16/2, 206.7 tex: 2.34 g, and with its doubt under 4.
  const Shelf small = {{"linen-fringe", stock_of({{"A", grams(2.0), std::nullopt},
                                                  {"B", grams(2.1), std::nullopt},
                                                  {"C", grams(2.0), std::nullopt}})}};
  const Shelf large = {{"linen-fringe", stock_of({{"A", grams(6.0), std::nullopt}})}};
  const PieceModel model = model_of(kWoven);
  EXPECT_TRUE(has(codes(estimate(model, small, {})), "area_needs_one_lot"));
  EXPECT_FALSE(has(codes(estimate(model, large, {})), "area_needs_one_lot"));
  std::string mixed = kHead + kWoven;
  mixed.replace(mixed.find("name = \"Trial\"\n"), 15, "name = \"Trial\"\nlots = \"may mix\"\n");
  const piece::Piece piece = test::read_demo_piece(mixed);
  EXPECT_TRUE(piece.lots_may_mix);
  const auto told =
      codes(estimate(piece, {test::demo_studio().yarns, test::starting_values(), {}}, small, {}));
  EXPECT_FALSE(has(told, "area_needs_one_lot"));
  EXPECT_FALSE(has(told, "lots_mixed"));
}

TEST(Areas, AndShortPiecesAreToldInTheUnitsOfTheStudio) {
  const YarnTable yarns = yarns_with_thick_linen();
  const PieceModel model(test::read_demo_piece(kHead + kWoven),
                         {yarns,
                          test::starting_values(),
                          {},
                          LengthShown::Inches,
                          nullptr,
                          {MassShown::Ounces, YarnShown::Yards}});
  // Under 4 g, as above, are under 0.15 oz; 0.05 oz are 1.4 g.
  const Shelf small = {{"linen-fringe", stock_of({{"A", ounces(0.05), std::nullopt}})}};
  const PieceEstimate result = estimate(model, small, {});
  const auto area =
      std::find_if(result.warnings.begin(), result.warnings.end(),
                   [](const Warning& one) { return one.code == "area_needs_one_lot"; });
  ASSERT_NE(area, result.warnings.end());
  EXPECT_NE(area->text.find("linen-fringe may take 0."), std::string::npos) << area->text;
  EXPECT_NE(area->text.find(" oz here and no lot on the shelf has more than 0.05 oz; "),
            std::string::npos)
      << area->text;
  // A row with its tails takes 36.8 cm, 0.40 yd.
  const Shelf bits = {{"linen-fringe", stock_of({{"A", grams(25.0), yards(0.25)}})}};
  std::vector<Warning> warnings;
  warn_of_short_pieces(model, bits, warnings);
  ASSERT_EQ(warnings.size(), 1U);
  EXPECT_NE(warnings[0].text.find("lot A, 0.25 yd,"), std::string::npos) << warnings[0].text;
}

TEST(LeftOver, GoesToPlannedPiecesThatNeedNoMore) {
  YarnEstimate mine;
  mine.yarn = "rust";
  mine.left_over_m = 50.0;
  PieceEstimate small;
  small.piece = "small";
  small.name = "Small";
  small.yarns.resize(2);
  small.yarns[0].yarn = "ash";
  small.yarns[1].yarn = "rust";
  small.yarns[1].set_aside_m = 47.0;
  small.yarns[1].cut_rounding_m = 2.0;
  small.yarns[1].spare_m = 0.5;
  PieceEstimate large = small;
  large.piece = "large";
  large.yarns[1].spare_m = 1.5;
  const auto uses = uses_of_left_over({mine}, {small, large});
  ASSERT_EQ(uses.size(), 1U);  // 49.5 of 50; the other needs 50.5
  EXPECT_EQ(uses[0].piece, "small");
  EXPECT_EQ(uses[0].yarn, "rust");
  EXPECT_NEAR(uses[0].need_m, 49.5, 1e-12);
}

// The whole loom waste of an end was promised in one piece (2026-11-28). A hand is 18 cm: the
// longer of two pieces is one for sure from 36 cm on.
TEST(Thrums, WhoseLongerPieceIsAHandAndMoreWillDoForFringe) {
  const auto beam = [](const std::string& waste) {
    const std::string text =
        "[piece]\nname = \"Trial\"\n[loom]\nkind = \"beam\"\n[warp]\nyarn = "
        "\"cotton-8-2\"\nends = 40\nheld = 2\nsett = \"3 /cm\"\nloom_waste = "
        "\"" +
        waste + "\"\n[[band]]\nwork = \"weave\"\nyarn = \"cotton-slub\"\nrows = 9\n";
    return thrums_for_fringe(PieceModel(test::read_demo_piece(text), test::demo_workshop()));
  };
  EXPECT_FALSE(beam("17 cm").has_value());
  EXPECT_FALSE(beam("35 cm").has_value());
  EXPECT_TRUE(beam("37 cm").has_value());
  const auto thrums = beam("60 cm");
  ASSERT_TRUE(thrums.has_value());
  EXPECT_EQ(thrums->count, 80);
  EXPECT_NEAR(in_centimetres(thrums->length), 60.0, 1e-9);
  EXPECT_NEAR(in_centimetres(thrums->longer()), 30.0, 1e-9);
  EXPECT_FALSE(thrums_for_fringe(model_of(kWoven)).has_value());
}

TEST(Felting, OfWhatHangsFreeAndOfRovingIsWarnedOfInAWash) {
  const std::string wool =
      "[[band]]\nwork = \"looped pile\"\nyarn = \"rug-wool-ash\"\nover = 3\n"
      "rows = 3\nloop_height = \"15 mm\"\n";
  const std::string roving =
      "[[band]]\nwork = \"weave\"\nyarn = \"fleece-sliver\"\nsplit_into = "
      "3\nrows = 3\n";
  const std::string cloth = "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = 3\n";
  const std::string washed = "[finish]\nwashed = true\n";
  const auto bands_warned = [](const std::string& bands) {
    std::vector<int> numbers;
    for (const Warning& warning : estimate(model_of(bands), {}, {}).warnings) {
      if (warning.code == "felts_in_the_wash") numbers.push_back(warning.band);
    }
    return numbers;
  };
  EXPECT_EQ(bands_warned(cloth + wool + roving + kFringe + washed), (std::vector<int>{2, 3}));
  EXPECT_TRUE(bands_warned(cloth + wool + roving).empty());
}

TEST(Sizes, OffTheLoomWashedAndBlockedAreThreeOneAfterAnother) {
  // 60 rows of 1.04 mm: 62.4 on the loom; x 0.97 off it; x 0.92 washed; x 1.03 blocked.
  const PieceEstimate result =
      estimate(model_of(kWoven + "[finish]\nwashed = true\nrelaxation = \"3 %\"\nshrinkage = \"8 "
                                 "%\"\nblocked = \"3 %\"\n"),
               {}, {});
  EXPECT_NEAR(in_millimetres(result.off_loom.height), 60.528, 1e-6);
  EXPECT_NEAR(in_millimetres(result.washed.height), 55.68576, 1e-6);
  EXPECT_NEAR(in_millimetres(result.finished.height), 57.3563328, 1e-6);
  // To finish at 57.3563 mm, 62.4 are woven.
  std::string by_height = kWoven;
  by_height.replace(by_height.find("rows = 60"), 9,
                    "height = \"57.3563328 mm\"\nheight_state = \"finished\"");
  const PieceEstimate again =
      estimate(model_of(by_height + "[finish]\nwashed = true\nrelaxation = \"3 %\"\nshrinkage = "
                                    "\"8 %\"\nblocked = \"3 %\"\n"),
               {}, {});
  EXPECT_NEAR(in_millimetres(again.loom.height), 62.4, 1e-6);
}

}  // namespace
}  // namespace ellwand::estimate
