#include "ellwand/cloth/crossing.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"
#include "support/slopes.hpp"

namespace ellwand::cloth {
namespace {

using test::number;
using test::published_rows;
using test::PublishedRow;

constexpr double kDegrees = 180.0 / std::numbers::pi;

double length_mm(double p, double D, double h) {
  return in_millimetres(taut_crossing(millimetres(p), millimetres(D), millimetres(h)).yarn);
}

std::string refusal(double p, double D, double h) {
  try {
    length_mm(p, D, h);
  } catch (const OutOfRange& error) {
    return error.what();
  }
  return "";
}

TEST(TautCrossing, OfAWeftFacedBandByHand) {
  // p 4, threads 1.0 and 1.6, h = D = 2.6: s = sqrt(16 - 6.76) = 3.03974; theta = asin(2.6 / 4)
  // = 0.70758; l = 3.03974 + 2.6 * 0.70758 = 4.87946.
  const auto crossing = taut_crossing(millimetres(4.0), millimetres(2.6), millimetres(2.6));
  EXPECT_NEAR(in_millimetres(crossing.yarn), 4.87946, 2e-5);  // sums of five decimals
  EXPECT_NEAR(crossing.angle_rad, 0.70758, 1e-5);
}

TEST(TautCrossing, OfAJammedSquareClothIsAsPeirceGivesIt) {
  // F. T. Peirce (1937), as worked by N. Balasubramanian: theta 60 degrees, l/D = pi/3 = 1.0472,
  // p/D = 0.8660, crimp 0.2092; Graduate Aptitude Test in Engineering 2009, textile paper, question
  // 54: threads of 0.5 mm lie 0.866 mm apart, crimp 21 %. Half a unit of the last place each.
  const Length<> D = millimetres(1.0);
  const Length<> p = jam_spacing(D, millimetres(0.5));
  EXPECT_NEAR(in_millimetres(p), 0.8660, 5e-5);
  const auto jammed = taut_crossing(p, D, millimetres(0.5));
  EXPECT_NEAR(jammed.angle_rad * kDegrees, 60.0, 1e-6);
  EXPECT_NEAR(in_millimetres(jammed.yarn), 1.0472, 5e-5);
  EXPECT_NEAR(crimp_from_lengths(jammed.yarn, p).over_cloth, 0.2092, 5e-5);
}

// Shortest way from the crest over one thread to the trough under the next, by trying: points along
// both circles, joined by chords, and one straight piece from any point of the first circle to any
// of the second that cuts neither. Knows no tangent and no formula above.
double shortest_by_trying(double p, double D, double h, int points) {
  const double r = D / 2.0;
  const double q = D - h;  // the second centre lies p to the right of the first and q higher
  const double step = std::numbers::pi / 2.0 / points;
  const double chord = 2.0 * r * std::sin(step / 2.0);
  const auto cuts = [&](double x0, double y0, double x1, double y1, double cx, double cy) {
    const double dx = x1 - x0;
    const double dy = y1 - y0;
    const double squared = dx * dx + dy * dy;
    const double along = squared > 0.0 ? ((cx - x0) * dx + (cy - y0) * dy) / squared : 0.0;
    const double t = std::min(1.0, std::max(0.0, along));
    return std::hypot(x0 + t * dx - cx, y0 + t * dy - cy) < r * (1.0 - 1e-9);
  };
  double shortest = std::numeric_limits<double>::infinity();
  for (int i = 0; i <= points; ++i) {
    const double x0 = r * std::sin(i * step);
    const double y0 = r * std::cos(i * step);
    for (int j = 0; j <= points; ++j) {
      const double x1 = p - r * std::sin(j * step);
      const double y1 = q - r * std::cos(j * step);
      const double length = (i + j) * chord + std::hypot(x1 - x0, y1 - y0);
      if (length >= shortest) continue;
      if (cuts(x0, y0, x1, y1, 0.0, 0.0) || cuts(x0, y0, x1, y1, p, q)) continue;
      shortest = length;
    }
  }
  return shortest;
}

TEST(TautCrossing, IsTheShortestWayRoundBothThreads) {
  struct Case {
    double p, D, h;
  };
  // Far and near, straight and bent to the full, almost jammed, and spacings below the thickness.
  for (const Case& c : {Case{4, 2.6, 2.6}, Case{4, 2.6, 1.3}, Case{2.7, 2.6, 2.6},
                        Case{2.3, 2.6, 1.3}, Case{1.04, 2.6, 0.21}, Case{10, 2, 0.5}}) {
    // A turn of 90 degrees in 1500 steps is 0.00105 rad; both ends of the straight piece may miss
    // their tangent by one step, which lengthens the way by about D step / 2 at the very worst.
    const double step = std::numbers::pi / 2.0 / 1500;
    EXPECT_NEAR(length_mm(c.p, c.D, c.h), shortest_by_trying(c.p, c.D, c.h, 1500), c.D * step / 2.0)
        << c.p << " " << c.D << " " << c.h;
  }
}

TEST(TautCrossing, OfAThreadThatRunsStraightIsTheSpacing) {
  EXPECT_DOUBLE_EQ(length_mm(4.0, 2.6, 0.0), 4.0);
  EXPECT_DOUBLE_EQ(length_mm(1.0, 2.6, 0.0), 1.0);  // closer than the threads are thick
  EXPECT_DOUBLE_EQ(length_mm(1.0, 0.0, 0.0), 1.0);  // no thickness at all
}

template <class Scalar>
Scalar length_of(const std::array<Scalar, 3>& x) {
  return in_millimetres(
      taut_crossing<Scalar>(millimetres(x[0]), millimetres(x[1]), millimetres(x[2])).yarn);
}

TEST(TautCrossing, CarriesItsSlopes) {
  const auto length = [](const auto& x) { return length_of(x); };
  test::expect_slopes_match<3>(length, {4.0, 2.6, 1.3});
  test::expect_slopes_match<3>(length, {4.0, 2.6, 0.1});
  test::expect_slopes_match<3>(length, {2.4, 2.6, 1.2});
  test::expect_slopes_match<3>(length, {1.04, 2.6, 0.15});
}

TEST(TautCrossing, CarriesSlopesOfAWeftFacedCrossing) {
  const auto length = [](const auto& x) {  // h = D, whatever D is
    return in_millimetres(
        taut_crossing(millimetres(x[0]), millimetres(x[1]), millimetres(x[1])).yarn);
  };
  test::expect_slopes_match<2>(length, {4.0, 2.6});
  test::expect_slopes_match<2>(length, {2.7, 2.6});
}

TEST(TautCrossing, KeepsFiniteSlopesAtTheJam) {
  // D 2, h 1, q 1, jam sqrt(3), theta 60 degrees: the slopes are 1/2 by p, sin 60 by h and
  // pi/3 - sin 60 by D. Against the length a step away from the jam, which differs by the square
  // root of the step (1e-8 of a length of 2).
  const double jam = std::sqrt(3.0);
  const std::array<Dual, 3> at{Dual::variable(jam, 0), Dual::variable(2.0, 1),
                               Dual::variable(1.0, 2)};
  const Dual length = length_of(at);
  EXPECT_NEAR(length.slope[0], 0.5, 1e-7);
  EXPECT_NEAR(length.slope[1], std::numbers::pi / 3.0 - jam / 2.0, 1e-7);
  EXPECT_NEAR(length.slope[2], jam / 2.0, 1e-7);
  const double step = 1e-8;
  EXPECT_NEAR((length_mm(jam + step, 2.0, 1.0) - length_mm(jam, 2.0, 1.0)) / step, 0.5, 1e-3);
}

TEST(TautCrossing, KeepsFiniteSlopesWhereItRunsStraight) {
  const std::array<Dual, 3> at{Dual::variable(4.0, 0), Dual::variable(2.6, 1),
                               Dual::variable(0.0, 2)};
  const Dual length = length_of(at);  // a straight thread: as long as the spacing, whatever D is
  EXPECT_DOUBLE_EQ(length.slope[0], 1.0);
  EXPECT_DOUBLE_EQ(length.slope[1], 0.0);
  EXPECT_DOUBLE_EQ(length.slope[2], 0.0);
}

TEST(TautCrossing, RefusesThreadsThatJam) {
  EXPECT_EQ(
      refusal(2.5, 2.6, 2.6),
      "threads 2.5 mm apart are too close to be crossed: two threads 2.6 mm thick together, with "
      "a crimp height of 2.6 mm, jam at 2.6 mm; space them wider or take a thinner yarn");
}

TEST(TautCrossing, RefusesWhatIsNoCrossing) {
  EXPECT_EQ(refusal(4.0, 2.6, 3.0),
            "a crimp height of 3 mm is outside 0 to 2.6 mm, the two threads together");
  EXPECT_NE(refusal(4.0, 2.6, -0.1), "");
  EXPECT_NE(refusal(0.0, 2.6, 0.0), "");
  EXPECT_NE(refusal(4.0, -1.0, 0.0), "");
  const double nothing = std::numeric_limits<double>::quiet_NaN();
  EXPECT_NE(refusal(nothing, 2.6, 1.3), "");
  EXPECT_NE(refusal(4.0, nothing, 1.3), "");
  EXPECT_NE(refusal(4.0, 2.6, nothing), "");
  EXPECT_NE(refusal(std::numeric_limits<double>::infinity(), 2.6, 1.3), "");
}

template <class Scalar>
Scalar jam_of(const std::array<Scalar, 2>& x) {
  return in_millimetres(jam_spacing<Scalar>(millimetres(x[0]), millimetres(x[1])));
}

TEST(JamSpacing, CarriesItsSlopes) {
  const auto jam = [](const auto& x) { return jam_of(x); };
  test::expect_slopes_match<2>(jam, {2.6, 1.3});
  test::expect_slopes_match<2>(jam, {2.6, 0.2});
  test::expect_slopes_match<2>(jam, {2.6, 2.5});
}

TEST(JamSpacing, IsNothingForAThreadThatRunsStraight) {
  const Dual jam = jam_of<Dual>({Dual::variable(2.6, 0), Dual(0.0)});
  EXPECT_EQ(jam.value, 0.0);
  EXPECT_EQ(jam.slope[0], 0.0);
}

TEST(GreatestHeight, LeavesTheWarpOfAWeftFacedBandLittle) {
  // Threads 1.0 and 1.6, picks 1.04 apart: 2.6 - sqrt(6.76 - 1.0816) = 2.6 - 2.38294 = 0.21706.
  EXPECT_NEAR(in_millimetres(greatest_height(millimetres(1.04), millimetres(2.6))), 0.21706, 5e-6);
  EXPECT_DOUBLE_EQ(in_millimetres(greatest_height(millimetres(4.0), millimetres(2.6))), 2.6);
  const auto height = [](const auto& x) {
    return in_millimetres(greatest_height(millimetres(x[0]), millimetres(x[1])));
  };
  test::expect_slopes_match<2>(height, {1.04, 2.6});
}

TEST(HeightFromYarn, FindsTheHeightAgain) {
  for (const double h : {0.01, 0.3, 1.3, 2.0, 2.6}) {
    for (const double p : {2.7, 4.0, 30.0}) {
      const Length<> yarn = millimetres(length_mm(p, 2.6, h));
      const Length<> found = height_from_yarn(yarn, millimetres(p), millimetres(2.6));
      // The length grows as h^2 / 2p, so one rounding of l (2e-16 p) moves h by 2e-16 p^2 / h:
      // 2e-11 mm at p 30, h 0.01; ten times that is allowed.
      EXPECT_NEAR(in_millimetres(found), h, 2e-10) << p;
    }
  }
}

TEST(HeightFromYarn, CarriesItsSlopes) {
  const auto height = [](const auto& x) {
    return in_millimetres(
        height_from_yarn(millimetres(x[0]), millimetres(x[1]), millimetres(x[2])));
  };
  test::expect_slopes_match<3>(height, {4.4, 4.0, 2.6});
  test::expect_slopes_match<3>(height, {2.75, 2.4, 2.6});
}

TEST(HeightFromYarn, IsNothingForAThreadThatRunsStraight) {
  EXPECT_EQ(in_millimetres(height_from_yarn(millimetres(4.0), millimetres(4.0), millimetres(2.6))),
            0);
  EXPECT_THROW(height_from_yarn<Dual>(millimetres(4.0), millimetres(4.0), millimetres(2.6)),
               OutOfRange);
}

TEST(HeightFromYarn, SaysWhatCrimpIsPossible) {
  // The longest, h = D: 4.87946 as above, a crimp of 0.21987.
  try {
    height_from_yarn(millimetres(5.0), millimetres(4.0), millimetres(2.6));
    FAIL();
  } catch (const OutOfRange& error) {
    EXPECT_STREQ(
        error.what(),
        "a thread of 5 mm over a spacing of 4 mm cannot be taut round threads 2.6 mm thick "
        "together: such a thread is 4 to 4.87946 mm long, a crimp of 0 to 21.99 %");
  }
  EXPECT_THROW(height_from_yarn(millimetres(3.9), millimetres(4.0), millimetres(2.6)), OutOfRange);
}

PlainCloth<> cloth_of(const PublishedRow& row) {
  return {millimetres(number(row, "warp_diameter_mm")),
          millimetres(number(row, "weft_diameter_mm")),
          millimetres(number(row, "end_spacing_mm")),
          millimetres(number(row, "pick_spacing_mm")),
          {number(row, "warp_crimp_percent") / 100.0}};
}

TEST(PeirceCell, AgreesWithTheSolvedCells) {
  // COMPUTED from F. T. Peirce (1937); half a unit of the last printed place each.
  for (const PublishedRow& row : published_rows("peirce_cells.csv")) {
    SCOPED_TRACE(row.at("id"));
    const PeirceCell<> cell = peirce_cell(cloth_of(row));
    EXPECT_NEAR(in_millimetres(cell.warp.yarn), number(row, "warp_yarn_mm"), 5.1e-7);
    EXPECT_NEAR(in_millimetres(cell.weft.yarn), number(row, "weft_yarn_mm"), 5.1e-7);
    EXPECT_NEAR(in_millimetres(cell.warp_height), number(row, "warp_height_mm"), 5.1e-7);
    EXPECT_NEAR(in_millimetres(cell.weft_height), number(row, "weft_height_mm"), 5.1e-7);
    EXPECT_NEAR(cell.warp.angle_rad * kDegrees, number(row, "warp_angle_deg"), 5.1e-6);
    EXPECT_NEAR(cell.weft.angle_rad * kDegrees, number(row, "weft_angle_deg"), 5.1e-6);
    EXPECT_NEAR(100.0 * cell.weft_crimp.over_cloth, number(row, "weft_crimp_percent"), 5.1e-5);
  }
}

template <class Scalar>
Scalar weft_crimp_of(const std::array<Scalar, 5>& x) {
  return peirce_cell<Scalar>(
             {millimetres(x[0]), millimetres(x[1]), millimetres(x[2]), millimetres(x[3]), {x[4]}})
      .weft_crimp.over_cloth;
}

TEST(PeirceCell, CarriesItsSlopes) {
  const auto crimp = [](const auto& x) { return weft_crimp_of(x); };
  test::expect_slopes_match<5>(crimp, {0.2, 0.3, 0.5, 0.6, 0.10});
  test::expect_slopes_match<5>(crimp, {0.4, 0.8, 2.5, 0.9, 0.02});
}

TEST(Crimp, IsOverTheClothAndTakeUpOverTheYarn) {
  // 25 % of the cloth is 20 % of the yarn: 1.25 m of yarn in 1 m of cloth.
  EXPECT_DOUBLE_EQ(take_up_from_crimp(Crimp<>{0.25}).over_yarn, 0.20);
  EXPECT_DOUBLE_EQ(crimp_from_take_up(TakeUp<>{0.20}).over_cloth, 0.25);
}

TEST(Crimp, CarriesItsSlopes) {
  const auto to_take_up = [](const auto& x) {
    return take_up_from_crimp(Crimp<std::decay_t<decltype(x[0])>>{x[0]}).over_yarn;
  };
  const auto to_crimp = [](const auto& x) {
    return crimp_from_take_up(TakeUp<std::decay_t<decltype(x[0])>>{x[0]}).over_cloth;
  };
  test::expect_slopes_match<1>(to_take_up, {0.25});
  test::expect_slopes_match<1>(to_crimp, {0.20});
}

TEST(Crimp, RefusesWhatNoThreadHas) {
  EXPECT_THROW(take_up_from_crimp(Crimp<>{-0.01}), OutOfRange);
  EXPECT_THROW(crimp_from_take_up(TakeUp<>{1.0}), OutOfRange);
  EXPECT_THROW(crimp_from_lengths(metres(0.9), metres(1.0)), OutOfRange);
  EXPECT_THROW(crimp_from_lengths(metres(1.0), metres(0.0)), OutOfRange);
}

TEST(HeightShare, OfWarpAndWeftIsWholeForEveryCloth) {
  EXPECT_EQ(weft_height_share(Face::Weft), 1.0);
  EXPECT_EQ(weft_height_share(Face::Balanced), 0.5);
  EXPECT_EQ(weft_height_share(Face::Warp), 0.0);
  for (const Face face : {Face::Weft, Face::Balanced, Face::Warp}) {
    EXPECT_EQ(weft_height_share(face) + warp_height_share(face), 1.0);
  }
}

}  // namespace
}  // namespace ellwand::cloth
