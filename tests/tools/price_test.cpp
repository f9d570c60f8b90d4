// ellwand price as she calls it.

#include "program.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace ellwand::test {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

/// With single blanks, so that a line is found however wide its columns are.
std::string squeezed(const std::string& text) {
  std::string all;
  for (const char c : text) {
    if (c != ' ' || all.empty() || (all.back() != ' ' && all.back() != '\n')) all += c;
  }
  return all;
}

class Price : public Program {
 protected:
  json priced(const std::string& arguments) const {
    const Ran ran = run("price " + arguments + " --json");
    EXPECT_EQ(ran.status, 0) << ran.told;
    return json::parse(ran.out, nullptr, false);
  }

  /// A studio whose figures can be worked by hand. 25 ends every 4 mm, 0.8 and 1.6 mm thick, are
  /// 24 x 4 + 0.8 + 2 x 1.6 = 100 mm wide, so that a row is one row 10 cm wide: 60 rows at 5.5
  /// minutes are 330, 30 besides make 360 = 6 h. Of each yarn one put-up does: 6.60 + 8.00 = 14.60.
  void lay_out_by_hand(const std::string& more = "margin = \"30 %\"\n") const {
    fs::create_directories(folder_ / "hand/pieces");
    write_text(folder_ / "hand/studio.toml",
               "[studio]\nname = \"By hand\"\ncurrency = \"EUR\"\n[price]\nhourly_rate = \"22\"\n"
               "overhead = \"15 %\"\nyarn_by = \"put-up\"\nlearning = \"90 %\"\n"
               "consumables = \"3.20\"\n" +
                   more + "[price.minutes]\nweave = 5.5\nbesides = 30\n");
    write_text(folder_ / "hand/yarns.csv",
               "id,fibre,count,diameter_mm,put_up,price\n"
               "warp,cotton,12/6 seine twine,0.8,250 g,6.60\nweft,wool,400 tex,1.6,100 g,8.00\n");
    write_text(folder_ / "hand/pieces/plain.toml",
               "[piece]\nname = \"Plain\"\n[loom]\nkind = \"notched\"\nspan = \"34 cm\"\n"
               "pitch = \"4 mm\"\n[warp]\nyarn = \"warp\"\nends = 25\n[[band]]\nwork = \"weave\"\n"
               "yarn = \"weft\"\nrows = 60\n");
  }
};

TEST_F(Price, OfOneByHand) {
  // 6 h at 22 = 132; 15 % of it 19.80; yarn 14.60; other 3.20: cost 169.60. A margin of 30 % is
  // / 0.7 = 242.29, of which 72.69 is left.
  lay_out_by_hand();
  const Ran ran = run("price hand/pieces/plain.toml");
  EXPECT_EQ(ran.told, "");
  EXPECT_EQ(ran.status, 0);
  EXPECT_EQ(ran.out.rfind("Plain: 242.29 EUR. It costs 169.60 EUR on average; ", 0), 0U) << ran.out;
  const std::string told = squeezed(ran.out);
  for (const char* line : {"\nwarp, 1 put-up 6.60\n",
                           "\nweft, 1 put-up 8.00\n",
                           "\nconsumables 3.20\n",
                           "\nlabour, 6 h 00 min at 22.00 132.00\n",
                           "\nband 1, weave: 5 h 30 min 121.00\n",
                           "\nwarping, sewing in, finishing: 30 min 11.00\n",
                           "\noverhead, 15 % of labour 19.80\n",
                           "\n= cost 169.60\n",
                           "\nmargin, 30 % of the price 72.69\n",
                           "\n= price 242.29\n"}) {
    EXPECT_NE(told.find(line), std::string::npos) << line << told;
  }
}

TEST_F(Price, OfFiveByHand) {
  // 90 % a doubling, unit model: 4.3392 x 132 / 5 = 114.55 of labour each (of 360 min 312.4),
  // overhead 17.18, and with 17.80 as it was each would be 149.54 and / 0.7 = 213.63. Here whole
  // put-ups of yarn are shared among the five: --pieces 5 has 14.60 / 5 = 2.92 in place of 14.60
  // (a put-up of warp is 846 m and one of weft 250 m, of which a piece takes 9 and under 15):
  // 114.5549 + 17.1832 + 2.92 + 3.20 = 137.8581 -> 137.86, / 0.7 = 196.94.
  lay_out_by_hand();
  const json five = priced("hand/pieces/plain.toml --pieces 5");
  EXPECT_EQ(five["each"]["labour"], 114.55);
  EXPECT_EQ(five["each"]["overhead"], 17.18);
  EXPECT_EQ(five["each"]["yarn"], 2.92);
  EXPECT_EQ(five["each"]["cost"], 137.86);
  EXPECT_EQ(five["each"]["price"], 196.94);
  EXPECT_EQ(five["each"]["all_pieces"], 984.70);
  EXPECT_NEAR(five["each"]["minutes"], 312.42, 0.005);  // 360 x 4.3392 / 5, the sum to four places
}

TEST_F(Price, OfFiveWithYarnForEachByHand) {
  // Put-ups that are no more than a piece takes: 14.60 a piece whatever their number, so that each
  // of five costs 114.5549 + 17.1832 + 14.60 + 3.20 = 149.54, / 0.7 = 213.63. The consumables are
  // made to hold the yarn: 14.60 + 3.20 = 17.80 with yarn given away.
  lay_out_by_hand();
  change("hand/yarns.csv", "6.60", "0");
  change("hand/yarns.csv", "8.00", "0");
  change("hand/studio.toml", "3.20", "17.80");
  const json five = priced("hand/pieces/plain.toml --pieces 5");
  EXPECT_EQ(five["each"]["labour"], 114.55);
  EXPECT_EQ(five["each"]["cost"], 149.54);
  EXPECT_EQ(five["each"]["price"], 213.63);
  // And of those at 1, 3 and 5 the first is the one by hand above: 242.29.
  ASSERT_EQ(five["series"].size(), 3U);
  EXPECT_EQ(five["series"][0]["price"], 242.29);
  EXPECT_EQ(five["series"][1]["pieces"], 3);
  EXPECT_EQ(five["series"][2]["price"], 213.63);
}

TEST_F(Price, AMarkupIsOnTheCost) {
  // 169.60 x 1.3 = 220.48.
  lay_out_by_hand("markup = \"30 %\"\n");
  EXPECT_EQ(priced("hand/pieces/plain.toml")["each"]["price"], 220.48);
  EXPECT_EQ(priced("hand/pieces/plain.toml --margin '30 %'")["each"]["price"], 242.29);
}

}  // namespace
}  // namespace ellwand::test
