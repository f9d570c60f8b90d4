#include "ellwand/studio/edit_document.hpp"

#include "ellwand/studio/document.hpp"
#include "ellwand/units/error.hpp"

#include <gtest/gtest.h>

#include <initializer_list>
#include <string>
#include <utility>

namespace ellwand::studio {
namespace {

const std::string kPiece =
    "# a remark\n"
    "[piece]\n"
    "name = \"S\xC3\xA4ume\"   # with a remark\n"
    "colour_of_mood = \"grey\"\n"
    "\n"
    "[warp]\n"
    "ends = 33\n"
    "\n"
    "[[band]]\n"
    "work = \"weave\"  # the ground\n"
    "rows = 24\n"
    "\n"
    "[[band]]\n"
    "work = \"weave\"\n"
    "areas = [\n"
    "  { yarn = \"a\", ends = 8 },\n"
    "  { yarn = \"b\", ends = 25 },\n"
    "]\n"
    "\n"
    "[finish]\n"
    "rod = { diameter = \"10 mm\" }\n";

/// kPiece with each of the first texts, of which there is one, replaced by its second.
std::string piece_with(std::initializer_list<std::pair<const char*, const char*>> replaced) {
  std::string text = kPiece;
  for (const auto& [from, to] : replaced) {
    const std::size_t at = text.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    text.replace(at, std::string(from).size(), to);
  }
  return text;
}

TEST(EditDocument, WritesAValueAndLeavesTheRest) {
  EXPECT_EQ(with_value(kPiece, "p.toml", {"piece", "name"}, "\"Saum\""),
            piece_with({{"\"S\xC3\xA4ume\"", "\"Saum\""}}));
  EXPECT_EQ(with_value(kPiece, "p.toml", {"band", std::size_t{0}, "rows"}, "30"),
            piece_with({{"rows = 24", "rows = 30"}}));
  EXPECT_EQ(
      with_value(kPiece, "p.toml", {"band", std::size_t{1}, "areas", std::size_t{1}, "ends"}, "26"),
      piece_with({{"ends = 25", "ends = 26"}}));
  EXPECT_EQ(
      with_value(kPiece, "p.toml", {"band", std::size_t{1}, "areas"}, "[ ]"),
      piece_with({{"[\n  { yarn = \"a\", ends = 8 },\n  { yarn = \"b\", ends = 25 },\n]", "[ ]"}}));
}

TEST(EditDocument, AddsAValueToItsTable) {
  EXPECT_EQ(with_value(kPiece, "p.toml", {"warp", "yarn"}, "\"seine\""),
            piece_with({{"ends = 33\n", "ends = 33\nyarn = \"seine\"\n"}}));
  EXPECT_EQ(with_value(kPiece, "p.toml", {"band", std::size_t{0}, "held"}, "2"),
            piece_with({{"rows = 24\n", "rows = 24\nheld = 2\n"}}));
  EXPECT_EQ(with_value(kPiece, "p.toml", {"band", std::size_t{1}, "height"}, "\"8 cm\""),
            piece_with({{"]\n\n[finish]", "]\nheight = \"8 cm\"\n\n[finish]"}}));
  EXPECT_EQ(with_value(kPiece, "p.toml", {"finish", "rod", "loops"}, "12"),
            piece_with({{"\"10 mm\" }", "\"10 mm\", loops = 12 }"}}));
  EXPECT_EQ(with_value(kPiece, "p.toml", {"finish", "cord", "rise"}, "\"9 cm\""),
            kPiece + "cord = { rise = \"9 cm\" }\n");
  EXPECT_EQ(with_value(kPiece, "p.toml", {"habits", "tail"}, "\"8 cm\""),
            kPiece + "\n[habits]\ntail = \"8 cm\"\n");
}

TEST(EditDocument, MakesATableAboveWhatWasMeasured) {
  const std::string measured = "[[measured]]\nused_g = 12\n";
  EXPECT_EQ(with_value("[piece]\nname = \"A\"\n\n" + measured, "p.toml", {"loom", "use"}, "\"b\""),
            "[piece]\nname = \"A\"\n\n[loom]\nuse = \"b\"\n\n" + measured);
}

TEST(EditDocument, TakesAValueOut) {
  EXPECT_EQ(without_value(kPiece, "p.toml", {"piece", "colour_of_mood"}),
            piece_with({{"colour_of_mood = \"grey\"\n", ""}}));
  EXPECT_EQ(without_value(kPiece, "p.toml", {"band", std::size_t{1}, "areas"}),
            piece_with({{"areas = [\n  { yarn = \"a\", ends = 8 },\n  { yarn = \"b\", ends = 25 "
                         "},\n]\n",
                         ""}}));
  EXPECT_EQ(
      without_value(kPiece, "p.toml", {"band", std::size_t{1}, "areas", std::size_t{0}, "yarn"}),
      piece_with({{"{ yarn = \"a\", ends = 8 }", "{ ends = 8 }"}}));
  EXPECT_EQ(
      without_value(kPiece, "p.toml", {"band", std::size_t{1}, "areas", std::size_t{0}, "ends"}),
      piece_with({{"{ yarn = \"a\", ends = 8 }", "{ yarn = \"a\" }"}}));
  EXPECT_EQ(without_value(kPiece, "p.toml", {"warp", "sett"}), kPiece);
}

TEST(EditDocument, PutsInMovesAndTakesOutBands) {
  const std::string gap = "[[band]]\nwork = \"gap\"\n";
  const std::string first = "[[band]]\nwork = \"weave\"  # the ground\nrows = 24\n\n";
  EXPECT_EQ(block_at(kPiece, "p.toml", "band", 0), first);
  EXPECT_EQ(without_block(kPiece, "p.toml", "band", 0), piece_with({{first.c_str(), ""}}));
  EXPECT_EQ(with_block(kPiece, "p.toml", "band", 0, gap),
            piece_with({{first.c_str(), (gap + "\n" + first).c_str()}}));
  EXPECT_EQ(with_block(kPiece, "p.toml", "band", 2, gap),
            piece_with({{"[finish]", (gap + "\n[finish]").c_str()}}));
  const std::string moved =
      with_block(without_block(kPiece, "p.toml", "band", 0), "p.toml", "band", 1, first);
  EXPECT_EQ(moved, piece_with({{first.c_str(), ""}, {"[finish]", (first + "[finish]").c_str()}}));
  EXPECT_EQ(with_block("[piece]\nname = \"A\"\n", "p.toml", "band", 0, gap),
            "[piece]\nname = \"A\"\n\n" + gap);
}

TEST(EditDocument, KeepsTheLineEndingsOfTheFile) {
  EXPECT_EQ(with_value("[warp]\r\nends = 3\r\n", "p.toml", {"warp", "held"}, "2"),
            "[warp]\r\nends = 3\r\nheld = 2\r\n");
  EXPECT_EQ(with_value("\xEF\xBB\xBF[warp]\nends = 3", "p.toml", {"warp", "ends"}, "4"),
            "\xEF\xBB\xBF[warp]\nends = 4");
  EXPECT_EQ(with_value("[warp]\nends = 3", "p.toml", {"warp", "held"}, "4"),
            "[warp]\nends = 3\nheld = 4\n");
}

TEST(EditDocument, RefusesWhatWouldNotBeOneValue) {
  EXPECT_THROW(with_value(kPiece, "p.toml", {"warp", "ends"}, "3\nheld = 2"), BadInput);
  EXPECT_THROW(with_value(kPiece, "p.toml", {"warp", "ends"}, "\"unclosed"), BadInput);
  EXPECT_THROW(with_value(kPiece, "p.toml", {"warp", "ends", "more"}, "3"), BadInput);
  EXPECT_THROW(with_value(kPiece, "p.toml", {"band", std::size_t{2}, "rows"}, "3"), BadInput);
  EXPECT_THROW(with_block(kPiece, "p.toml", "band", 3, "[[band]]\nrows = 1\n"), BadInput);
  EXPECT_THROW(with_block(kPiece, "p.toml", "band", 0, "[warp]\nends = 4\n"), BadInput);
  EXPECT_THROW(without_block(kPiece, "p.toml", "band", 2), BadInput);
}

}  // namespace
}  // namespace ellwand::studio
