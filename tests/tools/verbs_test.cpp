// The verbs as she calls them: what they print, where, and with which status.

#include "program.hpp"
#include "support/where.hpp"

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <nlohmann/json.hpp>

#include <set>
#include <sstream>

namespace ellwand::test {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

class Verbs : public Program {};

TEST_F(Verbs, AreListedWhenNoneIsGiven) {
  const Ran ran = run("");
  EXPECT_EQ(ran.status, 2);
  EXPECT_NE(ran.out.find("How much yarn will this piece take?"), std::string::npos);
  EXPECT_EQ(run("--help").status, 0);
  EXPECT_EQ(run("--version").out, "ellwand 0.1.0\n");
}

TEST_F(Verbs, ThatAreMisspeltAreGuessedAt) {
  const Ran ran = run("estimat demo");
  EXPECT_EQ(ran.status, 2);
  EXPECT_EQ(ran.out, "");
  EXPECT_EQ(ran.told,
            "ellwand: there is no verb 'estimat'; did you mean 'estimate'? ellwand --help lists "
            "them.\n");
}

TEST_F(Verbs, RefuseOptionsTheyDoNotHave) {
  EXPECT_EQ(run("estimate demo --jsno").told,
            "ellwand: there is no option --jsno; did you mean '--json'? --help lists them.\n");
  EXPECT_EQ(run("estimate demo --json --json").told,
            "ellwand: --json is given twice; give it once\n");
}

TEST_F(Verbs, SayWhatAnOptionNeeds) {
  const std::string estimate = std::string("estimate ") + kSaltmarsh;
  for (const char* bare : {" --why", " --why="}) {
    const Ran ran = run(estimate + bare);
    EXPECT_EQ(ran.status, 2);
    EXPECT_EQ(ran.told, "ellwand: --why needs a value; write --why FIGURE\n");
  }
  EXPECT_EQ(run(estimate + " -o").told, "ellwand: --output needs a value; write --output FILE\n");
  EXPECT_EQ(run(estimate + " --json=yes").told,
            "ellwand: --json takes no value; write --json alone\n");
  const Ran both = run(estimate + " --json --why warp");
  EXPECT_EQ(both.status, 2);
  EXPECT_EQ(both.told,
            "ellwand: --why and --json do not go together; --json has the causes of every "
            "figure\n");
}

TEST_F(Verbs, SayThatABandStandsInQuotes) {
  const Ran ran = run(std::string("estimate ") + kSaltmarsh + " --why band 3");
  EXPECT_EQ(ran.status, 2);
  EXPECT_EQ(ran.out, "");
  EXPECT_EQ(ran.told, "ellwand: a figure of two words stands in quotes; write --why 'band 3'\n");
}

TEST_F(Verbs, SayWhatTheyAreFor) {
  const Ran estimate = run("estimate");
  EXPECT_EQ(estimate.status, 2);
  EXPECT_EQ(estimate.told,
            "ellwand: estimate takes a studio folder or piece files, as in: ellwand estimate "
            "my-studio/pieces/saltmarsh.toml\n");
  const Ran start = run("start one two");
  EXPECT_EQ(start.status, 2);
  EXPECT_EQ(start.told, "ellwand: start takes one folder, as in: ellwand start my-studio\n");
  EXPECT_FALSE(fs::exists(folder_ / "one"));
}

TEST_F(Verbs, ComeFirst) {
  const Ran piece = run(kSaltmarsh);
  EXPECT_EQ(piece.status, 2);
  EXPECT_EQ(piece.told, std::string("ellwand: a verb comes first, as in: ellwand estimate ") +
                            kSaltmarsh + "\n");
  EXPECT_EQ(run("--json estimate demo").told,
            "ellwand: '--json' stands where a verb should; options come after the verb. ellwand "
            "--help lists the verbs.\n");
}

TEST_F(Verbs, TakeNoOptionsAfterTwoDashes) {
  fs::copy_file(folder_ / kSaltmarsh, folder_ / "demo/pieces/--json");
  const Ran file = run_in("demo/pieces", "estimate -- --json");
  EXPECT_EQ(file.status, 0) << file.told;
  EXPECT_EQ(file.out.rfind("Saltmarsh\n", 0), 0U) << file.out;
  EXPECT_EQ(run_in("demo/pieces", "estimate --json").status, 2);
  EXPECT_EQ(run("estimate -- --help").status, 3);  // a file of that name, not the help
}

TEST_F(Verbs, TellExamplesFirstInTheirHelp) {
  for (const char* verb : {"start", "estimate"}) {
    const Ran ran = run(std::string(verb) + " --help");
    EXPECT_EQ(ran.status, 0);
    EXPECT_EQ(ran.out.rfind(std::string("  ellwand ") + verb, 0), 0U) << ran.out;
    EXPECT_EQ(run(std::string(verb) + " -h").out, ran.out);
    EXPECT_EQ(run(std::string("help ") + verb).out, ran.out);
  }
}

TEST_F(Verbs, StartMakesNoStudioWhereFilesAre) {
  const auto before = contents(folder_ / "demo");
  const Ran ran = run("start demo");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.told,
            "demo: this folder has files in it, and a studio is only made in an empty one; name "
            "another folder\n");
  EXPECT_EQ(run("start demo --demo").status, 3);
  EXPECT_EQ(run_in("demo", "start .").status, 3);
  const Ran nameless = run_in("demo", "start ''");  // as from a shell's variable that is not set
  EXPECT_EQ(nameless.status, 2);
  EXPECT_EQ(nameless.told, "ellwand: start takes one folder, as in: ellwand start my-studio\n");
  EXPECT_EQ(contents(folder_ / "demo"), before);
}

