#include "ellwand/cloth/weave.hpp"

#include <gtest/gtest.h>

#include "ellwand/units/error.hpp"

namespace ellwand::cloth {
namespace {

/// A grid as it is drawn on squared paper: the top line is the last pick; x is over, dot is under.
Grid picture(const std::vector<std::string>& top_first) {
  std::vector<std::vector<bool>> rows;
  for (auto line = top_first.rbegin(); line != top_first.rend(); ++line) {
    std::vector<bool> row;
    for (const char c : *line) row.push_back(c == 'x');
    rows.push_back(row);
  }
  return Grid(rows);
}

template <class Made>
std::string refusal(const Made& made) {
  try {
    made();
  } catch (const UnreadableWeave& error) {
    return error.what();
  }
  return "";
}

const Grid kHerGrid = weave_from_words({"o2 u2 o1 u2 o2 u2"});

TEST(Grid, CountsTheCellsOfAPick) {
  // o o u u o u u o o u u over 11 ends: changes after ends 2, 4, 5, 7, 9: five crossings in ten
  // cells; from the last end to the first of the next repeat one more.
  EXPECT_EQ(kHerGrid.row_cells(0, 0, 11), (Cells{5, 5}));
  EXPECT_EQ(kHerGrid.row_cells_in_repeat(0), (Cells{6, 5}));
  EXPECT_EQ(kHerGrid.row_cells(0, 2, 6), (Cells{2, 1}));  // u u o u
  EXPECT_EQ(kHerGrid.row_cells(0, 3, 4), (Cells{0, 0}));  // one end has no neighbour
}

TEST(Grid, CountsThreeRepeatsOverThirtyThreeEnds) {
  // Three times five within the repeats and two between them: 17 crossings in 32 cells.
  EXPECT_EQ(spread(kHerGrid, 33).row_cells(0, 0, 33), (Cells{17, 15}));
}

TEST(Grid, CountsRowsThatGoBeyondTheRepeatAndDoNotDivideIt) {
  // o3 u1 / o1 u1 o1 u1 / o4: crossings 1, 3, 0. Seven rows: 1 3 0 1 3 0 1 = 9 of 21 cells.
  const Grid grid = weave_from_words({"o3 u1", "o1 u1 o1 u1", "o4"});
  EXPECT_EQ(grid.weft_cells(7, 0, 4), (Cells{9, 12}));
  EXPECT_EQ(grid.weft_cells(2, 0, 4), (Cells{4, 2}));
  EXPECT_EQ(grid.weft_cells(0, 0, 4), (Cells{0, 0}));
  EXPECT_EQ(grid.weft_cells(7, 2, 4), (Cells{5, 2}));  // the last gap: 1 1 0 1 1 0 1
}

TEST(Grid, CountsTheCellsOfAnEnd) {
  // The same three rows, upwards: end 0 is o o o, end 1 o u o, end 3 u u o.
  const Grid grid = weave_from_words({"o3 u1", "o1 u1 o1 u1", "o4"});
  EXPECT_EQ(grid.column_cells(0, 7), (Cells{0, 6}));
  EXPECT_EQ(grid.column_cells(1, 3), (Cells{2, 0}));
  EXPECT_EQ(grid.column_cells(1, 7), (Cells{4, 2}));  // o u o o u o o
  EXPECT_EQ(grid.column_cells(3, 7), (Cells{4, 2}));  // u u o u u o u
  EXPECT_EQ(grid.column_cells_in_repeat(3), (Cells{2, 1}));
  EXPECT_EQ(grid.warp_cells(7, 0, 2), (Cells{4, 8}));
  EXPECT_EQ(grid.column_cells(1, 1), (Cells{0, 0}));  // one row has no neighbour
}

TEST(Grid, CountsManyRowsAtOnce) {
  // Plain weave over 33 ends: every one of 32 cells of every row crosses.
  const Grid grid = spread(plain(), 33, Remainder::Right);
  EXPECT_EQ(grid.weft_cells(1'000'000'001, 0, 33), (Cells{32'000'000'032, 0}));
  EXPECT_EQ(grid.warp_cells(1'000'000'001, 0, 33), (Cells{33'000'000'000, 0}));
}

