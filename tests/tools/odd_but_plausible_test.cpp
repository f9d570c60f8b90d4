// What a weaver may well do although nobody told her to, or told her not to.

#include "program.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>

namespace ellwand::test {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

class OddButPlausible : public Program {
 protected:
  /// A piece file beside the demo's, of one small band by default.
  void write_piece(const std::string& name, const std::string& bands) const {
    write_text(folder_ / "demo/pieces" / name,
               "[piece]\nname = \"Reed\"\n[loom]\nuse = \"notched board\"\n[warp]\nyarn = "
               "\"seine-12-6\"\nends = 33\n" +
                   bands);
  }
};

constexpr const char* kBand = "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = 20\n";

std::string with_windows_line_ends(const std::string& text) { return with(text, "\n", "\r\n"); }

/// Every file of a studio changed in one way.
void change_all(const fs::path& studio, std::string (*changed)(const std::string&)) {
  for (const auto& entry : fs::recursive_directory_iterator(studio)) {
    if (entry.is_regular_file()) write_text(entry.path(), changed(text_of(entry.path())));
  }
}

TEST_F(OddButPlausible, WindowsLineEndsChangeNothing) {
  const std::string before = run("estimate demo --json").out;
  change_all(folder_ / "demo", with_windows_line_ends);
  EXPECT_EQ(run("estimate demo --json").out, before);
}

TEST_F(OddButPlausible, AByteOrderMarkChangesNothing) {
  const std::string before = run("estimate demo --json").out;
  change_all(folder_ / "demo", [](const std::string& text) { return "\xEF\xBB\xBF" + text; });
  EXPECT_EQ(run("estimate demo --json").out, before);
}

TEST_F(OddButPlausible, SemicolonsAndDecimalCommasChangeNothing) {
  const std::string before = run("estimate demo --json").out;
  const auto semicolons = [](const std::string& text) {
    std::string changed = text;
    std::replace(changed.begin(), changed.end(), ',', ';');
    std::replace(changed.begin(), changed.end(), '.', ',');
    return changed;
  };
  for (const char* table : {"demo/yarns.csv", "demo/lots.csv"}) {
    write_text(folder_ / table, semicolons(text_of(folder_ / table)));
  }
  EXPECT_EQ(run("estimate demo --json").out, before);
}

TEST_F(OddButPlausible, SpacesInNamesAreNamesAllTheSame) {
  fs::create_directories(folder_ / "by the sea");
  fs::copy(folder_ / "demo", folder_ / "by the sea", fs::copy_options::recursive);
  fs::rename(folder_ / "by the sea/pieces/sedge.toml", folder_ / "by the sea/pieces/sedge, 2.toml");
  const Ran ran = run("estimate --freeze 'by the sea/pieces/sedge, 2.toml'");
  EXPECT_EQ(ran.status, 0) << ran.told;
  EXPECT_EQ(ran.told.rfind("Kept as by the sea/estimates/sedge, 2-2", 0), 0U) << ran.told;
}

TEST_F(OddButPlausible, ThePieceMayBeNamedFromWhereSheStands) {
  const std::string before = run("estimate --json demo").out;
  EXPECT_EQ(run_in("demo", "estimate --json .").out, before);
  EXPECT_EQ(run_in("demo/pieces", "estimate --json ..").out, before);
  EXPECT_EQ(run_in("demo/pieces", "estimate --json saltmarsh.toml sedge.toml tideline.toml").out,
            before);
}

TEST_F(OddButPlausible, AFolderThatIsNoStudioIsTold) {
  const Ran ran = run("estimate demo/pieces");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.told,
            "demo/pieces: this folder has no studio.toml, so it is no studio; name a studio's "
            "folder, or the piece files themselves\n");
}

TEST_F(OddButPlausible, APieceOutsideAStudioIsTold) {
  fs::rename(folder_ / kSaltmarsh, folder_ / "saltmarsh.toml");
  const Ran ran = run("estimate saltmarsh.toml");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.out, "");
  EXPECT_EQ(ran.told,
            "saltmarsh.toml: no folder above this piece has a studio.toml; keep pieces in the "
            "folder 'pieces' of a studio\n");
  EXPECT_EQ(run("estimate nowhere.toml").told,
            "nowhere.toml: there is no such file or folder; name a piece file or a studio "
            "folder\n");
}

TEST_F(OddButPlausible, FilesOfOtherProgramsAreNoPieces) {
  const std::string before = run("estimate --json demo").out;
  write_text(folder_ / "demo/pieces/._saltmarsh.toml", "what a file server leaves");
  write_text(folder_ / "demo/pieces/saltmarsh.toml~", "what an editor leaves");
  EXPECT_EQ(run("estimate --json demo").out, before);
}

TEST_F(OddButPlausible, ATableAllPiecesShareIsComplainedOfOnce) {
  change("demo/yarns.csv", "Rug wool ink,wool", "Rug wool ink,wolo");
  const Ran ran = run("estimate demo");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.told,
            "demo/yarns.csv:7:3: fibre: \"wolo\": no fibre of this name is known; did you mean "
            "\"wool\"?\n");
}

