#include <gtest/gtest.h>

#include "ellwand/cloth/weave.hpp"

namespace ellwand::cloth {
namespace {

UnreadableWeave fault_of(const std::vector<std::string>& rows) {
  try {
    weave_from_words(rows);
  } catch (const UnreadableWeave& error) {
    return error;
  }
  return {"", -1, -1};
}

std::string name_refusal(const std::string& name) {
  try {
    read_weave_name(name);
  } catch (const UnreadableWeave& error) {
    return error.what();
  }
  return "";
}

std::string draft_refusal(const Draft& draft) {
  try {
    weave_from_draft(draft);
  } catch (const UnreadableWeave& error) {
    return error.what();
  }
  return "";
}

TEST(WeaveFromWords, ReadsOverAndUnder) {
  EXPECT_EQ(weave_from_words({"o2 u1", "u3"}), Grid({{true, true, false}, {false, false, false}}));
}

TEST(WeaveFromWords, ReadsHerRowOfElevenEnds) {
  const Grid grid = weave_from_words({"o2 u2 o1 u2 o2 u2"});
  EXPECT_EQ(grid, Grid({{true, true, false, false, true, false, false, true, true, false, false}}));
}

TEST(WeaveFromWords, TakesSpacesCommasAndCapitals) {
  const Grid grid = weave_from_words({"o2 u2 o1"});
  EXPECT_EQ(weave_from_words({"O 2, U2,o1 "}), grid);
  EXPECT_EQ(weave_from_words({"o2u2o1"}), grid);
  EXPECT_EQ(weave_from_words({"\to2 , u2\to1"}), grid);
  EXPECT_EQ(weave_from_words({"o1 o1 u2 o1"}), grid);
}

TEST(WeaveFromWords, SaysWhereTheFaultLies) {
  const UnreadableWeave letter = fault_of({"o2 u2", "o2 x2"});
  EXPECT_STREQ(
      letter.what(),
      "row 2 from the bottom, column 4: 'x' is neither o nor u; write o (over) or u (under) and "
      "a number of ends, as in \"o2 u2 o1 u2\"");
  EXPECT_EQ(letter.row(), 2);
  EXPECT_EQ(letter.column(), 4);
}

TEST(WeaveFromWords, RefusesEachFaultAtItsColumn) {
  EXPECT_EQ(fault_of({"o2 u"}).column(), 5);     // the number that is missing
  EXPECT_EQ(fault_of({"o2 u0"}).column(), 5);    // no ends at all
  EXPECT_EQ(fault_of({"o2 u-1"}).column(), 5);   // the minus
  EXPECT_EQ(fault_of({"o2 u1.5"}).column(), 6);  // the point
  EXPECT_EQ(fault_of({"2 over"}).column(), 1);   // the letter comes first
  EXPECT_EQ(fault_of({""}).column(), 1);         // an empty row
  EXPECT_EQ(fault_of({"o2", "  "}).row(), 2);    // an empty row further up
  EXPECT_EQ(fault_of({"o99999999999999999999"}).column(), 2);
  EXPECT_EQ(fault_of({"o2 u2", "o2 u3"}).row(), 2);  // more ends than the row below
  EXPECT_EQ(fault_of({}).row(), 0);                  // no rows
}

TEST(WeaveFromWords, CountsColumnsInCharacters) {
  const UnreadableWeave fault = fault_of({"o2 \xC3\xBC"});  // u umlaut, two bytes
  EXPECT_EQ(fault.column(), 4);
  EXPECT_NE(std::string(fault.what()).find("'\xC3\xBC' is neither"), std::string::npos);
  EXPECT_EQ(fault_of({"o\xC3\xBC u2"}).column(), 2);
}

TEST(WeaveName, ReadsTheNamedWeaves) {
  EXPECT_EQ(read_weave_name("plain"), plain());
  EXPECT_EQ(read_weave_name("tabby"), plain());
  EXPECT_EQ(read_weave_name("Plain weave"), plain());
  EXPECT_EQ(read_weave_name("2/2 twill"), twill({2, 2}));
  EXPECT_EQ(read_weave_name(" 1/3  Twill "), twill({1, 3}));
  EXPECT_EQ(read_weave_name("1/3 twill left"), twill({1, 3}, TwillLine::Left));
  EXPECT_EQ(read_weave_name("1/3 twill, right"), twill({1, 3}));
  EXPECT_EQ(read_weave_name("5/2/1/2 twill"), twill({5, 2, 1, 2}));
  EXPECT_EQ(read_weave_name("2/2 basket"), basket(2, 2));
  EXPECT_EQ(read_weave_name("3/3 hopsack"), basket(3, 3));
  EXPECT_EQ(read_weave_name("5-end satin"), satin(5, 2));
  EXPECT_EQ(read_weave_name("8-end satin"), satin(8, 3));
  EXPECT_EQ(read_weave_name("8-end sateen step 5"), satin(8, 5, SatinFace::Sateen));
}

TEST(WeaveName, IsTheGridItSpells) {
  // 2/2 twill: each pick under 2 and over 2, one end further right each time; drawn by hand.
  EXPECT_TRUE(same_weave(read_weave_name("2/2 twill"),
                         weave_from_words({"u1 o2 u1", "u2 o2", "o1 u2 o1", "o2 u2"})));
  EXPECT_TRUE(
      same_weave(read_weave_name("plain"), weave_from_words({"o1 u1 o1 u1", "u1 o1 u1 o1"})));
  EXPECT_TRUE(same_weave(read_weave_name("2/2 basket"),
                         weave_from_words({"o2 u2", "o2 u2", "u2 o2", "u2 o2"})));
}

TEST(WeaveName, AsksDidYouMean) {
  const std::string accepted =
      "ccepted are plain (tabby), twills as 2/2 twill or 1/3 twill left, baskets as 2/2 basket, "
      "satins "
      "as 5-end satin or 8-end sateen step 5, or a grid in words";
  EXPECT_EQ(name_refusal("plane"),
            "\"plane\": \"plane\" is not known; did you mean \"plain\"? A" + accepted);
  EXPECT_EQ(name_refusal("2/2 twil"),
            "\"2/2 twil\": \"twil\" is not known; did you mean \"twill\"? A" + accepted);
  EXPECT_EQ(name_refusal("twill"),
            "\"twill\": \"twill\" needs its numbers before it; a" + accepted);
  EXPECT_EQ(name_refusal("zebra"), "\"zebra\": \"zebra\" is not read here; a" + accepted);
}

TEST(WeaveName, RefusesWhatItDoesNotRead) {
  for (const char* name : {"",
                           " ",
                           "2/2",
                           "2 twill",
                           "2/ twill",
                           "/2 twill",
                           "2//2 twill",
                           "2/2 twill left right",
                           "2/2 twill up",
                           "0/2 twill",
                           "-1/2 twill",
                           "2/2/2 twill",
                           "2/2/2/2 basket",
                           "2/2 basket left",
                           "5 end satin",
                           "5-end",
                           "5-end satin step",
                           "5-end satin step 1",
                           "5-end satin step x",
                           "6-end satin",
                           "4-end satin",
                           "999999999999-end satin",
                           "plain twill",
                           "plain weave weave",
                           "5-end satin skip 2",
                           "2/2x twill"}) {
    EXPECT_NE(name_refusal(name), "") << name;
  }
}

// A straight draw on four shafts, end 1 on shaft 1; treadle k lifts shafts k and the one before.
Draft twill_draft(Shed shed) {
  return {{1, 2, 3, 4}, {{1, 4}, {2, 1}, {3, 2}, {4, 3}}, {{1}, {2}, {3}, {4}}, shed};
}

TEST(WeaveFromDraft, WeavesTheTwillOnFourShafts) {
  // Pick 1 lifts ends 1 and 4: under 1, over 2, under 1; pick 2 ends 1 and 2; and so on.
  EXPECT_EQ(weave_from_draft(twill_draft(Shed::Rising)),
            weave_from_words({"u1 o2 u1", "u2 o2", "o1 u2 o1", "o2 u2"}));
}

TEST(WeaveFromDraft, TurnsOverWhenTheShedSinks) {
  EXPECT_EQ(weave_from_draft(twill_draft(Shed::Sinking)),
            weave_from_words({"o1 u2 o1", "o2 u2", "u1 o2 u1", "u2 o2"}));
}

TEST(WeaveFromDraft, PressesSeveralTreadlesTogether) {
  // One treadle a shaft, two pressed at once: the same twill.
  const Draft draft{{1, 2, 3, 4}, {{1}, {2}, {3}, {4}}, {{1, 4}, {1, 2}, {2, 3}, {3, 4}}};
  EXPECT_EQ(weave_from_draft(draft), weave_from_draft(twill_draft(Shed::Rising)));
}

TEST(WeaveFromDraft, FollowsAPointedThreading) {
  // Threading 1 2 3 2, first pick lifts shafts 1 and 2: ends 1, 2 and 4.
  const Draft draft{{1, 2, 3, 2}, {{1, 2}, {3}}, {{1}, {2}}};
  EXPECT_EQ(weave_from_draft(draft), weave_from_words({"u2 o1 u1", "o2 u1 o1"}));
}

TEST(WeaveFromDraft, SaysWhichShaftOrTreadleIsMissing) {
  Draft draft = twill_draft(Shed::Rising);
  draft.treadling[2] = {5};
  EXPECT_EQ(draft_refusal(draft),
            "pick 3 of the treadling presses treadle 5; the tie-up has treadles 1 to 4; tie the "
            "treadle or press another");
  draft = twill_draft(Shed::Rising);
  draft.threading[1] = 0;
  EXPECT_EQ(draft_refusal(draft), "end 2 is threaded on shaft 0; shafts are counted from 1 to 999");
  draft = twill_draft(Shed::Rising);
  draft.tie_up[0] = {0};
  EXPECT_EQ(draft_refusal(draft), "treadle 1 is tied to shaft 0; shafts are counted from 1");
  EXPECT_NE(draft_refusal({}), "");
}

}  // namespace
}  // namespace ellwand::cloth
