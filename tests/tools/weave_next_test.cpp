// ellwand weave-next as she calls it.

#include "program.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace ellwand::test {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

class WeaveNext : public Program {
 protected:
  void plan_nothing() const {
    for (const auto& entry : fs::directory_iterator(folder_ / "demo/pieces")) {
      if (text_of(entry.path()).find("planned = true\n") == std::string::npos) continue;
      change("demo/pieces/" + entry.path().filename().string(), "planned = true\n", "");
    }
  }
  json advised(const std::string& options) const {
    const Ran ran = run("weave-next demo --json " + options);
    EXPECT_EQ(ran.status, 0) << ran.told;
    return json::parse(ran.out);
  }
};

TEST_F(WeaveNext, SaysInASentenceWhatToDoAndWhatItBrings) {
  const Ran ran = run("weave-next demo --pieces saltmarsh");
  EXPECT_EQ(ran.status, 0);
  EXPECT_EQ(ran.told, "");
  const std::string first = ran.out.substr(0, ran.out.find('\n'));
  EXPECT_EQ(first.find("Weave a woven swatch of rug-wool-rust as in band 5 of Saltmarsh, "), 0U)
      << first;
  EXPECT_NE(first.find("weigh the yarn before and after"), std::string::npos) << first;
  EXPECT_NE(first.find(": the range of Saltmarsh's rug-wool-rust narrows from "), std::string::npos)
      << first;
  EXPECT_NE(first.find(" minutes and "), std::string::npos) << first;
  EXPECT_NE(ran.out.find("Nothing woven here has been measured yet"), std::string::npos);
}

TEST_F(WeaveNext, NarrowsEveryRangeAndWidensNone) {
  const json all = advised("--top 3");
  EXPECT_EQ(all["schema"], 1);
  EXPECT_TRUE(all["calibration"].is_null());
  EXPECT_TRUE(all["planned"]);
  EXPECT_EQ(all["pieces"].size(), 5U);
  ASSERT_EQ(all["swatches"].size(), 3U);
  for (const json& swatch : all["swatches"]) {
    EXPECT_GT(swatch["minutes"], 0.0);
    EXPECT_GT(swatch["narrower_share"], 0.0);
    EXPECT_LT(swatch["narrower_share"], 1.0);
    ASSERT_FALSE(swatch["narrowed"].empty());
    for (const json& yarn : swatch["narrowed"]) {
      const auto width = [&](const char* range) {
        return std::log(yarn[range]["high"].get<double>() / yarn[range]["low"].get<double>());
      };
      // Ends of a range are solved to a micrometre, so that one that does not change may move so.
      EXPECT_LE(width("then_m"), width("now_m") + 1e-3) << yarn;
    }
  }
}

/// Once calibrated it begins from what is learned, and what was woven has less to bring than
/// before.
TEST_F(WeaveNext, TakesWhatIsLearnedAlready) {
  const json first = advised("--top 1")["swatches"][0];
  std::string rows = "swatch,loom,warp_yarn,ends,work,yarn,held,rows,used_g,height_cm,state\n";
  for (const char* id : {"a", "b", "c", "d"}) {
    rows += std::string(id) +
            ",notched board,seine-12-6,30,weave,rug-wool-rust,1,60,9.1,4.6,on the loom\n";
  }
  write_text(folder_ / "demo/swatches.csv", rows);
  const Ran calibrated = run("calibrate demo");
  ASSERT_EQ(calibrated.status, 0) << calibrated.told;
  const json all = advised("--top 1");
  EXPECT_EQ(all["calibration"]["swatches"], 4);
  EXPECT_LT(all["swatches"][0]["narrower_share"], first["narrower_share"]);
  const json estimate = json::parse(run(std::string("estimate --json ") + kSaltmarsh).out);
  std::size_t met = 0;
  for (const json& narrowed : all["swatches"][0]["narrowed"]) {
    for (const json& yarn : estimate["pieces"][0]["yarns"]) {
      if (narrowed["piece"] != "saltmarsh" || yarn["yarn"] != narrowed["yarn"]) continue;
      EXPECT_NEAR(narrowed["now_m"]["high"], yarn["length_m"]["high"], 1e-9) << narrowed;
      ++met;
    }
  }
  EXPECT_EQ(met, 7U);
  EXPECT_NE(run("weave-next demo").out.find("By the calibration of "), std::string::npos);
  write_text(folder_ / "demo/swatches.csv", rows +
                                                "e,notched board,seine-12-6,30,weave,"
                                                "rug-wool-rust,1,60,9.4,4.7,on the loom\n");
  EXPECT_EQ(run("weave-next demo").told.rfind("What was measured has changed since ", 0), 0U);
}

