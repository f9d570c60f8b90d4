// ellwand calibrate on the demo studio with swatches of a weaver who lays a fifth more than the
// starting values: what is told, what is kept, and what estimates make of it.

#include "program.hpp"

#include <gmock/gmock.h>
#include <nlohmann/json.hpp>

namespace ellwand::test {
namespace {

using nlohmann::json;
using testing::HasSubstr;
using testing::Not;

constexpr const char* kHead =
    "swatch,date,loom,warp_yarn,ends,work,yarn,rows,tool_step,used_g,state,height_cm\n";

class Calibrate : public Program {
 protected:
  /// The demo before anything was measured.
  void SetUp() override {
    Program::SetUp();
    std::filesystem::remove(folder_ / "demo/swatches.csv");
    for (const auto& entry : std::filesystem::directory_iterator(folder_ / "demo/pieces")) {
      const std::string text = text_of(entry.path());
      write_text(entry.path(), text.substr(0, text.find("[[measured]]")));
    }
  }

  /// The grams that the starting values expect of a strip, as an estimate of it tells them.
  double expected_g(const std::string& yarn, int rows) const {
    write_text(folder_ / "demo/pieces/strip.toml",
               "[piece]\nname = \"Strip\"\n[loom]\nuse = \"notched board\"\n[warp]\nyarn = "
               "\"seine-12-6\"\nends = 45\n[[band]]\nwork = \"weave\"\nyarn = \"" +
                   yarn + "\"\nrows = " + std::to_string(rows) + "\n");
    const Ran ran = run("estimate demo/pieces/strip.toml --json --starting");
    std::filesystem::remove(folder_ / "demo/pieces/strip.toml");
    EXPECT_EQ(ran.status, 0) << ran.told;
    const json told = json::parse(ran.out);
    for (const json& one : told["pieces"][0]["yarns"]) {
      if (one["yarn"] == yarn) return one["mass_g"]["mid"].get<double>();
    }
    ADD_FAILURE() << yarn;
    return 1.0;
  }

  /// So many strips, each by a factor from what is expected.
  void weave(int count, double times, int stray = -1, double strays = 3.0) const {
    const std::string yarns[] = {"rug-wool-ash", "rug-wool-rust"};
    std::string text = kHead;
    for (int i = 0; i < count; ++i) {
      const std::string& yarn = yarns[i % 2];
      const int rows = 70 + 10 * (i % 4);
      const double own = 1.0 + 0.01 * (i % 3 - 1);
      const double grams = expected_g(yarn, rows) * times * own * (i == stray ? strays : 1.0);
      char used[32];
      std::snprintf(used, sizeof used, "%.2f", grams);
      text += "s" + std::to_string(i + 1) + ",2026-05-" + std::to_string(10 + i) +
              ",notched board,seine-12-6,45,weave," + yarn + "," + std::to_string(rows) + ",0.01," +
              used + ",on the loom,\n";
    }
    write_text(folder_ / "demo/swatches.csv", text);
  }

  json estimate(const std::string& options = "") const {
    const Ran ran = run("estimate demo/pieces/wrackline.toml --json " + options);
    EXPECT_EQ(ran.status, 0) << ran.told;
    return json::parse(ran.out);
  }

  /// Of rug-wool-ash in a piece.
  static json ash(const json& estimate) {
    for (const json& one : estimate["pieces"][0]["yarns"]) {
      if (one["yarn"] == "rug-wool-ash") return one["mass_g"];
    }
    return {};
  }

