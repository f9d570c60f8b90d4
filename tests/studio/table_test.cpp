#include "ellwand/studio/table.hpp"

#include "told.hpp"

#include <gtest/gtest.h>

#include <random>
#include <string>

namespace ellwand::studio {
namespace {

using Row = std::vector<std::string>;

Lines complaints(const std::string& text) {
  return complaints_of([&] { Table::read(text, "t.csv"); });
}

Row cells_of(const std::string& text, std::size_t row) {
  return Table::read(text, "t.csv").rows().at(row).cells;
}

TEST(Table, KeepsColumnsCellsAndLines) {
  const Table table = Table::read("yarn,net_g\nflax,50\n\nwool,100\n", "t.csv");
  EXPECT_EQ(table.columns(), (Row{"yarn", "net_g"}));
  ASSERT_EQ(table.rows().size(), 2U);
  EXPECT_EQ(table.rows()[1].cells, (Row{"wool", "100"}));
  EXPECT_EQ(table.rows()[1].line, 4);
  EXPECT_EQ(table.find_column("net_g"), 1U);
  EXPECT_EQ(table.find_column("net_kg"), 2U);
}

// RFC 4180, section 2, rules 5 to 7: quoted cells with line breaks, commas and doubled quotes.
TEST(Table, ReadsQuotedCellsAsTheStandardHasThem) {
  EXPECT_EQ(cells_of("a,b,c\r\n\"aaa\",\"b\r\nbb\",\"c,\"\"c\"\r\n", 0),
            (Row{"aaa", "b\nbb", "c,\"c"}));
}

TEST(Table, CountsTheLinesInsideACell) {
  const Table table = Table::read("a,b\n\"1\n2\n3\",x\ny,z\n", "t.csv");
  EXPECT_EQ(table.rows().at(0).line, 2);
  EXPECT_EQ(table.rows().at(1).line, 5);
}

TEST(Table, ComesBackFromASpreadsheet) {
  const std::string mark = "\xEF\xBB\xBF";
  for (const std::string& end : {std::string("\n"), std::string("\r\n"), std::string("\r")}) {
    for (const std::string& separator : {std::string(","), std::string(";"), std::string("\t")}) {
      const std::string text = mark + "id" + separator + "fibre" + end + "flax" + separator +
                               "linen" + end + separator + end + "fleece" + separator + "wool";
      const Table table = Table::read(text, "t.csv");
      EXPECT_EQ(table.columns(), (Row{"id", "fibre"}));
      ASSERT_EQ(table.rows().size(), 2U);
      EXPECT_EQ(table.rows()[1].cells, (Row{"fleece", "wool"}));
      EXPECT_EQ(table.rows()[1].line, 4);
      EXPECT_TRUE(table.format().byte_order_mark);
      EXPECT_EQ(table.format().line_ending, end);
      EXPECT_EQ(std::string(1, table.format().separator), separator);
    }
  }
}

TEST(Table, TakesADecimalCommaOnlyWhereSemicolonsSeparate) {
  EXPECT_EQ(Table::read("a;b\n1,5;2\n", "t.csv").decimal_mark(), DecimalMark::Comma);
  EXPECT_EQ(Table::read("a,b\n1.5,2\n", "t.csv").decimal_mark(), DecimalMark::Point);
}

TEST(Table, TellsTheSeparatorFromTheFirstLineAlone) {
  const Table table = Table::read("id,use\nflax,\"a;b;c;d\"\n", "t.csv");
  EXPECT_EQ(table.rows().at(0).cells, (Row{"flax", "a;b;c;d"}));
}

TEST(Table, LetsEmptyCellsBeyondTheLastColumnPass) {
  EXPECT_EQ(cells_of("a,b,,\n1,2,,\n", 0), (Row{"1", "2"}));
}

TEST(Table, ComplainsOfEveryRowOfAWrongLength) {
  EXPECT_EQ(complaints("a,b,c\n1\n1,2,3\n1,2,3,4\n"),
            (Lines{"t.csv:2: this row has 1 cell, the first line has 3; add the missing cells, "
                   "empty ones too",
                   "t.csv:4: this row has 4 cells, the first line has 3; put a cell that has the "
                   "separator in it in double quotes"}));
}

TEST(Table, AFirstLineThatFitsNoRowIsToldOnce) {
  EXPECT_EQ(complaints("a,,b,c\n1,2,3\n4,5,6\n7,8,9\n"),
            (Lines{"t.csv:1: the first line has 4 cells, and every row below it 3; look for a "
                   "separator too many in it"}));
  EXPECT_EQ(complaints("a,b\n1,2,3\n4,5,6\n7,8,9\n"),
            (Lines{"t.csv:1: the first line has 2 cells, and every row below it 3; look for a "
                   "separator too few in it"}));
}

TEST(Table, ComplainsOfColumnsNamedTwiceOrNotAtAll) {
  EXPECT_EQ(complaints("id,,use,id\n1,2,3,4\n"),
            (Lines{"t.csv:1:2: this column has no name; name it in the first line",
                   "t.csv:1:4: column 4 is named 'id' like column 1; rename one of the two"}));
}

TEST(Table, ComplainsOfQuotesOutOfPlace) {
  EXPECT_EQ(complaints("a,b\n5.5\" wide,x\n\"y\" z,1\n"),
            (Lines{"t.csv:2:1: \"5.5\" wide\" has a double quote inside it; put the whole cell in "
                   "double quotes and write the inner quote twice",
                   "t.csv:3:1: text follows the closing double quote of this cell; write a quote "
                   "that belongs to the text twice"}));
}

TEST(Table, SaysWhereAQuoteWasOpened) {
  EXPECT_EQ(complaints("a,b\n1,\"two\n3,4\n").front(),
            "t.csv:2:2: the double quote that opens this cell is never closed; close it, or write "
            "a quote that belongs to the text twice");
}

TEST(Table, ComplainsOfAnEmptyFile) {
  for (const std::string text : {"", "\n\n", "\xEF\xBB\xBF", " , \n"}) {
    EXPECT_EQ(complaints(text), (Lines{"t.csv: this table is empty; its first line names the "
                                       "columns"}));
  }
}

TEST(Table, ComplainsOfWhatIsNotUtf8) {
  const std::string not_utf8 = ": this line is not UTF-8 text; save the file again as UTF-8";
  EXPECT_EQ(complaints("a,b\n1,caf\xE9\n"), (Lines{"t.csv:2" + not_utf8}));     // Latin-1
  EXPECT_EQ(complaints("a,b\n1,\xC0\x80\n"), (Lines{"t.csv:2" + not_utf8}));    // NUL written long
  EXPECT_EQ(complaints("a\n\xED\xA0\x80\n"), (Lines{"t.csv:2" + not_utf8}));    // half a pair
  EXPECT_EQ(complaints("a\n\xF4\x90\x80\x80"), (Lines{"t.csv:2" + not_utf8}));  // past U+10FFFF
  EXPECT_EQ(complaints("a\n\xE2\x82"), (Lines{"t.csv:2" + not_utf8}));          // cut off
  EXPECT_EQ(complaints(std::string("a,b\n1,\0\n", 8)),
            (Lines{"t.csv:2: a zero byte stands here, so this is not a text file"}));
  EXPECT_EQ(complaints(std::string("\xFF\xFE"
                                   "a\0",
                                   4)),
            (Lines{"t.csv:1: this file is UTF-16 text; save it again as UTF-8"}));
}

TEST(Table, TakesEveryCharacterOfUtf8) {
  EXPECT_EQ(cells_of("a\n\xC2\xB5 \xE2\x82\xAC \xF0\x9F\xA7\xB6\n", 0),
            (Row{"\xC2\xB5 \xE2\x82\xAC \xF0\x9F\xA7\xB6"}));
}

TEST(Table, ListsFiftyComplaintsAndCountsTheRest) {
  std::string text = "a,b\n1,2\n";
  for (int i = 0; i < 53; ++i) text += "1\n";
  const Lines lines = complaints(text);
  ASSERT_EQ(lines.size(), 51U);
  EXPECT_EQ(lines.back(),
            "t.csv: and 3 more like these, not listed; put these right first and read the file "
            "again");
}

TEST(TableWithRow, AddsARowInTheFilesOwnManner) {
  const std::string text = "\xEF\xBB\xBFyarn;mine;net_g\r\nflax;x;50,5";
  EXPECT_EQ(Table::read(text, "t.csv").with_row({{"net_g", "12.25", true}, {"yarn", "a;\"b\""}}),
            text + "\r\n\"a;\"\"b\"\"\";;12,25\r\n");
}

TEST(TableWithRow, LeavesEveryByteThatWasThere) {
  const std::string text = "yarn,net_g,\n\n \"flax\" , 50,\n\n\n";
  EXPECT_EQ(Table::read(text, "t.csv").with_row({{"yarn", "wool"}}), text + "wool,\n");
}

TEST(TableWithRow, RefusesAColumnTheFileDoesNotHave) {
  const Table table = Table::read("yarn,net_g\n", "t.csv");
  EXPECT_EQ(complaints_of([&] {
              table.with_row({{"net_m", "5"}});
            }),
            (Lines{"t.csv: there is no column 'net_m' to write to; add it to the first line, and "
                   "nothing is changed until then"}));
}

TEST(TableWithRow, WritesWhatItReadsBack) {
  std::mt19937_64 random(20261125);
  const std::string letters = "ab ,;\t\"\n'\xC3\xA9";  // the last two bytes are one character
  const auto any_cell = [&] {
    std::string cell = "x";
    for (auto n = random() % 6; n > 0; --n) {
      const std::size_t at = random() % (letters.size() - 1);
      cell += at + 2 == letters.size() ? letters.substr(at) : letters.substr(at, 1);
    }
    return cell;
  };
  for (int i = 0; i < 2000; ++i) {
    const std::string separator(1, ",;\t"[i % 3]);
    const std::string text = "one" + separator + "two" + separator + "three\n";
    const Row row = {any_cell(), any_cell(), any_cell()};
    const std::string more =
        Table::read(text, "t.csv").with_row({{"one", row[0]}, {"two", row[1]}, {"three", row[2]}});
    const Table again = Table::read(more, "t.csv");
    ASSERT_EQ(again.rows().size(), 1U) << more;
    EXPECT_EQ(again.rows()[0].cells, row) << more;
  }
}

TEST(TableWithColumns, NamesThemLastAndLeavesThemEmpty) {
  const std::string text = "\xEF\xBB\xBFyarn;mine;net_g\r\nflax;\"x\r\ny\";50,5\r\n\r\nwool;;3";
  EXPECT_EQ(Table::read(text, "t.csv").with_columns({"mine", "lot", "bought"}),
            "\xEF\xBB\xBFyarn;mine;net_g;lot;bought\r\nflax;\"x\r\ny\";50,5;;\r\n\r\nwool;;3;;");
  EXPECT_EQ(Table::read(text, "t.csv").with_columns({"mine"}), text);
}

TEST(TableWithColumns, TakesThePlaceOfColumnsWithoutAName) {
  EXPECT_EQ(Table::read("yarn,net_g,,\nflax,50,\nwool,3,,\n", "t.csv").with_columns({"lot"}),
            "yarn,net_g,lot,\nflax,50,\nwool,3,,\n");
}

TEST(TableWithColumns, LeavesTheSeparatorsByWhichTheFirstLineIsRead) {
  // 2026-11-26: cells without a name were dropped, and among the separators that stayed commas were
  // the most. Here three semicolons stand against two commas, before and after.
  const Table table = Table::read("yarn, as I, call it;;;\nflax;\n", "t.csv");
  const std::string more = table.with_columns({"lot"});
  EXPECT_EQ(more, "yarn, as I, call it;lot;;\nflax;\n");
  const std::vector<std::string> columns = {"yarn, as I, call it", "lot"};
  EXPECT_EQ(Table::read(more, "t.csv").columns(), columns);
}

TEST(TableWithCell, ChangesNoOtherByte) {
  const Table table =
      Table::read("\xEF\xBB\xBFyarn;mine;net_g\r\nflax; \"x;y\" ;50,5\r\n", "t.csv");
  EXPECT_EQ(table.with_cell(0, {"net_g", "12.5", true}),
            "\xEF\xBB\xBFyarn;mine;net_g\r\nflax; \"x;y\" ;12,5\r\n");
  EXPECT_EQ(table.with_cell(0, {"mine", "z"}), "\xEF\xBB\xBFyarn;mine;net_g\r\nflax;z;50,5\r\n");
}

TEST(TableWithoutLastRow, IsWhatItWasBeforeTheRow) {
  const std::string text = "yarn,net_g,\r\n \"flax\" , 50,\r\n\r\n";
  const std::string more = Table::read(text, "t.csv").with_row({{"yarn", "a\nb"}});
  EXPECT_EQ(Table::read(more, "t.csv").without_last_row(), text);
  EXPECT_EQ(Table::read("a\n1\n2", "t.csv").without_last_row(), "a\n1\n");
}

TEST(Table, WarnsOfColumnsItDoesNotKnow) {
  Findings findings("t.csv");
  Table::read("id,fibr,mine\n", "t.csv").warn_of_others({"id", "fibre"}, findings);
  EXPECT_EQ(told_lines(findings.warnings()),
            (Lines{"t.csv:1:2: unknown column 'fibr'; did you mean 'fibre'? It is kept but not "
                   "used.",
                   "t.csv:1:3: unknown column 'mine'. It is kept but not used."}));
}

}  // namespace
}  // namespace ellwand::studio
