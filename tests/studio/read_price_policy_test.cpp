// The table [price] of studio.toml, and what time.csv tells.

#include "ellwand/studio/read_price_policy.hpp"

#include "a_studio.hpp"
#include "ellwand/studio/time_log.hpp"

#include <gtest/gtest.h>

#include <unistd.h>

#include <filesystem>
#include <fstream>

namespace ellwand::studio {
namespace {

namespace fs = std::filesystem;
using decide::read_money;

decide::PricePolicy policy_of(const std::string& table, const std::string& currency = "EUR") {
  return read_studio("[studio]\ncurrency = \"" + currency + "\"\n" + table, "studio.toml").price;
}

TEST(PricePolicy, IsReadWhole) {
  const decide::PricePolicy policy = policy_of(
      "[price]\nhourly_rate = \"22.50\"\noverhead = \"15 %\"\nmargin = 0.3\nfees = \"2.9 %\"\n"
      "wholesale = \"60 %\"\ndeposit = \"40 %\"\nround_to = \"0.50\"\nlearning = \"90 %\"\n"
      "learning_model = \"cumulative average\"\nyarn_by = \"put-up\"\n"
      "consumables = { rod = 2.40, \"label and box\" = \"0.80\" }\n"
      "[price.minutes]\nweave = 0.35\n\"thrown weave\" = 0.05\n\"knotted fringe\" = 6\nbesides = "
      "110\n");
  EXPECT_EQ(policy.hourly_rate, read_money("22.50"));
  EXPECT_DOUBLE_EQ(policy.overhead, 0.15);
  EXPECT_DOUBLE_EQ(policy.margin.value(), 0.3);
  EXPECT_FALSE(policy.markup.has_value());
  EXPECT_DOUBLE_EQ(policy.fees, 0.029);
  EXPECT_DOUBLE_EQ(policy.wholesale.value(), 0.6);
  EXPECT_DOUBLE_EQ(policy.deposit.value(), 0.4);
  EXPECT_EQ(policy.round_to, read_money("0.50"));
  EXPECT_DOUBLE_EQ(policy.learning.rate, 0.9);
  EXPECT_EQ(policy.learning.model, decide::LearningModel::CumulativeAverage);
  EXPECT_EQ(policy.yarn_by, decide::YarnBy::PutUp);
  ASSERT_EQ(policy.consumables.size(), 2U);
  EXPECT_EQ(policy.consumables[0].what, "rod");
  EXPECT_EQ(policy.consumables[0].cost, read_money("2.40"));
  EXPECT_EQ(policy.consumables[1].cost, read_money("0.80"));
  EXPECT_DOUBLE_EQ(policy.minutes.at("weave"), 0.35);
  EXPECT_DOUBLE_EQ(policy.minutes.at("thrown weave"), 0.05);
  EXPECT_DOUBLE_EQ(policy.minutes.at("knotted fringe"), 6.0);
  EXPECT_DOUBLE_EQ(policy.minutes.at("besides"), 110.0);
}

TEST(PricePolicy, HasNothingWhereNothingIsSaid) {
  const decide::PricePolicy policy = policy_of("");
  EXPECT_FALSE(policy.hourly_rate.has_value());
  EXPECT_FALSE(policy.margin.has_value());
  EXPECT_EQ(policy.overhead, 0.0);
  EXPECT_EQ(policy.learning.rate, 1.0);
  EXPECT_TRUE(policy.minutes.empty());
}

TEST(PricePolicy, TakesNumbersAsTheyAreWritten) {
  // As a binary number 22.1 is 22.10000000000000142.
  EXPECT_EQ(policy_of("[price]\nhourly_rate = 22.1\n").hourly_rate, read_money("22.1"));
  EXPECT_EQ(policy_of("[price]\nround_to = 50\n", "JPY").round_to, read_money("50"));
}

TEST(PricePolicy, WarnsOfUnknownKeys) {
  const Studio studio =
      read_studio("[price]\nmargn = \"30 %\"\n[price.minutes]\nweav = 3\n", "studio.toml");
  EXPECT_EQ(
      told_lines(studio.warnings),
      (Lines{"studio.toml:2:1: unknown key 'margn' in [price]; did you mean 'margin'? It is "
             "kept but not used.",
             "studio.toml:4:1: unknown key 'weav' in [price.minutes]; did you mean 'weave'? It "
             "is kept but not used."}));
}

TEST(PricePolicy, SaysHowPricesOfAnotherCurrencyAreRounded) {
  const Studio studio = read_studio("[studio]\ncurrency = \"taler\"\n", "studio.toml");
  EXPECT_EQ(told_lines(studio.warnings),
            (Lines{"studio.toml:2:12: currency: \"taler\" is no code of ISO 4217, such as EUR; "
                   "prices are rounded to two digits after the mark"}));
}

/// A studio's folder with a piece of two bands, "mixed", and one of one band, "plain".
class TimeLogs : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("ellwand-times-" + std::to_string(getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_ / "pieces");
    write("pieces/plain.toml", kHead + kWeave);
    write("pieces/mixed.toml", kHead + kWeave +
                                   "[[band]]\nwork = \"soumak\"\nyarn = \"weft\"\nover = 4\n"
                                   "back = 2\nrows = 5\n");
    write("pieces/broken.toml", "[piece]\n");
    write("swatches.csv",
          "swatch,loom,pitch_mm,warp_yarn,ends,work,yarn,rows,used_g\n"
          "one,notched,4,warp,25,weave,weft,20,6\n");
    texts_ = {folder_.string(), "[studio]\nname = \"T\"\n[[weaver]]\nname = \"Wren\"\n",
              "id,fibre,count,diameter_mm\nwarp,cotton,12/6 seine twine,0.8\n"
              "weft,wool,400 tex,1.6\n",
              std::nullopt};
    studio_ = studio_from(texts_, starting_values());
  }
  void TearDown() override { fs::remove_all(folder_); }

