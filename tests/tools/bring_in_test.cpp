// ellwand bring-in as she calls it.

#include "program.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <filesystem>
#include <string>

namespace ellwand::test {
namespace {

namespace fs = std::filesystem;

const std::string kYarns =
    "\xEF\xBB\xBFName;Fibre;Count;Ball;Paid;Shelf mark\r\n"
    "Moor wool, peat;wool;200 m/100 g;50;7,90;A3\r\n"
    ";;;;;\r\n"
    "Linen 16/2;linen;16/2 linen;100 g;;B1\r\n";
constexpr const char* kNaming =
    "--columns 'label = Name, fibre = Fibre, count = Count, put_up = Ball [g], price = Paid, "
    "use = \"weft\"'";

class BringIn : public Program {
 protected:
  void SetUp() override {
    Program::SetUp();
    write_text(folder_ / "old.csv", kYarns);
  }
  void refuses(const std::string& arguments, const std::string& sentence, int status) const {
    const auto before = contents(folder_ / "demo");
    const Ran ran = run("bring-in demo " + arguments);
    EXPECT_EQ(ran.status, status) << arguments;
    EXPECT_EQ(ran.out, "") << arguments;
    EXPECT_EQ(ran.told, sentence + "\n") << arguments;
    EXPECT_EQ(contents(folder_ / "demo"), before) << arguments;
  }
};

TEST_F(BringIn, ShowsFirstAndWritesNothing) {
  const auto before = contents(folder_ / "demo");
  const Ran ran = run(std::string("bring-in demo yarns old.csv ") + kNaming);
  EXPECT_EQ(ran.status, 0) << ran.told;
  EXPECT_EQ(ran.out,
            "2 rows of old.csv would go into demo/yarns.csv.\n\n"
            "  id              label            fibre  count        put_up  price  use\n"
            "  moor-wool-peat  Moor wool, peat  wool   200 m/100 g  50 g    7.90   weft\n"
            "  linen-16-2      Linen 16/2       linen  16/2 linen   100 g          weft\n"
            "\nLeft out: Shelf mark.\n");
  EXPECT_EQ(ran.told, "Nothing is written yet; the same with --write writes it.\n");
  EXPECT_EQ(contents(folder_ / "demo"), before);
}

TEST_F(BringIn, WritesBehindWhatWasThere) {
  const std::string before = text_of(folder_ / "demo/yarns.csv");
  const Ran ran = run(std::string("bring-in demo yarns old.csv --write ") + kNaming);
  EXPECT_EQ(ran.status, 0) << ran.told;
  EXPECT_EQ(ran.told, "");
  const std::string after = text_of(folder_ / "demo/yarns.csv");
  ASSERT_GT(after.size(), before.size());
  EXPECT_EQ(after.substr(0, before.size()), before);
  EXPECT_NE(after.find("moor-wool-peat,\"Moor wool, peat\",wool,"), std::string::npos) << after;
  EXPECT_EQ(run("record demo lot --yarn moor-wool-peat --net-g 50").status, 0);
}

TEST_F(BringIn, TellsProgramsTheSame) {
  const auto before = contents(folder_ / "demo");
  const Ran ran = run(std::string("bring-in demo yarns old.csv --json ") + kNaming);
  EXPECT_EQ(ran.status, 0) << ran.told;
  const nlohmann::json told = nlohmann::json::parse(ran.out, nullptr, false);
  EXPECT_EQ(told["file"], "yarns.csv");
  EXPECT_EQ(told["written"], false);
  EXPECT_EQ(told["columns"].size(), 7U);
  EXPECT_EQ(told["rows"].size(), 2U);
  EXPECT_EQ(told["rows"][0][0], "moor-wool-peat");
  EXPECT_EQ(told["rows"][0][4], "50 g");
  EXPECT_EQ(told["left_out"], nlohmann::json({"Shelf mark"}));
  EXPECT_EQ(contents(folder_ / "demo"), before);
}

TEST_F(BringIn, TakesLotsAndMinutes) {
  write_text(folder_ / "shelf.csv", "what,grams\nrug-wool-ash,41\nseine-12-6,12.5\n");
  const std::string before = text_of(folder_ / "demo/lots.csv");
  EXPECT_EQ(
      run("bring-in demo lots shelf.csv --columns 'yarn = what, net_g = grams' --write").status, 0);
  const std::string after = text_of(folder_ / "demo/lots.csv");
  EXPECT_EQ(after, before + "rug-wool-ash,,,41,,\nseine-12-6,,,12.5,,\n");
  write_text(folder_ / "hours.csv", "day,thing,min\n2026-05-01,saltmarsh,95\n");
  EXPECT_EQ(run("bring-in demo minutes hours.csv --columns 'date = day, piece = thing, minutes = "
                "min' --write")
                .status,
            0);
}

TEST_F(BringIn, PutsAmountsIntoTheUnitOfTheColumn) {
  write_text(folder_ / "shelf.csv",
             "what,Ounces,Grams\nrug-wool-ash,4,41\nseine-12-6,2 1/2,12.5\n");
  const std::string before = text_of(folder_ / "demo/lots.csv");
  const auto lots_with = [&](const std::string& naming) {
    const Ran ran =
        run("bring-in demo lots shelf.csv --columns 'yarn = what, " + naming + "' --write");
    EXPECT_EQ(ran.status, 0) << ran.told;
    const std::string after = text_of(folder_ / "demo/lots.csv");
    write_text(folder_ / "demo/lots.csv", before);
    return after;
  };
  // 4 x 28.349523125 = 113.3980925 and 2.5 x 28.349523125 = 70.8738078
  EXPECT_EQ(lots_with("net_g = Ounces [oz]"),
            before + "rug-wool-ash,,,113.398,,\nseine-12-6,,,70.8738,,\n");
  EXPECT_EQ(lots_with("net_g = Grams [g]"), before + "rug-wool-ash,,,41,,\nseine-12-6,,,12.5,,\n");
  EXPECT_NE(lots_with("net_oz = Ounces").find("seine-12-6,,,,,,2 1/2\n"), std::string::npos);
  refuses("lots shelf.csv --columns 'yarn = what, net_g = Ounces'",
          "shelf.csv:1: \"Ounces\" has a unit in its name that net_g is not in; write net_g = "
          "Ounces [oz], or [g] where it is that all the same",
          3);
  refuses("lots shelf.csv --columns 'yarn = what, net_oz = Grams'",
          "shelf.csv:1: \"Grams\" has a unit in its name that net_oz is not in; write net_oz = "
          "Grams [g], or [oz] where it is that all the same",
          3);
}

/// 0.42 oz are read to a hundredth of an ounce, 11.9068 g would be to a ten-thousandth of a gram.
TEST_F(BringIn, AMeasuredFigureKeepsItsUnitAndSoItsLastDigit) {
  fs::remove(folder_ / "demo/swatches.csv");
  write_text(folder_ / "old.csv", "id,took\ns1,0.42\n");
  const Ran ran = run(
      "bring-in demo swatches old.csv --write --columns 'swatch = id, used_g = took [oz], loom = "
      "\"notched board\", warp_yarn = \"seine-12-6\", ends = \"60\", work = \"weave\", yarn = "
      "\"rug-wool-ash\", rows = \"60\"'");
  EXPECT_EQ(ran.status, 0) << ran.told;
  EXPECT_EQ(text_of(folder_ / "demo/swatches.csv"),
            "swatch,yarn,loom,warp_yarn,ends,work,rows,used_oz\n"
            "s1,rug-wool-ash,notched board,seine-12-6,60,weave,60,0.42\n");
}

TEST_F(BringIn, ComplainsByTheOldTablesLinesAllAtOnce) {
  write_text(folder_ / "old.csv",
             "Name,Fibre,Count\nA,wool,200 m/100 g\nB,wool,heavy\nC,,16/2 linen\n");
  const auto before = contents(folder_ / "demo");
  const Ran ran = run(
      "bring-in demo yarns old.csv --columns 'label = Name, fibre = Fibre, count = Count' --write");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(ran.out, "");
  EXPECT_NE(ran.told.find("old.csv:3: count: \"heavy\""), std::string::npos) << ran.told;
  EXPECT_NE(ran.told.find("old.csv:4: fibre"), std::string::npos) << ran.told;
  EXPECT_EQ(contents(folder_ / "demo"), before);
}

TEST_F(BringIn, RefusesWhatItCannotMakeOut) {
  refuses("old.csv",
          "ellwand: bring-in takes a studio, what is brought and a file, as in: ellwand "
          "bring-in my-studio yarns old.csv --columns 'label = Name, fibre = Fibre, "
          "count = Count'",
          2);
  refuses("yarn old.csv --columns 'id = Name'",
          "ellwand: 'yarn' cannot be brought in; did you mean 'yarns'? Yarns, lots, swatches and "
          "minutes can.",
          2);
  refuses("yarns old.csv",
          "ellwand: --columns says which of your columns is which, as in: --columns 'label = Name, "
          "fibre = Fibre, count = Count, put_up = Ball [g]'",
          2);
  refuses("yarns old.csv --columns 'Name'",
          "ellwand: --columns: \"Name\": a column is named as in 'put_up = Ball [g]', or 'kind = "
          "\"plied\"' for the same in every row",
          2);
  refuses("yarns old.csv --columns 'lable = Name, fibre = Fiber'",
          "old.csv:1: yarns.csv has no column \"lable\"; did you mean 'label'?\n"
          "old.csv:1: there is no column \"Fiber\" here; did you mean 'Fibre'?",
          3);
}

}  // namespace
}  // namespace ellwand::test
