// ellwand notebook on the demo studio: what is written, that it is written whole or not at all, and
// that the example in notebooks-export is what the program writes.

#include "program.hpp"

#include <gmock/gmock.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <set>
#include <vector>

namespace ellwand::test {
namespace {

using nlohmann::json;
using testing::HasSubstr;

const std::filesystem::path kExample = test::source_folder() + "/notebooks-export/demo";

class Notebook : public Program {
 protected:
  std::set<std::string> names_in(const std::string& folder) const {
    std::set<std::string> names;
    for (const auto& [name, text] : contents(folder_ / folder)) names.insert(name);
    return names;
  }
};

/// Cells of a table without quotes around figures.
std::vector<std::string> cut(const std::string& text) {
  std::vector<std::string> cells(1);
  bool is_quoted = false;
  for (const char c : text) {
    if (c == '"') is_quoted = !is_quoted;
    if (!is_quoted && (c == ',' || c == '\n')) {
      cells.emplace_back();
    } else {
      cells.back() += c;
    }
  }
  return cells;
}

/// The same text, or the same number to six digits: the tables have eight, the last of which may
/// differ between processors that multiply and add in one step and those that do not.
bool is_alike(const std::string& one, const std::string& other) {
  if (one == other) return true;
  char* end_of_one = nullptr;
  char* end_of_other = nullptr;
  const double a = std::strtod(one.c_str(), &end_of_one);
  const double b = std::strtod(other.c_str(), &end_of_other);
  if (one.empty() || other.empty() || *end_of_one != '\0' || *end_of_other != '\0') return false;
  return std::abs(a - b) <= 1e-6 * std::max(std::abs(a), std::abs(b)) + 1e-9;
}

TEST_F(Notebook, WritesTheTablesAndTheNotebook) {
  const auto before = contents(folder_ / "demo");
  const Ran ran = run("notebook demo -o out --date 2026-04-05");
  EXPECT_EQ(ran.status, 0) << ran.told;
  EXPECT_THAT(ran.out, testing::StartsWith("The notebook out/calibration.ipynb has 17 measurements "
                                           "of 13 pieces and 35 coefficients; its learning curve "
                                           "has 12 points, each a fit of its own.\n"));
  EXPECT_EQ(names_in("out"),
            (std::set<std::string>{"calibration.ipynb", "coefficients.csv", "columns.csv",
                                   "covariance.csv", "engine.csv", "learning.csv", "pieces.csv",
                                   "predictions.csv", "swatches.csv"}));
  EXPECT_EQ(contents(folder_ / "demo"), before);
  // Nothing is left of what it was written in: the demo, the export, and what the test itself
  // keeps.
  for (const auto& entry : std::filesystem::directory_iterator(folder_)) {
    EXPECT_NE(entry.path().filename().string().front(), '.') << entry.path();
  }
}

TEST_F(Notebook, IsTheExampleInTheRepository) {
  ASSERT_EQ(run("notebook demo -o out --date 2026-04-05").status, 0);
  const auto written = contents(folder_ / "out");
  const auto example = contents(kExample);
  ASSERT_EQ(example.size(), written.size());
  for (const auto& [name, text] : written) {
    ASSERT_EQ(example.count(name), 1U) << name;
    const auto now = cut(text);
    const auto kept = cut(example.at(name));
    ASSERT_EQ(now.size(), kept.size()) << name << ": write it anew, see notebooks-export/README.md";
    for (std::size_t i = 0; i < now.size(); ++i) {
      ASSERT_TRUE(is_alike(now[i], kept[i]))
          << name << " has now\n"
          << now[i] << "\nand kept is\n"
          << kept[i] << "\nwrite it anew, see notebooks-export/README.md";
    }
  }
}

TEST_F(Notebook, HasNamedCellsAsNotebooksOfFourFive) {
  ASSERT_EQ(run("notebook demo -o out").status, 0);
  const json notebook = json::parse(text_of(folder_ / "out/calibration.ipynb"));
  EXPECT_EQ(notebook["nbformat"], 4);
  EXPECT_EQ(notebook["nbformat_minor"], 5);
  std::set<std::string> ids;
  for (const json& cell : notebook["cells"]) ids.insert(cell["id"].get<std::string>());
  EXPECT_EQ(ids.size(), notebook["cells"].size());
  for (const char* id : {"about", "agreement", "measured", "settled", "learning"}) {
    EXPECT_EQ(ids.count(id), 1U) << id;
  }
  EXPECT_THAT(notebook["cells"][0]["source"][0], HasSubstr("# Tidewater Loft"));
}

TEST_F(Notebook, ReplacesAnEarlierOneOnlyWhenTold) {
  ASSERT_EQ(run("notebook demo -o out --date 2026-04-05").status, 0);
  const auto first = contents(folder_ / "out");
  write_text(folder_ / "out/swatches.csv", "hers\n");
  std::filesystem::create_directory(folder_ / "out/.ipynb_checkpoints");
  const auto hers = contents(folder_ / "out");
  const Ran refused = run("notebook demo -o out --date 2026-04-05");
  EXPECT_EQ(refused.status, 3);
  EXPECT_EQ(refused.told,
            "out: there is swatches.csv in it already; name a new folder, or give --again to have "
            "what was exported before replaced, changes made to it as well\n");
  EXPECT_EQ(contents(folder_ / "out"), hers);
  EXPECT_EQ(run("notebook demo -o out/ --date 2026-04-05 --again").status, 0);
  EXPECT_EQ(contents(folder_ / "out"), first);
}

TEST_F(Notebook, NeverTakesAwayWhatIsNotItsOwn) {
  ASSERT_EQ(run("notebook demo -o out").status, 0);
  write_text(folder_ / "out/thoughts.txt", "mine\n");
  const Ran ran = run("notebook demo -o out --again");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.told,
            "out: there is thoughts.txt in it, which is no part of an export; name a new folder or "
            "an empty one\n");
  std::filesystem::rename(folder_ / "out/thoughts.txt", folder_ / "out/.git");
  EXPECT_EQ(run("notebook demo -o out --again").status, 3);
  EXPECT_EQ(text_of(folder_ / "out/.git"), "mine\n");
}

TEST_F(Notebook, TakesAnEmptyFolderAndOneWithinTheStudio) {
  std::filesystem::create_directory(folder_ / "empty");
  EXPECT_EQ(run("notebook demo -o empty").status, 0);
  EXPECT_EQ(run("notebook demo -o demo/for-the-analyst").status, 0);
  EXPECT_EQ(run("estimate demo").status, 0);
}

TEST_F(Notebook, LeavesNothingWhereItCannotWrite) {
  const auto before = contents(folder_ / "demo");
  const Ran ran = run("notebook demo -o demo/studio.toml/out");
  EXPECT_EQ(ran.status, 3) << ran.told;
  EXPECT_EQ(contents(folder_ / "demo"), before);
  const Ran here = run_in("demo", "notebook . -o /proc/out");
  EXPECT_EQ(here.status, 3) << here.told;
  EXPECT_THAT(here.told, HasSubstr("/proc/out: cannot be written ("));
}

TEST_F(Notebook, WantsAFolderAndADay) {
  const Ran none = run("notebook demo");
  EXPECT_EQ(none.status, 2);
  EXPECT_EQ(none.told,
            "ellwand: notebook writes a folder and wants its name, as in: -o my-notebook\n");
  const Ran day = run("notebook demo -o out --date 2026-02-30");
  EXPECT_EQ(day.status, 2);
  EXPECT_EQ(day.told,
            "ellwand: --date: '2026-02-30' is no day; write it as year-month-day, such as "
            "2026-03-14\n");
  EXPECT_FALSE(std::filesystem::exists(folder_ / "out"));
}

TEST_F(Notebook, HasNoAnswerWhereNothingIsMeasured) {
  ASSERT_EQ(run("start bare").status, 0);
  const Ran ran = run("notebook bare -o out");
  EXPECT_EQ(ran.status, 1);
  EXPECT_THAT(ran.told, HasSubstr("Nothing is measured in bare yet"));
  EXPECT_FALSE(std::filesystem::exists(folder_ / "out"));
}

TEST_F(Notebook, TellsMachinesWhatItWrote) {
  const Ran ran = run("notebook demo -o out --json");
  ASSERT_EQ(ran.status, 0) << ran.told;
  const json told = json::parse(ran.out);
  EXPECT_EQ(told["schema"], 1);
  EXPECT_EQ(told["folder"], "out");
  EXPECT_EQ(told["notebook"], "calibration.ipynb");
  EXPECT_EQ(told["tables"][0]["file"], "swatches.csv");
  EXPECT_EQ(told["tables"][0]["rows"], 17);
}

// The page plots what calibrate --json has, the analyst what the notebook has.
TEST_F(Notebook, ForetellsWhatCalibrateForetells) {
  ASSERT_EQ(run("notebook demo -o out").status, 0);
  const Ran ran = run("calibrate demo --dry-run --json");
  ASSERT_EQ(ran.status, 0) << ran.told;
  const json predictions = json::parse(ran.out)["predictions"];
  EXPECT_EQ(predictions.size(), 13U);
  const std::string table = text_of(folder_ / "out/swatches.csv");
  for (const json& one : predictions) {
    const std::string start =
        one["swatch"].get<std::string>() + "," + one["date"].get<std::string>() + ",swatches.csv," +
        std::to_string(one["line"].get<int>()) + "," + one["column"].get<std::string>() + ",";
    const std::size_t at = table.find(start);
    ASSERT_NE(at, std::string::npos) << start;
    const auto cells = cut(table.substr(at, table.find('\n', at) - at));
    EXPECT_EQ(cells[8], one["unit"].get<std::string>());
    EXPECT_NEAR(std::stod(cells[9]), one["measured"].get<double>(), 1e-9);
    // Eight digits are written.
    EXPECT_NEAR(std::stod(cells[15]), one["start"]["mid"].get<double>(), 1e-6);
    EXPECT_NEAR(std::stod(cells[23]), one["now"]["mid"].get<double>(), 1e-6);
    EXPECT_NEAR(std::stod(cells[25]), one["now"]["high"].get<double>(), 1e-6);
  }
}

}  // namespace
}  // namespace ellwand::test
