// The drawing, its geometry by hand.

#include "ellwand/studio/drawing.hpp"

#include "ellwand/studio/drawing_layout.hpp"
#include "ellwand/studio/drawing_marks.hpp"
#include "ellwand/studio/markup.hpp"
#include "ellwand/studio/yarn_fills.hpp"
#include "support/markup.hpp"
#include "support/studios.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>
#include <set>
#include <string>
#include <vector>

namespace ellwand::studio {
namespace {

using testing::HasSubstr;
using testing::Not;

// A coordinate is written to 0.01 mm; nobody reads a drawing to 0.1.
constexpr double kDrawn_mm = 0.1;

/// Yarns of a measured thickness: the warp 1.0 mm, a weft of 1.6 mm, a fringe of 1.2 mm.
const estimate::YarnTable& measured_yarns() {
  static const estimate::YarnTable kYarns = [] {
    estimate::YarnTable yarns = test::demo_studio().yarns;
    yarns.at("worsted-moss").measured_diameter = millimetres(1.6);
    yarns.at("linen-fringe").measured_diameter = millimetres(1.2);
    return yarns;
  }();
  return kYarns;
}

/// 33 ends 4 mm apart.
const std::string kHead =
    "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"60 cm\"\npitch = \"4 mm\"\n"
    "[warp]\nyarn = \"seine-12-6\"\nends = 33\n";

std::string weave(int rows, const std::string& yarns) {
  return "[[band]]\nwork = \"weave\"\npicks = \"5 /cm\"\nrows = " + std::to_string(rows) + "\n" +
         yarns;
}

struct Estimated {
  estimate::PieceModel model;
  estimate::PieceEstimate estimate;
};

Estimated estimated(const std::string& text) {
  const estimate::Workshop workshop{measured_yarns(), test::starting_values(), {}};
  estimate::PieceModel model(test::read_demo_piece(text), workshop);
  estimate::PieceEstimate estimate = estimate::estimate(model, {}, {});
  return {std::move(model), std::move(estimate)};
}

Drawing drawn(const std::string& text, const DrawingOptions& options = {}) {
  const Estimated piece = estimated(text);
  return piece_drawing(piece.model, piece.estimate, options);
}

struct Rect {
  std::string kind;
  int band;
  double x, y, width, height;
};

std::vector<Rect> rects(const std::string& svg) {
  static const std::regex kRect(
      "<rect class=\"(\\w+)\" data-band=\"(\\d+)\" x=\"([-.\\d]+)\" y=\"([-.\\d]+)\" "
      "width=\"([-.\\d]+)\" height=\"([-.\\d]+)\"");
  std::vector<Rect> found;
  for (std::sregex_iterator it(svg.begin(), svg.end(), kRect), end; it != end; ++it) {
    const auto number = [&](int group) { return std::stod((*it)[group].str()); };
    found.push_back(
        {(*it)[1].str(), std::stoi((*it)[2].str()), number(3), number(4), number(5), number(6)});
  }
  return found;
}

void expect_rect(const Rect& rect, int band, double x, double y, double width, double height) {
  EXPECT_EQ(rect.band, band);
  EXPECT_NEAR(rect.x, x, kDrawn_mm);
  EXPECT_NEAR(rect.y, y, kDrawn_mm);
  EXPECT_NEAR(rect.width, width, kDrawn_mm);
  EXPECT_NEAR(rect.height, height, kDrawn_mm);
}

TEST(Drawing, StandsBandOnBandToScale) {
  // 5 picks a cm: 20 rows are 40 mm, 15 rows 30 mm. 32 spaces of 4 mm, an end of 1.0 and a weft of
  // 1.6 round each edge: 128 + 1.0 + 3.2 = 132.2 mm wide. The first pick lies at y = 0.
  const Drawing drawing = drawn(kHead + weave(20, "yarn = \"worsted-moss\"\n") +
                                weave(15, "yarn = \"worsted-moss\"\n"));
  const std::vector<Rect> all = rects(drawing.svg);
  ASSERT_EQ(all.size(), 2U);
  expect_rect(all[0], 1, 0.0, -40.0, 132.2, 40.0);
  expect_rect(all[1], 2, 0.0, -70.0, 132.2, 30.0);
  EXPECT_THAT(drawing.svg, HasSubstr(">7.0 cm high</text>"));
  EXPECT_THAT(drawing.svg, HasSubstr(">13.2 cm wide</text>"));
  EXPECT_THAT(drawing.svg, HasSubstr(">1 weave, 20 rows, 4.0 cm</text>"));
}

TEST(Drawing, AreasEndHalfwayBetweenTheirEnds) {
  // The first end stands 2.1 mm in, the 12th at 2.1 + 11 x 4 = 46.1, the 13th at 50.1: they part at
  // 48.1.
  const Drawing drawing =
      drawn(kHead + weave(20,
                          "areas = [{ yarn = \"worsted-moss\", ends = 12 }, { yarn = "
                          "\"rug-wool-rust\", ends = 21, join = \"slit\" }]\n"));
  const Estimated piece = estimated(kHead + weave(20, "yarn = \"worsted-moss\"\n"));
  const std::vector<Rect> all = rects(drawing.svg);
  ASSERT_EQ(all.size(), 2U);
  EXPECT_NEAR(all[0].x + all[0].width, all[1].x, kDrawn_mm);
  // The second weft is another, so the cloth is as wide as the thicker of the two makes it.
  const double wider = all[1].x + all[1].width - 132.2;
  EXPECT_NEAR(all[1].x, 48.1 + 0.5 * wider, kDrawn_mm);
  EXPECT_THAT(drawing.svg, HasSubstr("worsted-moss, rug-wool-rust; left to right"));
}

TEST(Drawing, FringeHangsToItsLength) {
  // One row of knots below 40 mm of cloth, each in the middle of its row, 140 mm long from there.
  const std::string text = kHead +
                           "[[band]]\nwork = \"knotted fringe\"\nyarn = \"linen-fringe\"\nheld = "
                           "3\nhang = \"14 cm\"\n" +
                           weave(20, "yarn = \"worsted-moss\"\n");
  const Estimated piece = estimated(text);
  const DrawingLayout layout = layout_of(piece.model, piece.estimate);
  const double row_mm = in_millimetres(piece.model.band_heights()[0]);
  EXPECT_NEAR(layout.lowest_mm(), 0.5 * row_mm - 140.0, 1e-9);  // rounding
  ASSERT_TRUE(layout.bands[0].strands.has_value());
  // 33 ends: 16 knots, the first on the ends at 2.1 and 6.1 mm, the last on three, at 122.1 to
  // 130.1.
  const std::vector<double>& knots = layout.bands[0].strands->knots_mm;
  ASSERT_EQ(knots.size(), 16U);
  EXPECT_NEAR(knots.front(), 4.1, 1e-9);
  EXPECT_NEAR(knots.back(), 126.1, 1e-9);
  const std::string svg = piece_drawing(piece.model, piece.estimate).svg;
  std::smatch strand;
  ASSERT_TRUE(std::regex_search(
      svg, strand,
      std::regex(
          "class=\"strands\" data-band=\"1\" d=\"M[-.\\d]+ ([-.\\d]+)h[-.\\d]+v([-.\\d]+)")));
  EXPECT_NEAR(std::stod(strand[1].str()), -0.5 * row_mm, kDrawn_mm);
  EXPECT_NEAR(std::stod(strand[2].str()), 140.0, kDrawn_mm);
}

TEST(Drawing, DrawnShapesKeepTheirArea) {
  // 12 cm2 in 3 shapes of 2 cm mean width: each 400 mm2, 20 mm by 20.
  const std::string svg =
      drawn(kHead +
            weave(20,
                  "areas = [{ yarn = \"rug-wool-rust\", area = \"12 cm2\", shapes = 3, width "
                  "= \"2 cm\" }, { yarn = \"worsted-moss\", ground = true }]\n"))
          .svg;
  std::vector<Rect> shapes;
  for (const Rect& rect : rects(svg)) {
    if (rect.kind == "shape") shapes.push_back(rect);
  }
  ASSERT_EQ(shapes.size(), 3U);
  for (const Rect& shape : shapes) {
    EXPECT_NEAR(shape.width, 20.0, kDrawn_mm);
    EXPECT_NEAR(shape.height, 20.0, kDrawn_mm);
    EXPECT_NEAR(shape.y, -30.0, kDrawn_mm);  // in the middle of 40 mm
  }
  EXPECT_THAT(svg, HasSubstr("places of the shapes not stated"));
}

TEST(Drawing, ShapesWithoutRoomBecomeAStripeOfTheSameArea) {
  // 48 cm2 in two shapes 10 cm wide do not stand side by side on 132 mm: narrower ones, 59.5 mm,
  // would be 40.3 mm high in a band of 40, so it is one stripe of 132.2 by 36.3 mm.
  const std::string text = kHead + weave(20,
                                         "areas = [{ yarn = \"rug-wool-rust\", area = \"48 cm2\", "
                                         "shapes = 2, width = \"10 cm\" }, { "
                                         "yarn = \"worsted-moss\", ground = true }]\n");
  int stripes = 0;
  for (const Rect& rect : rects(drawn(text).svg)) {
    if (rect.kind != "shape") continue;
    ++stripes;
    EXPECT_NEAR(rect.width * rect.height, 4800.0, 2.0);  // 0.01 mm a side
  }
  EXPECT_EQ(stripes, 1);
}

TEST(Drawing, AGapIsBareWarpAndWhatComesOutIsDashed) {
  const std::string svg =
      drawn(kHead +
            "[[band]]\nwork = \"weave\"\nyarn = \"worsted-moss\"\nrows = 8\npicks = \"5 "
            "/cm\"\ncomes_out = true\n" +
            weave(20, "yarn = \"worsted-moss\"\n") +
            "[[band]]\nwork = \"gap\"\nheight = \"2 cm\"\n" +
            weave(10, "yarn = \"worsted-moss\"\n"))
          .svg;
  const std::vector<Rect> all = rects(svg);
  ASSERT_EQ(all.size(), 3U);  // nothing for the gap
  EXPECT_EQ(all[0].kind, "out");
  expect_rect(all[0], 1, 0.0, -16.0, 132.2, 16.0);
  expect_rect(all[1], 2, 0.0, -56.0, 132.2, 40.0);
  expect_rect(all[2], 4, 0.0, -96.0, 132.2, 20.0);
  // What comes out is in no measure: 40 + 20 + 20.
  EXPECT_THAT(svg, HasSubstr(">8.0 cm high</text>"));
  EXPECT_THAT(svg, HasSubstr("comes out again"));
  EXPECT_THAT(svg, HasSubstr(">bare warp</text>"));
}

TEST(Drawing, IsInTheUnitsOfTheStudio) {
  DrawingOptions options;
  options.shown = LengthShown::Inches;
  const std::string svg = drawn(kHead + weave(20, "yarn = \"worsted-moss\"\n"), options).svg;
  EXPECT_THAT(svg, HasSubstr(">5.2 in wide</text>"));  // 132.2 / 25.4 = 5.205
  EXPECT_THAT(svg, Not(HasSubstr(" cm")));
}

TEST(Drawing, KeepsToItsPaperAtARoundScale) {
  const std::string text = kHead + weave(20, "yarn = \"worsted-moss\"\n");
  DrawingOptions options;
  const std::set<double> round = {1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0, 6.0, 7.0, 8.0, 9.0};
  for (const double wide : {186.0, 160.0, 130.0, 110.0}) {
    options.most_width = millimetres(wide);
    const Drawing drawing = drawn(text, options);
    EXPECT_LE(in_millimetres(drawing.width), wide + 0.01);  // as written
    EXPECT_EQ(round.count(drawing.times_smaller), 1U) << drawing.times_smaller;
    std::smatch box;
    ASSERT_TRUE(std::regex_search(
        drawing.svg, box, std::regex("width=\"([.\\d]+)mm\".*viewBox=\"\\S+ \\S+ (\\S+) ")));
    EXPECT_NEAR(std::stod(box[2].str()) / std::stod(box[1].str()), drawing.times_smaller, 0.01);
  }
}

TEST(Drawing, OfEveryKindIsWellFormedAndToldInWords) {
  std::vector<test::NamedPiece> pieces = test::pieces_of_every_kind();
  for (const char* name : {"tideline", "undertow", "wrackline"}) {
    pieces.push_back({name, test::demo_piece(name)});
  }
  for (const auto& [name, piece] : pieces) {
    const estimate::PieceModel model(piece, test::demo_workshop());
    const std::string svg = piece_drawing(model, estimate::estimate(model, {}, {})).svg;
    EXPECT_EQ(test::fault_in_markup(svg), "") << name;
    EXPECT_THAT(svg, HasSubstr("role=\"img\" aria-labelledby=\"piece-title piece-told\"")) << name;
    EXPECT_THAT(svg, HasSubstr("<title id=\"piece-title\">")) << name;
    EXPECT_THAT(svg, HasSubstr("<desc id=\"piece-told\">")) << name;
    for (const char* never : {"nan", "inf", "<script", "href", "http://www.w3.org/1999"}) {
      EXPECT_THAT(svg, Not(HasSubstr(never))) << name;
    }
    for (std::size_t band = 1; band <= piece.bands.size(); ++band) {
      EXPECT_THAT(svg, HasSubstr(">" + std::to_string(band) + " ")) << name;
    }
  }
}

TEST(Drawing, TellsYarnsApartWithoutTheirColours) {
  std::vector<const yarn::Yarn*> yarns(kFillPatterns, &measured_yarns().at("worsted-moss"));
  std::set<std::string> patterns;
  for (const YarnFill& fill : fills_of(yarns))
    patterns.insert(pattern_lines(fill, {0.0, 0.0, 10.0, 10.0}, 1.0));
  EXPECT_EQ(patterns.size(), static_cast<std::size_t>(kFillPatterns));
}

TEST(Drawing, LinesStandOutFromEveryColourOfTheList) {
  for (const std::string& word : yarn::colour_words()) {
    const yarn::Colour base = *yarn::find_colour(word);
    // They are a second sign beside the colour, so that less than the 3 of a sign alone will do;
    // at 1.8 a printed line is seen without looking for it (our own eyes).
    EXPECT_GE(yarn::contrast(base, mark_on(base)), 1.8) << word;
  }
}

TEST(Drawing, AYarnWithoutAColourIsGrey) {
  yarn::Yarn plain;
  for (const YarnFill& fill : fills_of({&plain, &plain, &plain})) {
    EXPECT_NEAR(fill.base.red, fill.base.blue, 2);  // a hair warm
    EXPECT_NEAR(fill.base.red, fill.base.green, 2);
  }
}

TEST(MovedApart, LeavesWhatHasRoomAndSharesTheWayOtherwise) {
  EXPECT_EQ(moved_apart({0.0, 10.0}, {4.0, 4.0}), (std::vector<double>{0.0, 10.0}));
  // Two wanted at 5, each 4 high: 2 to either side. A third at 20 has room.
  EXPECT_EQ(moved_apart({5.0, 5.0, 20.0}, {4.0, 4.0, 4.0}), (std::vector<double>{3.0, 7.0, 20.0}));
  // Heights 4, 2 and 4 at 0, 0 and 9: centres 3 apart, the first two at -1.5 and 1.5.
  EXPECT_EQ(moved_apart({0.0, 0.0, 9.0}, {4.0, 2.0, 4.0}), (std::vector<double>{-1.5, 1.5, 9.0}));
}

TEST(Markup, EscapesWhatIsNoText) {
  EXPECT_EQ(escaped("<script>alert(\"1\" & '2')</script>\x01\n"),
            "&lt;script&gt;alert(&quot;1&quot; &amp; &#39;2&#39;)&lt;/script&gt;  ");
  EXPECT_EQ(short_number(12.50), "12.5");
  EXPECT_EQ(short_number(100.0, 0), "100");
  EXPECT_EQ(short_number(-0.001), "0");
  EXPECT_EQ(short_number(-3.0), "-3");
}

TEST(Markup, ItsReaderFindsFaults) {
  EXPECT_EQ(test::fault_in_markup("<p id=\"a\">x &amp; y<br></p>"), "");
  for (const char* bad : {"<p>", "</p>", "<b><i></b></i>", "<p>a & b</p>", "<p>a > b</p>",
                          "<p id=\"a\"></p><p id=\"a\"></p>", "<p title=\"<\"></p>", "<p"}) {
    EXPECT_NE(test::fault_in_markup(bad), "") << bad;
  }
}

}  // namespace
}  // namespace ellwand::studio