TEST(Grid, FindsTheLongestFloat) {
  const Grid grid = weave_from_words({"o3 u1", "o1 u1 o1 u1", "o4"});
  EXPECT_EQ(grid.longest_weft_float(0, 0, 4), 3);
  EXPECT_EQ(grid.longest_weft_float(1, 0, 4), 1);
  EXPECT_EQ(grid.longest_weft_float(0, 4), 4);
  EXPECT_EQ(grid.longest_weft_float(0, 1, 4), 2);
  EXPECT_EQ(grid.longest_warp_float(0, 7), 7);    // never bound
  EXPECT_EQ(grid.longest_warp_float(1, 7), 2);    // o u o o u o o
  EXPECT_EQ(grid.longest_warp_float(3, 100), 2);  // u u o u u o ...
  EXPECT_EQ(grid.longest_warp_float(3, 1), 1);
}

TEST(Grid, RefusesWhatIsNotInIt) {
  const Grid grid = plain();
  EXPECT_THROW(grid.over(2, 0), OutOfRange);
  EXPECT_THROW(grid.over(0, -1), OutOfRange);
  EXPECT_THROW(grid.row_cells(0, 0, 3), OutOfRange);
  EXPECT_THROW(grid.row_cells(0, 1, 1), OutOfRange);
  EXPECT_THROW(grid.weft_cells(-1, 0, 2), OutOfRange);
  EXPECT_THROW(grid.column_cells(0, 0), OutOfRange);
  EXPECT_THROW(grid.longest_warp_float(2, 5), OutOfRange);
}

TEST(Grid, RefusesRowsOfUnlikeLength) {
  EXPECT_EQ(
      refusal([] {
        weave_from_words({"o2 u2", "o2 u1"});
      }),
      "row 2 from the bottom covers 3 ends and row 1 covers 4; every row must cover the same ends");
  EXPECT_NE(refusal([] { Grid(std::vector<std::vector<bool>>()); }), "");
  EXPECT_NE(refusal([] { Grid(std::vector<std::vector<bool>>(1)); }), "");
  const std::vector<std::vector<bool>> large(2001, std::vector<bool>(2000));
  EXPECT_EQ(refusal([&] { Grid{large}; }),
            "a weave of 2000 ends and 2001 picks is too large; 4000000 cells are the most");
}

TEST(Weave, PlainIsDrawnAsItIsDrawn) { EXPECT_EQ(plain(), picture({".x", "x."})); }

TEST(Weave, TwillLineRisesToTheSideItIsNamedAfter) {
  // 2/1: each end over two picks and under one, end 0 from the first pick on; where the pick shows
  // (x) moves one end to the right, or left, from pick to pick.
  EXPECT_EQ(twill({2, 1}), picture({"x..", "..x", ".x."}));
  EXPECT_EQ(twill({2, 1}, TwillLine::Left), picture({"x..", ".x.", "..x"}));
  EXPECT_EQ(twill({2, 2}), picture({"xx..", "x..x", "..xx", ".xx."}));
}

TEST(Weave, BasketOfTwo) {
  EXPECT_EQ(basket(2, 2), picture({"..xx", "..xx", "xx..", "xx.."}));
  EXPECT_EQ(basket(1, 1), plain());
  EXPECT_EQ(basket(2, 1), picture({"..x", "xx.", "xx."}));
}

TEST(Weave, FiveEndSatinOfStepTwo) {
  // Binding points, bottom first: 0, 2, 4, 1, 3.
  EXPECT_EQ(satin(5, 2), picture({"...x.", ".x...", "....x", "..x..", "x...."}));
  EXPECT_EQ(satin(5, 2, SatinFace::Sateen), picture({"xxx.x", "x.xxx", "xxxx.", "xx.xx", ".xxxx"}));
}