  void write(const std::string& file, const std::string& text) const {
    std::ofstream(folder_ / file, std::ios::binary) << text;
  }
  TimeLog log_of(const std::string& rows, const std::string& weaver = "") const {
    write("time.csv", "piece,swatch,band,rows,minutes,weaver\n" + rows);
    const estimate::Workshop workshop{studio_.yarns, starting_values(), studio_.habits};
    return open_time_log(folder_, studio_, workshop, weaver);
  }

  /// 25 ends every 4 mm, 0.8 and 1.6 mm thick: 96 + 0.8 + 3.2 = 100 mm, so that rows are units.
  const std::string kHead =
      "[piece]\nname = \"T\"\n[loom]\nkind = \"notched\"\nspan = \"34 cm\"\npitch = \"4 mm\"\n"
      "[warp]\nyarn = \"warp\"\nends = 25\n";
  const std::string kWeave = "[[band]]\nwork = \"weave\"\nyarn = \"weft\"\nrows = 30\n";
  fs::path folder_;
  StudioTexts texts_;
  Studio studio_;
};

TEST_F(TimeLogs, AreNothingWithoutAFile) {
  const estimate::Workshop workshop{studio_.yarns, starting_values(), studio_.habits};
  EXPECT_TRUE(open_time_log(folder_, studio_, workshop, "").works.empty());
}

TEST_F(TimeLogs, CountRowsOfPiecesAndSwatches) {
  const TimeLog log = log_of(
      "plain,,1,10,4,\n"  // so many rows of a band
      "mixed,,2,,15,\n"   // a whole band, 5 rows
      ",one,,20,9,\n"     // a swatch has one band
      "mixed,,,,70,\n"    // besides, in two goes
      "mixed,,,,30,\n"
      "plain,,1,,3,Wren\n");  // another weaver's
  EXPECT_TRUE(log.warnings.empty());
  std::map<std::string, std::vector<std::pair<double, double>>> by_work;
  for (const decide::Logged& one : log.works) by_work[one.work].push_back({one.units, one.minutes});
  ASSERT_EQ(by_work["weave"].size(), 2U);
  EXPECT_NEAR(by_work["weave"][0].first, 10.0, 1e-9);
  EXPECT_EQ(by_work["weave"][0].second, 4.0);
  EXPECT_NEAR(by_work["weave"][1].first, 20.0, 1e-9);
  ASSERT_EQ(by_work["soumak"].size(), 1U);
  EXPECT_NEAR(by_work["soumak"][0].first, 5.0, 1e-9);
  ASSERT_EQ(by_work["besides"].size(), 1U);
  EXPECT_EQ(by_work["besides"][0].second, 100.0);
  EXPECT_EQ(log_of("plain,,1,,3,Wren\n", "Wren").works.size(), 1U);
}

/// 1080 rows 10 cm wide at 0.04 min are 43.2: half an hour of them, or an hour, is honest.
TEST_F(TimeLogs, OfAThrownWeftAreNotAskedWhetherTheyAreHours) {
  write("pieces/thrown.toml",
        "[piece]\nname = \"T\"\n[loom]\nkind = \"beam\"\n[warp]\nyarn = \"warp\"\nends = 25\n"
        "sett = \"2.5 /cm\"\ndraw_in = \"0 %\"\n[[band]]\nwork = \"weave\"\nyarn = \"weft\"\n"
        "rows = 1080\n");
  const TimeLog log = log_of("thrown,,1,1080,30,\nthrown,,1,,60,\nplain,,1,10,4,\n");
  EXPECT_TRUE(log.warnings.empty());
  std::map<std::string, double> units;
  for (const decide::Logged& one : log.works) units[one.work] += one.units;
  EXPECT_NEAR(units["thrown weave"], 2.0 * 1080.0, 1e-6);
  EXPECT_NEAR(units["weave"], 10.0, 1e-9);
}

TEST_F(TimeLogs, SayWhichRowsTellNothingAndWhy) {
  const TimeLog log = log_of(
      "gone,,1,10,4,\nbroken,,1,10,4,\nmixed,,,10,4,\nmixed,,7,10,4,\n,one,,,4,\n,two,,10,4,\n");
  EXPECT_TRUE(log.works.empty());
  const std::string file = (folder_ / "time.csv").string();
  const std::string unused = "; these minutes are not used";
  EXPECT_EQ(told_lines(log.warnings),
            (Lines{file + ":2: piece gone is no file of pieces" + unused,
                   file + ":3: piece broken cannot be read" + unused,
                   file + ":4: of which band are these rows? Write it in band" + unused,
                   file + ":5: piece mixed has no band 7 to be woven" + unused,
                   file +
                       ":6: of how many rows? Write them in rows, so that setting up is not taken "
                       "for weaving" +
                       unused,
                   file + ":7: swatch two is not in swatches.csv" + unused}));
}

TEST_F(TimeLogs, AskAboutANameThatIsNearlyAPiecesAndRowsThatItHasNot) {
  const TimeLog log = log_of("plian,,1,10,4,\nmixed,,2,44,132,\n");
  const std::string file = (folder_ / "time.csv").string();
  EXPECT_EQ(
      told_lines(log.warnings),
      (Lines{file + ":2: piece plian is no file of pieces (is plain meant?); these minutes are "
                    "not used",
             file + ":3: rows: band 2 of mixed has fewer than 44; is it another band, or a "
                    "row there and back counted as two?"}));
}

TEST_F(TimeLogs, RefuseATableTheyCannotRead) {
  EXPECT_THROW(log_of("plain,,1,10,-4,\n"), BadInput);
}

}  // namespace
}  // namespace ellwand::studio
