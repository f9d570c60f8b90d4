#include "a_studio.hpp"

#include "ellwand/studio/files.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>

namespace ellwand::studio {
namespace {

namespace fs = std::filesystem;

Lines lot_complaints(const std::string& text) {
  return complaints_of([&] { read_lots(text, "lots.csv", a_studio().yarns); });
}

TEST(Studio, IsReadFromItsFiles) {
  const Studio& studio = a_studio();
  EXPECT_EQ(studio.folder, "tidewrack");
  EXPECT_EQ(studio.name, "Tidewrack");
  EXPECT_EQ(studio.currency.code, "EUR");
  EXPECT_EQ(studio.shown.length, LengthShown::Inches);
  EXPECT_EQ(studio.shown.yarn, YarnShown::Yards);
  EXPECT_EQ(studio.shown.mass, MassShown::Ounces);
  EXPECT_DOUBLE_EQ(in_centimetres(studio.habits.tail.value()), 11.0);
  EXPECT_EQ(studio.habits.carrier, piece::Carrier::Butterfly);
  EXPECT_DOUBLE_EQ(studio.habits.waste_share.value(), 0.03);
  EXPECT_TRUE(studio.weaver.beginner);
  EXPECT_DOUBLE_EQ(in_millimetres(studio.looms.at("slate").pitch), 4.0);
  EXPECT_EQ(studio.looms.at("trestle").kind, piece::LoomKind::Beam);
  EXPECT_EQ(studio.yarns.size(), 4U);
  EXPECT_EQ(studio.lots.size(), 2U);
  EXPECT_EQ(told_lines(studio.warnings), Lines{});
}

TEST(Studio, ShowsCentimetresMetresAndGramsUnlessTold) {
  const Studio studio = read_studio("", "studio.toml");
  EXPECT_EQ(studio.shown.length, LengthShown::Centimetres);
  EXPECT_EQ(studio.shown.yarn, YarnShown::Metres);
  EXPECT_EQ(studio.shown.mass, MassShown::Grams);
  EXPECT_FALSE(studio.weaver.beginner);
}

TEST(Studio, WeaversAreNamed) {
  const Studio studio = read_studio(
      "[habits]\nweaver = \"Tern\"\n[[weaver]]\nname = \"Wren\"\n"
      "[[weaver]]\nname = \"Tern\"\nskill = \"beginner\"\n",
      "studio.toml");
  ASSERT_EQ(studio.weavers.size(), 2U);
  EXPECT_FALSE(studio.weavers[0].beginner);
  EXPECT_EQ(studio.weaver.name, "Tern");
  EXPECT_TRUE(studio.weaver.beginner);
  EXPECT_EQ(complaints_of([] {
              read_studio("[[weaver]]\nname = \"beginner\"\n[[weaver]]\n", "studio.toml");
            }),
            (Lines{"studio.toml:2:8: name: \"beginner\" is taken already; call her something else",
                   "studio.toml:3:1: [[weaver]] has no 'name'; write the name pieces and swatches "
                   "call her by, such as name = \"Wren\""}));
}

TEST(Studio, AWorkingLengthOfJustTwoTailsWeavesNothing) {
  const auto lines_of = [](const std::string& length) {
    return complaints_of([&] {
      read_studio("[habits]\ntail = '10 cm'\nworking_length = '" + length + "'\n", "studio.toml");
    });
  };
  EXPECT_EQ(lines_of("20 cm").size(), 1U);
  EXPECT_EQ(lines_of("20.1 cm"), Lines{});
}

TEST(Studio, ComplainsOfItsTomlAtOnce) {
  const std::string text =
      "[show]\nlength = 'ft'\n[habits]\ntail = '60 cm'\nworking_length = '1 m'\nwaste = 4\n"
      "[[loom]]\nkind = 'notched'\n[[loom]]\nname = 'a'\nkind = 'frame'\nspan = '3 cm'\n"
      "[[loom]]\nname = 'a'\nkind = 'beam'\n";
  const Lines lines = complaints_of([&] { read_studio(text, "studio.toml"); });
  ASSERT_EQ(lines.size(), 6U);
  EXPECT_EQ(lines[0],
            "studio.toml:2:10: length: \"ft\" is not known here; 'cm' or 'in' is accepted");
  EXPECT_EQ(lines[1],
            "studio.toml:5:18: working_length: must be longer than its two tails; "
            "weave with a longer length or leave shorter tails");
  EXPECT_EQ(lines[2].substr(0, 29), "studio.toml:6:9: waste: \"4\": ");
  EXPECT_EQ(lines[3],
            "studio.toml:7:1: [[loom]] has no 'name'; write the name pieces use it by, "
            "such as name = \"small frame\"");
  EXPECT_EQ(lines[4], "studio.toml:12:8: span: 3 cm is outside 5 cm to 20 m");
  EXPECT_EQ(lines[5],
            "studio.toml:14:8: name: \"a\" is the name of a loom above; rename one of "
            "them");
}

TEST(Studio, WarnsOfKeysNobodyReads) {
  const Studio studio =
      read_studio("[kit]\nbuyers = 9\n[shwo]\na = 1\n[studio]\ncurency = 'EUR'\n", "studio.toml");
  EXPECT_EQ(told_lines(studio.warnings),
            (Lines{"studio.toml:2:1: unknown key 'buyers' in [kit]. It is kept but not used.",
                   "studio.toml:3:2: unknown key 'shwo' in this file; did you mean 'show'? It is "
                   "kept but not used.",
                   "studio.toml:6:1: unknown key 'curency' in [studio]; did you mean 'currency'? "
                   "It is kept but not used."}));
}

TEST(Studio, AKeySaidInShortIsAskedAbout) {
  StudioTexts texts = studio_texts();
  texts.studio_toml = "[habits]\nworklength = '3 yd'\n";
  EXPECT_EQ(told_lines(studio_from(texts, starting_values()).warnings),
            (Lines{"tidewrack/studio.toml:2:1: unknown key 'worklength' in [habits]; did you mean "
                   "'working_length'? It is kept but not used."}));
}

TEST(Studio, GathersTheComplaintsOfAllItsFiles) {
  StudioTexts texts = studio_texts();
  texts.studio_toml = "[show]\nmass = 'kg'\n";
  texts.yarns_csv = "id,fibre,count\na b,wool,400 tex\n";
  EXPECT_EQ(complaints_of([&] { studio_from(texts, starting_values()); }),
            (Lines{"tidewrack/studio.toml:2:8: mass: \"kg\" is not known here; did you mean 'g'? "
                   "'g' or 'oz' is accepted",
                   "tidewrack/yarns.csv:2:1: id: \"a b\" may have only letters a to z, digits and "
                   "hyphens, such as rug-wool-ash"}));
}

TEST(Studio, WarnsWhenItHasNoYarnsYet) {
  StudioTexts texts{"tidewrack", kStudioToml, std::nullopt, std::nullopt};
  EXPECT_EQ(told_lines(studio_from(texts, starting_values()).warnings),
            (Lines{"tidewrack/yarns.csv: there is no such file, so the studio has no yarns yet"}));
}

TEST(Lots, SumToAShelf) {
  const auto totals = shelf_totals(a_studio().lots, a_studio().yarns);
  ASSERT_EQ(totals.size(), 1U);
  // 500 tex: 50 m are 25 g, beside 100 g.
  const estimate::Stock& stock = totals.at("rug-ash");
  EXPECT_NEAR(in_grams(stock.mass), 125.0, 1e-9);         // rounding only
  EXPECT_NEAR(in_grams(stock.largest_lot), 100.0, 1e-9);  // likewise
  EXPECT_EQ(stock.lots, 2);
  EXPECT_FALSE(stock.length);  // one of them is weighed
  EXPECT_DOUBLE_EQ(in_metres(stock.each[1].length.value()), 50.0);
  EXPECT_EQ(a_studio().lots[0].bought, "2026-03-14");
  EXPECT_TRUE(a_studio().lots[1].opened);
  EXPECT_DOUBLE_EQ(in_metres(a_studio().lots[1].longest_left.value()), 12.0);
}

TEST(Lots, ComplainOfEveryRow) {
  EXPECT_EQ(
      lot_complaints("yarn,bought,net_g,net_m,opened\nrug-ahs,2026-02-29,5,,\n,14.3.2026,,,maybe\n"
                     "rug-ash,2024-02-29,-5,,\n"),
      (Lines{
          "lots.csv:2:1: yarn: \"rug-ahs\" is no yarn of yarns.csv; did you mean 'rug-ash'?",
          "lots.csv:2:2: bought: \"2026-02-29\" is not a day written as year-month-day, such as "
          "2026-03-14",
          "lots.csv:3:1: yarn: is empty; write the id of a yarn of yarns.csv",
          "lots.csv:3:2: bought: \"14.3.2026\" is not a day written as year-month-day, such as "
          "2026-03-14",
          "lots.csv:3:3: net_g: is empty; write how much there is in net_g, net_oz, net_m or "
          "net_yd",
          "lots.csv:3:5: opened: \"maybe\" is not known here; 'no' or 'yes' is accepted",
          lot_complaints("yarn,bought,net_g,net_m,opened\n\n\nrug-ash,2024-02-29,-5,,\n").at(0)}));
}

TEST(Lots, AreKeptInOuncesAndYardsAsWell) {
  const LotTable table = read_lots(
      "yarn,lot,net_oz,net_yd,longest_left_yd\nrug-ash,A1,4,,\nrug-ash,A2,1/2,,2\n"
      "rug-ash,A3,,30,\n",
      "lots.csv", a_studio().yarns);
  ASSERT_EQ(table.lots.size(), 3U);
  EXPECT_NEAR(in_grams(*table.lots[0].net_mass), 113.3980925, 1e-9);    // 4 x 28.349523125
  EXPECT_NEAR(in_grams(*table.lots[1].net_mass), 14.1747615625, 1e-9);  // half of 28.349523125
  EXPECT_NEAR(in_metres(*table.lots[1].longest_left), 1.8288, 1e-12);   // 2 x 0.9144
  EXPECT_FALSE(table.lots[2].net_mass);
  EXPECT_NEAR(in_metres(*table.lots[2].net_length), 27.432, 1e-12);  // 30 x 0.9144
  EXPECT_TRUE(table.warnings.empty());
}

TEST(Lots, AreAskedAboutInTheUnitsTheyAreKeptIn) {
  // 100 yd are 91.44 m, at 500 tex 45.72 g or 1.612725 oz; 2 oz are 1.24 times that, four times
  // the 0.124 by which lots and their measuring stray (ln 1.24 = 0.215) is more: nothing is asked.
  // 4 oz are 2.48 times that (ln 2.48 = 0.908).
  const auto warned = [](const std::string& row) {
    return told_lines(
        read_lots("yarn,net_oz,net_yd,longest_left_yd\n" + row + "\n", "lots.csv", a_studio().yarns)
            .warnings);
  };
  EXPECT_EQ(warned("rug-ash,2,100,"), Lines());
  EXPECT_EQ(warned("rug-ash,4,100,"),
            (Lines{"lots.csv:2:2: net_oz: 4 oz here, but 100 yd of it weigh 1.613 oz by its count; "
                   "is a core or card weighed with it?"}));
  EXPECT_EQ(warned("rug-ash,,100,400"),
            (Lines{"lots.csv:2:4: longest_left_yd: 400 yd, but the whole lot is about 100 yd; is "
                   "it all one piece, or less by now?"}));
}

TEST(Lots, AnAmountInTwoUnitsIsRefused) {
  EXPECT_EQ(lot_complaints("yarn,net_g,net_oz,net_m,net_yd\nrug-ash,113,4,,\nrug-ash,,,27,30\n"),
            (Lines{"lots.csv:2:3: net_oz: net_g is filled as well; empty one of the two",
                   "lots.csv:3:5: net_yd: net_m is filled as well; empty one of the two"}));
}

/// A folder with the studio's files, gone afterwards.
class StudioFolder : public testing::Test {
 protected:
  void SetUp() override {
    std::string name = (fs::temp_directory_path() / "ellwand-studio-XXXXXX").string();
    ASSERT_NE(::mkdtemp(name.data()), nullptr);
    folder_ = name;
    fs::create_directories(folder_ / "pieces" / "sold");
    write_file(folder_ / "studio.toml", kStudioToml);
  }
  void TearDown() override { fs::remove_all(folder_); }

