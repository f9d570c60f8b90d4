// What is kept of planned pieces: nothing that a file has changed since.

#include "planned_piece.hpp"

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "program.hpp"

namespace ellwand::tools {
namespace {

class PlannedPieces : public test::Program {
 protected:
  void SetUp() override {
    Program::SetUp();
    ::setenv("ELLWAND_DATA", (test::source_folder() + "/data").c_str(), 1);
  }
  void TearDown() override {
    ::unsetenv("ELLWAND_DATA");
    Program::TearDown();
  }

  /// Metres to set aside for each yarn of each planned piece.
  std::map<std::string, double> needs_m() const {
    const auto bench = std::make_shared<const Workbench>(folder_ / "demo");
    std::vector<PlannedPiece> all;
    add_pieces_of(bench, all);
    std::map<std::string, double> needs;
    for (PlannedPiece& one : all) {
      one.reckon();
      if (!one.estimate) continue;
      for (const estimate::YarnEstimate& yarn : one.estimate->yarns) {
        needs[one.file.stem().string() + " " + yarn.yarn] = yarn.set_aside_m;
      }
    }
    return needs;
  }
};

TEST_F(PlannedPieces, AreTheSameWhenAskedForAgain) {
  const auto first = needs_m();
  EXPECT_GT(first.size(), 10U);
  EXPECT_EQ(needs_m(), first);
}

TEST_F(PlannedPieces, OneThatIsWrittenAnewIsReckonedAnew) {
  const auto before = needs_m();
  change("demo/pieces/saltmarsh.toml", "planned = true", "planned = false");
  const auto without = needs_m();
  EXPECT_EQ(before.count("saltmarsh rug-wool-ash"), 1U);
  EXPECT_EQ(without.count("saltmarsh rug-wool-ash"), 0U);
  change("demo/pieces/saltmarsh.toml", "planned = false", "planned = true");
  EXPECT_EQ(needs_m(), before);
}

TEST_F(PlannedPieces, AThickerYarnIsSeenInAllThatUseIt) {
  const auto before = needs_m();
  change("demo/yarns.csv", "2/8 worsted", "2/7 worsted");
  const auto after = needs_m();
  EXPECT_NE(after.at("sedge worsted-moss"), before.at("sedge worsted-moss"));
  EXPECT_EQ(after.at("saltmarsh rug-wool-ash"), before.at("saltmarsh rug-wool-ash"));
}

TEST_F(PlannedPieces, AHabitOfTheStudioIsSeen) {
  const auto before = needs_m();
  const std::string studio = test::text_of(folder_ / "demo/studio.toml");
  test::write_text(folder_ / "demo/studio.toml",
                   test::with(studio, "[habits]\n", "[habits]\nwaste = \"9 %\"\n"));
  EXPECT_GT(needs_m().at("saltmarsh rug-wool-ash"), before.at("saltmarsh rug-wool-ash"));
}

}  // namespace
}  // namespace ellwand::tools