TEST_F(Verbs, StartLeavesAFileInItsWay) {
  const std::string before = text_of(folder_ / "demo/yarns.csv");
  const Ran named = run("start demo/yarns.csv");
  EXPECT_EQ(named.status, 3);
  EXPECT_EQ(named.told,
            "demo/yarns.csv: this is a file; name a folder that is not there yet, or an empty "
            "one\n");
  EXPECT_EQ(run("start demo/yarns.csv/mine").status, 3);
  EXPECT_EQ(text_of(folder_ / "demo/yarns.csv"), before);
}

TEST_F(Verbs, StartCopiesTheDemo) {
  const Ran ran = run("start 'by the sea' --demo");
  EXPECT_EQ(ran.status, 0);
  EXPECT_EQ(ran.out, "");
  EXPECT_EQ(ran.told,
            "Made the studio by the sea.\nNext: ellwand estimate 'by the "
            "sea/pieces/saltmarsh.toml'\n");
  EXPECT_EQ(contents(folder_ / "by the sea"), contents(test::source_folder() + "/data/demo"));
}

TEST_F(Verbs, StartMakesAnEmptyStudioThatTellsWhatItLacks) {
  fs::create_directories(folder_ / "my studio");  // there, and empty
  ASSERT_EQ(run("start 'my studio'").status, 0);
  const Ran ran = run("estimate 'my studio'");
  EXPECT_EQ(ran.status, 3);
  EXPECT_NE(ran.told.find("my studio/pieces: there is no piece here"), std::string::npos);
}

TEST_F(Verbs, EstimateEveryPieceOfAStudio) {
  const json all = json::parse(run("estimate demo --json").out);
  ASSERT_EQ(all["pieces"].size(), 6U);
  EXPECT_EQ(all["pieces"][0]["piece"], "saltmarsh");
  EXPECT_EQ(all["pieces"][1]["piece"], "sedge");
}

