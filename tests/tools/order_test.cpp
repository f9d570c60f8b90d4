// The order of work as she reads it, and as programs do.

#include "program.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <string>
#include <vector>

namespace ellwand::test {
namespace {

using nlohmann::json;

class OrderOfWork : public Program {};

/// Where each of these stands in a text, one after the other.
void expect_in_order(const std::string& text, const std::vector<std::string>& parts) {
  std::size_t at = 0;
  for (const std::string& part : parts) {
    at = text.find(part, at);
    ASSERT_NE(at, std::string::npos) << part << " is not, or not after the others, in\n" << text;
  }
}

TEST_F(OrderOfWork, IsToldFromLayingOutToTheCautions) {
  const Ran ran = run(std::string("estimate --order ") + kSaltmarsh);
  EXPECT_EQ(ran.status, 0);
  // 66 strands of 21 knots of 3 and a wide one, of one length in whole cm; one in 20 to spare: 70
  // turns.
  expect_in_order(ran.out, {"Saltmarsh, in the order of work\n",
                            "\nLay out\n",
                            "seine-12-6: ",
                            "\nCut\n",
                            "66 x 32.0 cm of linen-fringe",
                            "70 turns round a card 15.7 cm high",
                            "\nBefore the first pick\n",
                            "at opposite corners",
                            "7.0 cm of warp free",
                            "\nFrom the bottom up\n",
                            "band 1, knotted fringe",
                            "1 row of knots",
                            "band 4, plain weave: ",
                            "look out: band 4",
                            "band 8, plain weave: ",
                            "\nOff the loom\n",
                            "15 knots of 3 ends each",
                            "do not steam flat: rug-wool-ash",
                            "cut the knotted fringe of band 1 even",
                            "22 loops of the warp on the rod",
                            "\nTake care\n",
                            "Blades and needles"});
}

TEST_F(OrderOfWork, TellsFirstWhatIsToBeSeenToBeforeTheWarpIsCut) {
  change("demo/pieces/sedge.toml", "loom_waste = \"60 cm\"\n", "");
  expect_in_order(run("estimate --order demo/pieces/sedge.toml").out,
                  {"\nBefore you start\n", "look out: warp: nothing is counted for what is tied on",
                   "\nLay out\n"});
}

TEST_F(OrderOfWork, PinsOutWhatIsWetAndLetsRestWhatIsDry) {
  const std::string piece = "demo/pieces/saltmarsh.toml";
  EXPECT_NE(run("estimate --order " + piece).out.find("lay it flat and square, and let it rest so"),
            std::string::npos);
  change(piece, "[finish]\n", "[finish]\nblocked = \"2 %\"\n");
  EXPECT_NE(run("estimate --order " + piece).out.find("dry it flat, pinned out square to"),
            std::string::npos);
}

TEST_F(OrderOfWork, TellsTwinedStrandsOfOneYarnOnce) {
  const std::string told = run("estimate --order demo/pieces/tideline.toml").out;
  const std::size_t at = told.find("band 2, twining: ");
  ASSERT_NE(at, std::string::npos) << told;
  const std::string lines = told.substr(at, told.find("  band 3", at) - at);
  EXPECT_NE(lines.find("2 strands, each of seine-12-6: 2 rows"), std::string::npos) << lines;
  EXPECT_EQ(lines.find("seine-12-6"), lines.rfind("seine-12-6")) << lines;
}

TEST_F(OrderOfWork, TellsTheWeaveAndHowSoumakGoes) {
  expect_in_order(run("estimate --order demo/pieces/shingle.toml").out,
                  {", weave 2/1 twill: ", "\nOff the loom\n"});
  expect_in_order(run("estimate --order demo/pieces/sedge.toml").out,
                  {", plain weave: ", ", weave by its draft: ", ", weave 2/2 basket: ",
                   ", weave 8-end satin: ", "\nOff the loom\n"});
  expect_in_order(run("estimate --order demo/pieces/tideline.toml").out,
                  {", soumak over 4, back 2: ", "\nOff the loom\n"});
  expect_in_order(run("estimate --order demo/pieces/undertow.toml").out,
                  {", soumak round 3 ends at a time: ", "\nOff the loom\n"});
}

TEST_F(OrderOfWork, GivesAHemOneLengthOnly) {
  // The thread left hanging for it is longer than the plan, to be enough; no second length is told.
  const std::string told = run("estimate --order demo/pieces/wrackline.toml").out;
  EXPECT_NE(told.find("hanging before the first row of band 3, to hemstitch with\n"),
            std::string::npos)
      << told;
  const std::size_t hem = told.find("band 2, hemstitch: ");
  ASSERT_NE(hem, std::string::npos) << told;
  const std::string lines = told.substr(hem, told.find("  band 3", hem) - hem);
  EXPECT_NE(lines.find(" by plan\n"), std::string::npos) << lines;
  EXPECT_EQ(lines.find("length"), std::string::npos) << lines;
}

TEST_F(OrderOfWork, TiesTheEndsOfABeamWarpInHalfItsFringe) {
  // 242 ends two and two; 24 cm of fringe for both edges.
  const std::string told = run("estimate --order demo/pieces/sedge.toml").out;
  EXPECT_NE(told.find("tie the ends at the top: 121 knots of 2 ends each, in 12.0 cm of warp\n"),
            std::string::npos)
      << told;
}

TEST_F(OrderOfWork, ShowsHerUnits) {
  change("demo/studio.toml", "length = \"cm\"", "length = \"in\"");
  change("demo/studio.toml", "yarn = \"m\"", "yarn = \"yd\"");
  const std::string told = run(std::string("estimate --order ") + kSaltmarsh).out;
  // Found on 2026-11-28: a rod of 3/4 in was shown as 0.7 in. 10 mm are 0.3937 in.
  EXPECT_NE(told.find("22 loops of the warp on the rod, 0.39 in thick\n"), std::string::npos)
      << told;
  change(kSaltmarsh, "diameter = \"10 mm\"", "diameter = \"3/4 in\"");
  EXPECT_NE(run(std::string("estimate --order ") + kSaltmarsh).out.find("rod, 0.75 in thick\n"),
            std::string::npos);
  // 7.0 cm is 2.8 in; cuts are whole half inches.
  EXPECT_NE(told.find("2.8 in of warp free"), std::string::npos) << told;
  EXPECT_EQ(told.find(" cm"), std::string::npos) << told;
  EXPECT_NE(told.find(" lengths of 1.65 yd"), std::string::npos) << told;  // 1.5 m is 1.6404 yd, up
}

TEST_F(OrderOfWork, IsAListOfStepsForPrograms) {
  const json piece =
      json::parse(run(std::string("estimate --json ") + kSaltmarsh).out).at("pieces").at(0);
  const json& order = piece.at("order");
  std::vector<double> heights;
  for (const json& step : order) {
    EXPECT_TRUE(step.at("step").is_string());
    if (step.at("step") == "band") heights.push_back(step.at("up_to_cm"));
  }
  ASSERT_EQ(heights.size(), 8U);
  EXPECT_NEAR(heights.back(), piece.at("size").at("loom").at("height_cm").get<double>(), 1e-9);
  EXPECT_EQ(order.front().at("step"), "lay out");
  EXPECT_EQ(order.back().at("step"), "take care");
}

TEST_F(OrderOfWork, AndWhyDoNotGoTogether) {
  const Ran ran = run(std::string("estimate --order --why warp ") + kSaltmarsh);
  EXPECT_EQ(ran.status, 2);
  EXPECT_NE(ran.told.find("--why and --order do not go together"), std::string::npos) << ran.told;
}

TEST_F(OrderOfWork, OfSeveralPiecesComesOneAfterAnother) {
  expect_in_order(run("estimate --order demo").out,
                  {"Saltmarsh, in the order of work", "Sedge, in the order of work",
                   " of cotton-8-2 for warp, long enough 19 times in 20",
                   "\nTideline, in the order of work", "12 turns"});
}

// What is laid out is what the estimate says to have: more than is set aside where it is cut.
TEST_F(OrderOfWork, LaysOutWhatTheEstimateSaysToHave) {
  const std::string estimate = run(std::string("estimate ") + kSaltmarsh).out;
  const std::string order = run(std::string("estimate --order ") + kSaltmarsh).out;
  expect_in_order(estimate, {"\nCut\n", "  have 26 m, 5.4 g of linen-fringe, for whole lengths"});
  expect_in_order(order, {"Lay out", "linen-fringe: 26 m, 5.4 g"});
  // What is wound and not cut is laid out as it is set aside.
  EXPECT_EQ(estimate.find(" of rug-wool-ink, for"), std::string::npos) << estimate;
}

}  // namespace
}  // namespace ellwand::test