TEST_F(WeaveNext, RefusesACalibrationThatCannotBeRead) {
  write_text(folder_ / "demo/calibration.json", "{");
  const Ran ran = run("weave-next demo");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.out, "");
  EXPECT_NE(ran.told.find("calibration.json"), std::string::npos) << ran.told;
}

/// The ranges now are those the estimate prints.
TEST_F(WeaveNext, BeginsFromTheRangesOfTheEstimate) {
  const json estimate = json::parse(run(std::string("estimate --json ") + kSaltmarsh).out);
  const json all = advised("--pieces saltmarsh --top 1");
  std::size_t met = 0;
  for (const json& narrowed : all["swatches"][0]["narrowed"]) {
    for (const json& yarn : estimate["pieces"][0]["yarns"]) {
      if (yarn["yarn"] != narrowed["yarn"]) continue;
      EXPECT_NEAR(narrowed["now_m"]["high"], yarn["length_m"]["high"], 1e-9) << narrowed;
      ++met;
    }
  }
  EXPECT_EQ(met, 7U);
}

TEST_F(WeaveNext, KeepsWithinHerMinutesAndGrams) {
  const json all = advised("--minutes 60 --grams 10 --top 50");
  for (const json& swatch : all["swatches"]) {
    EXPECT_LE(swatch["minutes"], 60.0);
    EXPECT_LE(swatch["mass_g"], 10.0);
  }
  const Ran none = run("weave-next demo --minutes 1");
  EXPECT_EQ(none.status, 1);
  EXPECT_EQ(none.out, "");
  EXPECT_EQ(none.told,
            "ellwand: no swatch within these minutes and grams would narrow the range of any "
            "planned yarn by a tenth and a step of the scale, 1 g, and less cannot be seen; allow "
            "more\n");
}

/// What is advised her scale can weigh: five steps of 0.1 g, and of 2 g in another studio, whose
/// swatch is then to be the larger. How many rows at least goes with the grams of a row.
TEST_F(WeaveNext, AdvisesWhatHerScaleCanWeigh) {
  const auto least_of = [&](const char* step) {
    write_text(folder_ / "demo/swatches.csv",
               std::string("swatch,loom,warp_yarn,ends,work,yarn,rows,tool_step,used_g\n"
                           "a,notched board,seine-12-6,60,weave,rug-wool-ink,160,") +
                   step + ",30\n");
    int least = 0;  // the width may differ, by half as much again
    const json all = advised("--pieces saltmarsh --top 50");
    for (const json& swatch : all["swatches"]) {
      if (swatch["work"].is_null()) continue;
      EXPECT_GE(swatch["rows"], swatch["least_rows"]);
      EXPECT_GE(swatch["most_narrower_share"], 0.1);
      if (swatch["yarn"] == "rug-wool-rust") least = swatch["least_rows"];
    }
    return least;
  };
  const int fine = least_of("0.1");
  const int coarse = least_of("2");
  EXPECT_GT(coarse, 10 * fine);
  EXPECT_NE(
      run("weave-next demo --pieces saltmarsh").out.find(" at least, for a scale in steps of 2 g)"),
      std::string::npos);
}

/// One piece of one yarn, woven and weighed forty times over: what is left is that piece's own way.
TEST_F(WeaveNext, SaysWhenNothingWorthWeavingIsLeft) {
  write_text(folder_ / "demo/pieces/strip.toml",
             "[piece]\nname = \"Strip\"\n[loom]\nuse = \"notched board\"\n[warp]\nyarn = "
             "\"seine-12-6\"\nends = 45\n[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\n"
             "rows = 80\n");
  std::string rows =
      "swatch,loom,warp_yarn,ends,work,yarn,rows,tool_step,used_g,state,height_cm,weighed_m,"
      "weighed_g\n";
  for (int i = 0; i < 40; ++i) {
    const std::string id = std::to_string(i);
    rows += "s" + id + ",notched board,seine-12-6,45,weave,rug-wool-ash,80,0.1," +
            (i % 2 == 0 ? "12.4" : "12.8") + ",on the loom," + (i % 3 == 0 ? "6.1" : "6.3") +
            ",,\n";
    rows += "y" + id + ",,,,,rug-wool-ash,,0.1,,,,20,10\n";
    rows += "z" + id + ",,,,,seine-12-6,,0.1,,,,20," + (i % 2 == 0 ? "5.9" : "6.0") + "\n";
  }
  write_text(folder_ / "demo/swatches.csv", rows);
  ASSERT_EQ(run("calibrate demo").status, 0);
  const Ran ran = run("weave-next demo --pieces strip");
  EXPECT_EQ(ran.status, 1) << ran.out;
  EXPECT_EQ(ran.told.rfind("ellwand: nothing worth weaving is left: no swatch would narrow", 0), 0U)
      << ran.told;
  EXPECT_NE(ran.told.find("by a tenth and a step of the scale, 0.1 g, and less"), std::string::npos)
      << ran.told;
}

