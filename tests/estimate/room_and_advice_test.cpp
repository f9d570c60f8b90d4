// Room on the warp, put-ups, cuts and what she is told to look out for, by hand.

#include <gtest/gtest.h>

#include <algorithm>

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

/// The demo's yarns with a weft of a measured 1.6 mm.
YarnTable yarns_with_thick_moss() {
  YarnTable yarns = test::demo_studio().yarns;
  yarns.at("worsted-moss").measured_diameter = millimetres(1.6);
  return yarns;
}

PieceEstimate estimated(const std::string& text, const Shelf& shelf = {}) {
  const YarnTable yarns = yarns_with_thick_moss();
  return estimate(test::read_demo_piece(text), {yarns, test::starting_values(), {}}, shelf, {});
}

bool has_warning(const PieceEstimate& estimate, const std::string& code) {
  return std::any_of(estimate.warnings.begin(), estimate.warnings.end(),
                     [&](const Warning& warning) { return warning.code == code; });
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
    EXPECT_NE(told.find("17 mm too long"), std::string::npos) << told;
  }
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

TEST(Warnings, ComeWhenTheyAreDueAndNotOtherwise) {
  const PieceEstimate plain = estimated(budget_piece(kBand + "rows = 9\n"));
  EXPECT_TRUE(plain.warnings.empty());
  const PieceEstimate hidden = estimated(budget_piece(kBand + "weave = \"2/2 twill\"\nrows = 9\n"));
  EXPECT_TRUE(has_warning(hidden, "weave_hidden"));
  const PieceEstimate shown =
      estimated(budget_piece(kBand + "weave = \"2/2 twill\"\nbeat = \"balanced\"\nrows = 9\n"));
  EXPECT_FALSE(has_warning(shown, "weave_hidden"));
  const PieceEstimate roving =
      estimated(budget_piece("[[band]]\nwork = \"weave\"\nyarn = \"fleece-sliver\"\nrows = 3\n"));
  EXPECT_TRUE(has_warning(roving, "weft_flattened"));
}

TEST(Warnings, TellWhenOnlySeveralLotsTogetherAreEnough) {
  const std::string piece = budget_piece(kBand + "rows = 60\n");
  const double need_g = estimated(piece).yarns[1].set_aside_g;
  const Shelf two = {{"worsted-moss", {grams(1.5 * need_g), grams(0.75 * need_g), 2}}};
  const Shelf one = {{"worsted-moss", {grams(1.5 * need_g), grams(1.2 * need_g), 2}}};
  EXPECT_TRUE(has_warning(estimated(piece, two), "lots_mixed"));
  EXPECT_FALSE(has_warning(estimated(piece, one), "lots_mixed"));
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
  EXPECT_FALSE(has(hung, "small children"));
  const PieceEstimate fringed =
      estimate(test::demo_piece("saltmarsh"), test::demo_workshop(), {}, {});
  EXPECT_TRUE(has(fringed, "small children"));
}

}  // namespace
}  // namespace ellwand::estimate
