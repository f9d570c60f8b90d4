// Every block of bad_inputs.txt through the program: what is told, the status, and that nothing
// changes.

#include "support/where.hpp"

#include <gtest/gtest.h>

#include <sys/wait.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

namespace {

namespace fs = std::filesystem;

struct BadInput {
  std::string group;
  std::string title;
  std::map<std::string, std::string> sections;
};

const char* const kHead =
    "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"34 cm\"\npitch = \"4 mm\"\n"
    "[warp]\nyarn = \"warp\"\nends = 33\n";
const char* const kBand = "[[band]]\nwork = \"weave\"\nyarn = \"weft\"\nrows = 9\n";

std::vector<BadInput> read_blocks() {
  std::ifstream file(ellwand::test::source_folder() + "/tests/bad_inputs/bad_inputs.txt");
  std::vector<BadInput> blocks;
  std::string section;
  for (std::string line; std::getline(file, line);) {
    if (line.rfind("== ", 0) == 0) {
      const std::size_t colon = line.find(": ");
      blocks.push_back({line.substr(3, colon - 3), line.substr(colon + 2), {}});
    } else if (line.rfind("-- ", 0) == 0) {
      section = line.substr(3);
      blocks.back().sections[section] = "";
    } else if (!(section == "told" && line.empty())) {
      blocks.back().sections[section] += line + "\n";
    }
  }
  return blocks;
}

std::string text_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

void write(const fs::path& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

/// Everything below a folder by name, files with their text.
std::map<std::string, std::string> contents(const fs::path& folder) {
  std::map<std::string, std::string> all;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    all[entry.path().string()] = entry.is_regular_file() ? text_of(entry.path()) : "a folder";
  }
  return all;
}

void make_studio(const fs::path& folder, const BadInput& bad) {
  const auto stated = [&](const char* section, const std::string& usual) {
    const auto found = bad.sections.find(section);
    return found == bad.sections.end() ? usual : found->second;
  };
  fs::create_directories(folder / "pieces");
  const std::string bands = kHead + stated("bands", kBand);
  write(folder / "pieces" / "trial.toml", stated("piece", bands));
  write(folder / "studio.toml", stated("studio", "[studio]\nname = \"Trial\"\n"));
  const bool has_row = bad.sections.count("yarn row") > 0;
  const std::string yarns =
      has_row ? "id,fibre,count\nwarp,cotton,12/6 seine twine\n" + bad.sections.at("yarn row")
              : "id,fibre,count,diameter_mm\nwarp,cotton,12/6 seine twine,1.0\n"
                "weft,wool,400 tex,1.6\n";
  write(folder / "yarns.csv", stated("yarns", yarns));
  for (const char* table : {"lots", "swatches", "time"}) {
    if (bad.sections.count(table) == 0) continue;
    write(folder / (std::string(table) + ".csv"), bad.sections.at(table));
  }
}

/// What is done with it: what is said, or an estimate, or where something is recorded or swatches
/// lie there, that.
std::string arguments_of(const BadInput& bad) {
  if (bad.sections.count("command") > 0) {
    const std::string given = bad.sections.at("command");
    return given.substr(0, given.find('\n'));
  }
  if (bad.sections.count("record") > 0) {
    const std::string given = bad.sections.at("record");
    return "record . " + given.substr(0, given.find('\n'));
  }
  if (bad.sections.count("swatches") > 0) {
    return "record . swatch --swatch new --loom notched --pitch-mm 4 --warp-yarn warp --ends 33 "
           "--work weave --yarn weft --rows 40 --used-g 6";
  }
  return "estimate --freeze pieces/trial.toml";
}

TEST(BadInputs, AreRefusedInOneClearSentenceAndChangeNothing) {
  const fs::path scratch = fs::temp_directory_path() / ("ellwand-bad-" + std::to_string(getpid()));
  for (const BadInput& bad : read_blocks()) {
    SCOPED_TRACE(bad.group + ": " + bad.title);
    fs::remove_all(scratch);
    make_studio(scratch / "studio", bad);
    const auto before = contents(scratch / "studio");
    const std::string command = "cd '" + (scratch / "studio").string() + "' && '" +
                                ellwand::test::program_file() + "' " + arguments_of(bad) + " >'" +
                                (scratch / "out").string() + "' 2>'" + (scratch / "told").string() +
                                "'";
    const int status = std::system(command.c_str());
    ASSERT_TRUE(WIFEXITED(status));
    const auto wanted = bad.sections.find("status");
    EXPECT_EQ(WEXITSTATUS(status), wanted == bad.sections.end() ? 3 : std::stoi(wanted->second));
    EXPECT_EQ(text_of(scratch / "out"), "");
    EXPECT_EQ(text_of(scratch / "told"), bad.sections.at("told"));
    EXPECT_EQ(contents(scratch / "studio"), before);
  }
  fs::remove_all(scratch);
}

/// The verb a block is about: that of its command, or record.
std::string verb_of(const BadInput& bad) {
  if (bad.sections.count("record") > 0 || bad.sections.count("swatches") > 0) return "record";
  const auto command = bad.sections.find("command");
  return command == bad.sections.end() ? "" : command->second.substr(0, command->second.find(' '));
}

TEST(BadInputs, AreEnoughOfEveryVerbThatDecides) {
  std::map<std::string, int> counts;
  for (const BadInput& bad : read_blocks()) ++counts[verb_of(bad)];
  int all = 0;
  for (const char* verb : {"howfar", "enough", "swap", "kit", "buy", "price", "record"}) {
    EXPECT_GE(counts[verb], 6) << verb;
    all += counts[verb];
  }
  EXPECT_GE(all, 80);
}

/// Whether a block's piece has a band of this work.
bool has_work(const BadInput& bad, const std::string& work) {
  for (const char* section : {"bands", "piece"}) {
    const auto stated = bad.sections.find(section);
    if (stated == bad.sections.end()) continue;
    if (stated->second.find("work = \"" + work + "\"") != std::string::npos) return true;
  }
  return false;
}

TEST(BadInputs, AreEnoughOfEveryWork) {
  const std::vector<BadInput> blocks = read_blocks();
  for (const char* work : {"weave", "knotted fringe", "soumak", "twining", "looped pile",
                           "wrapping", "knotted pile", "gap", "hemstitch"}) {
    int count = 0;
    for (const BadInput& bad : blocks) count += has_work(bad, work) ? 1 : 0;
    EXPECT_GE(count, 4) << work;
  }
}

TEST(BadInputs, AreEnoughOfEveryKind) {
  std::map<std::string, int> counts;
  for (const BadInput& bad : read_blocks()) ++counts[bad.group];
  int all = 0;
  for (const char* group :
       {"reader", "units", "geometry", "loom budget", "yarns", "swatches", "price"}) {
    EXPECT_GE(counts[group], 6) << group;
    all += counts[group];
  }
  EXPECT_GE(all, 40);
}

}  // namespace