TEST_F(Verbs, DrawHowSureEachYarnIs) {
  const Ran ran = run(std::string("estimate --plot ") + kSaltmarsh);
  EXPECT_EQ(ran.status, 0);
  std::istringstream lines(ran.out);
  std::size_t yarns = 0;
  std::set<std::size_t> middles;
  for (std::string line; std::getline(lines, line);) {
    if (line.rfind("  ", 0) != 0 || line.find('[') == std::string::npos) continue;
    ++yarns;
    EXPECT_LT(line.find('['), line.find(']')) << line;
    EXPECT_LE(line.size(), 100U) << line;
    const std::size_t middle =
        line.find(']') == std::string::npos ? 0 : line.rfind('o', line.find(']'));
    middles.insert(middle);
  }
  EXPECT_EQ(yarns, 7U);
  EXPECT_EQ(middles.size(), 1U) << "the middle figures stand one under the other\n" << ran.out;
  EXPECT_EQ(run("estimate --plot --order demo").status, 2);
  EXPECT_EQ(run("estimate --plot --json demo").status, 2);
}

TEST_F(Verbs, LeaveAWovenPieceOutOfTheSumOfThoseToCome) {
  const std::string sedge = "demo/pieces/sedge.toml";
  const std::string woven = text_of(folder_ / sedge) + "\n[[measured]]\nheight_cm = 81.0\n";
  write_text(folder_ / sedge, woven);
  EXPECT_NE(run("estimate demo").out.find("All 6 pieces together"), std::string::npos);
  write_text(folder_ / sedge, with(woven, "planned = true", "planned = false"));
  const std::string told = run("estimate demo").out;
  EXPECT_NE(told.find("All 5 pieces together"), std::string::npos);
  EXPECT_NE(told.find("\nIn no such sum, being woven and measured: Sedge.\n"), std::string::npos);
  const json all = json::parse(run("estimate demo --json").out);
  EXPECT_EQ(all["pieces"].size(), 6U);
  EXPECT_EQ(
      all["totals"][0]["pieces"],
      (std::vector<std::string>{"saltmarsh", "shingle", "tideline", "undertow", "wrackline"}));
}

TEST_F(Verbs, AFigureThatIsNotThereIsRefusedWithThoseThatAre) {
  const Ran ran = run(std::string("estimate --why rug-wool-rsut ") + kSaltmarsh);
  EXPECT_EQ(ran.status, 2);
  EXPECT_NE(ran.told.find("did you mean 'rug-wool-rust'? --why takes one of: 'warp'"),
            std::string::npos)
      << ran.told;
}

TEST_F(Verbs, FreezeAddsOneFileAndChangesNoOther) {
  const auto before = contents(folder_ / "demo");
  const Ran first = run(std::string("estimate --freeze ") + kSaltmarsh);
  ASSERT_EQ(first.status, 0);
  const std::string kept = first.told.substr(8, first.told.size() - 9);  // "Kept as FILE\n"
  EXPECT_EQ(first.told, "Kept as " + kept + "\n");
  const json frozen = json::parse(text_of(folder_ / kept));
  const std::string date = frozen.at("frozen").get<std::string>();
  EXPECT_EQ(kept, "demo/estimates/saltmarsh-" + date + ".json");
  EXPECT_EQ(frozen.at("pieces").at(0),
            json::parse(run(std::string("estimate --json ") + kSaltmarsh).out).at("pieces").at(0));
  auto after = contents(folder_ / "demo");
  EXPECT_EQ(after.erase("estimates"), 1U);
  EXPECT_EQ(after.erase("estimates/saltmarsh-" + date + ".json"), 1U);
  EXPECT_EQ(after, before);
}

/// A time that stands for now while it lives, as every program started meanwhile sees it.
class StatedTime {
 public:
  explicit StatedTime(const char* seconds) { ::setenv("SOURCE_DATE_EPOCH", seconds, 1); }
  ~StatedTime() { ::unsetenv("SOURCE_DATE_EPOCH"); }
};

