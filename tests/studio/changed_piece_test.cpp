// A piece file read with some of its measures changed.

#include "ellwand/studio/changed_piece.hpp"

#include "ellwand/units/error.hpp"
#include "ellwand/units/text.hpp"
#include "support/studios.hpp"

#include <gtest/gtest.h>

#include <string>

namespace ellwand::studio {
namespace {

using decide::Knob;

const char* const kHead =
    "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"90 cm\"\npitch = \"4 mm\"\n"
    "notches = 60\n[warp]\nyarn = \"seine-12-6\"\nends = 40\n";

const char* const kAreas =
    "[[band]]\nwork = \"weave\"\nheight = \"8 cm\"\nareas = [ { yarn = \"rug-wool-ash\", ends = 10 "
    "}, { yarn = \"rug-wool-rust\", ends = 18, join = \"slit\" }, { yarn = \"rug-wool-ink\", ends "
    "= "
    "12, join = \"slit\" } ]\n";

ChangeablePiece changeable(const std::string& bands, AreaRule rule = AreaRule::Widest,
                           const std::string& head = kHead) {
  return {head + bands, "trial.toml", test::demo_studio(), test::starting_values(), rule};
}

std::vector<int> area_ends(const piece::Piece& piece) {
  std::vector<int> ends;
  for (const auto& area : std::get<technique::Woven>(piece.bands[0].work).areas) {
    ends.push_back(area.ends);
  }
  return ends;
}

TEST(ReadKnob, TakesAMeasureAndABand) {
  EXPECT_EQ(read_knob("rows of band 3"), (Knob{Knob::Of::Rows, 2}));
  EXPECT_EQ(read_knob("Rows 3"), (Knob{Knob::Of::Rows, 2}));
  EXPECT_EQ(read_knob("hang of band 1"), (Knob{Knob::Of::Hang, 0}));
  EXPECT_EQ(read_knob("repeats of band 2"), (Knob{Knob::Of::Repeats, 1}));
  EXPECT_EQ(read_knob("height of band 12"), (Knob{Knob::Of::Height, 11}));
  EXPECT_EQ(read_knob("width"), (Knob{Knob::Of::Ends, 0}));
  EXPECT_EQ(read_knob(" ends "), (Knob{Knob::Of::Ends, 0}));
  EXPECT_EQ(read_knob("size"), (Knob{Knob::Of::Size, 0}));
}

TEST(ReadKnob, RefusesWhatIsNone) {
  for (const char* text : {"", "rows", "rows of band", "rows of band 0", "rows of band 1.5",
                           "rows of band -1", "size of band 2", "rows of band 3 or 4", "colour"}) {
    EXPECT_THROW(read_knob(text), UnreadableText) << text;
  }
}

TEST(ChangeablePiece, StatesRowsInPlaceOfAHeight) {
  const ChangeablePiece piece = changeable(kAreas);
  const piece::Piece changed = piece.with({{{Knob::Of::Rows, 0}, 50.0}});
  const auto& extent = std::get<technique::Woven>(changed.bands[0].work).extent;
  EXPECT_EQ(extent.by, technique::Extent::By::Rows);
  EXPECT_EQ(extent.count, 50);
  EXPECT_EQ(piece.as_stated().bands.size(), changed.bands.size());
  EXPECT_NEAR(piece.value({Knob::Of::Height, 0}, test::demo_workshop()), 0.08, 1e-12);
}

TEST(ChangeablePiece, TheWidestAreaTakesTheEnds) {
  const ChangeablePiece piece = changeable(kAreas);
  EXPECT_EQ(area_ends(piece.with({{{Knob::Of::Ends, 0}, 47.0}})), (std::vector<int>{10, 25, 12}));
  EXPECT_EQ(area_ends(piece.with({{{Knob::Of::Ends, 0}, 35.0}})), (std::vector<int>{10, 13, 12}));
}

TEST(ChangeablePiece, OrEachAreaTakesItsShareOfThem) {
  // 40 to 60 ends: the edges at 10, 28 and 40 go to 15, 42 and 60. To 37: 9.25, 25.9 and 37.
  const ChangeablePiece piece = changeable(kAreas, AreaRule::InProportion);
  EXPECT_EQ(area_ends(piece.with({{{Knob::Of::Ends, 0}, 60.0}})), (std::vector<int>{15, 27, 18}));
  EXPECT_EQ(area_ends(piece.with({{{Knob::Of::Ends, 0}, 37.0}})), (std::vector<int>{9, 17, 11}));
}

TEST(ChangeablePiece, MoreEndsThanNotchesAreBeyondTheLoom) {
  const ChangeablePiece piece = changeable(kAreas);
  EXPECT_NO_THROW(piece.with({{{Knob::Of::Ends, 0}, 60.0}}));
  EXPECT_THROW(piece.with({{{Knob::Of::Ends, 0}, 61.0}}), decide::BeyondLoom);
}

TEST(ChangeablePiece, AGridThatDoesNotDivideIsRefusedButNotForTheLoom) {
  const ChangeablePiece piece = changeable(
      "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\ngrid = [\"o2 u2\", \"u2 o2\"]\n"
      "beat_ratio = 1.0\nrepeats = 4\n");
  EXPECT_NO_THROW(piece.with({{{Knob::Of::Ends, 0}, 44.0}}));
  try {
    piece.with({{{Knob::Of::Ends, 0}, 45.0}});
    FAIL() << "45 ends do not divide by 4";
  } catch (const decide::BeyondLoom&) {
    FAIL() << "the loom has 60 notches";
  } catch (const BadInput& bad) {
    EXPECT_NE(std::string(bad.what()).find("leaves 1"), std::string::npos);
  }
}

TEST(ChangeablePiece, AWidthKeepsItsSett) {
  // 30 cm in 150 ends is 5 to the centimetre; 100 ends then are 20 cm.
  const std::string head =
      "[piece]\nname = \"Trial\"\n[loom]\nkind = \"beam\"\n[warp]\nyarn = \"worsted-moss\"\n"
      "width = \"30 cm\"\nends = 150\nfloating_selvedges = true\n";
  const ChangeablePiece piece =
      changeable("[[band]]\nwork = \"weave\"\nyarn = \"cotton-slub\"\nheight = \"20 cm\"\n",
                 AreaRule::Widest, head);
  EXPECT_EQ(piece.value({Knob::Of::Ends, 0}, test::demo_workshop()), 150.0);
  const piece::Piece changed = piece.with({{{Knob::Of::Ends, 0}, 100.0}});
  EXPECT_EQ(changed.warp.ends, 102);
  EXPECT_NEAR(in_per_cm(*changed.warp.sett), 5.0, 1e-9);
}

TEST(ChangeablePiece, AWrappingOfEveryEndStaysOne) {
  const ChangeablePiece piece = changeable(
      "[[band]]\nwork = \"wrapping\"\nyarn = \"linen-fringe\"\nends = 4\nplaces = 10\nturns = 9\n"
      "[[band]]\nwork = \"wrapping\"\nyarn = \"linen-fringe\"\nends = 4\nplaces = 3\nturns = 9\n"
      "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = 20\n");
  const piece::Piece changed = piece.with({{{Knob::Of::Ends, 0}, 30.0}});
  EXPECT_EQ(std::get<technique::Wrapping>(changed.bands[0].work).places, 7);
  EXPECT_EQ(std::get<technique::Wrapping>(changed.bands[1].work).places, 3);
}

TEST(ChangeablePiece, SizeTakesAllInProportion) {
  const ChangeablePiece piece = changeable(
      "[[band]]\nwork = \"knotted fringe\"\nyarn = \"linen-fringe\"\nhang = \"14 cm\"\n"
      "[[band]]\nwork = \"weave\"\nheight = \"5 cm\"\nareas = [ { yarn = \"silk-straw\", area = "
      "\"12 "
      "cm2\", shapes = 3, width = \"2 cm\" }, { yarn = \"rug-wool-ash\", ground = true } ]\n"
      "[[band]]\nwork = \"looped pile\"\nyarn = \"rug-wool-ash\"\nover = 3\nrows = 5\n"
      "loop_height = \"15 mm\"\n[finish]\nrod = { diameter = \"10 mm\", length = \"20 cm\" }\n");
  const piece::Piece changed = piece.with({{{Knob::Of::Size, 0}, 1.5}});
  EXPECT_EQ(changed.warp.ends, 60);
  EXPECT_NEAR(in_centimetres(std::get<technique::KnottedFringe>(changed.bands[0].work).hang), 21.0,
              1e-9);
  const auto& woven = std::get<technique::Woven>(changed.bands[1].work);
  EXPECT_NEAR(in_centimetres(woven.extent.height), 7.5, 1e-9);
  EXPECT_NEAR(in_square_centimetres(woven.areas[0].drawn->area), 27.0, 1e-9);
  EXPECT_NEAR(in_centimetres(woven.areas[0].drawn->width), 3.0, 1e-9);
  const auto& pile = std::get<technique::LoopedPile>(changed.bands[2].work);
  EXPECT_EQ(pile.rows, 8);  // 7.5, halves away from nothing
  EXPECT_NEAR(in_centimetres(pile.loop_height), 1.5, 1e-9);
  EXPECT_NEAR(in_centimetres(*changed.finish.rod_length), 30.0, 1e-9);
  EXPECT_NEAR(in_centimetres(*changed.finish.rod), 1.0, 1e-9);
}

TEST(ChangeablePiece, SaysWhatOfABandCanBeChanged) {
  const ChangeablePiece piece = changeable(kAreas);
  try {
    piece.value({Knob::Of::Hang, 0}, test::demo_workshop());
    FAIL() << "a woven band does not hang";
  } catch (const OutOfRange& refusal) {
    EXPECT_STREQ(refusal.what(),
                 "hang of band 1: that band is weave, and no hang of it can be changed, only rows, "
                 "repeats and height");
  }
  EXPECT_THROW(piece.value({Knob::Of::Rows, 1}, test::demo_workshop()), OutOfRange);
}

}  // namespace
}  // namespace ellwand::studio
