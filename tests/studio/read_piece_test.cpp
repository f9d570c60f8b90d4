#include "ellwand/studio/read_piece.hpp"

#include "a_studio.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>
#include <variant>

namespace ellwand::studio {
namespace {

const char* const kLoom = "[loom]\nkind = 'notched'\nspan = '34 cm'\npitch = '4 mm'\n";
const char* const kWarp = "[warp]\nyarn = 'seine-12-6'\nends = 33\n";
const char* const kBand = "[[band]]\nwork = 'weave'\nyarn = 'rug-ash'\nrows = 60\n";

/// Reads a piece for a studio that shows centimetres.
PieceReading reading_of(const std::string& text) {
  Studio studio = a_studio();
  studio.shown.length = LengthShown::Centimetres;
  return read_piece(text, "pieces/reed.toml", studio, starting_values());
}

piece::Piece piece_of(const std::string& text) { return reading_of(text).piece; }

Lines complaints(const std::string& text) {
  Lines lines = complaints_of([&] { reading_of(text); });
  const std::string file = "pieces/reed.toml:";
  for (std::string& line : lines) {
    if (line.substr(0, file.size()) == file) line.erase(0, file.size());
  }
  return lines;
}

std::string with_band(const std::string& keys) {
  return std::string(kLoom) + kWarp + "[[band]]\nwork = 'weave'\n" + keys;
}

technique::Woven woven_of(const std::string& text) {
  return std::get<technique::Woven>(piece_of(text).bands.at(0).work);
}

TEST(PieceFile, IsReadWhole) {
  const piece::Piece piece = piece_of(
      "[piece]\nname = \"Reed\"\nplanned = true\nweaver = 'experienced'\nnote = 'for the hall'\n"
      "[loom]\nkind = 'notched'\nspan = '34 cm'\npitch = '4 mm'\nheader = '2 cm'\n"
      "needle_room = '3 cm'\n"
      "[warp]\nyarn = 'seine-12-6'\nends = 33\ntie = '10 cm'\nstretch = '2 %'\n"
      "[habits]\ntail = '9 cm'\nwaste = 0.05\n"
      "[[band]]\nwork = 'knotted fringe'\nyarn = 'rug-rust'\nheld = 3\nhang = '14 cm'\n"
      "pulled_tight = true\ntrim = '8 mm'\ncard = '2 mm'\n"
      "[[band]]\nwork = 'weave'\nyarn = 'sliver'\nsplit_into = 3\nheight = '4 cm'\n"
      "height_state = 'finished'\ncarried_by = 'shuttle'\n"
      "[finish]\nbottom = { knots = 'overhand', ends_per_knot = 3, room = '7 cm' }\n"
      "rod = { diameter = '10 mm' }\nwashed = true\nrelaxation = '1 %'\nshrinkage = '8 %'\n");
  EXPECT_EQ(piece.id, "reed");
  EXPECT_EQ(piece.file, "pieces/reed.toml");
  EXPECT_EQ(piece.name, "Reed");
  EXPECT_TRUE(piece.planned);
  EXPECT_FALSE(piece.beginner);
  EXPECT_EQ(piece.loom.kind, piece::LoomKind::Notched);
  EXPECT_DOUBLE_EQ(in_centimetres(piece.loom.header), 2.0);
  EXPECT_DOUBLE_EQ(in_centimetres(piece.loom.needle_room.value()), 3.0);
  EXPECT_EQ(piece.warp.ends, 33);
  EXPECT_DOUBLE_EQ(in_centimetres(piece.warp.tie.value()), 10.0);
  EXPECT_DOUBLE_EQ(piece.warp.stretch.value(), 0.02);
  EXPECT_DOUBLE_EQ(in_centimetres(piece.habits.tail.value()), 9.0);
  EXPECT_FALSE(piece.habits.carrier.has_value());  // the studio's is filled in later
  ASSERT_EQ(piece.bands.size(), 2U);
  EXPECT_EQ(piece.bands[0].line, 20);
  const auto& fringe = std::get<technique::KnottedFringe>(piece.bands[0].work);
  EXPECT_EQ(fringe.strand.held, 3);
  EXPECT_EQ(fringe.ends, 33);
  EXPECT_EQ(fringe.rows, 1);
  EXPECT_DOUBLE_EQ(in_centimetres(fringe.hang), 14.0);
  EXPECT_TRUE(fringe.pulled_tight);
  EXPECT_TRUE(fringe.wound_on_card);
  EXPECT_DOUBLE_EQ(in_millimetres(fringe.card_thickness), 2.0);
  EXPECT_DOUBLE_EQ(in_millimetres(piece.bands[0].habits.trim.value()), 8.0);
  const auto& cloud = std::get<technique::Woven>(piece.bands[1].work);
  EXPECT_EQ(cloud.areas.at(0).strand.split_into, 3);
  EXPECT_EQ(cloud.areas.at(0).ends, 33);
  EXPECT_EQ(cloud.extent.by, technique::Extent::By::Height);
  EXPECT_EQ(piece.bands[1].height_state, piece::State::Finished);
  EXPECT_EQ(piece.bands[1].habits.carrier, piece::Carrier::Shuttle);
  EXPECT_EQ(piece.finish.bottom.value().ends_per_knot, 3);
  EXPECT_DOUBLE_EQ(in_centimetres(piece.finish.bottom.value().room.value()), 7.0);
  EXPECT_FALSE(piece.finish.top.has_value());
  EXPECT_DOUBLE_EQ(in_millimetres(piece.finish.rod.value()), 10.0);
  EXPECT_EQ(piece.finish.washing, piece::Washing::Washed);
  EXPECT_DOUBLE_EQ(piece.finish.shrinkage.value(), 0.08);
}

TEST(PieceFile, NeedsOnlyLoomWarpAndABand) {
  const PieceReading reading = reading_of(std::string(kLoom) + kWarp + kBand);
  EXPECT_EQ(reading.piece.name, "reed");
  EXPECT_FALSE(reading.piece.planned);
  EXPECT_TRUE(reading.piece.beginner);  // as the studio's weaver is
  EXPECT_EQ(told_lines(reading.warnings), Lines{});
  const technique::Woven woven = std::get<technique::Woven>(reading.piece.bands.at(0).work);
  EXPECT_EQ(woven.grid, cloth::spread(cloth::plain(), 33, cloth::Remainder::Right));
  EXPECT_EQ(woven.extent.count, 60);
  EXPECT_EQ(woven.beat.face, cloth::Face::Weft);
  EXPECT_EQ(woven.beat.ratio, starting_values().median("beat.weft_faced"));
  EXPECT_TRUE(woven.weft_line.empty());
}

TEST(PieceFile, SaysWhatIsMissing) {
  EXPECT_EQ(complaints("[piece]\nname = 'Reed'\n"),
            (Lines{"1:1: this file has no 'loom'; write [loom] with its kind, or with use = the "
                   "name of a loom of studio.toml",
                   "1:1: this file has no 'warp'; write [warp] with its yarn and ends",
                   "1:1: this file has no 'band'; write a [[band]] for each band, from the bottom "
                   "up"}));
  EXPECT_EQ(complaints("[loom]\n[warp]\n[[band]]\n"),
            (Lines{"1:1: [loom] has no 'kind'; write kind = \"notched\", \"frame\" or \"beam\"",
                   "2:1: [warp] has no 'yarn'; write the id of a yarn of yarns.csv",
                   "3:1: [[band]] has no 'work'; write work = \"weave\" or \"soumak\""}));
}

TEST(PieceFile, WarnsOfKeysNobodyReads) {
  EXPECT_EQ(told_lines(reading_of(std::string("[[measured]]\nused = 1\n") + kLoom + "colour = 1\n" +
                                  kWarp + kBand + "rws = 6\n[finnish]\nwashed = true\n")
                           .warnings),
            (Lines{"pieces/reed.toml:7:1: unknown key 'colour' in [loom]. It is kept but not used.",
                   "pieces/reed.toml:15:1: unknown key 'rws' in [[band]]; did you mean 'rows'? It "
                   "is kept but not used.",
                   "pieces/reed.toml:16:2: unknown key 'finnish' in this file; did you mean "
                   "'finish'? It is kept but not used."}));
}

TEST(PieceLoom, MayBeTheStudiosWithKeysOverIt) {
  const piece::Piece piece =
      piece_of(std::string("[loom]\nuse = 'slate'\nspan = '30 cm'\n") + kWarp + kBand);
  EXPECT_EQ(piece.loom.kind, piece::LoomKind::Notched);
  EXPECT_DOUBLE_EQ(in_centimetres(piece.loom.span), 30.0);
  EXPECT_DOUBLE_EQ(in_millimetres(piece.loom.pitch), 4.0);
}

TEST(PieceLoom, IsNamedAsTheStudioNamesIt) {
  EXPECT_EQ(complaints(std::string("[loom]\nuse = 'slat'\n") + kWarp + kBand),
            (Lines{"2:7: use: \"slat\" is no [[loom]] of studio.toml; did you mean 'slate'?"}));
}

TEST(PieceLoom, NeedsItsMeasures) {
  EXPECT_EQ(complaints(std::string("[loom]\nkind = 'notched'\n") + kWarp + kBand),
            (Lines{"1:1: [loom] has no 'span'; write span = \"34 cm\" or the like",
                   "1:1: [loom] has no 'pitch'; write pitch = \"4 mm\" or the like"}));
  EXPECT_EQ(complaints(std::string("[loom]\nkind = 'frame'\nspan = 34\n") + kWarp + kBand).size(),
            1U);
}

// 40 cm at 6 /cm are 240 ends; two selvedges more.
TEST(PieceWarp, TakesAnyTwoOfEndsSettAndWidth) {
  const std::string start = "[loom]\nkind = 'beam'\n[warp]\nyarn = 'seine-12-6'\n";
  const auto warp_of = [&](const std::string& keys) { return piece_of(start + keys + kBand).warp; };
  EXPECT_EQ(warp_of("width = '40 cm'\nsett = '6 /cm'\n").ends, 240);
  EXPECT_EQ(warp_of("width = '40 cm'\nsett = '6 /cm'\nfloating_selvedges = true\n").ends, 242);
  EXPECT_NEAR(in_per_cm(warp_of("ends = 240\nwidth = '40 cm'\n").sett.value()), 6.0, 1e-12);
  EXPECT_EQ(warp_of("ends = 240\nsett = '6 /cm'\n").ends, 240);
  EXPECT_EQ(warp_of("ends = 241\nsett = '6 /cm'\nwidth = '40 cm'\n").ends, 241);
}

TEST(PieceWarp, ChecksTheThirdWithinOneEnd) {
  const std::string start = "[loom]\nkind = 'beam'\n[warp]\nyarn = 'seine-12-6'\n";
  EXPECT_EQ(complaints(start + "ends = 242\nsett = '6 /cm'\nwidth = '40 cm'\n" + kBand),
            (Lines{"5:8: ends: 242 ends at 6 /cm are 40.33 cm wide, but width says 40 cm; correct "
                   "one, or leave one out"}));
}

TEST(PieceWarp, SaysWhenTooLittleIsStated) {
  EXPECT_EQ(complaints(std::string("[loom]\nkind = 'beam'\n") + kWarp + kBand),
            (Lines{"3:1: [warp] has too little to tell ends and sett; write two of ends, sett and "
                   "width"}));
  EXPECT_EQ(complaints(std::string(kLoom) + "[warp]\nyarn = 'seine-12-6'\n" + kBand),
            (Lines{"5:1: [warp] has none of 'ends' or 'width'; write one of them"}));
  EXPECT_EQ(complaints(std::string("[loom]\nkind = 'beam'\n[warp]\nyarn = 'rug-ash'\n"
                                   "width = '20 m'\nsett = '20 /cm'\n") +
                       kBand),
            (Lines{"5:9: width: 2000 cm at 20 /cm would be 40000 ends; 2 to 20000 are accepted"}));
}

// 13.22 cm over notches 4 mm apart are 33.05 spacings.
TEST(PieceWarp, CountsTheNotchesOfAWidth) {
  EXPECT_EQ(
      piece_of(std::string(kLoom) + "[warp]\nyarn = 'seine-12-6'\nwidth = '13.22 cm'\n" + kBand)
          .warp.ends,
      33);
}

// Notches 4 mm apart: 2.5 /cm in every notch, 1.25 /cm in every second, 0.833 /cm in every third.
TEST(PieceWarp, TakesASettThatFallsOnTheNotches) {
  const std::string start = std::string(kLoom) + kWarp;
  EXPECT_EQ(piece_of(start + "sett = '2.5 /cm'\n" + kBand).loom.every, 1);
  EXPECT_EQ(piece_of(start + "sett = '1.25 /cm'\n" + kBand).loom.every, 2);
  EXPECT_EQ(piece_of(start + "sett = '0.83 /cm'\n" + kBand).loom.every, 3);
  EXPECT_EQ(complaints(start + "sett = '1.6 /cm'\n" + kBand),
            (Lines{"8:8: sett: 1.6 /cm does not fall on notches 4 mm apart; the nearest that do "
                   "are 2.5 /cm (every notch) and 1.25 /cm (every second notch)"}));
  EXPECT_EQ(complaints(start + "sett = '3 /cm'\n" + kBand),
            (Lines{"8:8: sett: 3 /cm does not fall on notches 4 mm apart; the nearest that do are "
                   "2.5 /cm (every notch) and 1.25 /cm (every second notch)"}));
  EXPECT_EQ(complaints(std::string(kLoom) + "every = 3\n" + kWarp + "sett = '1.25 /cm'\n" + kBand),
            (Lines{"9:8: sett: 1.25 /cm is every second notch, but [loom] says every = 3; leave "
                   "one of them out"}));
}

TEST(PieceWarp, ComplainsOfRangesAndYarns) {
  EXPECT_EQ(complaints(std::string(kLoom) +
                       "[warp]\nyarn = 'seine-12-5'\nends = 1\nheld = 65\nstretch = '60 %'\n"
                       "floating_selvedges = true\n" +
                       kBand),
            (Lines{"6:8: yarn: \"seine-12-5\" is no yarn of yarns.csv; did you mean 'seine-12-6'?",
                   "7:8: ends: 1 is outside 2 to 20000", "8:8: held: 65 is outside 1 to 64",
                   "9:11: stretch: 60 % is outside 0 % to 50 %",
                   "10:22: floating_selvedges: a notched loom holds every end in the weave; leave "
                   "this out, or use a frame or beam loom"}));
}

TEST(PieceWarp, TellsThatItsStripesAreNotReckoned) {
  const std::string areas =
      "areas = [{ yarn = 'seine-12-6', ends = 20 }, { yarn = 'rug-ash', ends = 13 }]\n";
  const std::string sentence =
      "areas: a warp is of one yarn here, and stripes of it are not reckoned; write yarn = one of "
      "them in their place, and share out what the warp takes by the ends of each stripe";
  EXPECT_EQ(complaints(std::string(kLoom) + "[warp]\nends = 33\n" + areas + kBand),
            (Lines{"7:9: " + sentence}));
  EXPECT_EQ(told_lines(reading_of(std::string(kLoom) + kWarp + areas + kBand).warnings),
            (Lines{"pieces/reed.toml:8:9: " + sentence}));
}

TEST(PieceWarp, WarnsOfLengthsABeamLoomHas) {
  EXPECT_EQ(told_lines(
                reading_of(std::string(kLoom) + kWarp + "loom_waste = '60 cm'\n" + kBand).warnings),
            (Lines{"pieces/reed.toml:8:14: loom_waste: is counted on beam looms only; it is not "
                   "used here"}));
}

TEST(PieceLoom, WarnsOfMeasuresALoomOfItsKindDoesNotHave) {
  const std::string warp = "[warp]\nyarn = 'seine-12-6'\nends = 33\nsett = '4 /cm'\n";
  EXPECT_EQ(
      told_lines(
          reading_of("[loom]\nkind = 'beam'\nspan = '34 cm'\nnotches = 50\nheader = '2 cm'\n" +
                     warp + kBand)
              .warnings),
      (Lines{"pieces/reed.toml:3:8: span: a beam loom winds its warp as long as the piece "
             "needs; it is not used here",
             "pieces/reed.toml:4:11: notches: is of notched looms only; it is not used "
             "here"}));
  EXPECT_EQ(told_lines(reading_of("[loom]\nkind = 'frame'\nspan = '34 cm'\npitch = '4 mm'\n" +
                                  warp + kBand)
                           .warnings),
            (Lines{"pieces/reed.toml:4:9: pitch: is of notched looms only; it is not used here"}));
}

TEST(PieceBand, NamesEveryWork) {
  EXPECT_EQ(complaints(std::string(kLoom) + kWarp + "[[band]]\nwork = 'weav'\n"),
            (Lines{"9:8: work: \"weav\" is not known here; did you mean 'weave'? 'weave', "
                   "'knotted fringe', 'soumak', 'twining', 'looped pile', 'wrapping', "
                   "'knotted pile', 'gap' or 'hemstitch' is accepted"}));
}

TEST(PieceBand, HasExactlyOneExtent) {
  EXPECT_EQ(complaints(with_band("yarn = 'rug-ash'\n")),
            (Lines{"8:1: [[band]] has none of 'rows', 'height' or 'repeats'; write one of them"}));
  EXPECT_EQ(complaints(with_band("yarn = 'rug-ash'\nrows = 6\nrepeats = 2\n")),
            (Lines{"12:11: repeats: 'rows' is given as well; one of 'rows', 'height' or 'repeats' "
                   "is wanted, not several"}));
  const technique::Woven woven = woven_of(with_band("yarn = 'rug-ash'\nrepeats = 2\n"));
  EXPECT_EQ(woven.extent.by, technique::Extent::By::Repeats);
  EXPECT_EQ(woven.extent.count, 2);
}

TEST(PieceBand, TakesItsBeatFromTheLoomUnlessTold) {
  const std::string rows = "yarn = 'rug-ash'\nrows = 6\n";
  const std::string beam =
      "[loom]\nkind = 'beam'\n[warp]\nyarn = 'seine-12-6'\nends = 33\nsett = '4 /cm'\n[[band]]\n"
      "work = 'weave'\n";
  EXPECT_EQ(woven_of(beam + rows).beat.face, cloth::Face::Balanced);
  EXPECT_EQ(woven_of(beam + rows).beat.ratio, starting_values().median("beat.balanced"));
  const auto warp_faced = woven_of(with_band(rows + "beat = 'warp-faced'\n")).beat;
  EXPECT_EQ(warp_faced.face, cloth::Face::Warp);
  EXPECT_EQ(warp_faced.ratio, starting_values().median("beat.warp_faced"));
  EXPECT_EQ(woven_of(with_band(rows + "beat_ratio = 0.8\n")).beat.ratio, 0.8);
  EXPECT_DOUBLE_EQ(in_per_inch(woven_of(with_band(rows + "picks = '8 /in'\n")).beat.picks.value()),
                   8.0);
  const auto measured =
      woven_of(with_band(rows + "measured = { rows = 20, height = '25 mm' }\n")).beat.measured;
  EXPECT_EQ(measured.value().rows, 20);
  EXPECT_DOUBLE_EQ(in_millimetres(measured.value().height), 25.0);
  EXPECT_EQ(complaints(with_band(rows + "picks = '8 /in'\nmeasured = { rows = 20 }\n")),
            (Lines{"13:12: measured: 'picks' is given as well; one of 'beat_ratio', 'picks' or "
                   "'measured' is wanted, not several",
                   "13:12: measured has no 'height'; write measured = { rows = 20, height = \"25 "
                   "mm\" }"}));
}

TEST(PieceBand, RunsItsWeftAtASlant) {
  const std::string rows = "yarn = 'rug-ash'\nrows = 6\n";
  const auto slanted = woven_of(with_band(rows + "weft_angle = '30 deg'\n")).weft_line;
  ASSERT_EQ(slanted.size(), 2U);
  const double rise =
      (slanted[1].second - slanted[0].second) / (slanted[1].first - slanted[0].first);
  EXPECT_NEAR(rise, std::tan(std::numbers::pi / 6.0), 1e-12);  // rounding only
  const auto drawn =
      woven_of(with_band(rows + "weft_line = [['0 cm','0 cm'],['6 cm','2 cm'],['9 cm','0 cm']]\n"))
          .weft_line;
  ASSERT_EQ(drawn.size(), 3U);
  EXPECT_DOUBLE_EQ(in_centimetres(drawn[2].first), 9.0);
  EXPECT_EQ(complaints(with_band(rows + "weft_line = [['0 cm','0 cm'],['0 cm','2 cm'],[1, 2]]\n")),
            (Lines{"12:30: weft_line: each point must lie further along the weft than the one "
                   "before it",
                   "12:46: weft_line: a list is no point; write each as two lengths, along the "
                   "weft and up the warp, such as [\"6 cm\", \"2 cm\"]"}));
  EXPECT_EQ(complaints(with_band(rows + "weft_angle = '80 deg'\n")),
            (Lines{"12:14: weft_angle: 80 deg is outside 0 deg to 75 deg"}));
}

TEST(PieceFringe, NeedsItsHang) {
  EXPECT_EQ(complaints(std::string(kLoom) + kWarp +
                       "[[band]]\nwork = 'knotted fringe'\nyarn = 'rug-ash'\ncard = '9 cm'\n"),
            (Lines{"8:1: [[band]] has no 'hang'; write how long it hangs from the middle of the "
                   "knot, such as hang = \"14 cm\"",
                   "11:8: card: 9 cm is outside 0.1 mm to 5 cm"}));
}

TEST(PieceFinish, ComplainsOfKnotsAndRods) {
  EXPECT_EQ(complaints(std::string(kLoom) + kWarp + kBand +
                       "[finish]\nbottom = { knots = 'overhnd', ends_per_knot = 34 }\n"
                       "top = { room = '7 cm' }\nrod = {}\n"),
            (Lines{"13:20: knots: \"overhnd\" is not known here; did you mean 'overhand'? "
                   "'overhand' or 'tail to tail' is accepted",
                   "13:47: ends_per_knot: 34 in one knot, but the warp has 33 ends",
                   "14:7: top has no 'knots'; write knots = \"overhand\"",
                   "15:7: rod has no 'diameter'; write rod = { diameter = \"10 mm\" }"}));
}

TEST(PieceFinish, WarnsOfWhatIsNotCounted) {
  EXPECT_EQ(
      told_lines(reading_of(std::string(kLoom) + kWarp + kBand +
                            "[finish]\nshrinkage = '8 %'\nhook = 'brass'\n")
                     .warnings),
      (Lines{"pieces/reed.toml:13:13: shrinkage: is lost in washing, and washed is not true; "
             "it is not used",
             "pieces/reed.toml:14:1: unknown key 'hook' in [finish]. It is kept but not used."}));
}

TEST(PieceFile, NeverFailsButWithComplaints) {
  const std::string text = std::string(kLoom) + kWarp + kBand +
                           "[[band]]\nwork = 'weave'\nthreading = [1, 2, 3]\n"
                           "tie_up = [[1], [2, 3]]\ntreadling = [1, [2]]\nrepeats = 2\n"
                           "areas = [{ yarn = 'rug-ash', ends = 33 }]\n"
                           "weft_line = [['0 cm', '0 cm'], ['6 cm', '2 cm']]\n"
                           "[[band]]\nwork = 'weave'\ngrid = ['o2 u1', 'u2 o1']\nheight = '3 cm'\n"
                           "areas = [{ yarn = 'rug-ash', ground = true },\n"
                           "  { yarn = 'sliver', area = '4 cm2', shapes = 2 }]\n"
                           "[finish]\nrod = { diameter = '10 mm' }\n";
  ASSERT_EQ(complaints(text), Lines{});
  std::mt19937_64 random(20261125);
  const std::string letters = "019-.'\"[]{},=\n oux%\xC3";
  int refused = 0;
  for (int i = 0; i < 4000; ++i) {
    std::string changed = text;
    for (auto n = 1 + random() % 3; n > 0; --n) {
      const std::size_t at = random() % changed.size();
      if (random() % 2 == 0)
        changed[at] = letters[random() % letters.size()];
      else
        changed.erase(at, 1 + random() % 12);
    }
    try {
      reading_of(changed);
    } catch (const BadInput& bad) {
      ++refused;
      for (const Complaint& complaint : bad.complaints()) EXPECT_FALSE(complaint.text.empty());
    }  // anything else thrown fails the test
  }
  EXPECT_GT(refused, 1000);
}

}  // namespace
}  // namespace ellwand::studio