// The days are the calendar's: date -u -d @SECONDS +%F.
TEST_F(Verbs, TheDayIsThatOfSourceDateEpochWhereStated) {
  const auto frozen_on = [&](const char* seconds) {
    fs::remove_all(folder_ / "demo/estimates");
    const StatedTime stated(seconds);
    EXPECT_EQ(run(std::string("estimate --freeze ") + kSaltmarsh).status, 0);
    return fs::directory_iterator(folder_ / "demo/estimates")->path().stem().string();
  };
  EXPECT_EQ(frozen_on("0"), "saltmarsh-1970-01-01");
  EXPECT_EQ(frozen_on("1780271999"), "saltmarsh-2026-05-31");
  EXPECT_EQ(frozen_on("1780272000"), "saltmarsh-2026-06-01");
  for (const char* none : {"", "-1", "noon", "1780272000.5", "253402300800"}) {
    const std::string today = frozen_on(none);
    EXPECT_GT(today, "saltmarsh-2026-06-01") << none;
    EXPECT_LT(today, "saltmarsh-9999") << none;
  }
}

TEST_F(Verbs, FreezeAgainOnTheSameDayAddsANumber) {
  const StatedTime noon("1780315200");
  const json frozen = json::parse(R"({"the": "first"})");
  ASSERT_EQ(run(std::string("estimate --freeze ") + kSaltmarsh).status, 0);
  const fs::path first = fs::directory_iterator(folder_ / "demo/estimates")->path();
  write_text(first, frozen.dump());
  const Ran second = run(std::string("estimate --freeze ") + kSaltmarsh);
  const Ran third = run(std::string("estimate --freeze ") + kSaltmarsh);
  const std::string stem = "Kept as demo/estimates/" + first.stem().string();
  EXPECT_EQ(second.told, stem + "-2.json\n");
  EXPECT_EQ(third.told, stem + "-3.json\n");
  EXPECT_EQ(text_of(first), frozen.dump());
}

TEST_F(Verbs, FreezeNothingWhenOnePieceOfSeveralIsRefused) {
  change("demo/pieces/sedge.toml", "sett = \"6 /cm\"", "sett = 6");
  EXPECT_EQ(run("estimate --freeze demo").status, 3);
  EXPECT_FALSE(fs::exists(folder_ / "demo/estimates"));
}

TEST_F(Verbs, AFullDiskBehindTheResultIsTold) {
  const Ran ran = run(std::string("estimate ") + kSaltmarsh, " >/dev/full");
  EXPECT_EQ(ran.status, 1);
  EXPECT_EQ(ran.told, "ellwand: the result could not be written out\n");
}

TEST_F(Verbs, WriteOverNothingButPlainFiles) {
  ASSERT_EQ(::mkfifo((folder_ / "pipe").c_str(), 0600), 0);
  const auto refusal = [&](const std::string& name) {
    const Ran ran = run(std::string("estimate ") + kSaltmarsh + " --freeze -o " + name);
    EXPECT_EQ(ran.status, 3);
    EXPECT_EQ(ran.out, "");
    return ran.told;
  };
  EXPECT_EQ(refusal("demo"), "demo: this is a folder; name a file in it\n");
  EXPECT_EQ(refusal("nowhere/x.txt"),
            "nowhere/x.txt: there is no folder nowhere; make it, or name another file\n");
  EXPECT_EQ(refusal("pipe"),
            "pipe: this is no plain file and is left as it is; name another, or leave -o out to "
            "have the result printed\n");
  EXPECT_TRUE(fs::is_fifo(folder_ / "pipe"));
  EXPECT_FALSE(fs::exists(folder_ / "demo/estimates"));
}

TEST_F(Verbs, WriteToAFileWhenAsked) {
  const std::string printed = run(std::string("estimate ") + kSaltmarsh).out;
  ASSERT_EQ(run(std::string("estimate -o result.txt ") + kSaltmarsh).status, 0);
  EXPECT_EQ(text_of(folder_ / "result.txt"), printed);
}

}  // namespace
}  // namespace ellwand::test