TEST(Weave, SatinBindsEveryEndOncePerRepeat) {
  for (const auto& [ends, step] :
       {std::pair{5, 3}, std::pair{7, 2}, std::pair{8, 3}, std::pair{12, 5}}) {
    const Grid grid = satin(ends, step);
    for (int i = 0; i < ends; ++i) {
      EXPECT_EQ(grid.row_cells_in_repeat(i), (Cells{2, ends - 2}));
      EXPECT_EQ(grid.column_cells_in_repeat(i), (Cells{2, ends - 2}));
    }
  }
}

TEST(Weave, SatinSaysWhichStepsDo) {
  EXPECT_EQ(refusal([] { satin(8, 2); }),
            "a step of 2 makes no satin of 8 ends; steps that do are 3, 5");
  EXPECT_EQ(refusal([] { satin(6, 5); }),
            "there is no regular satin of 6 ends; 5, and 7 to 999, have one");
  EXPECT_NE(refusal([] { satin(5, 1); }), "");
  EXPECT_NE(refusal([] { satin(5, 4); }), "");
  EXPECT_NE(refusal([] { satin(4, 3); }), "");
}

TEST(Weave, RefusesFiguresThatAreNone) {
  EXPECT_EQ(refusal([] {
              twill({2, 0});
            }),
            "0 is no figure of a twill; figures are whole numbers from 1 to 999");
  EXPECT_NE(refusal([] { twill({2}); }), "");
  EXPECT_NE(refusal([] { twill({}); }), "");
  EXPECT_NE(refusal([] { twill({900, 900}); }), "");
  EXPECT_NE(refusal([] { basket(-1, 2); }), "");
}

TEST(AverageFloat, IsThatOfTheNamedWeaves) {
  // Ends over intersections as J. T. Taylor (1909) counts them: 2-and-1 twill 3 and 2, 3/2/2/2
  // twill 9 and 4, 2/2 twill 4 and 2, 5/2/1/2 twill 10 and 4.
  EXPECT_DOUBLE_EQ(average_weft_float(plain()), 1.0);
  EXPECT_DOUBLE_EQ(average_weft_float(twill({2, 1})), 1.5);
  EXPECT_DOUBLE_EQ(average_weft_float(twill({3, 2, 2, 2})), 2.25);
  EXPECT_DOUBLE_EQ(average_weft_float(twill({2, 2})), 2.0);
  EXPECT_DOUBLE_EQ(average_warp_float(twill({5, 2, 1, 2})), 2.5);
  EXPECT_DOUBLE_EQ(average_warp_float(satin(8, 3)), 4.0);
}

TEST(AverageFloat, IsRefusedWhereNothingCrosses) {
  const Grid never = weave_from_words({"o4"});
  EXPECT_THROW(average_weft_float(never), OutOfRange);
  EXPECT_THROW(average_warp_float(never), OutOfRange);
}

TEST(TightestRow, CrossesMostOften) {
  const Grid grid = weave_from_words({"o3 u1", "o1 u1 o1 u1", "o4"});
  EXPECT_EQ(tightest_row(grid), (Cells{4, 0}));
  EXPECT_EQ(tightest_column(grid), (Cells{2, 1}));
  EXPECT_DOUBLE_EQ(busiest_gap_share(grid), 2.0 / 3.0);  // the last gap: crossed, crossed, not
  EXPECT_DOUBLE_EQ(busiest_gap_share(plain()), 1.0);
}

TEST(Spread, NeedsWholeRepeatsUnlessTold) {
  EXPECT_EQ(spread(twill({2, 2}), 32).ends(), 32);
  EXPECT_EQ(
      refusal([] {
        spread(twill({2, 2}), 33);
      }),
      "a repeat of 4 ends leaves 1 of 33 ends over; say where they go (left, right, both; in the "
      "weave or in plain weave), or take 32 or 36 ends");
  EXPECT_EQ(
      refusal([] {
        spread(twill({2, 2}), 3);
      }),
      "a repeat of 4 ends leaves 3 of 3 ends over; say where they go (left, right, both; in the "
      "weave or in plain weave), or take 4 ends");
  EXPECT_NE(refusal([] { spread(plain(), 0); }), "");
}

