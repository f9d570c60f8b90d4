// The verbs as she calls them: what they print, where, and with which status.

#include <gtest/gtest.h>

#include <sys/wait.h>
#include <unistd.h>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

namespace {

namespace fs = std::filesystem;
using nlohmann::json;

struct Ran {
  int status;
  std::string out;
  std::string told;
};

std::string text_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

/// A fresh folder with the demo studio in it, in which commands run.
class Verbs : public testing::Test {
 protected:
  void SetUp() override {
    const auto* test = testing::UnitTest::GetInstance()->current_test_info();
    folder_ = fs::temp_directory_path() /
              ("ellwand-verbs-" + std::to_string(getpid()) + "-" + test->name());
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    ASSERT_EQ(run("start demo --demo").status, 0);
  }
  void TearDown() override { fs::remove_all(folder_); }

  /// `ellwand ARGUMENTS`, split as a shell splits them.
  Ran run(const std::string& arguments, const std::string& redirect = "") const {
    const std::string out =
        redirect.empty() ? " >'" + (folder_ / "out.txt").string() + "'" : redirect;
    const std::string command = "cd '" + folder_.string() + "' && '" + ELLWAND_PROGRAM + "' " +
                                arguments + out + " 2>'" + (folder_ / "told.txt").string() + "'";
    const int status = std::system(command.c_str());
    return {WEXITSTATUS(status), redirect.empty() ? text_of(folder_ / "out.txt") : "",
            text_of(folder_ / "told.txt")};
  }

  fs::path folder_;
};

constexpr const char* kSaltmarsh = "demo/pieces/saltmarsh.toml";

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
  EXPECT_EQ(run("estimate").status, 2);
  EXPECT_EQ(run("start").status, 2);
}

TEST_F(Verbs, TellExamplesFirstInTheirHelp) {
  for (const char* verb : {"start", "estimate"}) {
    const Ran ran = run(std::string(verb) + " --help");
    EXPECT_EQ(ran.status, 0);
    EXPECT_EQ(ran.out.rfind(std::string("  ellwand ") + verb, 0), 0U) << ran.out;
  }
}

TEST_F(Verbs, StartMakesNoStudioWhereFilesAre) {
  const std::string before = text_of(folder_ / "demo/yarns.csv");
  const Ran ran = run("start demo");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.told,
            "demo: this folder has files in it, and a studio is only made in an empty one; name "
            "another folder\n");
  EXPECT_EQ(text_of(folder_ / "demo/yarns.csv"), before);
}

TEST_F(Verbs, StartMakesAnEmptyStudioThatTellsWhatItLacks) {
  ASSERT_EQ(run("start 'my studio'").status, 0);
  const Ran ran = run("estimate 'my studio'");
  EXPECT_EQ(ran.status, 3);
  EXPECT_NE(ran.told.find("my studio/pieces: there is no piece here"), std::string::npos);
}

TEST_F(Verbs, EstimateEveryPieceOfAStudio) {
  const json all = json::parse(run("estimate demo --json").out);
  ASSERT_EQ(all["pieces"].size(), 2U);
  EXPECT_EQ(all["pieces"][0]["piece"], "saltmarsh");
  EXPECT_EQ(all["pieces"][1]["piece"], "sedge");
}

TEST_F(Verbs, MachineOutputHasEveryFieldByItsName) {
  const json all = json::parse(run(std::string("estimate --json ") + kSaltmarsh).out);
  EXPECT_EQ(all.at("schema"), 1);
  EXPECT_EQ(all.at("engine"), "0.1.0");
  EXPECT_TRUE(all.at("calibration").is_null());
  const json& piece = all.at("pieces").at(0);
  for (const json& yarn : piece.at("yarns")) {
    for (const char* field : {"yarn", "plan_m", "mean_m", "set_aside_m", "set_aside_g", "put_ups",
                              "left_over_m", "chance_short"}) {
      EXPECT_TRUE(yarn.contains(field)) << field;
    }
    for (const char* range : {"length_m", "mass_g"}) {
      for (const char* point : {"low", "mid", "high"}) {
        EXPECT_TRUE(yarn.at(range).at(point).is_number()) << range << " " << point;
      }
    }
  }
  EXPECT_TRUE(piece.at("chance_any_short").is_number());
  for (const json& band : piece.at("bands")) {
    for (const char* field :
         {"band", "work", "yarn", "rows", "height_cm", "length_m", "causes_m"}) {
      EXPECT_TRUE(band.contains(field)) << field;
    }
  }
  for (const json& cut : piece.at("cuts")) {
    for (const char* field : {"what", "yarn", "count", "length_cm"}) {
      EXPECT_TRUE(cut.contains(field)) << field;
    }
  }
  for (const char* state : {"loom", "off_loom", "finished"}) {
    EXPECT_TRUE(piece.at("size").at(state).at("width_cm").is_number());
    EXPECT_TRUE(piece.at("size").at(state).at("height_cm").is_number());
  }
  for (const char* field : {"piece", "warp_left_cm", "warnings", "cautions"}) {
    EXPECT_TRUE(piece.contains(field)) << field;
  }
}

/// The last number of a line.
double last_number(const std::string& line) {
  return std::stod(line.substr(line.find_last_of(' ') + 1));
}

