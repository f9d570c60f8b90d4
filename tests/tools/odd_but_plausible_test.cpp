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
  EXPECT_EQ(
      run_in("demo/pieces",
             "estimate --json saltmarsh.toml sedge.toml shingle.toml tideline.toml undertow.toml "
             "wrackline.toml")
          .out,
      before);
}

TEST_F(OddButPlausible, AFolderThatIsNoStudioIsTold) {
  const Ran ran = run("estimate demo/pieces");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.told,
            "demo/pieces: this folder has no studio.toml, so it is no studio; name its studio, "
            "demo\n");
  fs::create_directory(folder_ / "empty");
  EXPECT_EQ(run("estimate empty").told,
            "empty: this folder has no studio.toml, so it is no studio; name a studio's folder\n");
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

TEST_F(OddButPlausible, APieceNamedNearlyRightIsGuessedAt) {
  for (const char* name : {"demo/pieces/saltmarsh", "demo/pieces/saltmarhs.toml"}) {
    const Ran ran = run(std::string("estimate ") + name);
    EXPECT_EQ(ran.status, 3);
    EXPECT_EQ(ran.told, std::string(name) +
                            ": there is no such file or folder; did you mean "
                            "'demo/pieces/saltmarsh.toml'?\n");
  }
}

TEST_F(OddButPlausible, TheStudiosOwnFilesAreNoPieces) {
  for (const char* name : {"demo/studio.toml", "demo/yarns.csv"}) {
    const Ran ran = run(std::string("estimate ") + name);
    EXPECT_EQ(ran.status, 3);
    EXPECT_EQ(ran.told, std::string(name) +
                            ": this is a file of the studio, not a piece; name the studio's "
                            "folder, or a file of its pieces, NAME.toml\n");
  }
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
  EXPECT_NE(ran.told.find("demo/pieces/saltmarsh.toml:29:9: areas: their ends sum to 45"),
            std::string::npos)
      << ran.told;
  EXPECT_NE(ran.told.find("demo/pieces/sedge.toml:19:8: sett: \"6\": 6 of what?"),
            std::string::npos)
      << ran.told;
}

TEST_F(OddButPlausible, OneBadPieceLeavesTheOthersToBeRead) {
  change(kSaltmarsh, "ends = 45", "ends = 44");
  const std::string sedge = run("estimate demo/pieces/sedge.toml").out;
  const std::string shingle = run("estimate demo/pieces/shingle.toml").out;
  const std::string tideline = run("estimate demo/pieces/tideline.toml").out;
  const std::string undertow = run("estimate demo/pieces/undertow.toml").out;
  const std::string wrackline = run("estimate demo/pieces/wrackline.toml").out;
  const Ran ran = run("estimate demo");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.out, sedge + "\n" + shingle + "\n" + tideline + "\n" + undertow + "\n" + wrackline);
  EXPECT_EQ(ran.told.rfind("demo/pieces/saltmarsh.toml:29:9: areas: ", 0), 0U) << ran.told;
  const Ran why = run("estimate demo --why warp");
  EXPECT_EQ(why.status, 3);
  EXPECT_EQ(why.out.rfind("Sedge\n", 0), 0U) << why.out;
}

TEST_F(OddButPlausible, WhatIsKeptIsWholeOrNotThere) {
  change(kSaltmarsh, "ends = 45", "ends = 44");
  const auto before = contents(folder_ / "demo");
  for (const char* options : {" --json", " --freeze", " -o demo/result.txt"}) {
    const Ran ran = run(std::string("estimate demo") + options);
    EXPECT_EQ(ran.status, 3);
    EXPECT_EQ(ran.out, "");
  }
  EXPECT_EQ(contents(folder_ / "demo"), before);
}