TEST(Spread, PutsTheRemainderWhereItIsTold) {
  const Grid row = weave_from_words({"o3 u1"});
  EXPECT_EQ(spread(row, 6, Remainder::Right), picture({"xxx.xx"}));
  EXPECT_EQ(spread(row, 6, Remainder::Left), picture({"x.xxx."}));
  EXPECT_EQ(spread(row, 6, Remainder::Both), picture({".xxx.x"}));
  EXPECT_EQ(spread(row, 7, Remainder::Both), picture({".xxx.xx"}));  // the odd one at the right
  EXPECT_EQ(spread(row, 3, Remainder::Left), picture({"xx."}));
  EXPECT_EQ(spread(row, 8, Remainder::Left), spread(row, 8));
}

TEST(Spread, WeavesTheRemainderPlainWhenTold) {
  const Grid row = weave_from_words({"o3 u1"});
  EXPECT_EQ(spread(row, 6, Remainder::PlainRight), picture({"xxx..x", "xxx.x."}));
  EXPECT_EQ(spread(row, 6, Remainder::PlainLeft), picture({".xxxx.", "x.xxx."}));
  EXPECT_EQ(spread(row, 6, Remainder::PlainBoth), picture({".xxx.x", "xxxx.."}));
  EXPECT_EQ(spread(row, 4, Remainder::PlainBoth), row);  // nothing remains
}

TEST(FloatingSelvedges, AreEnteredOverAndLeftUnder) {
  // Common practice, no published source. The first pick goes to the right, the second back.
  EXPECT_EQ(with_floating_selvedges(weave_from_words({"u2 o2", "o2 u2"})),
            picture({".xx..x", "x..xx."}));
}

TEST(FloatingSelvedges, AlternateWhenTheRepeatHasAnOddCountOfPicks) {
  const Grid grid = with_floating_selvedges(twill({2, 1}));
  EXPECT_EQ(grid.ends(), 5);
  EXPECT_EQ(grid.picks(), 6);
  EXPECT_EQ(grid.column_cells(0, 100), (Cells{99, 0}));
  EXPECT_EQ(grid.column_cells(4, 100), (Cells{99, 0}));
}

TEST(Mirrored, ExchangesLeftAndRight) {
  EXPECT_EQ(mirrored(weave_from_words({"o3 u1", "u2 o2"})), picture({"xx..", ".xxx"}));
  EXPECT_EQ(mirrored(mirrored(kHerGrid)), kHerGrid);
}

TEST(QuarterTurned, ExchangesWarpAndWeft) {
  // One pick over three ends and under one: four picks on one end, under three and over one.
  EXPECT_EQ(quarter_turned(weave_from_words({"o3 u1"})), picture({"x", ".", ".", "."}));
  EXPECT_EQ(quarter_turned(quarter_turned(kHerGrid)), kHerGrid);
}

TEST(SmallestRepeat, IsFoundBothWays) {
  EXPECT_EQ(smallest_repeat(
                weave_from_words({"o1 u1 o1 u1", "u1 o1 u1 o1", "o1 u1 o1 u1", "u1 o1 u1 o1"})),
            plain());
  EXPECT_EQ(smallest_repeat(weave_from_words({"o4", "o4"})), picture({"x"}));
  EXPECT_EQ(smallest_repeat(kHerGrid), kHerGrid);
  EXPECT_TRUE(same_weave(spread(basket(2, 2), 12), basket(2, 2)));
  EXPECT_FALSE(same_weave(twill({2, 2}), basket(2, 2)));
}

}  // namespace
}  // namespace ellwand::cloth
