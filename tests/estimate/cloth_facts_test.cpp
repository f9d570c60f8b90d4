#include "ellwand/estimate/cloth_facts.hpp"

#include <gtest/gtest.h>

#include <string>

#include "support/studios.hpp"

namespace ellwand::estimate {
namespace {

/// 100 ends of worsted at 5 a cm, nothing drawn in, nothing lost beside the band.
PieceModel worsted_on_a_beam(const std::string& band, const std::string& warp = "") {
  return PieceModel(
      test::read_demo_piece("[piece]\nname = \"Trial\"\n[loom]\nkind = \"beam\"\n[warp]\n"
                            "yarn = \"worsted-moss\"\nwidth = \"20 cm\"\nsett = \"5 /cm\"\n"
                            "draw_in = \"0 %\"\n" +
                            warp + "[[band]]\n" + band),
      test::demo_workshop());
}

TEST(ClothFacts, TheMassIsThatOfTheLedgersYarn) {
  for (const std::string weave : {"plain", "2/2 twill", "5-end satin"}) {
    SCOPED_TRACE(weave);
    const PieceModel model = worsted_on_a_beam(
        "work = \"weave\"\nweave = \"" + weave +
            "\"\nyarn = \"cotton-8-2\"\nheld = 2\npicks = \"4 /cm\"\nrows = 400\n",
        "held = 2\n");
    const auto facts = cloth_facts(model, 0);
    ASSERT_TRUE(facts.has_value());
    // The yarn the ledger has of each, over the cloth it lies in: a weft crosses 99 spacings of
    // 2 mm, and with its take leaves out turns; an end has a spacing to itself. 400 rows of 2.5 mm.
    double weft_m = 0.0;
    double warp_m = 0.0;
    for (const LedgerLine& line : model.plan()) {
      const bool lies_flat = line.cause == technique::Cause::Straight ||
                             line.cause == technique::Cause::Crimp ||
                             line.cause == technique::Cause::Floats;
      if (!lies_flat) continue;
      (line.band == 1 ? weft_m : warp_m) += in_metres(line.length);
    }
    const double take = test::starting_values().median("take.weave");
    const double weft_g = 1e-3 * in_tex(model.yarns()[1]->linear_density) * take * weft_m;
    const double warp_g = 1e-3 * in_tex(model.yarns()[0]->linear_density) * warp_m;
    EXPECT_NEAR(in_grams_per_square_metre(facts->mass),
                weft_g / (99 * 0.002 * 1.0) + warp_g / (100 * 0.002 * 1.0), 1e-6);
  }
}

TEST(ClothFacts, SettPicksAndCoversByHand) {
  const PieceModel model = worsted_on_a_beam(
      "work = \"weave\"\nyarn = \"worsted-moss\"\npicks = \"4 /cm\"\nrows = 40\n");
  const auto facts = cloth_facts(model, 0);
  ASSERT_TRUE(facts.has_value());
  EXPECT_NEAR(in_per_cm(facts->ends), 5.0, 1e-9);
  EXPECT_NEAR(in_per_cm(facts->picks), 4.0, 1e-9);
  // 2/8 worsted is 8 x 560 / 2 = 2240 yd a lb: 0.9 sqrt(2240) = 42.60 diameters an inch; plain,
  // 2 ends and 2 intersections, takes half: 21.30 an inch, 8.385 a cm (T. R. Ashenhurst, 1884).
  EXPECT_NEAR(in_per_cm(facts->greatest_sett), 8.385, 5e-3);
  const double thickness_mm = in_millimetres(model.end_diameter());
  EXPECT_NEAR(facts->warp_cover, thickness_mm / 2.0, 1e-9);
  EXPECT_NEAR(facts->weft_cover, thickness_mm / 2.5, 1e-9);
}

TEST(ClothFacts, AFringeHasNone) {
  const PieceModel model = worsted_on_a_beam(
      "work = \"weave\"\nyarn = \"worsted-moss\"\nrows = 40\n[[band]]\nwork = \"knotted fringe\"\n"
      "yarn = \"linen-fringe\"\nhang = \"9 cm\"\n");
  EXPECT_TRUE(cloth_facts(model, 0).has_value());
  EXPECT_FALSE(cloth_facts(model, 1).has_value());
}

}  // namespace
}  // namespace ellwand::estimate