TEST_F(OddButPlausible, NoResultIsWrittenOverTheStudio) {
  const auto before = contents(folder_ / "demo");
  const std::string estimate = std::string("estimate ") + kSaltmarsh;
  for (const char* file :
       {"demo/studio.toml", "demo/yarns.csv", "demo/lots.csv", "demo/pieces/saltmarsh.toml",
        "demo/../demo/pieces/sedge.toml", "demo/pieces/new.toml"}) {
    const Ran ran = run(estimate + " -o " + file);
    EXPECT_EQ(ran.status, 3);
    EXPECT_EQ(ran.told, std::string(file) +
                            ": this is one of the studio's own files, which a result would take "
                            "the place of; name another\n");
  }
  EXPECT_EQ(run_in("demo/pieces", "estimate saltmarsh.toml -o saltmarsh.toml").status, 3);
  EXPECT_EQ(contents(folder_ / "demo"), before);
  EXPECT_EQ(run(estimate + " -o demo/pieces/saltmarsh.txt").status, 0);
}

TEST_F(OddButPlausible, AStudioInInchesIsToldInInches) {
  change("demo/studio.toml", "length = \"cm\"", "length = \"in\"");
  change("demo/studio.toml", "yarn = \"m\"", "yarn = \"yd\"");
  change("demo/studio.toml", "mass = \"g\"", "mass = \"oz\"");
  const std::string estimate = std::string("estimate ") + kSaltmarsh;
  std::string all = run(estimate).out;
  for (const char* figure : {"\"band 2\"", "\"band 4\"", "rug-wool-ink", "size", "room", "warp"}) {
    all += run(estimate + " --why " + figure).out;
  }
  // 4 mm are 0.157 in; 500 tex are 496055 / 500 = 992.1 yd to the pound.
  EXPECT_NE(all.find("between ends 0.157 in apart"), std::string::npos) << all;
  EXPECT_NE(all.find("500 tex (992.1 yd to 1 lb)"), std::string::npos) << all;
  EXPECT_NE(all.find("oz per square yard"), std::string::npos) << all;
  change(kSaltmarsh, "height = \"5 cm\"", "height = \"50 cm\"");
  const Ran refused = run(estimate);
  EXPECT_EQ(refused.status, 3);
  EXPECT_NE(refused.told.find("span of 18.1 in"), std::string::npos) << refused.told;  // 46 cm
  write_piece("reed.toml", with(kBand, "rows = 20", "rows = 20\ntail = \"80 cm\""));
  const Ran spent = run("estimate demo/pieces/reed.toml");
  EXPECT_NE(spent.told.find("its two tails of 31.5 in"), std::string::npos) << spent.told;
  all += refused.told + spent.told;
  for (const char* metric : {" mm", " cm", " g ", "metre"}) {
    EXPECT_EQ(all.find(metric), std::string::npos) << metric << all;
  }
}

TEST_F(OddButPlausible, ABeginnersDoubtIsABeginners) {
  const std::string why = run("estimate demo/pieces/tideline.toml --why rug-wool-ash").out;
  EXPECT_NE(why.find("how one beginner differs from another"), std::string::npos) << why;
  EXPECT_EQ(why.find("experienced"), std::string::npos) << why;
}

TEST_F(OddButPlausible, LargeFiguresArePlain) {
  // 100 g in 8 m: 12.5 g a metre.
  const std::string why = run("estimate demo/pieces/tideline.toml --why fleece-sliver").out;
  EXPECT_NE(why.find("\n12500 tex (8 m to 100 g)"), std::string::npos) << why;
}

TEST_F(OddButPlausible, ManyStrandsThatHangShortAreAskedAbout) {
  const std::string fringe = "[[band]]\nwork = \"knotted fringe\"\nyarn = \"rug-wool-ash\"\n";
  write_piece("reed.toml", fringe + "held = 64\nhang = \"5 mm\"\n");
  const std::string out = run("estimate demo/pieces/reed.toml").out;
  EXPECT_NE(out.find("band 1: 64 strands of rug-wool-ash held together are "), std::string::npos)
      << out;
  EXPECT_NE(out.find("where a knot has 8 mm of the warp and hangs 5 mm; hold fewer, or see whether "
                     "the hang is meant\n"),
            std::string::npos)
      << out;
  write_piece("reed.toml", fringe + "held = 4\nhang = \"10 cm\"\n");
  EXPECT_EQ(run("estimate demo/pieces/reed.toml").out.find("held together"), std::string::npos);
}

