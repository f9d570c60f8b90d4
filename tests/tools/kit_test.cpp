// ellwand kit as she calls it.

#include "program.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <fstream>
#include <sstream>
#include <string>

namespace ellwand::test {
namespace {

using nlohmann::json;

class Kit : public Program {
 protected:
  json packed(const std::string& arguments) const {
    const Ran ran = run("kit " + arguments + " --json");
    EXPECT_EQ(ran.status, 0) << ran.told;
    return json::parse(ran.out, nullptr, false);
  }

  void expect_told(const std::string& arguments, int status, const std::string& sentence) const {
    const Ran ran = run("kit " + arguments);
    EXPECT_EQ(ran.status, status) << arguments;
    EXPECT_EQ(ran.out, "") << arguments;
    EXPECT_EQ(ran.told, sentence + "\n") << arguments;
  }
};

TEST_F(Kit, SaysFirstHowManyFinish) {
  const Ran ran = run(std::string("kit ") + kSaltmarsh + " --kits 3 --finish '95 %'");
  EXPECT_EQ(ran.status, 0) << ran.told;
  EXPECT_EQ(ran.out.rfind("Saltmarsh, 3 kits: 19 of 20 buyers finish with what is packed.", 0), 0U)
      << ran.out;
  EXPECT_NE(ran.out.find("\nPacking list, each kit\n"), std::string::npos) << ran.out;
  for (const char* jargon : {"percentile", "quantile", "score", "log-sd", "coefficient"}) {
    EXPECT_EQ(ran.out.find(jargon), std::string::npos) << jargon;
  }
}

TEST_F(Kit, CostsWhatItsLinesAddUpTo) {
  const std::string all = run(std::string("kit ") + kSaltmarsh + " --kits 3").out;
  const std::size_t from = all.find("what a kit costs");
  ASSERT_NE(from, std::string::npos) << all;
  std::istringstream lines(all.substr(from, all.find("\n\n", from) - from));
  std::string line;
  std::getline(lines, line);
  double sum = 0.0;
  bool is_told = false;
  while (std::getline(lines, line)) {
    const double figure = std::stod(line.substr(line.find_last_of(' ')));
    is_told = line.find("= together") != std::string::npos;
    if (is_told) {
      EXPECT_NEAR(figure, sum, 1e-9) << all;
    }
    sum += figure;
  }
  EXPECT_TRUE(is_told) << all;
}

TEST_F(Kit, TellsProgramsWhatIsThenLeftOfAllLots) {
  // 12 minutes are the demo's own.
  const json kits = packed("demo/pieces/wrackline.toml --kits 12");
  EXPECT_EQ(kits["minutes_to_pack"], 12.0);
  for (const json& yarn : kits["yarns"]) {
    double left = 0.0;
    for (const json& lot : yarn["lots"]) left += lot["left_g"].get<double>();
    EXPECT_NEAR(yarn["left_g"].get<double>(), left, 1e-9) << yarn["yarn"];
  }
}

TEST_F(Kit, TellsWhatIsLeftOfThePutUpsToBuy) {
  // Of ink a kit has 3 g (README) and the shelf none: 12 x 3 / 0.97 = 37.1 g of a put-up of 100 g.
  const std::string told = run("kit demo/pieces/wrackline.toml --kits 12").out;
  EXPECT_NE(told.find("\nLeft of the put-ups to buy: 63 g of rug-wool-ink"), std::string::npos)
      << told;
  // Nothing is bought for no more than the shelf makes.
  std::ofstream(folder_ / "demo/lots.csv")
      << "yarn,lot,net_g\nseine-12-6,A,400\nrug-wool-ash,B,400\nrug-wool-ink,D,400\n"
         "rug-wool-rust,E,400\n";
  EXPECT_EQ(run("kit demo/pieces/wrackline.toml --kits 2").out.find("Left of the put-ups"),
            std::string::npos);
}

TEST_F(Kit, TellsProgramsWhatIsLent) {
  const json lent = packed("demo/pieces/wrackline.toml --kits 3")["lent"];
  ASSERT_EQ(lent.size(), 1U);
  EXPECT_EQ(lent[0]["yarn"], "cotton-8-2");
  EXPECT_EQ(lent[0]["band"], 1);
}

TEST_F(Kit, PacksInStepsOfTheUnitsThatSheReads) {
  change("demo/studio.toml", "mass = \"g\"", "mass = \"oz\"");
  change("demo/studio.toml", "yarn = \"m\"", "yarn = \"yd\"");
  const auto is_whole = [](double steps) { return std::abs(steps - std::round(steps)) < 1e-6; };
  for (const json& yarn : packed("demo/pieces/wrackline.toml --kits 3")["yarns"]) {
    EXPECT_TRUE(is_whole(yarn["pack_g"].get<double>() / (0.05 * 28.349523125))) << yarn;
  }
  change("demo/studio.toml", "packed = { linen-fringe = \"lengths\" }", "packed = \"lengths\"");
  for (const json& yarn : packed("demo/pieces/wrackline.toml --kits 3")["yarns"]) {
    EXPECT_TRUE(is_whole(yarn["pack_m"].get<double>() / (0.5 * 0.9144))) << yarn;
  }
}

TEST_F(Kit, SaysWhatTheShelfLacks) {
  // Of ink there is no lot; then 1 g where a kit has more than its 1.4 g by plan. A kit has 12 g of
  // ash (README), and two lots of 9 g have that only together.
  const std::string kit = "kit demo/pieces/wrackline.toml --kits 12";
  EXPECT_NE(run(kit).out.find("The shelf makes none: rug-wool-ink is not on it.\n"),
            std::string::npos);
  std::ofstream(folder_ / "demo/lots.csv") << "yarn,lot,net_g\nseine-12-6,A,400\n"
                                              "rug-wool-ash,B,9\nrug-wool-ash,C,9\n"
                                              "rug-wool-ink,D,1\nrug-wool-rust,E,100\n";
  EXPECT_NE(run(kit).out.find("The shelf makes none: of rug-wool-ink there is too little; of "
                              "rug-wool-ash there is too little of any one lot.\n"),
            std::string::npos)
      << run(kit).out;
  EXPECT_NE(
      run("kit demo/pieces/wrackline.toml --class 2").out.find("The shelf does not have it: of "),
      std::string::npos);
}

TEST_F(Kit, OfAClassSharesItsSpare) {
  const json shared = packed(std::string(kSaltmarsh) + " --class 8");
  EXPECT_EQ(shared["pupils"], 8);
  for (const json& yarn : shared["yarns"]) {
    const std::string unit = yarn["packed"] == "balls" ? "g" : "m";
    EXPECT_LE(yarn["pack_" + unit], 8.0 * yarn["singly_" + unit].get<double>()) << yarn["yarn"];
  }
}

TEST_F(Kit, TakesLengthsAndBalls) {
  const json balls = packed(std::string(kSaltmarsh) + " --packed balls");
  const json lengths = packed(std::string(kSaltmarsh) + " --packed lengths");
  EXPECT_EQ(balls["yarns"][2]["packed"], "balls");
  EXPECT_EQ(lengths["yarns"][2]["packed"], "lengths");
  // Half metres, as the starting values round lengths; whole grams of balls.
  const double metres = lengths["yarns"][2]["pack_m"];
  EXPECT_EQ(2.0 * metres, static_cast<int>(2.0 * metres));
  const double grams = balls["yarns"][2]["pack_g"];
  EXPECT_EQ(grams, static_cast<int>(grams));
}

TEST_F(Kit, TellsWhatItCannotCost) {
  change("demo/yarns.csv", "100 g,8.40,", "100 g,,");
  const Ran ran = run(std::string("kit ") + kSaltmarsh);
  EXPECT_EQ(ran.status, 0) << ran.told;
  EXPECT_NE(ran.out.find("\nWhat one costs is not told: rug-wool-ink has no price or no put-up in "
                         "yarns.csv.\n"),
            std::string::npos)
      << ran.out;
}

TEST_F(Kit, RefusesInOneSentence) {
  const std::string piece = kSaltmarsh;
  expect_told("", 2,
              "ellwand: kit takes one piece file, as in: ellwand kit "
              "my-studio/pieces/saltmarsh.toml");
  expect_told(piece + " --kits 0", 2,
              "ellwand: --kits was given '0'; it takes a whole number from 1 to 10000");
  expect_told(piece + " --kits 2.5", 2,
              "ellwand: --kits was given '2.5'; it takes a whole number from 1 to 10000");
  expect_told(piece + " --class 1", 2,
              "ellwand: --class was given '1'; it takes a whole number from 2 to 40");
  expect_told(piece + " --finish '100 %'", 2,
              "ellwand: --finish was given '100 %'; it takes a chance above 50 % and below 100 %, "
              "as in '95 %' or 0.95");
  expect_told(piece + " --finish 99.95%", 2,
              "ellwand: --finish was given '99.95%'; it takes a share of the buyers above 50 % and "
              "up to 99.9 %: nothing that can be packed suffices for all of them");
  expect_told(piece + " --packed skeins", 2,
              "ellwand: --packed was given 'skeins'; it takes 'balls' or 'lengths'");
  expect_told(piece + " --kits 3 --class 4", 2,
              "ellwand: --kits packs for buyers, each for herself, --class for pupils who share; "
              "give one of them");
  expect_told(piece + " --sure '90 %'", 2,
              "ellwand: --sure counts how few beginners the spread was seen of; write "
              "beginners_spread and beginners_met under [kit] of studio.toml");
  expect_told(piece + " --kit 3", 2,
              "ellwand: there is no option --kit; did you mean '--kits'? --help lists them.");
}

TEST_F(Kit, TellsWhatIsCutUnderItsOwnYarnAndWhatIsLent) {
  const std::string list = run("kit demo/pieces/wrackline.toml").out;
  const std::size_t rust = list.find("  [ ] rug-wool-rust: a ball of ");
  ASSERT_NE(rust, std::string::npos) << list;
  EXPECT_EQ(list.find("      of it 219 x 7.0 cm of rug-wool-rust", rust), list.find('\n', rust) + 1)
      << list;
  EXPECT_NE(list.find("] cotton-8-2: 5 m lent for band 1, which comes out again"),
            std::string::npos)
      << list;
}

}  // namespace
}  // namespace ellwand::test
