// swatches.csv and [[measured]] tables: rows written by hand, figures worked by hand.

#include "ellwand/studio/read_swatches.hpp"

#include "ellwand/studio/files.hpp"

#include "a_studio.hpp"
#include "support/where.hpp"
#include "told.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace ellwand::studio {
namespace {

using calibrate::Includes;
using calibrate::Measured;
using calibrate::Measurement;
using calibrate::Swatch;
using testing::ElementsAre;
using testing::HasSubstr;

const char* const kHead =
    "swatch,date,loom,warp_yarn,ends,work,yarn,rows,state,tool_step,used_g,height_cm\n";

Studio studio_with_weavers() {
  StudioTexts texts = studio_texts();
  texts.studio_toml +=
      "[[weaver]]\nname = \"Wren\"\n[[weaver]]\nname = \"Tern\"\nskill = \"beginner\"\n";
  return studio_from(texts, starting_values());
}

const std::map<std::string, piece::Piece>& no_pieces() {
  static const std::map<std::string, piece::Piece> kNone;
  return kNone;
}

SwatchTable read(const std::string& text) {
  return read_swatches(text, "swatches.csv", a_studio(), starting_values(), no_pieces());
}

Lines complaints(const std::string& text) {
  return complaints_of([&] { read(text); });
}

TEST(ReadSwatches, OneRowOfManyCells) {
  const SwatchTable table =
      read(std::string(kHead) +
           "p1,2026-04-02,slate,seine-12-6,33,weave,rug-ash,40,on the loom,1,12,3.4\n");
  EXPECT_THAT(told_lines(table.warnings), ElementsAre());
  ASSERT_EQ(table.swatches.size(), 1U);
  const Swatch& swatch = table.swatches[0];
  EXPECT_EQ(swatch.id, "p1");
  EXPECT_EQ(swatch.date, "2026-04-02");
  EXPECT_EQ(swatch.file, "swatches.csv");
  EXPECT_EQ(swatch.piece.id, "p1");
  EXPECT_EQ(swatch.piece.warp.yarn, "seine-12-6");
  EXPECT_EQ(swatch.piece.warp.ends, 33);
  EXPECT_NEAR(in_millimetres(swatch.piece.loom.pitch), 4.0, 1e-12);
  ASSERT_EQ(swatch.piece.bands.size(), 1U);
  const auto& woven = std::get<technique::Woven>(swatch.piece.bands[0].work);
  EXPECT_EQ(woven.extent.count, 40);
  EXPECT_EQ(woven.areas.at(0).strand.yarn, "rug-ash");

  ASSERT_EQ(swatch.measurements.size(), 2U);
  const Measurement& mass = swatch.measurements[0];
  EXPECT_EQ(mass.what, Measured::Mass);
  EXPECT_EQ(mass.value, 12.0);
  EXPECT_EQ(mass.step, 1.0);
  EXPECT_NEAR(mass.reading_sd, 0.288675, 1e-6);  // 1 / sqrt(12)
  EXPECT_EQ(mass.includes, Includes::LeftTheBall);
  EXPECT_EQ(mass.yarn, "rug-ash");
  EXPECT_EQ(mass.line, 2);
  EXPECT_EQ(mass.column, "used_g");
  EXPECT_FALSE(mass.band);
  const Measurement& height = swatch.measurements[1];
  EXPECT_EQ(height.what, Measured::Height);
  EXPECT_NEAR(height.value, 0.034, 1e-15);
  EXPECT_NEAR(height.step, 0.001, 1e-15);  // 3.4 cm is read to a millimetre
  EXPECT_EQ(height.state, piece::State::OnLoom);
  EXPECT_EQ(height.yarn, "");
}

TEST(ReadSwatches, RowsOfOneSwatchAreJoined) {
  const SwatchTable table = read(
      "swatch,loom,warp_yarn,ends,work,yarn,rows,lot,ball_before_g,ball_after_g,unpicked_m,"
      "unpicked_rows\n"
      "p1,slate,seine-12-6,33,weave,rug-ash,40,A7,97,85,,\n"
      "p1,,,,,rug-ash,,A7,,,2.5,10\n"
      "p2,slate,seine-12-6,33,weave,rug-rust,20,,50,44,,\n");
  ASSERT_EQ(table.swatches.size(), 2U);
  const Swatch& swatch = table.swatches[0];
  EXPECT_EQ(swatch.lots.at("rug-ash"), "A7");
  EXPECT_EQ(swatch.piece.lots.at("rug-ash"), "A7");
  ASSERT_EQ(swatch.measurements.size(), 2U);
  EXPECT_EQ(swatch.measurements[0].value, 12.0);
  EXPECT_NEAR(swatch.measurements[0].reading_sd, 0.408248, 1e-6);  // sqrt(2) / sqrt(12)
  const Measurement& unpicked = swatch.measurements[1];
  EXPECT_EQ(unpicked.what, Measured::Length);
  EXPECT_EQ(unpicked.includes, Includes::InTheBand);
  EXPECT_EQ(unpicked.share, 0.25);  // 10 of 40
  EXPECT_EQ(unpicked.band, 0U);
  EXPECT_EQ(unpicked.line, 3);
}

TEST(ReadSwatches, WarpEndsDrawnOutAreReadAsTheMeanOfThem) {
  const std::string head =
      "swatch,loom,span_cm,warp_yarn,ends,sett_per_cm,work,beat,yarn,rows,state,height_cm,"
      "unpicked_m,unpicked_rows,unpicked_end_cm,unpicked_ends\n";
  const std::string work = "p1,frame,90,seine-12-6,33,4,weave,balanced,rug-ash,40,";
  const SwatchTable table = read(head + work + "on the loom,9.6,2.5,10,42.0,4\n");
  ASSERT_EQ(table.swatches.size(), 1U);
  ASSERT_EQ(table.swatches[0].measurements.size(), 3U);
  const Measurement& end = table.swatches[0].measurements[1];
  EXPECT_EQ(end.what, Measured::EndLength);
  EXPECT_NEAR(end.value, 0.105, 1e-15);                          // 42 cm by four
  EXPECT_NEAR(end.reading_sd, 0.00025 / std::sqrt(12.0), 1e-9);  // a millimetre by four
  EXPECT_EQ(end.band, 0U);
  EXPECT_EQ(end.yarn, "");
  EXPECT_TRUE(table.warnings.empty());

  const auto warned = [&](const std::string& cells) {
    const SwatchTable read_table = read(head + work + cells);
    return read_table.warnings.empty() ? std::string() : read_table.warnings[0].text;
  };
  EXPECT_THAT(warned("on the loom,9.6,,,10.5,\n"),
              HasSubstr("unpicked_end_cm: kept but not used: unpick rows of its weft as well"));
  EXPECT_THAT(warned(",,2.5,10,10.5,\n"),
              HasSubstr("unpicked_end_cm: kept but not used: measure its height as well"));
  EXPECT_THAT(warned("on the loom,9.6,2.5,10,9.3,\n"),
              HasSubstr("unpicked_end_cm: the ends are shorter than the cloth they came out of"));
  EXPECT_EQ(warned("on the loom,9.6,2.5,10,9.5,\n"), "");
  EXPECT_THAT(
      complaints(head + work + "on the loom,9.6,2.5,10,,4\n"),
      testing::Contains(HasSubstr("unpicked_ends: needs their length beside it, added up, in "
                                  "unpicked_end_cm")));
  EXPECT_THAT(complaints(head + work + "on the loom,9.6,2.5,10,42.0,34\n"),
              testing::Contains(HasSubstr("unpicked_ends: 34 ends were drawn out of a warp of 33; "
                                          "correct one of them")));
  // Ends of a band that cannot be read ended the program (2026-11-28).
  EXPECT_THAT(complaints(head + "p1,frame,90,seine-12-6,33,4,weav,balanced,rug-ash,40,on the "
                                "loom,9.6,2.5,10,42.0,4\n"),
              testing::Contains(HasSubstr("\"weav\" is not known here")));
}

TEST(ReadSwatches, TheLongFormNamesItsColumn) {
  const SwatchTable table = read(
      "swatch,loom,warp_yarn,ends,work,over,back,yarn,rows,state,measure,value\n"
      "p1,slate,seine-12-6,33,soumak,4,2,rug-ash,8,,used_g,6.5\n"
      "p1,,,,,,,,,off,height_cm,2.5\n");
  ASSERT_EQ(table.swatches.size(), 1U);
  const auto& soumak = std::get<technique::Soumak>(table.swatches[0].piece.bands.at(0).work);
  EXPECT_EQ(soumak.over, 4);
  EXPECT_EQ(soumak.back, 2);
  ASSERT_EQ(table.swatches[0].measurements.size(), 2U);
  EXPECT_EQ(table.swatches[0].measurements[0].column, "used_g");
  EXPECT_EQ(table.swatches[0].measurements[0].value, 6.5);
  EXPECT_EQ(table.swatches[0].measurements[1].value, 0.025);
  EXPECT_EQ(table.swatches[0].measurements[1].state, piece::State::OffLoom);
  EXPECT_THAT(complaints("swatch,measure,value\np1,used_gg,6\n"),
              testing::Contains(HasSubstr("swatches.csv:2:2: measure: \"used_gg\" is not known "
                                          "here; did you mean 'used_g'?")));
}

TEST(ReadSwatches, SemicolonsHaveDecimalCommas) {
  const SwatchTable table = read(
      "swatch;loom;pitch_mm;warp_yarn;ends;work;yarn;rows;used_g\r\n"
      "p1;notched;4,5;seine-12-6;33;weave;rug-ash;40;12,4\r\n");
  ASSERT_EQ(table.swatches.size(), 1U);
  EXPECT_NEAR(in_millimetres(table.swatches[0].piece.loom.pitch), 4.5, 1e-12);
  EXPECT_EQ(table.swatches[0].measurements.at(0).value, 12.4);
  EXPECT_NEAR(table.swatches[0].measurements.at(0).step, 0.1, 1e-15);
}

TEST(ReadSwatches, InchesOuncesYardsAndFractions) {
  const SwatchTable table = read(
      "swatch,loom,warp_yarn,ends,sett_per_in,work,yarn,rows,state,used_oz,used_yd,height_in\n"
      "p1,frame,seine-12-6,33,6,weave,rug-ash,40,off,1/2,30,1 3/8\n");
  ASSERT_EQ(table.swatches.size(), 1U);
  const Swatch& swatch = table.swatches[0];
  EXPECT_NEAR(in_per_inch(*swatch.piece.warp.sett), 6.0, 1e-12);
  ASSERT_EQ(swatch.measurements.size(), 3U);
  EXPECT_NEAR(swatch.measurements[0].value, 14.1747615625, 1e-9);  // half of 28.349523125 g
  EXPECT_NEAR(swatch.measurements[0].step, 14.1747615625, 1e-9);   // written in halves
  EXPECT_NEAR(swatch.measurements[1].value, 27.432, 1e-12);        // 30 x 0.9144
  EXPECT_NEAR(swatch.measurements[2].value, 0.034925, 1e-12);      // 1.375 x 0.0254
  EXPECT_NEAR(swatch.measurements[2].step, 0.003175, 1e-12);       // an eighth
  EXPECT_EQ(swatch.measurements[2].state, piece::State::OffLoom);
}

TEST(ReadSwatches, BallsWeighedInOuncesAndALengthInYards) {
  const SwatchTable table = read(
      "swatch,loom,warp_yarn,ends,work,yarn,rows,ball_before_oz,ball_after_oz,unpicked_yd,"
      "unpicked_rows\n"
      "p1,slate,seine-12-6,33,weave,rug-ash,40,3.50,3.25,2.5,10\n");
  ASSERT_EQ(table.swatches.size(), 1U);
  ASSERT_EQ(table.swatches[0].measurements.size(), 2U);
  const Measurement& unpicked = table.swatches[0].measurements[0];
  EXPECT_EQ(unpicked.column, "unpicked_yd");
  EXPECT_NEAR(unpicked.value, 2.286, 1e-12);  // 2.5 x 0.9144
  EXPECT_EQ(unpicked.includes, Includes::InTheBand);
  const Measurement& used = table.swatches[0].measurements[1];
  EXPECT_EQ(used.column, "ball_before_oz");
  EXPECT_NEAR(used.value, 7.08738078125, 1e-9);  // 0.25 x 28.349523125
  EXPECT_NEAR(used.step, 0.28349523125, 1e-9);   // a hundredth of an ounce
  EXPECT_NEAR(used.reading_sd, 0.115736, 1e-6);  // times 1 / sqrt(6)
  EXPECT_THAT(complaints("swatch,loom,warp_yarn,ends,work,yarn,rows,ball_before_g,ball_before_oz,"
                         "ball_after_oz\n"
                         "p1,slate,seine-12-6,33,weave,rug-ash,40,99,3.50,3.25\n"
                         "p2,slate,seine-12-6,33,weave,rug-ash,40,,3.25,3.50\n"),
              ElementsAre("swatches.csv:2:9: ball_before_oz: ball_before_g is filled as well; "
                          "empty one of the two",
                          "swatches.csv:3:10: ball_after_oz: 3.50 oz after and 3.25 oz before: the "
                          "ball did not get lighter; are the two swapped?"));
}

TEST(ReadSwatches, ALengthOfYarnIsWeighedInAnyOfItsUnits) {
  const auto density = [](const std::string& columns, const std::string& cells) {
    return read("swatch,yarn," + columns + "\ny1,rug-ash," + cells + "\n")
        .swatches.at(0)
        .measurements.at(0);
  };
  // 0.2 oz are 5.669904625 g, 10 yd 9.144 m.
  EXPECT_NEAR(density("weighed_yd,weighed_oz", "10,0.2").value, 5.669904625 / 9.144, 1e-12);
  EXPECT_NEAR(density("weighed_m,weighed_oz", "10,0.2").value, 0.5669904625, 1e-12);
  EXPECT_NEAR(density("weighed_yd,weighed_g", "10,5").value, 5.0 / 9.144, 1e-12);
}

TEST(ReadSwatches, WrapsAndAWeighedLengthOfYarnAlone) {
  const SwatchTable table = read(
      "swatch,yarn,tool_step,wraps,wraps_over_cm,wraps_convention,weighed_m,weighed_g\n"
      "y1,rug-ash,0.1,16,2.4,touching,10.00,5.2\n");
  ASSERT_EQ(table.swatches.size(), 1U);
  ASSERT_EQ(table.swatches[0].measurements.size(), 2U);
  const Measurement& wraps = table.swatches[0].measurements[0];
  EXPECT_EQ(wraps.what, Measured::Diameter);
  EXPECT_NEAR(wraps.value, 0.0015, 1e-15);     // 2.4 cm / 16
  EXPECT_NEAR(wraps.step, 0.00009375, 1e-12);  // a wrap in 16
  const Measurement& weighed = table.swatches[0].measurements[1];
  EXPECT_EQ(weighed.what, Measured::Density);
  EXPECT_NEAR(weighed.value, 0.52, 1e-15);
  // sqrt((0.1 / 5.2)^2 + (0.01 / 10)^2) of 0.52
  EXPECT_NEAR(weighed.step, 0.010013511, 1e-8);
}

TEST(ReadSwatches, AFigureOfTheWarpsOwnYarnIsOfTheRowsAlone) {
  const SwatchTable table = read(
      "swatch,loom,warp_yarn,ends,work,yarn,rows,used_g\n"
      "p1,slate,seine-12-6,33,weave,seine-12-6,40,9\n");
  EXPECT_EQ(table.swatches.at(0).measurements.at(0).band, 0U);
}

TEST(ReadSwatches, WhoWoveIt) {
  const Studio studio = studio_with_weavers();
  const auto read_by = [&](const std::string& weaver) {
    return read_swatches("swatch,weaver,loom,warp_yarn,ends,work,yarn,rows,used_g\np1," + weaver +
                             ",slate,seine-12-6,33,weave,rug-ash,40,12\n",
                         "swatches.csv", studio, starting_values(), no_pieces());
  };
  EXPECT_EQ(read_by("Wren").swatches[0].weaver, "Wren");
  EXPECT_FALSE(read_by("Wren").swatches[0].piece.beginner);
  EXPECT_EQ(read_by("Tern").swatches[0].piece.weaver, "Tern");
  EXPECT_TRUE(read_by("Tern").swatches[0].piece.beginner);
  EXPECT_TRUE(read_by("").swatches[0].piece.beginner);  // the studio's usual weaver
  EXPECT_THAT(complaints_of([&] { read_by("Wrenn"); }),
              ElementsAre("swatches.csv:2:2: weaver: \"Wrenn\" is not known here; did you mean "
                          "'Wren'? 'experienced', 'beginner', 'Wren' or 'Tern' is accepted"));
}

TEST(ReadSwatches, ColumnsNobodyKnowsAreWarnedOf) {
  const SwatchTable table = read(
      "swatch,loom,warp_yarn,ends,work,yarn,rows,usedg,used_g\n"
      "p1,slate,seine-12-6,33,weave,rug-ash,40,x,12\n");
  EXPECT_THAT(told_lines(table.warnings),
              ElementsAre("swatches.csv:1:8: unknown column 'usedg'; did you mean 'used_g'? It is "
                          "kept but not used."));
}

TEST(ReadSwatches, EverythingWrongIsToldAtOnce) {
  EXPECT_THAT(
      complaints("swatch,loom,warp_yarn,ends,sett_per_cm,width_cm,work,yarn,rows,used_g,"
                 "ball_before_g,ball_after_g,height_cm\n"
                 "p1,frame,seine-12-6,33,2.5,20,weave,rug-ash,40,12,,,\n"
                 "p2,slate,seine-12-6,33,,,weeve,rug-ash,40,0,,,\n"
                 "p3,slate,seine-12-6,33,,,weave,rug-ahs,40,nan,,,\n"
                 "p4,slate,seine-12-6,33,,,weave,rug-ash,40,-3,,,\n"
                 "p5,slate,seine-12-6,33,,,weave,rug-ash,40,,50,62,\n"
                 "p6,slate,seine-12-6,33,,,weave,rug-ash,40,,50,,3\n"
                 ",slate,seine-12-6,33,,,weave,rug-ash,40,12,,,\n"
                 "p8,slat,,33,,,weave,rug-ash,,12,,,\n"),
      ElementsAre(
          HasSubstr("swatches.csv:2:4: ends: 33 ends at 6.35 /in are 5.197 in wide, but width says "
                    "7.874 in"),
          HasSubstr("swatches.csv:3:7: work: \"weeve\" is not known here; did you mean 'weave'?"),
          "swatches.csv:3:10: used_g: 0 is no measurement; leave the cell empty where nothing was "
          "measured",
          HasSubstr("swatches.csv:4:8: yarn: \"rug-ahs\" is no yarn of yarns.csv; did you mean "
                    "'rug-ash'?"),
          HasSubstr("swatches.csv:4:10: used_g: \"nan\""),
          HasSubstr("swatches.csv:5:10: used_g: \"-3\": a number without a sign is wanted"),
          "swatches.csv:6:12: ball_after_g: 62 g after and 50 g before: the ball did not get "
          "lighter; are the two swapped?",
          "swatches.csv:7:11: ball_before_g: needs ball_after_g beside it, in the same row",
          "swatches.csv:7:13: height_cm: needs state beside it: on the loom, off or washed, for it "
          "shrinks on the way",
          "swatches.csv:8:1: swatch: every row needs one: an id of your own, or in piece the id of "
          "a piece",
          HasSubstr("swatches.csv:9:2: loom: \"slat\" is not known here; did you mean 'slate'?"),
          "swatches.csv:9:3: warp_yarn: is empty; write the id of a yarn of yarns.csv",
          "swatches.csv:9:9: rows: is empty; count the rows that were woven"));
}

const char* const kPieceToml =
    "[piece]\nname = \"Ebb\"\n[lots]\nrug-ash = \"A7\"\n[loom]\nuse = \"slate\"\n"
    "[warp]\nyarn = \"seine-12-6\"\nends = 33\n"
    "[[band]]\nwork = \"weave\"\nyarn = \"rug-ash\"\nrows = 40\n"
    "[[band]]\nwork = \"weave\"\nyarn = \"rug-rust\"\nheight = \"3 cm\"\n";

SwatchTable measured(const std::string& tables) {
  return read_measured_piece(kPieceToml + tables, "pieces/ebb.toml", a_studio(), starting_values());
}

TEST(MeasuredPiece, ItsTablesAreRowsOfOneSwatch) {
  EXPECT_TRUE(measured("").swatches.empty());
  const SwatchTable table = measured(
      "[[measured]]\nyarn = \"rug-ash\"\nused_g = 14\nincludes = \"in the piece\"\n"
      "[[measured]]\nband = 1\nheight_cm = 4.5\nstate = \"off\"\ndate = 2026-05-01\n"
      "usd_g = 3\n");
  EXPECT_THAT(told_lines(table.warnings),
              ElementsAre("pieces/ebb.toml:27:9: unknown key 'usd_g' in [[measured]]; did you mean "
                          "'used_g'? It is kept but not used."));
  ASSERT_EQ(table.swatches.size(), 1U);
  const Swatch& swatch = table.swatches[0];
  EXPECT_EQ(swatch.id, "ebb");
  EXPECT_EQ(swatch.date, "2026-05-01");
  EXPECT_EQ(swatch.lots.at("rug-ash"), "A7");
  ASSERT_EQ(swatch.measurements.size(), 2U);
  EXPECT_EQ(swatch.measurements[0].includes, Includes::InThePiece);
  EXPECT_EQ(swatch.measurements[0].line, 18);
  EXPECT_EQ(swatch.measurements[1].band, 0U);
  EXPECT_EQ(swatch.measurements[1].value, 0.045);
}

TEST(MeasuredPiece, WhatIsWrongHasItsPlace) {
  const auto told = [](const std::string& keys) {
    return complaints_of([&] { measured("[[measured]]\n" + keys); });
  };
  EXPECT_THAT(
      told("used_g = 14\n"),
      ElementsAre("pieces/ebb.toml:19:10: used_g: of which yarn? Write its id in the column "
                  "yarn"));
  EXPECT_THAT(told("band = 3\nyarn = \"rug-ash\"\nused_g = [1]\n"),
              ElementsAre("pieces/ebb.toml:21:10: used_g: a list was read where a number or text "
                          "is wanted"));
  EXPECT_THAT(
      told("band = 3\nyarn = \"rug-ash\"\nused_g = 1\n"),
      ElementsAre("pieces/ebb.toml:19:8: band: there is no band 3; the piece has 2, counted "
                  "from the bottom"));
  EXPECT_THAT(
      told("band = 2\nyarn = \"rug-rust\"\nunpicked_m = 1.5\nunpicked_rows = 4\n"),
      ElementsAre("pieces/ebb.toml:22:17: unpicked_rows: the band does not say its rows; write "
                  "rows in place of its height"));
}

TEST(OpenSwatches, RowsOfAPieceAndItsOwnTables) {
  namespace fs = std::filesystem;
  const fs::path folder = fs::path(testing::TempDir()) / "ellwand-open-swatches";
  fs::remove_all(folder);
  fs::create_directories(folder / "pieces");
  EXPECT_TRUE(open_swatches(folder, a_studio(), starting_values()).swatches.empty());
  write_file(folder / "pieces" / "ebb.toml",
             std::string(kPieceToml) + "[[measured]]\nyarn = \"rug-ash\"\nused_g = 14\n");
  write_file(folder / "pieces" / "unfinished.toml", "[piece]\nname = \"no loom yet\"\n");
  write_file(folder / "swatches.csv", "swatch,piece,yarn,used_g\n,ebb,rug-rust,9\n");
  const SwatchTable table = open_swatches(folder, a_studio(), starting_values());
  ASSERT_EQ(table.swatches.size(), 2U);
  EXPECT_EQ(table.swatches[0].piece.id, "ebb");
  EXPECT_EQ(table.swatches[1].piece.id, "ebb");  // one piece, wherever it was written down
  EXPECT_EQ(table.swatches[1].measurements.at(0).yarn, "rug-rust");
  write_file(folder / "swatches.csv", "swatch,piece,yarn,used_g\n,eb,rug-rust,9\nebb,,,9\n");
  EXPECT_THAT(
      complaints_of([&] { open_swatches(folder, a_studio(), starting_values()); }),
      ElementsAre(HasSubstr("swatches.csv:2:2: piece: \"eb\" is no piece of the folder pieces; "
                            "did you mean 'ebb'?"),
                  HasSubstr("swatches.csv:3:1: swatch: \"ebb\" is the id of a piece")));
  fs::remove_all(folder);
}

TEST(OpenSwatches, OfTheDemoHaveNothingAsked) {
  const std::filesystem::path demo = test::source_folder() + "/data/demo";
  const Studio studio = open_studio(demo, starting_values());
  const SwatchTable table = open_swatches(demo, studio, starting_values());
  EXPECT_EQ(table.swatches.size(), 13U);
  EXPECT_THAT(told_lines(table.warnings), ElementsAre());
}

TEST(OpenSwatches, AskAboutSlipsAndRefuseWhatIsNotThere) {
  namespace fs = std::filesystem;
  const fs::path folder = fs::path(testing::TempDir()) / "ellwand-slipped-swatches";
  fs::remove_all(folder);
  fs::create_directories(folder);
  const std::string head = "swatch,loom,warp_yarn,ends,work,yarn,rows,used_m\n";
  const auto open = [&](const std::string& rows) {
    write_file(folder / "swatches.csv", head + rows);
    return open_swatches(folder, a_studio(), starting_values());
  };
  // Forty rows of 33 ends every 4 mm go 5.3 m as the crow flies.
  EXPECT_THAT(open("p1,slate,seine-12-6,33,weave,rug-ash,40,7\n").warnings, testing::IsEmpty());
  EXPECT_THAT(told_lines(open("p1,slate,seine-12-6,33,weave,rug-ash,40,70\n").warnings),
              ElementsAre(HasSubstr("swatches.csv:2: used_m: 70 m where about")));
  EXPECT_THAT(complaints_of([&] { open("p1,slate,seine-12-6,33,weave,rug-ash,40,0.7\n"); }),
              ElementsAre(HasSubstr("swatches.csv:2: used_m: 0.7 m cannot be")));
  EXPECT_THAT(complaints_of(
                  [&] { open("p1,slate,seine-12-6,33,weave,rug-ash,40,7\np1,,,,,rug-rust,,7\n"); }),
              ElementsAre(HasSubstr("swatches.csv:3: used_m: there is no rug-rust in it")));
  fs::remove_all(folder);
}

}  // namespace
}  // namespace ellwand::studio