TEST_F(OddButPlausible, FaultsOfEveryPieceAreToldAtOnce) {
  change("demo/pieces/sedge.toml", "sett = \"6 /cm\"", "sett = 6");
  change(kSaltmarsh, "ends = 45", "ends = 44");
  const Ran ran = run("estimate demo");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.out, "");
  EXPECT_NE(ran.told.find("demo/pieces/saltmarsh.toml:29:9: areas: their ends sum to 45"),
            std::string::npos)
      << ran.told;
  EXPECT_NE(ran.told.find("demo/pieces/sedge.toml:13:8: sett: \"6\": 6 of what?"),
            std::string::npos)
      << ran.told;
}

TEST_F(OddButPlausible, ALostYarnTableIsToldAndNotEveryYarn) {
  fs::remove(folder_ / "demo/yarns.csv");
  EXPECT_EQ(run("estimate demo").told,
            "demo/yarns.csv: there is no such file, and lots.csv needs its yarns; put it back, or "
            "write a row for each yarn\n");
}

TEST_F(OddButPlausible, APieceSavedInAnotherEncodingIsTold) {
  change(kSaltmarsh, "Saltmarsh", "Salzw\xFCste");  // as ISO 8859-1 writes u with two dots
  EXPECT_EQ(run(std::string("estimate ") + kSaltmarsh).told,
            "demo/pieces/saltmarsh.toml:4: this line is not UTF-8 text; save the file again as "
            "UTF-8\n");
}

TEST_F(OddButPlausible, AnIdWithCapitalsIsAnotherId) {
  change("demo/yarns.csv", "rug-wool-ash", "Rug-Wool-Ash");
  change("demo/lots.csv", "rug-wool-ash", "Rug-Wool-Ash");
  write_piece("reed.toml", kBand);
  const Ran small = run("estimate demo/pieces/reed.toml");
  EXPECT_EQ(small.status, 3);
  EXPECT_EQ(small.told,
            "demo/pieces/reed.toml:10:8: yarn: \"rug-wool-ash\" is no yarn of yarns.csv; did you "
            "mean 'Rug-Wool-Ash'?\n");
  write_piece("reed.toml", with(kBand, "rug-wool-ash", "Rug-Wool-Ash"));
  EXPECT_EQ(run("estimate demo/pieces/reed.toml").status, 0);
  EXPECT_EQ(run("estimate demo/pieces/reed.toml --why Rug-Wool-Ash").status, 0);
}

TEST_F(OddButPlausible, APieceNeedsNoFinish) {
  write_piece("reed.toml", kBand);
  const json without = json::parse(run("estimate --json demo/pieces/reed.toml").out);
  write_piece("reed.toml", std::string(kBand) + "[finish]\n");
  EXPECT_EQ(json::parse(run("estimate --json demo/pieces/reed.toml").out), without);
}

TEST_F(OddButPlausible, AnAreaOfOneEndTakesYarn) {
  write_piece(
      "reed.toml",
      "[[band]]\nwork = \"weave\"\nrows = 20\nareas = [\n{ yarn = \"rug-wool-ash\", ends = 1 "
      "},\n{ yarn = \"rug-wool-ink\", ends = 31 },\n{ yarn = \"rug-wool-rust\", ends = 1, "
      "join = \"dovetailed\" },\n]\n");
  const Ran ran = run("estimate --json demo/pieces/reed.toml");
  ASSERT_EQ(ran.status, 0) << ran.told;
  const json all = json::parse(ran.out);
  for (const json& yarn : all.at("pieces").at(0).at("yarns")) {
    EXPECT_GT(yarn.at("length_m").at("low").get<double>(), 0.0) << yarn;
  }
}

TEST_F(OddButPlausible, NoRowsAreToldAsNone) {
  write_piece("reed.toml", with(kBand, "rows = 20", "rows = 0"));
  EXPECT_EQ(run("estimate demo/pieces/reed.toml").told,
            "demo/pieces/reed.toml:11:8: rows: 0 is outside 1 to 1000000\n");
}

TEST_F(OddButPlausible, AMisspeltKeyIsAskedAboutBesideTheResult) {
  write_piece("reed.toml", std::string(kBand) + "beat_ration = 1.0\n");
  const Ran ran = run("estimate demo/pieces/reed.toml");
  EXPECT_EQ(ran.status, 0);
  EXPECT_NE(ran.out.find("demo/pieces/reed.toml:12:1: unknown key 'beat_ration' in [[band]]; did "
                         "you mean 'beat_ratio'? It is kept but not used."),
            std::string::npos)
      << ran.out;
}

TEST_F(OddButPlausible, AFringeTooShortForItsCardNamesThePiece) {
  write_piece(
      "reed.toml",
      "[[band]]\nwork = \"knotted fringe\"\nyarn = \"linen-fringe\"\nhang = \"5 mm\"\ncard = "
      "\"5 cm\"\n");
  const Ran ran = run("estimate demo/pieces/reed.toml");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.out, "");
  EXPECT_EQ(ran.told.rfind("demo/pieces/reed.toml", 0), 0U) << ran.told;
  EXPECT_NE(ran.told.find("too short to wind on a card"), std::string::npos) << ran.told;
}

}  // namespace
}  // namespace ellwand::test