TEST_F(OddButPlausible, ThickYarnInTwiningAndSoumakIsAskedAbout) {
  write_piece("reed.toml",
              "[[band]]\nwork = \"twining\"\nyarn = \"fleece-sliver\"\n"
              "[[band]]\nwork = \"soumak\"\nyarn = \"fleece-sliver\"\nover = 4\n"
              "back = 2\n");
  const std::string out = run("estimate demo/pieces/reed.toml").out;
  for (const char* band : {"band 1", "band 2"}) {
    EXPECT_NE(out.find(std::string(band) + ": fleece-sliver is too thick to lie round between ends "
                                           "4 mm apart; it is reckoned as flattened"),
              std::string::npos)
        << out;
  }
}

TEST_F(OddButPlausible, TwiningOfTwoYarnsHasOneHeight) {
  write_piece("reed.toml",
              "[[band]]\nwork = \"twining\"\nyarn = \"linen-fringe\"\n"
              "second_yarn = \"rug-wool-ash\"\nrows = 3\n");
  const json piece = json::parse(run("estimate --json demo/pieces/reed.toml").out)["pieces"][0];
  // The thicker strand is 10 mm / 8 wraps = 1.25 mm; its rows are 1.7 of that, three of them.
  int twined = 0;
  for (const json& band : piece.at("bands")) {
    if (band.at("band") != 1) continue;
    ++twined;
    EXPECT_NEAR(band.at("height_cm").get<double>(), 3 * 1.7 * 0.125, 1e-9) << band;
  }
  EXPECT_EQ(twined, 2);
  EXPECT_NEAR(piece["size"]["loom"]["height_cm"].get<double>(), 3 * 1.7 * 0.125, 1e-9);
}