  fs::path folder_;
};

TEST_F(StudioFolder, IsOpened) {
  write_file(folder_ / "yarns.csv", kYarnsCsv);
  write_file(folder_ / "lots.csv", kLotsCsv);
  const Studio studio = open_studio(folder_, starting_values());
  EXPECT_EQ(studio.name, "Tidewrack");
  EXPECT_EQ(studio.yarns.size(), 4U);
  EXPECT_EQ(studio.lots.size(), 2U);
}

TEST_F(StudioFolder, MustHaveAStudioToml) {
  fs::remove(folder_ / "studio.toml");
  EXPECT_EQ(complaints_of([&] { open_studio(folder_, starting_values()); }),
            (Lines{(folder_ / "studio.toml").string() + ": there is no such file"}));
}

TEST_F(StudioFolder, IsFoundFromItsPieces) {
  EXPECT_EQ(find_studio_of(folder_ / "pieces" / "reed.toml"), folder_);
  EXPECT_EQ(find_studio_of(folder_ / "pieces" / "sold" / "reed.toml"), folder_);
  EXPECT_EQ(find_studio_of(folder_ / "reed.toml"), folder_);
}

TEST_F(StudioFolder, IsFoundFromInside) {
  const fs::path before = fs::current_path();
  fs::current_path(folder_ / "pieces");
  const fs::path found = find_studio_of("reed.toml");
  EXPECT_TRUE(fs::equivalent(found, folder_));
  fs::current_path(folder_);
  EXPECT_TRUE(fs::equivalent(find_studio_of("pieces/reed.toml"), folder_));
  fs::current_path(before);
}

TEST_F(StudioFolder, MayBeMissing) {
  fs::remove(folder_ / "studio.toml");
  const fs::path piece = folder_ / "pieces" / "reed.toml";
  EXPECT_EQ(complaints_of([&] { find_studio_of(piece); }),
            (Lines{piece.string() + ": no folder above this piece has a studio.toml; keep pieces "
                                    "in the folder 'pieces' of a studio"}));
}

}  // namespace
}  // namespace ellwand::studio