  bool is_there(const std::string& file) const {
    return std::filesystem::exists(folder_ / "demo" / file);
  }
};

TEST_F(Calibrate, WithoutSwatchesHasNoAnswerAndKeepsNothing) {
  const auto before = contents(folder_ / "demo");
  const Ran ran = run("calibrate demo");
  EXPECT_EQ(ran.status, 1);
  EXPECT_EQ(ran.out, "");
  EXPECT_THAT(ran.told, HasSubstr("Nothing is measured in demo yet"));
  EXPECT_EQ(contents(folder_ / "demo"), before);
  write_text(folder_ / "demo/swatches.csv", kHead);
  EXPECT_EQ(run("calibrate demo").status, 1);
  EXPECT_FALSE(is_there("calibration.json"));
}

TEST_F(Calibrate, OfOneSwatchPromisesNothing) {
  weave(1, 1.2);
  const Ran ran = run("calibrate demo");
  EXPECT_EQ(ran.status, 0) << ran.told;
  EXPECT_THAT(ran.out, HasSubstr("With your 1 swatch estimates lean towards your hand"));
  EXPECT_THAT(ran.out, Not(HasSubstr("each foretold by the others")));
  EXPECT_THAT(run("estimate demo/pieces/wrackline.toml").out,
              HasSubstr("Ranges learned from 1 swatch up to"));
  EXPECT_THAT(run("estimate demo/pieces/wrackline.toml").out,
              HasSubstr("Still a stranger's hand in weaving"));
}

TEST_F(Calibrate, OfTwoSwatchesTriesEachOnTheOther) {
  weave(2, 1.2);
  const Ran ran = run("calibrate demo");
  EXPECT_EQ(ran.status, 0) << ran.told;
  EXPECT_THAT(ran.out, HasSubstr("With your 2 swatches a weave estimate is typically"));
  EXPECT_THAT(run("estimate demo/pieces/wrackline.toml").out, Not(HasSubstr("in weaving")));
}

TEST_F(Calibrate, TellsWhatItFoundAndEstimatesUseIt) {
  weave(8, 1.2);
  const json start = estimate();
  EXPECT_TRUE(start["calibration"].is_null());
  const Ran ran = run("calibrate demo");
  ASSERT_EQ(ran.status, 0) << ran.told;
  EXPECT_EQ(ran.out.rfind("With your 8 swatches a weave estimate is typically ", 0), 0U);
  EXPECT_THAT(ran.out, testing::ContainsRegex("% off instead of 2[0-3] %\\."));
  // Eight times a fifth more, hand and weaving together: known to some hundredths.
  EXPECT_THAT(ran.out, testing::ContainsRegex("\n  yarn laid in weaving +x 1\\.(1[7-9]|2[0-2]) "));
  EXPECT_THAT(ran.out, HasSubstr("To know more"));
  EXPECT_THAT(ran.told, HasSubstr("Kept as demo/calibration.json"));

  const json now = estimate();
  EXPECT_EQ(now["calibration"]["swatches"], 8);
  EXPECT_EQ(now["calibration"]["up_to_date"], true);
  // Most of a surplus seen eight times is believed, and the range closes by half and more.
  const double ratio = ash(now)["mid"].get<double>() / ash(start)["mid"].get<double>();
  EXPECT_GT(ratio, 1.12);
  EXPECT_LT(ratio, 1.25);
  const auto width = [](const json& mass) {
    return mass["high"].get<double>() / mass["low"].get<double>();
  };
  EXPECT_LT(std::log(width(ash(now))), 0.5 * std::log(width(ash(start))));
  EXPECT_EQ(estimate("--starting"), start);
}

TEST_F(Calibrate, TotalsOfPiecesUseItToo) {
  weave(8, 1.2);
  const auto sum = [&](const std::string& options) {
    const Ran ran =
        run("estimate demo/pieces/wrackline.toml demo/pieces/saltmarsh.toml --json " + options);
    const json told = json::parse(ran.out);
    for (const json& one : told["totals"][0]["yarns"]) {
      if (one["yarn"] == "rug-wool-ash") return one["mass_g"];
    }
    return json();
  };
  ASSERT_EQ(run("calibrate demo").status, 0);
  const json now = sum("");
  const json start = sum("--starting");
  EXPECT_GT(now["mid"].get<double>(), 1.1 * start["mid"].get<double>());
  EXPECT_LT(now["high"].get<double>() / now["low"].get<double>(),
            start["high"].get<double>() / start["low"].get<double>());
}

TEST_F(Calibrate, SaysWhenSwatchesHaveChangedSince) {
  weave(3, 1.1);
  ASSERT_EQ(run("calibrate demo").status, 0);
  EXPECT_THAT(run("estimate demo/pieces/wrackline.toml").out, Not(HasSubstr("changed since")));
  weave(4, 1.1);
  EXPECT_THAT(run("estimate demo/pieces/wrackline.toml").out,
              HasSubstr("Swatches have changed since; run ellwand calibrate."));
  EXPECT_EQ(estimate()["calibration"]["up_to_date"], false);
}

TEST_F(Calibrate, OnTrialKeepsNothing) {
  weave(3, 1.1);
  const auto before = contents(folder_ / "demo");
  EXPECT_EQ(run("calibrate demo --dry-run").status, 0);
  EXPECT_EQ(contents(folder_ / "demo"), before);
}

TEST_F(Calibrate, GoesBackAndForth) {
  EXPECT_EQ(run("calibrate demo --back").status, 3);
  weave(3, 1.1);
  ASSERT_EQ(run("calibrate demo").status, 0);
  const std::string first = text_of(folder_ / "demo/calibration.json");
  EXPECT_EQ(run("calibrate demo --back").status, 3);
  EXPECT_EQ(text_of(folder_ / "demo/calibration.json"), first);
  const Ran same = run("calibrate demo");
  EXPECT_THAT(same.told, HasSubstr("says the same already"));
  EXPECT_FALSE(is_there("calibration-before.json"));
  weave(5, 1.1);
  ASSERT_EQ(run("calibrate demo").status, 0);
  const std::string second = text_of(folder_ / "demo/calibration.json");
  EXPECT_EQ(text_of(folder_ / "demo/calibration-before.json"), first);
  EXPECT_THAT(run("calibrate demo --back").told, HasSubstr("by 3 swatches holds again"));
  EXPECT_EQ(text_of(folder_ / "demo/calibration.json"), first);
  EXPECT_EQ(run("calibrate demo --back").status, 0);
  EXPECT_EQ(text_of(folder_ / "demo/calibration.json"), second);
  EXPECT_EQ(run("calibrate demo --back --json").status, 2);
}

TEST_F(Calibrate, ThatCannotBeReadStopsEstimatesAndIsLeftAsItIs) {
  weave(3, 1.1);
  write_text(folder_ / "demo/calibration.json", "{ \"schema\": 7 }");
  const Ran ran = run("estimate demo/pieces/wrackline.toml");
  EXPECT_EQ(ran.status, 3);
  EXPECT_THAT(ran.told, HasSubstr("demo/calibration.json: schema is 7, and this program reads 1"));
  EXPECT_EQ(run("estimate demo/pieces/wrackline.toml --starting").status, 0);
  EXPECT_EQ(run("calibrate demo").status, 3);
  EXPECT_EQ(text_of(folder_ / "demo/calibration.json"), "{ \"schema\": 7 }");
}

/// One of three is half as heavy again, which a hand may be: each of the others is foretold by it
/// and worse for it, and three are too few for a verdict.
TEST_F(Calibrate, OfFewThatAreWorseSaysThatTheyCannotTell) {
  weave(3, 1.0, 0, 1.5);
  EXPECT_THAT(run("calibrate demo").out,
              HasSubstr("With your 3 swatches it cannot be told yet whether a weave estimate is "
                        "nearer than by the starting values: of 3 amounts left out the difference "
                        "may be chance; more swatches will tell."));
}

TEST_F(Calibrate, NamesTheSwatchThatIsFarOff) {
  weave(12, 1.1, 4);
  const Ran ran = run("calibrate demo");
  EXPECT_EQ(ran.status, 0);
  EXPECT_THAT(ran.out, HasSubstr("Out of line\n  s5 (demo/swatches.csv:6): used_g is "));
  EXPECT_THAT(ran.out, HasSubstr(", where your other swatches lead to expect "));
  EXPECT_THAT(ran.out, HasSubstr("It counts for nothing until it is put right, or another swatch "
                                 "says the same."));
}

/// What a weaver needs comes first and by itself; figures of the trade of statistics on asking.
TEST_F(Calibrate, TellsWhatItRestsOnWhenAsked) {
  weave(8, 1.2);
  const std::string plain = run("calibrate demo").out;
  EXPECT_THAT(plain, HasSubstr("known by your swatches"));
  EXPECT_THAT(plain, HasSubstr("Still the starting value, what is widest open first\n"));
  EXPECT_THAT(plain, HasSubstr("\nellwand calibrate demo --dry-run --why tells every figure"));
  for (const char* word : {"settled", "CRPS", "interval"}) {
    EXPECT_THAT(plain, Not(HasSubstr(word)));
  }
  const std::string why = run("calibrate demo --dry-run --why").out;
  EXPECT_EQ(why.rfind(plain.substr(0, plain.find('\n')), 0), 0U);
  EXPECT_THAT(why, HasSubstr("ways in which these can stray together"));
  EXPECT_THAT(why, HasSubstr("CRPS"));
  EXPECT_EQ(run("calibrate demo --why --back").status, 2);
}

TEST_F(Calibrate, TellsMachinesTheSame) {
  weave(4, 1.2);
  const Ran ran = run("calibrate demo --json");
  ASSERT_EQ(ran.status, 0) << ran.told;
  const json told = json::parse(ran.out);
  EXPECT_EQ(told["schema"], 1);
  EXPECT_EQ(told["calibration"]["swatches"], 4);
  EXPECT_EQ(told["left_out"][0]["work"], "weave");
  EXPECT_EQ(told["left_out"][0]["amounts"], 4);
  EXPECT_EQ(told["pieces_by_work"]["take.weave"], 4);
  EXPECT_EQ(told["influences"].size(), 4U);
}

TEST_F(Calibrate, HoldsKeptEstimatesAgainstWhatWasUsed) {
  ASSERT_EQ(run("estimate demo/pieces/wrackline.toml --freeze -o now.json --json").status, 0);
  const double high = ash(json::parse(text_of(folder_ / "now.json")))["high"].get<double>();
  char used[32];
  std::snprintf(used, sizeof used, "%.2f", high + 3.0);
  const std::string piece = text_of(folder_ / "demo/pieces/wrackline.toml");
  write_text(folder_ / "demo/pieces/wrackline.toml",
             piece + "\n[[measured]]\nyarn = \"rug-wool-ash\"\nused_g = " + used + "\n");
  const Ran ran = run("calibrate demo");
  EXPECT_EQ(ran.status, 0) << ran.told;
  EXPECT_THAT(ran.out, HasSubstr("Kept estimates against what was used: 0 of your last one inside; "
                                 "rug-wool-ash of wrackline 3.0 g over."));
}

/// `script` gives it a terminal. A thousand swatches take seconds in the build the tests are of.
TEST_F(Calibrate, SaysOnATerminalWhatItIsDoingWhileItTakesLong) {
  std::string rows = kHead;
  for (int i = 0; i < 1000; ++i) {
    const std::string grams = std::to_string(12.0 + 0.01 * (i % 97));
    rows += "s" + std::to_string(i) +
            ",2026-03-01,notched board,seine-12-6,60,weave,rug-wool-ash,60,1," + grams + ",,\n";
  }
  write_text(folder_ / "demo/swatches.csv", rows);
  const std::string at = "cd '" + folder_.string() + "' && ";
  const std::string call = "'" + program_file() + "' calibrate demo --dry-run";
  ASSERT_EQ(
      std::system((at + "script -qec \"" + call + "\" /dev/null </dev/null >seen.txt").c_str()), 0);
  const std::string seen = text_of(folder_ / "seen.txt");
  const std::size_t told = seen.find("\rF");  // "Fitting..." or "Foretelling..."
  ASSERT_NE(told, std::string::npos) << seen;
  EXPECT_THAT(seen, HasSubstr(", 1 s"));
  EXPECT_NE(seen.find("  \r", told), std::string::npos) << "it is not wiped out";
  const Ran ran = run("calibrate demo --dry-run");
  EXPECT_EQ(ran.status, 0);
  EXPECT_THAT(ran.out + ran.told, Not(HasSubstr(", 1 s")));
}

}  // namespace
}  // namespace ellwand::test
