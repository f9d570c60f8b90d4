#include <gtest/gtest.h>

#include <random>
#include <string>
#include <vector>

#include "ellwand/yarn/count.hpp"

namespace ellwand::yarn {
namespace {

double tex_in(const std::string& text) { return in_tex(read_count(text).linear_density); }
int ply_in(const std::string& text) { return read_count(text).ply.value_or(0); }

std::string refusal(const std::string& text) {
  try {
    return "took it as " + read_count(text).understood;
  } catch (const UnreadableText& wrong) {
    return wrong.what();
  }
}

// tex of cotton count 1, 840 yd/lb; worsted 560; linen 300 (ASTM D2260). Their last printed digit
// is half a part in a million; so are the answers made from them.
constexpr double kCotton = 590.541;
constexpr double kWorsted = 885.812;
constexpr double kLinen = 1653.52;
constexpr double kPrinted = 3e-6;

void expect_count(const std::string& text, double yarn_tex, int ply) {
  EXPECT_NEAR(tex_in(text), yarn_tex, kPrinted * yarn_tex) << text;
  EXPECT_EQ(ply_in(text), ply) << text;
}

TEST(ReadCount, ReadsTexAndItsKin) {
  expect_count("147.6 tex", 147.6, 0);
  expect_count("R 147.6 tex", 147.6, 0);
  expect_count("R147.6TEX", 147.6, 0);
  expect_count("tex 147.6", 147.6, 0);
  expect_count("1100 dtex", 110.0, 0);
  expect_count("1.5 ktex", 1500.0, 0);
  expect_count("150 den", 150.0 / 9.0, 0);
  expect_count("150 denier", 150.0 / 9.0, 0);
}

TEST(ReadCount, TellsThreadsTogetherFromTheResult) {
  expect_count("R 40 tex / 2", 40.0, 2);
  expect_count("20 tex x 2", 40.0, 2);
  expect_count("600 tex × 2", 1200.0, 2);
  expect_count("2 x 20 tex", 40.0, 2);
  expect_count("tex 20 x 2", 40.0, 2);
  EXPECT_EQ(
      refusal("40 tex/2"),
      "\"40 tex/2\": write \"40 tex x 2\" for threads of 40 tex each, or \"R 40 tex / 2\" for "
      "all together");
  EXPECT_EQ(refusal("50 tex 2-ply"),
            "\"50 tex 2-ply\": is that one thread or all together? Write \"50 tex x 2\" or \"R 50 "
            "tex / 2\"");
}

TEST(ReadCount, KnowsTheFoldOfCottonAndLinenWhereverItStands) {
  expect_count("8/2 cotton", kCotton / 4.0, 2);
  expect_count("2/8 Cotton", kCotton / 4.0, 2);
  expect_count("cotton 8/2", kCotton / 4.0, 2);
  expect_count("8/4 cotton carpet warp", kCotton / 2.0, 4);
  expect_count("3/2 pearl cotton", kCotton / 1.5, 2);
  expect_count("Ne 20/2", kCotton / 10.0, 2);
  expect_count("NeC 22/2", kCotton / 11.0, 2);
  expect_count("12/6 seine twine", kCotton / 2.0, 6);
  expect_count("12/15 seine twine", kCotton * 15.0 / 12.0, 15);
  expect_count("16/2 linen", kLinen / 8.0, 2);
  expect_count("16/1 linen", kLinen / 16.0, 1);
  expect_count("Ne 16 linen", kLinen / 16.0, 0);
  expect_count("NeL 10", kLinen / 10.0, 0);
  expect_count("1.5/2 linen", kLinen / 0.75, 2);
}

TEST(ReadCount, KnowsTheFoldOfWorstedAndMetricCounts) {
  expect_count("2/8 worsted", kWorsted / 4.0, 2);
  expect_count("8/2 worsted", kWorsted / 4.0, 2);
  expect_count("2/3 worsted", kWorsted / 1.5, 2);
  expect_count("NeK 20/2", kWorsted / 10.0, 2);
  expect_count("Nm 2/20", 100.0, 2);
  expect_count("20/2 Nm", 100.0, 2);
  expect_count("Nm 28/2 worsted", 1000.0 / 14.0, 2);  // spun as worsted, counted in Nm
  expect_count("metric count 20", 50.0, 0);
}

TEST(ReadCount, TakesANumberWithAnSForTheCount) {
  expect_count("2/40s cotton", kCotton / 20.0, 2);
  expect_count("40s/2 cotton", kCotton / 20.0, 2);
  expect_count("3/2s worsted", kWorsted / 2.0 * 3.0, 3);
  expect_count("2-ply 20s worsted", kWorsted / 10.0, 2);
  expect_count("20's worsted, 2 fold", kWorsted / 10.0, 2);
  expect_count("30s cotton singles", kCotton / 30.0, 1);
}

TEST(ReadCount, RefusesAFoldThatCouldBeEitherNumberAndSaysHowToWriteIt) {
  EXPECT_EQ(
      refusal("3/2 worsted"),
      "\"3/2 worsted\": either number could be the ply; write \"3-ply 2s worsted\" or \"2-ply "
      "3s worsted\"");
  EXPECT_EQ(refusal("Nm 3/2"),
            "\"Nm 3/2\": either number could be the ply; write \"3-ply Nm 2\" or \"2-ply Nm 3\"");
  EXPECT_EQ(refusal("6/12 cotton"),
            "\"6/12 cotton\": either number could be the ply; write \"6-ply 12s cotton\" or "
            "\"12-ply 6s cotton\"");
  // What it says to write is understood, and is not the same yarn.
  expect_count("3-ply 2s worsted", kWorsted * 3.0 / 2.0, 3);
  expect_count("2-ply 3s worsted", kWorsted * 2.0 / 3.0, 2);
  expect_count("3-ply Nm 2", 1500.0, 3);
  expect_count("6-ply 12s cotton", kCotton / 2.0, 6);
}

TEST(ReadCount, TakesTheNumberOfSpunSilkForTheFoldedYarn) {
  expect_count("40s-2 spun silk", kCotton / 40.0, 2);
  expect_count("60/2 spun silk", kCotton / 60.0, 2);
  EXPECT_EQ(refusal("2/60 spun silk"),
            "\"2/60 spun silk\": spun silk is written with its folded count first, such as \"40s-2 "
            "spun silk\"");
}

TEST(ReadCount, AsksWhichCountOfSilkOrWoolIsMeant) {
  EXPECT_EQ(
      refusal("60/2 silk"),
      "\"60/2 silk\": silk is sold by two counts that differ by more than three times; write "
      "\"Nm 60/2\" if two threads of 60 m per g are meant, \"60s-2 spun silk\" if 60 hanks of "
      "840 yd per lb after folding, or the yards per pound of the label");
  // 60/2 Nm is 33.33 tex, 60 hanks of 840 yd/lb are 9.84 tex: "more than three times".
  EXPECT_GT(tex_in("Nm 60/2") / tex_in("60s-2 spun silk"), 3.0);
  EXPECT_NE(refusal("8/2 wool").find("\"2/8 worsted\", \"Nm 8/2\", \"4 run\""), std::string::npos);
  EXPECT_NE(refusal("8/2").find("the count needs its system"), std::string::npos);
  EXPECT_NE(refusal("22/2 cotton linen").find("names both cotton count and linen lea"),
            std::string::npos);
}

TEST(ReadCount, ReadsWoollenCounts) {
  expect_count("4 run", 310.034 / 4.0, 0);  // 1600 yd/lb, ASTM D2260
  expect_count("5 1/2 run", 310.034 / 5.5, 0);
  expect_count("20 cut", kLinen / 20.0, 0);                  // 300 yd/lb too
  expect_count("5 Galashiels cut", 2480.2732 / 5.0, 0);      // 300 yd per 24 oz
  expect_count("20s Yorkshire skein", 1937.7135 / 20.0, 0);  // 256 yd/lb
  expect_count("12s West of England", 1550.1708 / 12.0, 0);  // 320 yd/lb
}

TEST(ReadCount, ReadsALengthAndItsMassInAnyOrder) {
  expect_count("2240 yd/lb", kWorsted / 4.0, 0);
  expect_count("2240 yards per pound", kWorsted / 4.0, 0);
  expect_count("200 m/100 g", 500.0, 0);
  expect_count("105 m / 50 g", 50000.0 / 105.0, 0);
  expect_count("50g/105m", 50000.0 / 105.0, 0);
  expect_count("100 g = 200 m", 500.0, 0);
  expect_count("115 yd per 50 g", 50000.0 / 105.156, 0);  // 115 x 0.9144 m
  expect_count("8.5 lb/spyndle", 8.5 * 34.44824, 0);      // 14400 yd
  expect_count("2000 m/kg", 500.0, 0);
  expect_count("2-ply, 2240 yd/lb wool", kWorsted / 4.0, 2);
  expect_count("sock yarn 420 m / 100 g 4 ply", 100000.0 / 420.0, 4);
  EXPECT_NEAR(in_tex(read_count("8,5 lb/spyndle", DecimalMark::Comma).linear_density), 292.81,
              1e-3);
}

TEST(ReadCount, AddsDifferentThreads) {
  expect_count("Ne 60 + Ne 40", kCotton / 24.0, 2);
  expect_count("30 tex + Nm 20/2", 130.0, 3);
  EXPECT_EQ(refusal("Ne 60 +"),
            "\"Ne 60 +\": a count is missing beside +, as in \"Ne 60 + Ne 40\"");
}

TEST(ReadCount, TellsWhatItUnderstood) {
  EXPECT_EQ(read_count("8/2 cotton").understood, "2-ply of cotton count 8: 147.6 tex");
  EXPECT_EQ(read_count("40s-2 spun silk").understood,
            "2-ply, spun silk count 40 after folding: 14.76 tex");
  EXPECT_EQ(read_count("R 147.6 tex").understood, "147.6 tex");
  EXPECT_EQ(read_count("105 m / 50 g").understood, "105 m / 50 g: 476.2 tex");
  EXPECT_EQ(read_count("Ne 60 + Ne 40").understood,
            "cotton count 60 and cotton count 40 together: 24.61 tex");
}

TEST(ReadCount, RefusesNamesOfAThickness) {
  for (const char* text : {"aran", "worsted weight", "12 wpi", "DK", "8 wraps per inch"}) {
    EXPECT_NE(refusal(text).find("names a thickness and is no count; weigh a measured length"),
              std::string::npos)
        << refusal(text);
  }
}

TEST(ReadCount, SaysWhatAnImpossibleYarnMayHaveBeenMeantAs) {
  EXPECT_EQ(
      refusal("0.147 tex"),
      "\"0.147 tex\": this is 0.147 tex, and yarn has 0.5 to 200000 tex; if it was meant as g "
      "per m, write \"0.147 ktex\"");
  EXPECT_EQ(
      refusal("300000 tex"),
      "\"300000 tex\": this is 300000 tex, and yarn has 0.5 to 200000 tex; if it was meant as "
      "g per 10 km, write \"300000 dtex\"");
  EXPECT_EQ(refusal("Nm 8000"),
            "\"Nm 8000\": this is 0.125 tex, and yarn has 0.5 to 200000 tex; if it was meant as m "
            "per kg, write \"8000 m/kg\"");
  EXPECT_EQ(refusal("Ne 3360"),
            "\"Ne 3360\": this is 0.1758 tex, and yarn has 0.5 to 200000 tex; if it was meant as "
            "yards per pound, write \"3360 yd/lb\"");
  expect_count("0.5 tex", 0.5, 0);
  expect_count("200000 tex", 200000.0, 0);
  EXPECT_THROW(read_count("1 m / 5 kg"), UnreadableText);
}

TEST(ReadCount, RefusesWhatIsNoCount) {
  for (const char* text : {"",
                           "+",
                           "tex",
                           "cotton",
                           "-5 tex",
                           "Ne -30",
                           "Ne 0",
                           "8/0 cotton",
                           "0/2 cotton",
                           "0 m/50 g",
                           "50 g/0 m",
                           "1,200 yd/lb",
                           "nan tex",
                           "Ne inf",
                           "1e999 tex",
                           "#5 cotton",
                           "40/2/3 cotton",
                           "Ne 20 30",
                           "3360 yd",
                           "50 gr/105 m",
                           "105 m/50 m",
                           "R Nm 10/2",
                           "20 skein",
                           "8.5/2.5 cotton",
                           "2.5-ply 20s cotton",
                           "8/2 cotton 3360 yd/lb"}) {
    EXPECT_THROW(read_count(text), UnreadableText) << text;
  }
  EXPECT_EQ(refusal("8/2 coton"),
            "\"8/2 coton\": \"coton\" is not a word of yarn counts; did you mean \"cotton\"?");
  EXPECT_EQ(refusal("50 gr/105 m"),
            "\"50 gr/105 m\": \"gr\" is a gram to some and a grain to others; write \"g\" or "
            "\"grains\"");
}

TEST(ReadCount, RefusesAPlyTooLargeForAnyNumberOfThreads) {
  // Found by fuzzing: such a number was made an int before it was looked at.
  for (const char* text : {"88888888888888/20s linen", "20s/277777777777777777 cotton"}) {
    const std::string told = refusal(text);
    EXPECT_NE(told.find("a whole number up to 96"), std::string::npos) << text << ": " << told;
  }
}

// Half a letter, a mark that is left out, and the other half: together 5/8.
TEST(ReadCount, RefusesHalvesOfLettersThatComeTogether) {
  EXPECT_NE(refusal("l2\xba\xe2\xef\xbb\xbf\x85\x9do3"), "");
  EXPECT_NE(refusal("2 \xe2\xef\xbb\xbf\x85\x9d"), "");
}

TEST(ReadCount, GivesAPossibleYarnOrOneRefusalForAnyText) {
  const std::vector<std::string> pieces{
      "1",    "2",  "8",   "40", "/",     " ", "-",  "s",    "x",       "tex", "Nm",
      "Ne",   "yd", "lb",  "g",  "m",     "+", "R ", "ply",  "per",     "run", "cotton",
      "silk", "0",  "1/2", ".",  "seine", "=", "e9", "wool", "worsted", ","};
  std::mt19937 dice(1909);
  int understood = 0;
  for (int i = 0; i < 20000; ++i) {
    std::string text;
    for (auto n = 1 + dice() % 7; n > 0; --n) {
      text += dice() % 20 == 0 ? std::string(1, static_cast<char>(dice() % 256))
                               : pieces[dice() % pieces.size()];
    }
    try {
      const CountReading reading = read_count(text);
      const double yarn_tex = in_tex(reading.linear_density);
      EXPECT_TRUE(yarn_tex >= 0.5 && yarn_tex <= 200000.0) << text << " gave " << yarn_tex;
      EXPECT_TRUE(reading.ply.value_or(1) >= 1) << text;
      ++understood;
    } catch (const UnreadableText& wrong) {
      EXPECT_NE(std::string(wrong.what()), "") << text;
    }
  }
  EXPECT_GT(understood, 100);  // the scraps do reach the readers
}

}  // namespace
}  // namespace ellwand::yarn
