#include "ellwand/studio/read_piece.hpp"

#include "a_studio.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <variant>

namespace ellwand::studio {
namespace {

using technique::ColourArea;
using technique::Join;

/// A band of a warp on a frame loom. The keys begin on line 11.
std::string on_frame(int ends, const std::string& keys, const std::string& selvedges = "false") {
  return "[loom]\nkind = 'frame'\nspan = '40 cm'\n[warp]\nyarn = 'seine-12-6'\nends = " +
         std::to_string(ends) + "\nsett = '4 /cm'\nfloating_selvedges = " + selvedges +
         "\n[[band]]\nwork = 'weave'\n" + keys;
}

technique::Woven woven_of(const std::string& text) {
  const PieceReading reading = read_piece(text, "p.toml", a_studio(), starting_values());
  return std::get<technique::Woven>(reading.piece.bands.at(0).work);
}

Lines complaints(const std::string& text) {
  return complaints_of([&] { read_piece(text, "p.toml", a_studio(), starting_values()); });
}

/// "x" where the pick passes over the end, the bottom row first.
Lines drawn(const cloth::Grid& grid) {
  Lines rows;
  for (int pick = 0; pick < grid.picks(); ++pick) {
    rows.emplace_back();
    for (int end = 0; end < grid.ends(); ++end) rows.back() += grid.over(pick, end) ? 'x' : '.';
  }
  return rows;
}

const std::string kPlainRest = "yarn = 'rug-ash'\nrows = 6\n";

TEST(PieceWeave, MayBeNamed) {
  EXPECT_TRUE(cloth::same_weave(woven_of(on_frame(12, kPlainRest)).grid, cloth::plain()));
  const technique::Woven twill = woven_of(on_frame(12, kPlainRest + "weave = '2/2 twill'\n"));
  EXPECT_EQ(twill.grid.ends(), 12);
  EXPECT_TRUE(cloth::same_weave(twill.grid, cloth::twill({2, 2})));
}

TEST(PieceWeave, MayBeWrittenInWords) {
  EXPECT_EQ(drawn(woven_of(on_frame(6, kPlainRest + "grid = ['o2 u1', 'u1 o2']\n")).grid),
            (Lines{"xx.xx.", ".xx.xx"}));
}

TEST(PieceWeave, NeedsAPlaceForWhatRemains) {
  const std::string grid = kPlainRest + "grid = ['o2 u1', 'u1 o2']\n";
  EXPECT_EQ(complaints(on_frame(7, grid)),
            (Lines{"p.toml:13:8: grid: a repeat of 3 ends leaves 1 of the warp's 7 over; write "
                   "remainder = \"left\", \"right\", \"both\", \"plain left\", \"plain right\" or "
                   "\"plain both\", or take 6 or 9 ends"}));
  EXPECT_EQ(drawn(woven_of(on_frame(7, grid + "remainder = 'right'\n")).grid),
            (Lines{"xx.xx.x", ".xx.xx."}));
  EXPECT_EQ(drawn(woven_of(on_frame(7, grid + "remainder = 'left'\n")).grid),
            (Lines{".xx.xx.", "x.xx.xx"}));
}

// Threaded 1 2 3, rising: treadle 1 raises shaft 1, treadle 2 raises 2 and 3; the pick passes under
// what is raised.
TEST(PieceWeave, MayBeADraft) {
  const std::string draft =
      kPlainRest + "threading = [1, 2, 3]\ntie_up = [[1], [2, 3]]\ntreadling = [1, [1, 2], 2]\n";
  EXPECT_EQ(drawn(woven_of(on_frame(3, draft)).grid), (Lines{".xx", "...", "x.."}));
  EXPECT_EQ(drawn(woven_of(on_frame(3, draft + "shed = 'sinking'\n")).grid),
            (Lines{"x..", "xxx", ".xx"}));
}

// A pick enters over the one selvedge and leaves under the other.
TEST(PieceWeave, HasItsFloatingSelvedgesOutside) {
  EXPECT_EQ(drawn(woven_of(on_frame(3, kPlainRest + "grid = ['o2 u1', 'u1 o2']\n", "true")).grid),
            (Lines{"xxx..", "..xxx"}));
}

TEST(PieceWeave, IsOneOfThree) {
  EXPECT_EQ(complaints(on_frame(4, kPlainRest + "weave = 'plain'\ngrid = ['o2 u2']\n")),
            (Lines{"p.toml:14:8: grid: 'weave' is given as well; one of 'weave', 'grid' or "
                   "'threading' is wanted, not several"}));
}

TEST(PieceWeave, PointsAtTheFaultInTheWords) {
  const Lines lines = complaints(on_frame(4, kPlainRest + "grid = [\n  'o2 u2',\n  'o2 x2']\n"));
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_EQ(lines[0].substr(0, 28), "p.toml:15:7: grid: row 2 fro");
  EXPECT_EQ(complaints(on_frame(4, kPlainRest + "grid = ['o2 u2', 4]\n")),
            (Lines{"p.toml:13:18: grid: the number 4 was read where a row in words is wanted, such "
                   "as \"o2 u2 o1 u2\""}));
  EXPECT_EQ(complaints(on_frame(4, kPlainRest + "grid = []\n")),
            (Lines{"p.toml:13:8: grid: the list is empty"}));
}

TEST(PieceWeave, PutsThePlaceBeforeAnUnknownName) {
  const Lines lines = complaints(on_frame(4, kPlainRest + "weave = 'plian'\n"));
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_EQ(lines[0].substr(0, 20), "p.toml:13:9: weave: ");
  EXPECT_NE(lines[0].find("did you mean \"plain\"?"), std::string::npos);
}

TEST(PieceWeave, ComplainsOfEveryListOfADraft) {
  EXPECT_EQ(complaints(on_frame(4, kPlainRest + "threading = [1, 'b', 0]\ntie_up = [1]\n"
                                                "treadling = []\n")),
            (Lines{"p.toml:13:17: threading: the text \"b\" was read where a whole number from 1 "
                   "to 999 is wanted",
                   "p.toml:13:22: threading: the number 0 was read where a whole number from 1 to "
                   "999 is wanted",
                   "p.toml:14:11: tie_up: the number 1 was read where a list is wanted, such as "
                   "[1, 2]",
                   "p.toml:15:13: treadling: the list is empty"}));
  EXPECT_EQ(complaints(on_frame(4, kPlainRest + "threading = [1, 2]\n")),
            (Lines{"p.toml:9:1: [[band]] has no 'tie_up'; write tie_up = [[1, 2], [2, 3]] and "
                   "treadling = [1, 2]",
                   "p.toml:9:1: [[band]] has no 'treadling'; write tie_up = [[1, 2], [2, 3]] and "
                   "treadling = [1, 2]"}));
}

TEST(PieceAreas, LieSideBySide) {
  const std::string keys =
      "rows = 6\nareas = [ { yarn = 'rug-ash', ends = 8 },\n"
      "  { yarn = 'rug-rust', ends = 15, join = 'dovetailed', held = 2 },\n"
      "  { yarn = 'rug-ash', ends = 10 } ]\n";
  const std::vector<ColourArea> areas = woven_of(on_frame(33, keys)).areas;
  ASSERT_EQ(areas.size(), 3U);
  EXPECT_EQ(areas[0].join, Join::None);
  EXPECT_EQ(areas[1].join, Join::Dovetailed);
  EXPECT_EQ(areas[1].strand.held, 2);
  EXPECT_EQ(areas[2].join, Join::Slit);
  EXPECT_EQ(areas[2].ends, 10);
}

TEST(PieceAreas, TakeTheSelvedgesAtTheirEdges) {
  const auto ends_of = [](const std::string& text) {
    std::vector<int> ends;
    for (const ColourArea& area : woven_of(text).areas) ends.push_back(area.ends);
    return ends;
  };
  const std::string two = "rows = 6\nareas = [{yarn='rug-ash',ends=8},{yarn='rug-rust',ends=12}]\n";
  EXPECT_EQ(ends_of(on_frame(20, two, "true")), (std::vector<int>{9, 13}));
  EXPECT_EQ(ends_of(on_frame(18, two, "true")), (std::vector<int>{8, 12}));  // counted already
  EXPECT_EQ(ends_of(on_frame(20, "rows = 6\nareas = [{yarn='rug-ash',ends=20}]\n", "true")),
            (std::vector<int>{22}));
  EXPECT_EQ(ends_of(on_frame(20, kPlainRest, "true")), (std::vector<int>{22}));
}

TEST(PieceAreas, MustCoverTheWarp) {
  EXPECT_EQ(complaints(on_frame(33,
                                "rows = 6\nareas = [ { yarn = 'rug-ash', ends = 8 },\n"
                                "  { yarn = 'rug-rst', ends = 24, join = 'slt' } ]\n")),
            (Lines{"p.toml:12:9: areas: their ends sum to 32, but the warp has 33; "
                   "change the ends of an area or of the warp",
                   "p.toml:13:12: yarn: \"rug-rst\" is no yarn of yarns.csv; did you mean "
                   "'rug-rust'?",
                   "p.toml:13:41: join: \"slt\" is not known here; did you mean 'slit'? 'slit', "
                   "'interlocked' or 'dovetailed' is accepted"}));
  EXPECT_EQ(complaints(on_frame(33,
                                "rows = 6\nheld = 2\nareas = [ { yarn = 'rug-ash', ends = 33, "
                                "join = 'slit' } ]\n")),
            (Lines{"p.toml:12:8: held: write this in each of the areas",
                   "p.toml:13:49: join: the first area has none on its left to join; leave this "
                   "out"}));
  EXPECT_EQ(complaints(on_frame(33, "rows = 6\nareas = []\n")),
            (Lines{"p.toml:12:9: areas: no area is listed; list one or more, or write yarn in "
                   "their place"}));
  EXPECT_EQ(complaints(on_frame(33, "rows = 6\n")),
            (Lines{"p.toml:9:1: [[band]] has none of 'yarn' or 'areas'; write one of them"}));
}

// Two shapes of 24 cm2 together, as wide as high: sqrt(12 cm2) = 3.4641 cm.
TEST(PieceAreas, MayBeDrawnOnAGround) {
  const std::string keys =
      "height = '6 cm'\nareas = [ { yarn = 'rug-ash', ground = true },\n"
      "  { yarn = 'rug-rust', area = '24 cm2', shapes = 2 },\n"
      "  { yarn = 'rug-rust', area = '9 cm2', width = '2 cm' } ]\n";
  const technique::Woven woven = woven_of(on_frame(33, keys));
  ASSERT_EQ(woven.areas.size(), 3U);
  EXPECT_FALSE(woven.areas[0].drawn.has_value());
  EXPECT_EQ(woven.areas[0].ends, 0);
  EXPECT_NEAR(in_centimetres(woven.areas[1].drawn.value().width), 3.4641, 5e-5);  // as printed
  EXPECT_EQ(woven.areas[1].drawn.value().shapes, 2);
  EXPECT_DOUBLE_EQ(in_centimetres(woven.areas[2].drawn.value().width), 2.0);
}

TEST(PieceAreas, HaveOneGround) {
  EXPECT_EQ(
      complaints(on_frame(33,
                          "rows = 6\nareas = [ { yarn = 'rug-ash', ground = true, "
                          "area = '3 cm2' },\n  { yarn = 'rug-ash', ground = true },\n"
                          "  { yarn = 'rug-rust', area = '24 cm2', ends = 3 },\n"
                          "  { yarn = 'rug-rust', ends = 3 } ]\n")),
      (Lines{"p.toml:12:9: areas: 2 areas are the ground; one of them, with ground = true, "
             "lies behind the drawn shapes",
             "p.toml:12:53: area: the ground takes what the shapes leave",
             "p.toml:14:48: ends: areas of a drawing lie on the ground and have none",
             "p.toml:15:3: one of the areas has no 'area'; write area = \"24 cm2\" or the like, or "
             "ground = true",
             "p.toml:15:31: ends: areas of a drawing lie on the ground and have none"}));
}

}  // namespace
}  // namespace ellwand::studio
