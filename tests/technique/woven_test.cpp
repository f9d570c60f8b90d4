// A woven band by hand, and every slope of it in every way its threads can lie.

#include "ellwand/technique/woven.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <type_traits>
#include <utility>
#include <vector>

#include "ellwand/units/error.hpp"
#include "support/lies.hpp"
#include "support/published_rows.hpp"
#include "support/slopes.hpp"

namespace ellwand::technique {
namespace {

using cloth::Face;
using std::numbers::pi;
using test::lie_of;
using test::notched_lie;
using test::variables_of;

Woven plain_band(int ends, int rows) {
  Woven band;
  band.grid = cloth::spread(cloth::plain(), ends, cloth::Remainder::Right);
  band.repeat_picks = 2;
  band.areas = {{{"weft", 1, 1}, ends, Join::None, std::nullopt}};
  band.extent.count = rows;
  return band;
}

/// Metres of each cause.
std::map<Cause, double> causes(const Entries<double>& entries) {
  std::map<Cause, double> sums;
  for (const auto& entry : entries) sums[entry.cause] += in_metres(entry.yarn);
  return sums;
}

TEST(WovenArea, AWeftFacedBandByHand) {
  // Common practice for the cloth; Peirce's crossing by hand, p 4, d 1.0 and 1.6, h = D = 2.6:
  // s = sqrt(16 - 6.76) = 3.0397, theta = atan2(2.6, 3.0397) = 0.70758, l = 3.0397 + 1.83971 =
  // 4.8795. Turn sqrt((pi 1.3)^2 + 1.04^2) = 4.2144. 60 rows of 32 cells:
  // straight 7.680, crimp 1920 x 0.8795 = 1.6886, turns 0.2529, take 5 % of 9.6215 = 0.4811;
  // laid 10.1025, in lengths of 1.80: 6, tails 1.200.
  const auto area = woven_area(plain_band(33, 60), 0, notched_lie());
  const auto sum = causes(area.entries);
  EXPECT_NEAR(sum.at(Cause::Straight), 7.680, 1e-9);  // exact
  EXPECT_NEAR(sum.at(Cause::Crimp), 1.6886, 1e-4);    // the hand sum's digits
  EXPECT_NEAR(sum.at(Cause::Turns), 0.2529, 5e-5);
  EXPECT_NEAR(sum.at(Cause::Take), 0.4811, 5e-5);
  EXPECT_NEAR(sum.at(Cause::Tails), 1.2, 1e-9);
  EXPECT_NEAR(in_metres(area.entries.total()), 11.302, 5e-4);
  EXPECT_NEAR(in_millimetres(area.height), 62.4, 1e-9);  // 60 x 0.65 x 1.6
}

TEST(WovenArea, TheStraightWeftAgreesWithThePrintedCalculations) {
  // READ or COMPUTED as each row says, with its publication and the tolerance of its printing. The
  // printed sums know neither crimp nor turns, which are causes of their own here.
  int checked = 0;
  for (const test::PublishedRow& row : test::published_rows("cloth_calculations.csv")) {
    if (row.at("rule") != "straight weft") continue;
    SCOPED_TRACE(test::where(row));
    const auto given = test::given(row);
    Lie<> lie = notched_lie();
    lie.warp_spacing = inches(0.05);
    lie.warp_diameter = lie.strand_diameter = inches(0.01);
    const int spacings = static_cast<int>(std::lround(given.at("inches") / 0.05));
    const int rows = static_cast<int>(std::lround(given.at("picks") * given.at("yards")));
    const auto sum = causes(woven_area(plain_band(spacings + 1, rows), 0, lie).entries);
    const double pounds_of_weft =
        in_yards(metres(sum.at(Cause::Straight))) / (840.0 * given.at("count"));  // cotton count
    EXPECT_NEAR(pounds_of_weft, test::number(row, "printed"), test::number(row, "tolerance"));
    ++checked;
  }
  EXPECT_EQ(checked, 3);
}

/// Metres laid by walking along every pick and looking at the grid's own cells, end by end: no use
/// is made of the grid's counts. `crossing_mm` and `turn_mm` are worked by hand.
std::map<Cause, double> walked(const Woven& band, std::size_t area, double spacing_mm,
                               double crossing_mm, double turn_mm) {
  int first = 0;
  for (std::size_t i = 0; i < area; ++i) first += band.areas[i].ends;
  const int last = first + band.areas[area].ends - 1;
  std::map<Cause, double> mm;
  for (int row = 0; row < band.extent.count; ++row) {
    const int pick = row % band.grid.picks();
    for (int end = first; end < last; ++end) {
      const bool changes = band.grid.over(pick, end) != band.grid.over(pick, end + 1);
      mm[changes ? Cause::Straight : Cause::Floats] += spacing_mm;
      if (changes) mm[Cause::Crimp] += crossing_mm - spacing_mm;
    }
    mm[Cause::Turns] += turn_mm;
    // Each second row ends at the left, and goes on to the last end of the area before it.
    const bool dovetails = band.areas[area].join == Join::Dovetailed && row % 2 == 1;
    if (dovetails) mm[Cause::Joins] += 2.0 * crossing_mm;
  }
  for (auto& [cause, length] : mm) length *= 1e-3;
  return mm;
}

TEST(WovenArea, IsWhatAWalkAlongEveryPickAddsUpTo) {
  // The crossing of 4.8795 and the turn of 4.2144 from the sum above.
  const std::vector<cloth::Grid> repeats = {cloth::twill({2, 2}), cloth::basket(2, 2),
                                            cloth::twill({1, 3}), cloth::satin(5, 2)};
  for (const cloth::Grid& repeat : repeats) {
    Woven band = plain_band(33, 56);
    band.grid = cloth::spread(repeat, 33, cloth::Remainder::PlainBoth);
    band.areas = {{{"a", 1, 1}, 13, Join::None, std::nullopt},
                  {{"b", 1, 1}, 1, Join::Slit, std::nullopt},
                  {{"c", 1, 1}, 19, Join::Dovetailed, std::nullopt}};
    for (const std::size_t area : {0U, 1U, 2U}) {
      SCOPED_TRACE(testing::Message() << repeat.ends() << " ends in the repeat, area " << area);
      auto sum = causes(woven_area(band, area, notched_lie()).entries);
      for (const auto& [cause, by_walk] : walked(band, area, 4.0, 4.8795, 4.2144)) {
        // 56 rows of at most 18 cells, each to half the last digit of 4.8795
        EXPECT_NEAR(sum[cause], by_walk, 56 * 18 * 5e-8) << name_of(cause);
      }
    }
  }
}

TEST(WovenArea, AnAreaOfOneEndOnlyTurns) {
  Woven band = plain_band(33, 60);
  band.areas = {{{"a", 1, 1}, 32, Join::None, std::nullopt},
                {{"b", 1, 1}, 1, Join::Slit, std::nullopt}};
  const auto sum = causes(woven_area(band, 1, notched_lie()).entries);
  EXPECT_EQ(sum.count(Cause::Straight), 0U);
  EXPECT_EQ(sum.count(Cause::Crimp), 0U);
  EXPECT_NEAR(sum.at(Cause::Turns), 60 * 4.2144e-3, 5e-6);
}

TEST(WovenArea, AnInterlockedPairLaysTheWayTracedRoundTheOther) {
  // One passage traced in the plane of the cloth, point by point: from the last end out to the
  // middle of the gap, half round the other weft there, and back; the same row turns in a slit
  // round its own last end. Ends 4 mm apart, wefts 1.6 mm.
  std::vector<std::pair<double, double>> points = {{0.0, 1.6}, {2.0, 1.6}};
  for (int i = 1; i <= 2000; ++i) {
    const double a = pi / 2 - pi * i / 2000.0;
    points.emplace_back(2.0 + 1.6 * std::cos(a), 1.6 * std::sin(a));
  }
  points.emplace_back(0.0, -1.6);
  double passage_mm = 0.0;
  for (std::size_t i = 1; i < points.size(); ++i) {
    passage_mm +=
        std::hypot(points[i].first - points[i - 1].first, points[i].second - points[i - 1].second);
  }
  Woven slit = plain_band(33, 60);
  slit.areas = {{{"a", 1, 1}, 13, Join::None, std::nullopt},
                {{"b", 1, 1}, 20, Join::Slit, std::nullopt}};
  Woven held = slit;
  held.areas[1].join = Join::Interlocked;
  const auto turning = causes(woven_area(slit, 0, notched_lie()).entries);
  const auto holding = causes(woven_area(held, 0, notched_lie()).entries);
  // 60 turns at two sides: 30 of them are passages now.
  const double traced_m = turning.at(Cause::Turns) / 2.0 + 30 * passage_mm * 1e-3;
  EXPECT_NEAR(holding.at(Cause::Turns) + holding.at(Cause::Joins), traced_m, 1e-6);  // the chords
}

TEST(WovenWidth, OfThirtyThreeEnds) {
  // 32 x 4 + 1.0 + 2 x 1.6
  EXPECT_NEAR(in_millimetres(woven_width(33, millimetres(4.0), millimetres(1.0), millimetres(1.6))),
              132.2, 1e-9);
}

TEST(WovenArea, AHeightBecomesWholeRowsAndIsRestated) {
  Woven band = plain_band(33, 0);
  band.extent = {Extent::By::Height, 0, millimetres(100.0)};
  // 100 / 1.04 = 96.15: 96 rows, 99.84 mm.
  const auto area = woven_area(band, 0, notched_lie());
  EXPECT_EQ(area.rows, 96.0);
  EXPECT_NEAR(in_millimetres(area.height), 99.84, 1e-9);
}

TEST(WovenArea, ABandLowerThanOneRowIsOneRow) {
  Woven band = plain_band(33, 0);
  band.extent = {Extent::By::Height, 0, millimetres(0.4)};
  EXPECT_EQ(woven_area(band, 0, notched_lie()).rows, 1.0);
}

TEST(WovenArea, RepeatsCountThePicksOfTheWeaveAsStated) {
  Woven band = plain_band(33, 0);
  band.extent = {Extent::By::Repeats, 7, {}};
  EXPECT_EQ(woven_area(band, 0, notched_lie()).rows, 14.0);
  // A twill of 3 picks with a remainder in plain weave repeats after 6; she counts the twill's.
  band.grid = cloth::spread(cloth::twill({2, 1}), 34, cloth::Remainder::PlainRight);
  band.areas[0].ends = 34;
  band.repeat_picks = 3;
  EXPECT_EQ(woven_area(band, 0, notched_lie()).rows, 21.0);
}

TEST(WovenArea, StrandsHeldTogetherMultiplyTheYarnAndLieThicker) {
  Woven band = plain_band(33, 60);
  band.areas[0].strand.held = 4;
  // Side by side 4 strands of 0.8 are as one of 1.6: the same path, four times the yarn.
  Lie<> lie = notched_lie();
  lie.strand_diameter = millimetres(0.8);
  const double four = in_metres(woven_area(band, 0, lie).entries.total());
  const double one = in_metres(woven_area(plain_band(33, 60), 0, notched_lie()).entries.total());
  EXPECT_NEAR(four, 4.0 * one, 1e-9);
}

TEST(WovenArea, DovetailedGoesOnToTheNeighboursLastEnd) {
  Woven slit = plain_band(33, 60);
  slit.areas = {{{"a", 1, 1}, 13, Join::None, std::nullopt},
                {{"b", 1, 1}, 20, Join::Slit, std::nullopt}};
  Woven dovetailed = slit;
  dovetailed.areas[1].join = Join::Dovetailed;
  const auto one = causes(woven_area(slit, 1, notched_lie()).entries);
  const auto other = causes(woven_area(dovetailed, 1, notched_lie()).entries);
  EXPECT_EQ(one.count(Cause::Joins), 0U);
  // Every second row out and back over one crossing of 4.8795: 60 crossings more.
  EXPECT_NEAR(other.at(Cause::Joins), 60 * 0.0048795, 1e-5);
  // The area before it is not lengthened.
  EXPECT_EQ(causes(woven_area(dovetailed, 0, notched_lie()).entries).count(Cause::Joins), 0U);
}

TEST(WovenArea, InterlockedWeftsTurnRoundEachOtherHalfASpacingOut) {
  Woven band = plain_band(33, 60);
  band.areas = {{{"a", 1, 1}, 13, Join::None, std::nullopt},
                {{"b", 1, 1}, 20, Join::Interlocked, std::nullopt}};
  // 30 times: 2 + 2 mm, half round a weft of the same thickness pi 1.6, less the turn of 4.2144.
  const double by_hand = 30 * (4.0 + pi * 1.6 - 4.2144) * 1e-3;
  for (const std::size_t area : {0U, 1U}) {
    const auto sum = causes(woven_area(band, area, notched_lie()).entries);
    EXPECT_NEAR(sum.at(Cause::Joins), by_hand, 1e-5) << area;
  }
}

TEST(WovenArea, AnInterlockedWeftGoesRoundItsNeighbourAxisAboutAxis) {
  Woven band = plain_band(33, 60);
  band.areas = {{{"thick", 1, 1}, 10, Join::None, std::nullopt},
                {{"thin", 1, 1}, 23, Join::Interlocked, std::nullopt}};
  // Wefts of 1.6 and 0.8 mm: 4 + pi (1.6 + 0.8) / 2 less each one's own turn, sqrt((pi 1.3)^2 +
  // 1.04^2) = 4.2144 and sqrt((pi 0.9)^2 + 0.52^2) = 2.8749.
  Lie<> thick = notched_lie();
  thick.weft_after = 0.5;
  Lie<> thin = notched_lie();
  thin.strand_diameter = millimetres(0.8);
  thin.weft_before = 2.0;
  EXPECT_NEAR(causes(woven_area(band, 0, thick).entries).at(Cause::Joins), 30 * 3.5555e-3, 1e-5);
  EXPECT_NEAR(causes(woven_area(band, 1, thin).entries).at(Cause::Joins), 30 * 4.8951e-3, 1e-5);
}

TEST(WovenArea, ShapesAndTheirGroundTogetherCoverTheBand) {
  Woven band = plain_band(33, 60);
  Drawn drawn{square_centimetres(20.0), 2, centimetres(2.0)};
  band.areas = {{{"shape", 1, 1}, 0, Join::None, drawn},
                {{"ground", 1, 1}, 0, Join::None, std::nullopt}};
  const auto shape = causes(woven_area(band, 0, notched_lie()).entries);
  const auto ground = causes(woven_area(band, 1, notched_lie()).entries);
  // 20 cm2 at 1.04 mm a row is 1.9231 m of straight weft; both together 60 x 128 mm = 7.68 m.
  EXPECT_NEAR(shape.at(Cause::Straight), 1.9231, 1e-4);
  EXPECT_NEAR(shape.at(Cause::Straight) + ground.at(Cause::Straight), 7.68, 1e-9);
  // The shapes' rows, 20 cm2 / 2 cm / 1.04 mm = 96.15 in all, turn once each and part the ground.
  const double turn_m = 4.2144e-3;
  EXPECT_NEAR(shape.at(Cause::Turns), 96.15 * turn_m, 1e-4);
  EXPECT_NEAR(ground.at(Cause::Turns), (60 + 96.15) * turn_m, 1e-4);
  // Two shapes of under a length each: two lengths, four tails.
  EXPECT_NEAR(shape.at(Cause::Tails), 2 * 2 * 0.1, 1e-9);
}

TEST(WovenArea, EveryShapeBeginsWithALengthOfItsOwn) {
  Woven band = plain_band(33, 75);
  band.areas = {
      {{"shapes", 1, 1}, 0, Join::None, Drawn{square_centimetres(30.0), 2, centimetres(2.0)}},
      {{"ground", 1, 1}, 0, Join::None, std::nullopt}};
  // Straight 2.8846, crimp 721.15 x 0.8795 mm = 0.6343, turns 144.23 x 4.2144 mm = 0.6078; with the
  // take 4.333 m. Each of the two 2.167 m in lengths of 1.80: two, where one run would take three.
  EXPECT_EQ(woven_area(band, 0, notched_lie()).lengths, 4.0);
  EXPECT_NEAR(causes(woven_area(band, 0, notched_lie()).entries).at(Cause::Tails), 0.8, 1e-9);
}

/// Metres of tails, of one portion.
double tails_m(const Entries<double>& entries, Portion portion) {
  double sum = 0.0;
  for (const auto& entry : entries) {
    if (entry.cause == Cause::Tails && entry.portion == portion) sum += in_metres(entry.yarn);
  }
  return sum;
}

TEST(WovenArea, SmoothlyCountedTheBegunLengthsStandApart) {
  // 10.1025 m in lengths of 1.80: 5.6125, and half a length begun; two tails of 0.1 m each.
  Lie<> smooth = notched_lie();
  smooth.counting = Counting::Smooth;
  const auto one = woven_area(plain_band(33, 60), 0, smooth).entries;
  EXPECT_NEAR(tails_m(one, Portion::Tails), 1.1225, 5e-5);
  EXPECT_NEAR(tails_m(one, Portion::HalfLength), 0.1, 1e-6);
  // Two shapes: 4.333 / 1.80 = 2.4073, and half a length at each.
  Woven shapes = plain_band(33, 75);
  shapes.areas = {
      {{"shapes", 1, 1}, 0, Join::None, Drawn{square_centimetres(30.0), 2, centimetres(2.0)}},
      {{"ground", 1, 1}, 0, Join::None, std::nullopt}};
  const auto two = woven_area(shapes, 0, smooth).entries;
  EXPECT_NEAR(tails_m(two, Portion::Tails), 0.48146, 5e-5);
  EXPECT_NEAR(tails_m(two, Portion::HalfLength), 0.2, 1e-4);
}

TEST(WovenArea, FlatThreadsLieWiderAndThinnerAtTheSameArea) {
  // A weft of 1.6 mm two and a half times as wide as thick: 0.938 thick, 2.3449 wide (a rectangle
  // with half circles: 0.938^2 (1.5 + pi / 4) = pi 1.6^2 / 4). Weft-faced rows 0.65 x 2.3449.
  Lie<> lie = notched_lie();
  lie.weft_flatness = 2.5;
  EXPECT_NEAR(in_millimetres(woven_area(plain_band(33, 60), 0, lie).row_spacing), 1.5242, 5e-5);
}

TEST(WovenArea, CrossingsAndFloatsTogetherSpanTheEndsHoweverFlatTheyAre) {
  // 33 spacings of 4 mm, 40 rows: 5.28 m of straight way in all.
  for (const double flatness : {1.0, 1.5, 3.0}) {
    Woven band = plain_band(34, 40);
    band.grid = cloth::spread(cloth::twill({2, 2}), 34, cloth::Remainder::Right);
    Lie<> lie = notched_lie();
    lie.warp_flatness = flatness;
    const auto sum = causes(woven_area(band, 0, lie).entries);
    EXPECT_NEAR(sum.at(Cause::Straight) + sum.at(Cause::Floats), 5.28, 1e-9) << flatness;
  }
}

TEST(WovenArea, ShapesLargerThanTheBandAreRefused) {
  Woven band = plain_band(33, 6);
  band.areas = {
      {{"shape", 1, 1}, 0, Join::None, Drawn{square_centimetres(90.0), 1, centimetres(9.0)}},
      {{"ground", 1, 1}, 0, Join::None, std::nullopt}};
  EXPECT_THROW(woven_area(band, 1, notched_lie()), OutOfRange);
}

TEST(WovenArea, ASlantedWeftIsAsLongAsAPolylineOverTheUnrolledCloth) {
  // The crossing's profile, cut fine, lifted evenly along the slope, and measured as a polyline:
  // no use is made of the right angle in the formula.
  const double l = 4.8795;
  const double rise = 4.0 * std::tan(30.0 * pi / 180.0);
  constexpr int kPieces = 1000;
  double polyline = 0.0;
  for (int i = 0; i < kPieces; ++i) polyline += std::hypot(l / kPieces, rise / kPieces);
  Woven band = plain_band(33, 60);
  band.weft_line = {{metres(0.0), metres(0.0)},
                    {metres(std::cos(pi / 6)), metres(std::sin(pi / 6))}};
  const auto sum = causes(woven_area(band, 0, notched_lie()).entries);
  EXPECT_NEAR((sum.at(Cause::Straight) + sum.at(Cause::Crimp)) * 1e3, 1920 * polyline, 0.1);
}

TEST(WovenArea, ASlantedWeftLiesSideBySideAndFillsAHeightWithFewerRows) {
  // Cloth of a given area is as full of weft however the weft slants: rows at right angles to it
  // lie as the beat has them.
  const auto in_100_mm = [](double degrees) {
    Woven band = plain_band(33, 0);
    band.extent = {Extent::By::Height, 0, millimetres(100.0)};
    band.weft_line = {{metres(0.0), metres(0.0)},
                      {metres(1.0), metres(std::tan(degrees * pi / 180.0))}};
    return woven_area(band, 0, notched_lie());
  };
  const auto level = in_100_mm(0.0);
  const auto slanted = in_100_mm(30.0);
  const double course = 1.0 / std::cos(pi / 6);
  EXPECT_NEAR(slanted.row_spacing / level.row_spacing, course, 1e-12);
  EXPECT_DOUBLE_EQ(slanted.rows, std::round(100.0 / (1.04 * course)));  // 83 for 96
  const double level_straight = causes(level.entries).at(Cause::Straight) / level.rows;
  const double slanted_straight = causes(slanted.entries).at(Cause::Straight) / slanted.rows;
  EXPECT_NEAR(slanted_straight / level_straight, course, 1e-12);
}

TEST(WovenArea, StatedAndMeasuredRowsAreCountedUpTheWarpHoweverTheWeftSlants) {
  Woven band = plain_band(33, 60);
  band.weft_line = {{metres(0.0), metres(0.0)}, {metres(0.06), metres(0.02)}};
  band.beat.picks = per_cm(8.0);
  EXPECT_NEAR(in_millimetres(woven_area(band, 0, notched_lie()).row_spacing), 1.25, 1e-12);
  band.beat.picks.reset();
  band.beat.measured = MeasuredRows{20, millimetres(14.0)};
  EXPECT_NEAR(in_millimetres(woven_area(band, 0, notched_lie()).row_spacing), 0.7, 1e-12);
}

TEST(WovenArea, PicksCloserThanTheBeatAllowsAreRefusedWithTheClosest) {
  Woven band = plain_band(33, 60);
  band.beat.picks = per_cm(20.0);  // 0.5 mm; 3/8 of 1.6 is 0.6 mm, 16.67 per cm
  try {
    woven_area(band, 0, notched_lie());
    FAIL() << "not refused";
  } catch (const OutOfRange& refusal) {
    EXPECT_NE(std::string(refusal.what()).find("at most 16.6 per cm"), std::string::npos)
        << refusal.what();
  }
}

TEST(WovenArea, RowsNeverLieCloserThanTheGapsHaveRoomFor) {
  // A weft of 6 mm between ends of 1 mm every 4 mm: pi 36 / 4 / 3 = 9.42 mm a row.
  Lie<> lie = notched_lie();
  lie.strand_diameter = millimetres(6.0);
  const auto area = woven_area(plain_band(33, 10), 0, lie);
  EXPECT_TRUE(area.flattened);
  EXPECT_TRUE(area.rows_need_room);
  EXPECT_NEAR(in_millimetres(area.row_spacing), 9.4248, 1e-4);
}

TEST(WarpCrimp, IsNoneWhereTheWarpRunsStraight) {
  EXPECT_EQ(warp_crimp(plain_band(33, 60), 0, notched_lie(), millimetres(1.04)).over_cloth, 0.0);
}

TEST(WarpCrimp, OfASquareJammedClothIsPeirces) {
  // Published: a square plain cloth of round threads jams at a crimp of (pi/3)/sin 60 - 1 =
  // 20.92 % (F. T. Peirce 1937; COMPUTED).
  Woven band = plain_band(40, 60);
  band.beat = {Face::Balanced, 1.0, false, std::nullopt, std::nullopt};
  Lie<> lie = notched_lie();
  lie.warp_diameter = lie.strand_diameter = millimetres(1.0);
  lie.warp_spacing = millimetres(std::sqrt(3.0));
  EXPECT_NEAR(warp_crimp(band, 0, lie, lie.warp_spacing).over_cloth, 0.2092, 5e-5);
}

// ---- Slopes -----------------------------------------------------------------------------------

struct Regime {
  const char* name;
  Woven band;
  std::size_t area;
  Lie<> lie;
};

Woven twill_band(Face face, double ratio) {
  Woven band = plain_band(34, 40);
  band.grid = cloth::spread(cloth::twill({2, 2}), 34, cloth::Remainder::Right);
  band.beat = {face, ratio, false, std::nullopt, std::nullopt};
  return band;
}

Lie<> with(double end_mm, double spacing_mm, double weft_mm) {
  Lie<> lie = notched_lie();
  lie.warp_diameter = millimetres(end_mm);
  lie.warp_spacing = millimetres(spacing_mm);
  lie.strand_diameter = millimetres(weft_mm);
  return lie;
}

std::vector<Regime> regimes() {
  std::vector<Regime> all;
  all.push_back({"weft-faced", plain_band(33, 60), 0, notched_lie()});
  all.push_back({"weft-faced, the gaps set the rows", plain_band(33, 60), 0, with(1.5, 4.0, 2.4)});
  all.push_back({"weft-faced, flattened", plain_band(33, 60), 0, with(1.0, 4.0, 6.0)});
  all.push_back(
      {"weft-faced twill, ends regrouped", twill_band(Face::Weft, 0.65), 0, with(1.0, 3.0, 2.4)});
  all.push_back({"balanced", twill_band(Face::Balanced, 1.0), 0, notched_lie()});
  all.push_back({"balanced, regrouped", twill_band(Face::Balanced, 1.2), 0, with(1.0, 2.1, 1.6)});
  all.push_back({"balanced, flattened", twill_band(Face::Balanced, 1.0), 0, with(1.0, 2.0, 2.4)});
  all.push_back({"warp-faced", twill_band(Face::Warp, 1.15), 0, notched_lie()});
  all.push_back({"warp-faced, as close as can be", twill_band(Face::Warp, 0.5), 0, notched_lie()});
  Woven hard = plain_band(33, 60);
  hard.beat.ratio = 0.3;  // under the hardest beat
  all.push_back({"at the hardest beat", hard, 0, with(0.5, 12.0, 1.6)});
  Woven picks = twill_band(Face::Balanced, 1.0);
  picks.beat.picks = per_cm(3.0);
  all.push_back({"picks stated", picks, 0, notched_lie()});
  Woven measured = twill_band(Face::Balanced, 1.0);
  measured.beat.measured = MeasuredRows{20, millimetres(61.0)};
  all.push_back({"rows measured", measured, 0, notched_lie()});
  Woven height = plain_band(33, 0);
  height.extent = {Extent::By::Height, 0, millimetres(100.0)};
  Lie<> planned = notched_lie();
  planned.planned = {millimetres(1.04), planned.tail, planned.working_length};
  all.push_back({"a height", height, 0, planned});
  Woven areas = plain_band(33, 60);
  areas.areas = {{{"a", 2, 1}, 10, Join::None, std::nullopt},
                 {{"b", 1, 1}, 12, Join::Interlocked, std::nullopt},
                 {{"c", 1, 3}, 11, Join::Dovetailed, std::nullopt}};
  Lie<> beside_others = notched_lie();
  beside_others.weft_before = 0.7;
  beside_others.weft_after = 1.4;
  for (const std::size_t area : {0U, 1U, 2U}) all.push_back({"areas", areas, area, beside_others});
  Woven drawn = plain_band(33, 60);
  drawn.areas = {{{"a", 1, 1}, 0, Join::None, Drawn{square_centimetres(20.0), 2, centimetres(2.0)}},
                 {{"b", 1, 1}, 0, Join::None, std::nullopt}};
  for (const std::size_t area : {0U, 1U}) all.push_back({"drawn", drawn, area, notched_lie()});
  Woven slanted = twill_band(Face::Balanced, 1.0);
  slanted.weft_line = {
      {metres(0.0), metres(0.0)}, {metres(0.06), metres(0.02)}, {metres(0.10), metres(-0.01)}};
  all.push_back({"slanted", slanted, 0, notched_lie()});
  Lie<> tapes = notched_lie();
  tapes.warp_flatness = 1.5;
  tapes.weft_flatness = 2.5;
  all.push_back({"tapes both ways", twill_band(Face::Balanced, 1.3), 0, tapes});
  return all;
}

/// The sum of one portion of an area's entries, mm.
template <class Scalar>
Scalar portion_mm(const WovenArea<Scalar>& area, Portion portion) {
  Scalar sum{0.0};
  for (const auto& entry : area.entries) {
    if (entry.portion == portion) sum += in_millimetres(entry.yarn);
  }
  return sum;
}

TEST(WovenArea, SlopesAgreeWithCentralDifferencesHoweverTheThreadsLie) {
  for (const Regime& regime : regimes()) {
    SCOPED_TRACE(regime.name);
    const auto area = [&](const auto& x) {
      return woven_area(regime.band, regime.area, lie_of(x, regime.lie));
    };
    const auto at = variables_of(regime.lie);
    test::expect_slopes_match([&](const auto& x) { return portion_mm(area(x), Portion::Laid); },
                              at);
    test::expect_slopes_match(
        [&](const auto& x) {
          return portion_mm(area(x), Portion::Tails) + portion_mm(area(x), Portion::HalfLength);
        },
        at);
    test::expect_slopes_match([&](const auto& x) { return area(x).lengths; }, at);
    test::expect_slopes_match([&](const auto& x) { return area(x).rows; }, at);
    test::expect_slopes_match([&](const auto& x) { return in_millimetres(area(x).height); }, at);
    test::expect_slopes_match([&](const auto& x) { return in_millimetres(area(x).row_spacing); },
                              at);
  }
}

TEST(WarpCrimp, SlopesAgreeWithCentralDifferencesHoweverTheThreadsLie) {
  for (const Regime& regime : regimes()) {
    SCOPED_TRACE(regime.name);
    test::expect_slopes_match(
        [&](const auto& x) {
          const auto lie = lie_of(x, regime.lie);
          const auto area = woven_area(regime.band, 0, lie);
          return warp_crimp(regime.band, 0, lie, area.row_spacing).over_cloth;
        },
        variables_of(regime.lie));
  }
}

TEST(Turn, SlopesAgreeWithCentralDifferences) {
  test::expect_slopes_match(
      [](const auto& x) {
        return in_millimetres(turn(millimetres(x[0]), millimetres(x[1]), millimetres(x[2])));
      },
      std::array<double, 3>{1.0, 1.6, 1.04});
}

}  // namespace
}  // namespace ellwand::technique