/// The lines above "= the plan", added up, and the plan; for each table of an answer.
std::vector<std::pair<double, double>> sums_and_plans(const std::string& answer) {
  std::vector<std::pair<double, double>> found;
  std::istringstream lines(answer);
  double sum = 0.0;
  bool heading = true;
  for (std::string line; std::getline(lines, line);) {
    if (line.rfind("  = the plan", 0) == 0) {
      found.emplace_back(sum, last_number(line));
      sum = 0.0;
    } else if (line.empty()) {
      heading = true;
      sum = 0.0;
    } else if (heading) {
      heading = false;
    } else if (line.rfind("  ", 0) == 0 && line.find_last_of("0123456789") == line.size() - 1) {
      sum += last_number(line);
    }
  }
  return found;
}

TEST_F(Verbs, EveryFigureOpensToCausesThatAddUp) {
  for (const char* name : {"saltmarsh", "sedge"}) {
    const std::string path = std::string("demo/pieces/") + name + ".toml";
    const json piece = json::parse(run("estimate --json " + path).out)["pieces"][0];
    std::vector<std::string> figures = {"warp", "waste"};
    for (const json& yarn : piece["yarns"]) figures.push_back(yarn["yarn"]);
    for (const json& band : piece["bands"]) {
      if (band["band"] > 0) figures.push_back("band " + std::to_string(band["band"].get<int>()));
    }
    for (const std::string& figure : figures) {
      SCOPED_TRACE(path + " " + figure);
      const Ran ran = run("estimate " + path + " --why '" + figure + "'");
      EXPECT_EQ(ran.status, 0) << ran.told;
      const auto tables = sums_and_plans(ran.out);
      EXPECT_FALSE(tables.empty());
      for (const auto& [sum, plan] : tables) {
        EXPECT_NEAR(sum, plan, 0.02);  // some twenty lines, each rounded to a millimetre
      }
    }
    for (const char* figure : {"size", "room"}) {
      EXPECT_EQ(run("estimate " + path + " --why " + figure).status, 0);
    }
  }
}

TEST_F(Verbs, AFigureThatIsNotThereIsRefusedWithThoseThatAre) {
  const Ran ran = run(std::string("estimate --why rug-wool-rsut ") + kSaltmarsh);
  EXPECT_EQ(ran.status, 2);
  EXPECT_NE(ran.told.find("did you mean 'rug-wool-rust'? --why takes one of: 'warp'"),
            std::string::npos)
      << ran.told;
}

TEST_F(Verbs, FreezeKeepsEveryEstimateApart) {
  ASSERT_EQ(run(std::string("estimate --freeze ") + kSaltmarsh).status, 0);
  ASSERT_EQ(run(std::string("estimate --freeze ") + kSaltmarsh).status, 0);
  std::size_t kept = 0;
  for (const auto& entry : fs::directory_iterator(folder_ / "demo/estimates")) {
    const json frozen = json::parse(text_of(entry.path()));
    EXPECT_EQ(frozen["pieces"][0]["piece"], "saltmarsh");
    EXPECT_EQ(frozen["frozen"].get<std::string>().size(), 10U);
    ++kept;
  }
  EXPECT_EQ(kept, 2U);
}

TEST_F(Verbs, AFullDiskBehindTheResultIsTold) {
  const Ran ran = run(std::string("estimate ") + kSaltmarsh, " >/dev/full");
  EXPECT_EQ(ran.status, 1);
  EXPECT_EQ(ran.told, "ellwand: the result could not be written out\n");
}

TEST_F(Verbs, WriteToAFileWhenAsked) {
  const std::string printed = run(std::string("estimate ") + kSaltmarsh).out;
  ASSERT_EQ(run(std::string("estimate -o result.txt ") + kSaltmarsh).status, 0);
  EXPECT_EQ(text_of(folder_ / "result.txt"), printed);
}

TEST_F(Verbs, ShowTheUnitsOfTheStudio) {
  std::string toml = text_of(folder_ / "demo/studio.toml");
  for (const auto& [from, to] :
       std::vector<std::pair<std::string, std::string>>{{"length = \"cm\"", "length = \"in\""},
                                                        {"yarn = \"m\"", "yarn = \"yd\""},
                                                        {"mass = \"g\"", "mass = \"oz\""}}) {
    toml.replace(toml.find(from), from.size(), to);
  }
  std::ofstream(folder_ / "demo/studio.toml") << toml;
  const std::string shown = run(std::string("estimate ") + kSaltmarsh).out;
  EXPECT_NE(shown.find("yd (9 times in 10)"), std::string::npos);
  EXPECT_NE(shown.find("oz (9 times in 10)"), std::string::npos);
  EXPECT_NE(shown.find(" in on the loom"), std::string::npos);
}

TEST_F(Verbs, PrintNoMoreDigitsThanTheRangeSupports) {
  // "23 (14 to 38)": a printed fraction's last place is not under a tenth of half the range; whole
  // units stand while half the range is under fifty of them.
  std::istringstream lines(run("estimate demo").out);
  int ranges = 0;
  for (std::string line; std::getline(lines, line);) {
    const std::size_t open = line.find(" (");
    const std::size_t to = line.find(" to ", open);
    if (open == std::string::npos || to == std::string::npos) continue;
    const std::string low = line.substr(open + 2, to - open - 2);
    if (low.find_first_not_of("0123456789.") != std::string::npos) continue;
    const double half = 0.5 * (std::stod(line.substr(to + 4)) - std::stod(low));
    const std::size_t point = low.find('.');
    const std::size_t decimals = point == std::string::npos ? 0 : low.size() - point - 1;
    EXPECT_GE(std::pow(10.0, -static_cast<double>(decimals)), std::min(1.0, 0.1 * half)) << line;
    if (half >= 60.0) {
      EXPECT_EQ(std::fmod(std::stod(low), 10.0), 0.0) << line;
    }
    ++ranges;
  }
  EXPECT_GT(ranges, 10);
}

}  // namespace
