// What she adds to a piece beyond what it takes, by hand.

#include <gtest/gtest.h>

#include <list>
#include <string>

#include "ellwand/estimate/estimate.hpp"
#include "support/studios.hpp"

namespace ellwand::estimate {
namespace {

using technique::Cause;

/// The demo's yarns, the weft measured 1.6 mm thick, the warp with a knot in 50 m if asked.
PieceModel model_of(const std::string& text, double warp_knots_per_metre = 0.0) {
  YarnTable yarns = test::demo_studio().yarns;
  yarns.at("worsted-moss").measured_diameter = millimetres(1.6);
  yarns.at("seine-12-6").knots_per_metre = warp_knots_per_metre;
  yarns.at("cotton-8-2").knots_per_metre = warp_knots_per_metre;
  static std::list<YarnTable> kept;
  kept.push_back(yarns);
  return PieceModel(test::read_demo_piece(text), {kept.back(), test::starting_values(), {}});
}

std::string notched(const std::string& habits) {
  return "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"60 cm\"\npitch = \"4 "
         "mm\"\n[warp]\nyarn = \"seine-12-6\"\nends = 33\ntie = \"10 cm\"\nstretch = \"2 %\"\n"
         "[habits]\ntail = \"10 cm\"\nworking_length = \"2 m\"\nwaste = \"0 %\"\nwaste_per_colour "
         "= \"0 m\"\n" +
         habits +
         "[[band]]\nwork = \"weave\"\nyarn = \"worsted-moss\"\nbeat_ratio = 0.65\nrows = 60\n";
}

/// A cause of the waste and allowances of one yarn, m.
double allowed(const PieceModel& model, const std::string& yarn, Cause cause) {
  double sum = 0.0;
  for (const LedgerLine& line : model.plan()) {
    if (line.band == 0 && line.portion == technique::Portion::Allowance && line.cause == cause &&
        model.yarns()[line.yarn]->id == yarn) {
      sum += in_metres(line.length);
    }
  }
  return sum;
}

TEST(Allowances, AreNothingUnlessStated) {
  const PieceModel model = model_of(notched(""));
  for (const LedgerLine& line : model.plan()) {
    EXPECT_NE(line.portion, technique::Portion::Allowance);
  }
}

TEST(Allowances, SpareEndsHaveATieAtEitherEnd) {
  // 600 / 1.02 + 2 x 100 = 788.2353 mm each.
  const PieceModel model = model_of(notched("spare_warp_ends = 2\n"));
  EXPECT_NEAR(allowed(model, "seine-12-6", Cause::SpareEnds), 1.5764706, 1e-6);
}

TEST(Allowances, ABrokenEndTakesItsRepairLengthOrAWholeEnd) {
  EXPECT_NEAR(allowed(model_of(notched("broken_ends = 3\nrepair_length = \"50 cm\"\n")),
                      "seine-12-6", Cause::BrokenEnds),
              1.5, 1e-9);
  EXPECT_NEAR(allowed(model_of(notched("broken_ends = 1\n")), "seine-12-6", Cause::BrokenEnds),
              0.7882353, 1e-6);
}

TEST(Allowances, UnpickedSpunYarnLosesItsTailsAndRovingAll) {
  // 60 rows: 10.1025 m laid in six lengths with tails of 0.2 m: of a tenth unpicked 0.12 m is lost.
  EXPECT_NEAR(
      allowed(model_of(notched("unpicking = \"10 %\"\n")), "worsted-moss", Cause::Unpicking), 0.12,
      1e-9);
  std::string roving = notched("unpicking = \"10 %\"\n");
  roving.replace(roving.find("yarn = \"worsted-moss\"\nbeat_ratio = 0.65"), 38,
                 "yarn = \"fleece-sliver\"\nsplit_into = 3");
  const PieceModel model = model_of(roving);
  double laid = 0.0;
  for (const LedgerLine& line : model.plan()) {
    if (line.band == 1) laid += in_metres(line.length);
  }
  EXPECT_NEAR(allowed(model, "fleece-sliver", Cause::Unpicking), 0.1 * laid, 1e-9 * laid);
}

TEST(Allowances, ASampleTakesItsShareOfTheWeftAndRoomOnTheSpan) {
  // 52 mm beside 62.4 woven: 52 / 62.4 of 11.3025 m.
  const PieceModel model = model_of(notched("sampling = \"52 mm\"\n"));
  EXPECT_NEAR(allowed(model, "worsted-moss", Cause::Sampling), 9.41875, 0.0005);
  EXPECT_EQ(allowed(model, "seine-12-6", Cause::Sampling), 0.0);
  // 600 - 30 (needle) - 62.4 - 52 = 455.6.
  EXPECT_NEAR(in_millimetres(estimate(model, {}, {}).budget->left()), 455.6, 1e-6);
  // On a beam loom it takes warp: 20 of 30 cm woven, 40 ends, with the crimp of what is woven.
  const std::string beam =
      "[habits]\nsampling = \"20 cm\"\n[piece]\nname = \"Trial\"\n[loom]\nkind = \"beam\"\n[warp]\n"
      "yarn = \"cotton-8-2\"\nends = 40\nsett = \"5 /cm\"\nloom_waste = \"50 cm\"\n[[band]]\nwork "
      "= "
      "\"weave\"\nyarn = \"cotton-8-2\"\npicks = \"5 /cm\"\nrows = 150\n";
  const PieceModel on_beam = model_of(beam);
  double warp = 0.0;
  for (const LedgerLine& line : on_beam.plan()) {
    if (line.band == 0 && line.portion == technique::Portion::Cut) warp += in_metres(line.length);
  }
  double woven_weft = 0.0;
  for (const LedgerLine& line : on_beam.plan()) {
    if (line.band == 1) woven_weft += in_metres(line.length);
  }
  // Weft and warp are one yarn here.
  EXPECT_NEAR(allowed(on_beam, "cotton-8-2", Cause::Sampling),
              2.0 / 3.0 * (woven_weft + warp - 40.0 * 0.5), 1e-9);
  // An end is cut for it, too: else the sample would be woven of the piece's own warp.
  const PieceEstimate result = estimate(on_beam, {}, {});
  ASSERT_EQ(result.cuts.size(), 1U);
  EXPECT_NEAR(in_metres(result.cuts[0].exact), (warp + 2.0 / 3.0 * (warp - 40.0 * 0.5)) / 40.0,
              1e-9);
}

TEST(Allowances, KnotsOfAWoundWarpAreRunsAndTies) {
  // A pass of 604 / 1.02 = 592.157 mm, n = 0.02: exp(0.0118431) - 1 = 0.011913545; 33 x
  // (0.011913545 x (50 + 0.2) - 0.592157) = 0.19480 m.
  EXPECT_NEAR(allowed(model_of(notched(""), 0.02), "seine-12-6", Cause::Knots), 0.19480, 2e-5);
}

TEST(Allowances, AWarpThatHardlyComesOffWholeIsRefused) {
  std::string longer = notched("");
  longer.replace(longer.find("span = \"60 cm\""), 14, "span = \"17 m\"");
  try {
    model_of(longer, 0.2);  // a knot every 5 m: 17 / 1.02 x 0.2 = 3.3 of them
    FAIL() << "not refused";
  } catch (const BadInput& bad) {
    EXPECT_NE(std::string(bad.what()).find("16.7 m without a knot"), std::string::npos)
        << bad.what();
  }
}

TEST(Allowances, SumIntoThePlanAndAreSetAside) {
  const PieceEstimate without = estimate(model_of(notched("")), {}, {});
  const PieceEstimate with =
      estimate(model_of(notched("spare_warp_ends = 2\nunpicking = \"10 %\"\n")), {}, {});
  EXPECT_NEAR(with.yarns[0].plan_m - without.yarns[0].plan_m, 1.5764706, 1e-6);
  EXPECT_NEAR(with.yarns[0].set_aside_m - without.yarns[0].set_aside_m, 1.5764706, 0.005);  // sure
  EXPECT_NEAR(with.yarns[1].plan_m - without.yarns[1].plan_m, 0.12, 1e-9);
}

}  // namespace
}  // namespace ellwand::estimate