TEST_F(OddButPlausible, WrappingHasTurnsAndTakesUpTheWarpWhereAllOfItIsWrapped) {
  const std::string wrapping =
      "[[band]]\nwork = \"wrapping\"\nyarn = \"rug-wool-ash\"\nends = 3\nturns = 8\nplaces = ";
  const auto height_cm = [&](const char* places) {
    write_piece("reed.toml", wrapping + places + "\n" + kBand);
    return json::parse(run("estimate --json demo/pieces/reed.toml")
                           .out)["pieces"][0]["size"]["loom"]["height_cm"]
        .get<double>();
  };
  // Eight turns of 1.25 mm stand within what lies beside them, but where all 33 ends are wrapped.
  EXPECT_NEAR(height_cm("11") - height_cm("10"), 8 * 0.125, 1e-9);
  const std::string out = run("estimate demo/pieces/reed.toml").out;
  EXPECT_NE(out.find("rug-wool-ash  8 turns  1.0 "), std::string::npos) << out;
  EXPECT_NE(run("estimate demo/pieces/reed.toml --order").out.find("band 1, wrapping: at 0.0 cm\n"),
            std::string::npos);
  EXPECT_NE(run("estimate demo/pieces/reed.toml --why 'band 1'")
                .out.find("8 turns at each place, 1.25 mm each, 1.0 cm.\nIt stands beside what is "
                          "not wrapped and adds nothing to the height.\n"),
            std::string::npos);
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

TEST_F(OddButPlausible, ManyGramsAreToldInPlainDigits) {
  write_text(folder_ / "demo/pieces/long.toml",
             "[piece]\nname = \"Long\"\n[loom]\nuse = \"eight-shaft\"\n[warp]\nyarn = "
             "\"cotton-8-2\"\nends = 200\nsett = \"4 /cm\"\n[[band]]\nwork = \"weave\"\nyarn = "
             "\"rug-wool-ash\"\nheight = \"8 m\"\n");
  const std::string out = run("estimate demo/pieces/long.toml").out;
  const std::size_t at = out.find("rug-wool-ash may take ");
  ASSERT_NE(at, std::string::npos) << out;
  const std::string sentence = out.substr(at, out.find('\n', at) - at);
  EXPECT_EQ(sentence.find("e+"), std::string::npos) << sentence;
  EXPECT_NE(sentence.find(" g here and no lot on the shelf has more than 100 g; "),
            std::string::npos)
      << sentence;
}

TEST_F(OddButPlausible, LotsThatMayMixAreToldTogether) {
  const std::string band =
      "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nheight = \"1.5 m\"\n";
  const auto out_of = [&](const std::string& lots) {
    write_text(folder_ / "demo/pieces/long.toml",
               "[piece]\nname = \"Long\"\n" + lots +
                   "[loom]\nuse = \"eight-shaft\"\n[warp]\nyarn = \"cotton-8-2\"\nends = 100\nsett "
                   "= \"4 /cm\"\n" +
                   band);
    return run("estimate demo/pieces/long.toml").out;
  };
  EXPECT_NE(out_of("").find("buy it from one lot, or write lots = \"may mix\""), std::string::npos);
  const std::string mixed = out_of("lots = \"may mix\"\n");
  EXPECT_EQ(mixed.find("buy it from one lot"), std::string::npos) << mixed;
  EXPECT_NE(mixed.find("more than any one lot has; 100 g of lot 322 and "), std::string::npos)
      << mixed;
  EXPECT_NE(mixed.find(" g of lot 310, do together\n"), std::string::npos) << mixed;
}

TEST_F(OddButPlausible, SizesAreInUnitsWhereLotsMayMixAsWell) {
  change(kSaltmarsh, "[piece]\n", "[piece]\nlots = \"may mix\"\n");
  const std::string out = run(std::string("estimate ") + kSaltmarsh).out;
  EXPECT_NE(out.find("too thick to lie round between ends 4 mm apart; "), std::string::npos) << out;
}

TEST_F(OddButPlausible, ScrapYarnOpensToItsCauses) {
  write_piece(
      "reed.toml",
      std::string("[[band]]\nwork = \"weave\"\nyarn = \"cotton-slub\"\nrows = 10\ncomes_out "
                  "= true\n") +
          kBand);
  const Ran scrap = run("estimate demo/pieces/reed.toml --why scrap");
  EXPECT_EQ(scrap.status, 0) << scrap.told;
  EXPECT_EQ(run("estimate demo/pieces/reed.toml --why cotton-slub").out, scrap.out);
  double sum = 0.0;
  double plan = 0.0;
  std::istringstream lines(scrap.out);
  for (std::string line; std::getline(lines, line);) {
    const std::size_t last = line.find_last_of(' ');
    if (line.rfind("  ", 0) != 0 || last == std::string::npos) continue;
    if (line.find("= the plan") != std::string::npos) plan = std::stod(line.substr(last));
    const bool is_cause = plan == 0.0 && line.find("lent, ") == std::string::npos;
    if (is_cause) sum += std::stod(line.substr(last));
  }
  EXPECT_GT(plan, 0.0) << scrap.out;
  // Each cause is rounded to a millimetre; there are five of them.
  EXPECT_NEAR(sum, plan, 0.003) << scrap.out;
  EXPECT_EQ(run("estimate demo/pieces/saltmarsh.toml --why scrap").status, 2);
}

TEST_F(OddButPlausible, ScrapYarnHasToBeThereWhileWeaving) {
  const std::string scrap =
      "[[band]]\nwork = \"weave\"\nyarn = \"linen-fringe\"\nrows = 40\ncomes_out = true\n";
  write_piece("reed.toml", scrap + kBand);
  EXPECT_EQ(run("estimate demo/pieces/reed.toml").out.find("comes out again may take"),
            std::string::npos);
  change("demo/lots.csv", "linen-fringe,L2,2026-05-20,88,", "linen-fringe,L2,2026-05-20,0.5,");
  const std::string out = run("estimate demo/pieces/reed.toml").out;
  EXPECT_NE(out.find("linen-fringe: what comes out again may take "), std::string::npos) << out;
  EXPECT_NE(
      out.find(" until it is drawn out, and the shelf has 0.5 g; take another yarn for it, or "
               "have more by\n"),
      std::string::npos)
      << out;
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
