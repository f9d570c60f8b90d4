#include "ellwand/estimate/coefficients.hpp"

#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "support/studios.hpp"

namespace ellwand::estimate {
namespace {

const yarn::Yarn& demo_yarn(const std::string& id) { return test::demo_studio().yarns.at(id); }

/// A warp of cotton, then wool by hand-dyer and roving by hand.
std::vector<const yarn::Yarn*> three_yarns() {
  return {&demo_yarn("seine-12-6"), &demo_yarn("rug-wool-rust"), &demo_yarn("fleece-sliver")};
}

double spread_in_table(const std::string& row) { return test::starting_values().at(row).spread; }

TEST(StartingCoefficients, OfABeginnerAreTheBeginnersRows) {
  const auto yarns = three_yarns();
  const auto skilled = starting_coefficients(test::starting_values(), yarns, 0, false);
  const auto beginner = starting_coefficients(test::starting_values(), yarns, 0, true);
  EXPECT_EQ(skilled.spreads[index_of(Shared::Weaver)], spread_in_table("weaver.experienced"));
  EXPECT_EQ(beginner.spreads[index_of(Shared::Weaver)], spread_in_table("weaver.beginner"));
  EXPECT_EQ(skilled.spreads[index_of(Shared::DrawIn)], spread_in_table("draw_in"));
  EXPECT_EQ(beginner.spreads[index_of(Shared::DrawIn)], spread_in_table("draw_in.beginner"));
  // So that one taken for the other is seen.
  EXPECT_LT(spread_in_table("weaver.experienced"), spread_in_table("weaver.beginner"));
  EXPECT_LT(spread_in_table("draw_in"), spread_in_table("draw_in.beginner"));
}

TEST(StartingCoefficients, EachYarnHasTheRowsOfItsMake) {
  const auto all = starting_coefficients(test::starting_values(), three_yarns(), 0, false);
  ASSERT_EQ(all.size(), kShared + 3 * kPerYarn);
  EXPECT_EQ(all.spreads[index_of(OfYarn::Lot, 0)], spread_in_table("lot.mill"));
  EXPECT_EQ(all.spreads[index_of(OfYarn::Lot, 1)], spread_in_table("lot.hand_dyed"));
  EXPECT_EQ(all.spreads[index_of(OfYarn::Lot, 2)], spread_in_table("lot.handspun"));
  EXPECT_EQ(all.spreads[index_of(OfYarn::Thickness, 1)], spread_in_table("thickness.spun"));
  EXPECT_EQ(all.spreads[index_of(OfYarn::Thickness, 2)], spread_in_table("thickness.roving"));
}

TEST(StretchName, GoesByTheFibreOfHalfTheWarp) {
  EXPECT_STREQ(stretch_name(demo_yarn("seine-12-6")), "stretch.cotton");
  EXPECT_STREQ(stretch_name(demo_yarn("linen-fringe")), "stretch.linen");
  EXPECT_STREQ(stretch_name(demo_yarn("worsted-moss")), "stretch.wool");
  EXPECT_STREQ(stretch_name(demo_yarn("silk-straw")), "stretch.other");
}

// Found on 2026-11-28: every warp was told of as cotton, every length as on a needle.
TEST(CoefficientMeaning, OfTheStretchIsThatOfTheWarpsFibre) {
  const auto of_warp = [](const char* id) {
    return coefficient_meaning(test::starting_values(), index_of(Shared::Stretch),
                               {&demo_yarn(id), &demo_yarn("seine-12-6")}, false, {});
  };
  EXPECT_EQ(of_warp("seine-12-6"), "how much a cotton warp is stretched when it is wound on");
  EXPECT_EQ(of_warp("linen-fringe"), "how much a linen warp is stretched when it is wound on");
  EXPECT_EQ(of_warp("worsted-moss"), "how much a wool warp is stretched when it is wound on");
  EXPECT_EQ(of_warp("silk-straw"),
            "how much a warp of another fibre is stretched when it is wound on");
}

TEST(CoefficientMeaning, OfTheWorkingLengthIsThatOfTheCarriers) {
  using piece::Carrier;
  const auto carried = [](const std::vector<Carrier>& carriers) {
    return coefficient_meaning(test::starting_values(), index_of(Shared::WorkingLength),
                               three_yarns(), false, carriers);
  };
  EXPECT_EQ(carried({}), "the longest length carried at once");
  EXPECT_EQ(carried({Carrier::Needle}), "the longest length carried on a needle");
  EXPECT_EQ(carried({Carrier::Butterfly}), "the longest length carried as a butterfly");
  EXPECT_EQ(carried({Carrier::Shuttle, Carrier::Needle}),
            "the longest length carried on a shuttle; the longest length carried on a needle");
}

TEST(IsFelting, GoesByHalfTheMass) {
  yarn::Yarn blend = demo_yarn("worsted-moss");
  ASSERT_EQ(blend.fibre.size(), 1U);
  EXPECT_TRUE(is_felting(blend));
  blend.fibre.push_back(demo_yarn("cotton-8-2").fibre.at(0));
  blend.fibre[0].by_mass = 0.5;
  blend.fibre[1].by_mass = 0.5;
  EXPECT_TRUE(is_felting(blend));
  blend.fibre[0].by_mass = 0.49;
  blend.fibre[1].by_mass = 0.51;
  EXPECT_FALSE(is_felting(blend));
  EXPECT_FALSE(is_felting(demo_yarn("cotton-8-2")));
}

TEST(CoefficientName, NamesTheYarnWhereItIsTheYarns) {
  const auto yarns = three_yarns();
  EXPECT_EQ(coefficient_name(index_of(Shared::Hand), yarns), "hand");
  EXPECT_EQ(coefficient_name(index_of(Shared::WastePerColour), yarns), "waste.per_colour");
  EXPECT_EQ(coefficient_name(index_of(OfYarn::Thickness, 1), yarns), "thickness rug-wool-rust");
  EXPECT_EQ(coefficient_name(index_of(OfYarn::Split, 2), yarns), "split fleece-sliver");
}

}  // namespace
}  // namespace ellwand::estimate