TEST_F(WeaveNext, WithNothingPlannedTellsMostAboutHerHabits) {
  plan_nothing();
  const Ran ran = run("weave-next demo");
  EXPECT_EQ(ran.status, 0) << ran.told;
  EXPECT_NE(ran.out.find(": of what is open about your habits it settles most for its time"),
            std::string::npos);
  EXPECT_NE(ran.out.find("No piece is planned"), std::string::npos);
  const json all = advised("");
  EXPECT_FALSE(all["planned"]);
  for (const json& swatch : all["swatches"]) {
    EXPECT_GT(swatch["information_nats"], 0.0);
    EXPECT_TRUE(swatch["narrowed"].empty());
  }
  EXPECT_TRUE(advised("--pieces sedge")["planned"]);  // named, and so what it is for
}

TEST_F(WeaveNext, HasNothingToSayOfAStudioWithoutPieces) {
  EXPECT_EQ(run("start bare").status, 0);
  const Ran ran = run("weave-next bare");
  EXPECT_EQ(ran.status, 1);
  EXPECT_EQ(ran.out, "");
  EXPECT_EQ(ran.told,
            "ellwand: there is no piece in bare/pieces, so that there is nothing a swatch could be "
            "for; write one as NAME.toml with planned = true\n");
}

TEST_F(WeaveNext, ShowsTheStudiosUnits) {
  change("demo/studio.toml", "yarn = \"m\"", "yarn = \"yd\"");
  change("demo/studio.toml", "mass = \"g\"", "mass = \"oz\"");
  const Ran ran = run("weave-next demo");
  EXPECT_NE(ran.out.find(" oz; about "), std::string::npos) << ran.out;
  EXPECT_NE(ran.out.find(" oz, warp included."), std::string::npos) << ran.out;
}

TEST_F(WeaveNext, PassesOverAPieceThatCannotBeUsedAndSaysSo) {
  change("demo/pieces/sedge.toml", "yarn = \"worsted-moss\"", "yarn = \"worsted-mess\"");
  const Ran ran = run("weave-next demo");
  EXPECT_EQ(ran.status, 3);
  EXPECT_NE(ran.out.find("Weave a "), std::string::npos);
  EXPECT_NE(ran.told.find("\"worsted-mess\" is no yarn of yarns.csv"), std::string::npos)
      << ran.told;
  const Ran whole = run("weave-next demo --json");
  EXPECT_EQ(whole.status, 3);
  EXPECT_EQ(whole.out, "");
  EXPECT_EQ(run("weave-next demo --json --pieces saltmarsh").status, 0);
}

TEST_F(WeaveNext, RefusesWhatIsNotAskedRight) {
  const auto told = [&](const std::string& arguments) {
    const Ran ran = run("weave-next " + arguments);
    EXPECT_EQ(ran.status, 2) << arguments;
    EXPECT_EQ(ran.out, "") << arguments;
    return ran.told;
  };
  EXPECT_EQ(told(""),
            "ellwand: weave-next takes one studio folder, as in: ellwand weave-next my-studio\n");
  EXPECT_EQ(told("demo demo"),
            "ellwand: weave-next takes one studio folder, as in: ellwand weave-next my-studio\n");
  EXPECT_EQ(told("demo --pieces saltmarch"),
            "ellwand: --pieces names 'saltmarch', and no piece file is called so; did you mean "
            "'saltmarsh'?\n");
  EXPECT_EQ(told("demo --pieces ,"),
            "ellwand: --pieces names none; write --pieces saltmarsh,sedge\n");
  for (const char* top : {"0", "2.5", "many", "nan", "1001", "-1"}) {
    EXPECT_EQ(told(std::string("demo --top=") + top),
              std::string("ellwand: --top was given '") + top +
                  "'; it takes a whole number from 1 to 1000\n");
  }
  for (const char* minutes : {"0", "inf", "30 min", "nan"}) {
    EXPECT_EQ(told(std::string("demo --minutes='") + minutes + "'"),
              std::string("ellwand: --minutes was given '") + minutes +
                  "'; it takes minutes from 1 to 1000000, without a unit\n");
  }
  EXPECT_EQ(told("demo --grams=lots"),
            "ellwand: --grams was given 'lots'; it takes grams from 0 to 1000000, without a "
            "unit\n");
  const Ran nowhere = run("weave-next demo/pieces");
  EXPECT_EQ(nowhere.status, 3);
  EXPECT_EQ(
      nowhere.told,
      "demo/pieces: this folder has no studio.toml, so it is no studio; name its studio, demo\n");
}

TEST_F(WeaveNext, ChangesNothingInTheStudio) {
  const auto before = contents(folder_ / "demo");
  EXPECT_EQ(run("weave-next demo").status, 0);
  EXPECT_EQ(contents(folder_ / "demo"), before);
}

}  // namespace
}  // namespace ellwand::test
