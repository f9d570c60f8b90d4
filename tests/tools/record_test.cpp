// ellwand record: what it writes, byte for byte, and what it leaves alone.

#include "program.hpp"

#include <gtest/gtest.h>

namespace ellwand::test {
namespace {

namespace fs = std::filesystem;

const char* const kSwatch =
    " --swatch s1 --loom 'notched board' --warp-yarn seine-12-6 --ends 60 --work weave --yarn "
    "rug-wool-ash --rows 60 --date 2026-05-01";

class Record : public Program {
 protected:
  void SetUp() override {
    Program::SetUp();
    fs::remove(file("swatches.csv"));
  }
  fs::path file(const std::string& name) const { return folder_ / "demo" / name; }
  std::string text(const std::string& name) const { return text_of(file(name)); }
  Ran record(const std::string& arguments) const { return run("record demo " + arguments); }
};

TEST_F(Record, ASwatchMakesTheFile) {
  const Ran ran = record(std::string("swatch") + kSwatch + " --used-g 12");
  EXPECT_EQ(ran.status, 0);
  EXPECT_EQ(ran.out, "");
  EXPECT_EQ(ran.told,
            "Recorded in demo/swatches.csv, line 2: swatch s1, date 2026-05-01, yarn rug-wool-ash, "
            "loom notched board, warp_yarn seine-12-6, ends 60, work weave, rows 60, used_g 12.\n"
            "Next: ellwand calibrate demo\n");
  EXPECT_EQ(text("swatches.csv"),
            "swatch,piece,band,date,weaver,loom,warp_yarn,ends,work,yarn,lot,rows,state,tool_step,"
            "used_g,height_cm,note\n"
            "s1,,,2026-05-01,,notched board,seine-12-6,60,weave,rug-wool-ash,,60,,,12,,\n");
}

TEST_F(Record, ColumnsAreAddedAndEveryOldByteStays) {
  const std::string head = "\xEF\xBB\xBFmine;swatch;loom;warp_yarn;ends;work;yarn;rows;used_g";
  const std::string row = "\"a;b\";s0;notched board;seine-12-6;60;weave;rug-wool-ash; 60 ;12,5";
  write_text(file("swatches.csv"), head + "\r\n" + row + "\r\n\r\n");
  EXPECT_EQ(
      record("swatch --swatch s0 --date 2026-05-01 --unpicked-m 3.25 --unpicked-rows 10").status,
      0);
  EXPECT_EQ(text("swatches.csv"), head + ";date;unpicked_m;unpicked_rows\r\n" + row +
                                      ";;;\r\n\r\n;s0;;;;;;;;2026-05-01;3,25;10\r\n");
  EXPECT_EQ(record("swatch --undo").status, 0);
  EXPECT_EQ(text("swatches.csv"),
            head + ";date;unpicked_m;unpicked_rows\r\n" + row + ";;;\r\n\r\n");
}

TEST_F(Record, TheLastOneIsAmendedOrTakenBack) {
  record(std::string("swatch") + kSwatch + " --used-g 12");
  const std::string before = text("swatches.csv");
  record("swatch --swatch s1 --used-g 11 --date 2026-05-02");
  const Ran amended = record("swatch --amend --used-g 14 --note 'weighed again, twice'");
  EXPECT_EQ(amended.told,
            "Amended in demo/swatches.csv, line 3: note weighed again, twice, used_g 14.\n"
            "Next: ellwand calibrate demo\n");
  EXPECT_EQ(text("swatches.csv"),
            before + "s1,,,2026-05-02,,,,,,,,,,,14,,\"weighed again, twice\"\n");
  const Ran undone = record("swatch --undo");
  EXPECT_EQ(undone.status, 0);
  EXPECT_EQ(text("swatches.csv"), before);
  record("swatch --undo");
  const Ran none = record("swatch --undo");
  EXPECT_EQ(none.status, 3);
  EXPECT_EQ(none.told, "demo/swatches.csv: nothing is recorded in it\nNothing was changed.\n");
}

/// The named swatch's row wherever it stands, of its rows the one that has that figure; every other
/// byte as it was.
TEST_F(Record, AmendsTheSwatchThatIsNamed) {
  record(std::string("swatch") + kSwatch + " --used-g 12");
  record("swatch --swatch s1 --height-cm 9.5 --state 'on the loom' --date 2026-05-02");
  record(
      "swatch --swatch s2 --date 2026-05-03 --loom 'notched board' --warp-yarn seine-12-6 --ends "
      "60 --work weave --yarn rug-wool-ash --rows 60 --used-g 13");
  const std::string before = text("swatches.csv");
  const Ran amended = record("swatch --amend --swatch s1 --used-g 11.5");
  EXPECT_EQ(amended.told,
            "Amended in demo/swatches.csv, line 2: swatch s1, used_g 11.5.\n"
            "Next: ellwand calibrate demo\n");
  std::string expected = before;
  expected.replace(expected.find(",12,"), 4, ",11.5,");
  EXPECT_EQ(text("swatches.csv"), expected);
  EXPECT_EQ(record("swatch --amend --swatch s1 --height-cm 9.4").told,
            "Amended in demo/swatches.csv, line 3: swatch s1, height_cm 9.4.\n"
            "Next: ellwand calibrate demo\n");
  const std::string after = text("swatches.csv");
  const Ran unknown = record("swatch --amend --swatch s3 --used-g 11");
  EXPECT_EQ(unknown.status, 3);
  EXPECT_EQ(unknown.told.find("demo/swatches.csv: there is no swatch 's3' to be amended"), 0U)
      << unknown.told;
  EXPECT_EQ(text("swatches.csv"), after);
  EXPECT_EQ(record("swatch --amend --swatch s3").status, 0);  // the last one's name put right
  EXPECT_EQ(text("swatches.csv").find("\ns2,"), std::string::npos);
}

/// 2026-11: of two rows without a tool_step the last was given it, whichever it was of.
TEST_F(Record, OfSeveralRowsOfASwatchAFigureTellsWhichIsAmended) {
  record(std::string("swatch") + kSwatch + " --ball-before-g 61.0 --ball-after-g 49.0");
  record("swatch --swatch s1 --height-cm 9.5 --state 'on the loom' --date 2026-05-02");
  const std::string before = text("swatches.csv");
  const Ran unsaid = record("swatch --swatch s1 --amend --tool-step 0.1");
  EXPECT_EQ(unsaid.status, 3);
  EXPECT_EQ(unsaid.told,
            "demo/swatches.csv: 2 rows of swatch s1 may be meant: line 2 (ball_before_g 61.0, "
            "ball_after_g 49.0), line 3 (height_cm 9.5); give a figure of the right one again "
            "beside what is to be amended, such as --height-cm 9.5\n"
            "Nothing was changed.\n");
  EXPECT_EQ(text("swatches.csv"), before);
  EXPECT_EQ(record("swatch --swatch s1 --amend --height-cm 9.5 --tool-step 0.1").told,
            "Amended in demo/swatches.csv, line 3: swatch s1, tool_step 0.1, height_cm 9.5.\n"
            "Next: ellwand calibrate demo\n");
  // Line 3 has a tool_step now, and line 2 the figure.
  EXPECT_EQ(record("swatch --swatch s1 --amend --ball-before-g 61.0 --tool-step 0.5").told,
            "Amended in demo/swatches.csv, line 2: swatch s1, tool_step 0.5, ball_before_g 61.0.\n"
            "Next: ellwand calibrate demo\n");
}

/// Of two rows with the same figure it is the one where it says what is given.
TEST_F(Record, OfTwoRowsWithOneFigureItsValueTellsWhichIsAmended) {
  record(std::string("swatch") + kSwatch + " --used-g 12.0");
  record("swatch --swatch s1 --used-g 11.5 --date 2026-05-02");
  EXPECT_EQ(record("swatch --swatch s1 --amend --used-g 12 --note 'on the old scale'").told,
            "Amended in demo/swatches.csv, line 2: swatch s1, note on the old scale, used_g 12.\n"
            "Next: ellwand calibrate demo\n");
}

/// What is asked about stands in the line that was amended, not in the last one.
TEST_F(Record, AsksAboutTheRowThatWasAmended) {
  record(std::string("swatch") + kSwatch + " --used-g 12");
  record(
      "swatch --swatch s2 --date 2026-05-03 --loom 'notched board' --warp-yarn seine-12-6 --ends "
      "60 --work weave --yarn rug-wool-ash --rows 60 --used-g 13");
  const Ran ran = record("swatch --amend --swatch s1 --used-g 120");
  EXPECT_NE(ran.told.find("swatches.csv:2: used_g: 120 g where about 1"), std::string::npos)
      << ran.told;
}

/// A calibration that has learned from a figure twice too large does not call the right one odd.
TEST_F(Record, AFigureIsNotHeldAgainstWhatWasLearnedOfIt) {
  for (const char* id : {"s1", "s2", "s3", "s4"}) {
    record(
        std::string("swatch --swatch ") + id +
        " --date 2026-05-03 --loom 'notched board' --warp-yarn seine-12-6 --ends 60 --work weave "
        "--yarn rug-wool-ash --rows 60 --used-g 24.0");
  }
  ASSERT_EQ(run("calibrate demo").status, 0);
  for (const char* id : {"s1", "s2", "s3"}) {
    ASSERT_EQ(record(std::string("swatch --amend --swatch ") + id + " --used-g 12").status, 0);
  }
  // The other three say 12 now, whatever the calibration has learned of four times 24.
  EXPECT_EQ(record("swatch --amend --swatch s4 --used-g 12").told.find("would be usual"),
            std::string::npos);
  EXPECT_NE(record("swatch --amend --swatch s4 --used-g 24").told.find("would be usual"),
            std::string::npos);
}

/// 95 minutes of 36 rows, and 95 of the same band as a whole; 40 more, and their sum.
TEST_F(Record, MinutesWithRowsAndWithoutAreAskedAbout) {
  fs::remove(file("time.csv"));
  record("minutes --piece saltmarsh --band 2 --rows 36 --minutes 95 --date 2026-05-01");
  const Ran twice = record("minutes --piece saltmarsh --band 2 --minutes 95 --date 2026-05-01");
  EXPECT_NE(
      twice.told.find("demo/time.csv:3: line 2 has 95 minutes of the same with rows; were they "
                      "recorded twice, with rows and without?"),
      std::string::npos)
      << twice.told;
  record("minutes --undo");
  const std::string other = record("minutes --piece saltmarsh --band 3 --minutes 95").told;
  EXPECT_EQ(other.find("twice"), std::string::npos) << other;
  record("minutes --undo");
  record("minutes --piece saltmarsh --band 2 --rows 12 --minutes 40 --date 2026-05-02");
  const std::string another = record("minutes --piece saltmarsh --band 2 --minutes 60").told;
  EXPECT_EQ(another.find("twice"), std::string::npos) << another;
  record("minutes --undo");
  const std::string sum = record("minutes --piece saltmarsh --band 2 --minutes 135").told;
  EXPECT_NE(sum.find("were they recorded twice"), std::string::npos) << sum;
}

TEST_F(Record, WhatCannotBeIsRefusedAndNothingIsWritten) {
  const Ran ran = record(std::string("swatch") + kSwatch + " --ball-before-g 50 --ball-after-g 62");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(
      ran.told,
      "demo/swatches.csv:2:19: ball_after_g: 62 g after and 50 g before: the ball did not get "
      "lighter; are the two swapped?\nNothing was changed.\n");
  EXPECT_FALSE(fs::exists(file("swatches.csv")));
}

TEST_F(Record, ASlippedFigureIsAskedAbout) {
  const Ran ran = record(std::string("swatch") + kSwatch + " --used-g 120");
  EXPECT_EQ(ran.status, 0);
  EXPECT_NE(ran.told.find("swatches.csv:2: used_g: 120 g where about 1"), std::string::npos)
      << ran.told;
  EXPECT_NE(ran.told.find("has a decimal point slipped"), std::string::npos);
  EXPECT_EQ(record("swatch --amend --used-g 12").told,
            "Amended in demo/swatches.csv, line 2: used_g 12.\n"
            "Next: ellwand calibrate demo\n");
}

TEST_F(Record, WhatIsMissingIsNamedAtOnceWhereNobodyCanBeAsked) {
  const Ran ran = run("record demo swatch --swatch s1 --yarn rug-wool-ash </dev/null");
  EXPECT_EQ(ran.status, 2);
  EXPECT_EQ(ran.told,
            "ellwand: 'record swatch' needs --loom (a loom of studio.toml, or notched, frame or "
            "beam), --warp-yarn (the id of a yarn of yarns.csv), --ends (how many were warped), "
            "--work (weave, soumak, twining, ...), --rows (how many were woven), --used-g (or "
            "another figure that was measured, as --help lists them)\n");
  EXPECT_EQ(record("lto --yarn x").told,
            "ellwand: 'lto' cannot be recorded; did you mean 'lot'? A swatch, lot, minutes or "
            "finished can.\n");
  EXPECT_EQ(record("lot --used-g 3").told,
            "ellwand: 'record lot' has no --used-g; ellwand record --help tells what each takes\n");
}

TEST_F(Record, AValueTornByABlankIsNamed) {
  const Ran ran = record("swatch --swatch s1 --height-in 1 7/8 --state off");
  EXPECT_EQ(ran.status, 2);
  EXPECT_EQ(ran.told,
            "ellwand: what is '7/8'? A value with a blank in it is quoted: --height-in '1 7/8'\n");
  EXPECT_EQ(record("lot --yarn rug-wool-ash --net-g 100 --lot A 34 b").told,
            "ellwand: what is '34'? A value with a blank in it is quoted: --lot 'A 34 b'\n");
  EXPECT_EQ(record("lot lot --yarn rug-wool-ash").status, 2);
}

TEST_F(Record, ALotAndMinutes) {
  const std::string lots = text("lots.csv");
  EXPECT_EQ(record("lot --yarn rug-wool-ash --lot 340 --net-g 100 --bought 2026-05-01").status, 0);
  EXPECT_EQ(text("lots.csv"), lots + "rug-wool-ash,340,2026-05-01,100,,\n");
  EXPECT_EQ(record("lot --undo").status, 0);
  EXPECT_EQ(text("lots.csv"), lots);
  const std::string times = text("time.csv");
  EXPECT_EQ(
      record("minutes --piece saltmarsh --minutes 95 --rows 36 --band 2 --date 2026-05-01").status,
      0);
  EXPECT_EQ(text("time.csv"), times + "2026-05-01,saltmarsh,,2,36,95,,\n");
  fs::remove(folder_ / "demo/time.csv");
  record("minutes --piece saltmarsh --minutes 20 --date 2026-05-02");
  EXPECT_EQ(text("time.csv"),
            "date,piece,swatch,band,rows,minutes,weaver,note\n2026-05-02,saltmarsh,,,,20,,\n");
  EXPECT_EQ(record("minutes --piece saltmarsh --minutes 0").status, 3);
}

TEST_F(Record, AFinishedPieceTakesItsYarnOffTheShelf) {
  const std::string piece = text("pieces/saltmarsh.toml");
  const std::string lots = text("lots.csv");
  const Ran ran =
      record("finished --piece saltmarsh --yarn rug-wool-rust --used-g 14.5 --date 2026-05-01");
  EXPECT_EQ(ran.told,
            "Recorded in demo/pieces/saltmarsh.toml, line 77: date 2026-05-01, yarn "
            "rug-wool-rust, used_g 14.5.\n"
            "Taken off the shelf: 14.5 g of rug-wool-rust, lot R5.\n"
            "demo/pieces/saltmarsh.toml still says planned = true; take that out now that it is "
            "woven.\n"
            "Next: ellwand calibrate demo\n");
  EXPECT_EQ(text("pieces/saltmarsh.toml"),
            piece +
                "\n[[measured]]\ndate = \"2026-05-01\"\nyarn = \"rug-wool-rust\"\n"
                "used_g = 14.5\nlot = \"R5\"\noff_the_shelf_g = 14.5\n");
  EXPECT_EQ(text("lots.csv"), with(lots, "R5,2026-03-14,34,", "R5,2026-03-14,19.5,"));
  EXPECT_EQ(record("finished --piece saltmarsh --amend --used-g 40").status, 0);
  EXPECT_EQ(text("lots.csv"), with(lots, "R5,2026-03-14,34,", "R5,2026-03-14,0,"));
  EXPECT_EQ(record("finished --piece saltmarsh --undo").status, 0);
  EXPECT_EQ(text("pieces/saltmarsh.toml"), piece);
  EXPECT_EQ(text("lots.csv"), lots);
}

/// The shelf is lowered in the unit that lots.csv has, and told in that of the studio.
TEST_F(Record, ALotInOuncesIsTakenFromAndPutBackInOunces) {
  write_text(file("lots.csv"), "yarn,lot,net_oz,net_yd\nrug-wool-rust,R5,8,\n");
  EXPECT_EQ(record("lot --yarn rug-wool-ash --lot 340 --net-oz 4").status, 0);
  const std::string lots = text("lots.csv");
  EXPECT_EQ(lots, "yarn,lot,net_oz,net_yd\nrug-wool-rust,R5,8,\nrug-wool-ash,340,4,\n");
  const std::string piece = text("pieces/saltmarsh.toml");
  const Ran ran =
      record("finished --piece saltmarsh --yarn rug-wool-rust --used-oz 0.5 --date 2026-05-01");
  // Half an ounce is 14.1747615625 g.
  EXPECT_NE(ran.told.find("Taken off the shelf: 14.17 g of rug-wool-rust, lot R5.\n"),
            std::string::npos)
      << ran.told;
  EXPECT_EQ(text("lots.csv"), with(lots, "R5,8,", "R5,7.5,"));
  EXPECT_NE(text("pieces/saltmarsh.toml").find("\noff_the_shelf_oz = \"0.5\"\n"),
            std::string::npos);
  EXPECT_EQ(record("finished --piece saltmarsh --amend --used-oz 0.75").status, 0);
  EXPECT_EQ(text("lots.csv"), with(lots, "R5,8,", "R5,7.25,"));
  EXPECT_EQ(record("finished --piece saltmarsh --undo").status, 0);
  EXPECT_EQ(text("lots.csv"), lots);
  EXPECT_EQ(text("pieces/saltmarsh.toml"), piece);
}

TEST_F(Record, ALotInYardsIsTakenFromInYards) {
  write_text(file("lots.csv"), "yarn,lot,net_yd\nrug-wool-rust,R5,100\n");
  record("finished --piece saltmarsh --yarn rug-wool-rust --used-yd 20 --date 2026-05-01");
  EXPECT_EQ(text("lots.csv"), "yarn,lot,net_yd\nrug-wool-rust,R5,80\n");
}

/// What was put into ounces by hand meanwhile gets back what was taken off it in grams.
TEST_F(Record, WhatWasTakenInGramsGoesBackIntoOunces) {
  write_text(file("lots.csv"), "yarn,lot,net_g\nrug-wool-rust,R5,100\n");
  record("finished --piece saltmarsh --yarn rug-wool-rust --used-g 14.1748 --date 2026-05-01");
  write_text(file("lots.csv"), "yarn,lot,net_oz\nrug-wool-rust,R5,3\n");
  EXPECT_EQ(record("finished --piece saltmarsh --undo").status, 0);
  // 14.1748 g are 0.5000014 oz.
  EXPECT_EQ(text("lots.csv"), "yarn,lot,net_oz\nrug-wool-rust,R5,3.5\n");
}

/// Where masses are shown in ounces, ounces are asked for.
TEST_F(Record, AStudioInOuncesIsToldAndAskedInOunces) {
  write_text(file("studio.toml"), with(text("studio.toml"), "mass = \"g\"", "mass = \"oz\""));
  write_text(file("lots.csv"), "yarn,lot,net_g\nrug-wool-rust,R5,100\n");
  const Ran lot = run("record demo lot --yarn rug-wool-ash </dev/null");
  EXPECT_EQ(lot.told, "ellwand: 'record lot' needs --net-oz (how much it is)\n");
  const Ran finished = run("record demo finished --piece saltmarsh </dev/null");
  EXPECT_EQ(finished.told,
            "ellwand: 'record finished' needs --used-oz (or another figure that was measured, as "
            "--help lists them)\n");
  // 14.1748 g are 0.5000014 oz.
  const Ran taken =
      record("finished --piece saltmarsh --yarn rug-wool-rust --used-g 14.1748 --date 2026-05-01");
  EXPECT_NE(taken.told.find("Taken off the shelf: 0.5 oz of rug-wool-rust, lot R5.\n"),
            std::string::npos)
      << taken.told;
}

TEST_F(Record, AFinishedLengthIsWeighedByAMeasuredCountWhereThereIsOne) {
  const std::string lots = text("lots.csv");
  // By the label 500 tex: 20 m are 10 g.
  record("finished --piece saltmarsh --yarn rug-wool-rust --used-m 20 --date 2026-05-01");
  EXPECT_EQ(text("lots.csv"), with(lots, "R5,2026-03-14,34,", "R5,2026-03-14,24,"));
  record("finished --piece saltmarsh --undo");
  // 10 m of it weigh 5.5 g: 20 m are 11 g.
  record(
      "finished --piece saltmarsh --yarn rug-wool-rust --used-m 20 --weighed-m 10.0 --weighed-g "
      "5.5 --date 2026-05-01");
  EXPECT_EQ(text("lots.csv"), with(lots, "R5,2026-03-14,34,", "R5,2026-03-14,23,"));
}

TEST_F(Record, WhatTeachesNothingNewPointsNowhere) {
  const Ran lot = record("lot --yarn rug-wool-ash --lot 340 --net-g 100");
  EXPECT_EQ(lot.told.find("Next:"), std::string::npos) << lot.told;
  record(std::string("swatch") + kSwatch + " --used-g 12");
  const Ran undone = record("swatch --undo");
  EXPECT_EQ(undone.told.find("Next:"), std::string::npos) << undone.told;
}

TEST_F(Record, OfSeveralLotsOneMustBeSaid) {
  const std::string lots = text("lots.csv");
  write_text(file("lots.csv"), with(lots, "322,2026-09-01,100,no", "322,2026-09-01,100,yes"));
  const auto before = contents(folder_ / "demo");
  const Ran ran = record("finished --piece saltmarsh --yarn rug-wool-ash --used-g 21");
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(
      ran.told,
      "demo/lots.csv:4: rug-wool-ash is on the shelf in several lots; say which it was of: lot "
      "is '310' or '322'\nNothing was changed.\n");
  EXPECT_EQ(contents(folder_ / "demo"), before);
}

}  // namespace
}  // namespace ellwand::test
