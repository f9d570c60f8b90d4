// Published figures of knots, turns and twisted cords; the tables say which of them no test uses
// and why.

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <numbers>
#include <string>

#include "ellwand/technique/cord.hpp"
#include "ellwand/technique/edge_knots.hpp"
#include "ellwand/technique/wrapping.hpp"
#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"

namespace ellwand::technique {
namespace {

using std::numbers::pi;
using test::PublishedRow;

std::vector<PublishedRow> rows_of(const std::string& item) {
  std::vector<PublishedRow> found;
  for (const PublishedRow& row : test::published_rows("knots_and_cords.csv", 17)) {
    if (row.at("item") == item) {
      EXPECT_EQ(row.at("use"), "test") << item;
      found.push_back(row);
    }
  }
  EXPECT_FALSE(found.empty()) << item;
  return found;
}

TEST(PublishedKnots, AnOpenOverhandTakesLessThanAnyClosedKnot) {
  for (const char* closed : {"closed knot of any kind takes at least", "closed trefoil"}) {
    EXPECT_LT(kOverhandDiameters, test::number(rows_of(closed).at(0), "value")) << closed;
  }
}

TEST(PublishedKnots, AnOpenOverhandIsAsRemembered) {
  // From memory, so it does not decide alone: a taut path in three dimensions does as well (test
  // TautKnots.AnOpenOverhandTakesTenDiametersAndATenth). 0.05 is half the last place.
  EXPECT_NEAR(kOverhandDiameters, test::number(rows_of("open overhand").at(0), "value"), 0.05);
}

TEST(PublishedKnots, ACloseTurnIsAsDerived) {
  for (const PublishedRow& row : rows_of("close turn")) {
    auto given = test::given(row);
    ASSERT_EQ(given.at("thread"), given.at("pitch"));  // turn beside turn
    const auto turn = wrap_turn(millimetres(given.at("rod")), millimetres(given.at("thread")),
                                millimetres(given.at("pitch")));
    EXPECT_NEAR(in_millimetres(turn), test::number(row, "value"), 5.1e-4) << test::where(row);
  }
}

/// Plies of `ply_mm` twisted at a slope 2 pi a t.
HangingCord twisted(int plies, double ply_mm, double slope) {
  HangingCord cord;
  cord.plies = plies;
  const double ring_mm = 0.5 * ply_mm / std::sin(pi / plies);
  cord.twist = per_metre(1e3 * slope / (2.0 * pi * ring_mm));
  return cord;
}

TEST(PublishedCords, AStrandOfTwoPliesIsAsDerived) {
  for (const PublishedRow& row : rows_of("strand of two plies")) {
    auto given = test::given(row);
    HangingCord cord;
    cord.plies = 2;
    cord.twist = per_metre(1e3 * given.at("turns") / given.at("cord"));
    const double strand = given.at("cord") * plied_length(cord, millimetres(given.at("ply")));
    EXPECT_NEAR(strand, test::number(row, "value"), 5.1e-3) << test::where(row);  // last place
  }
}

TEST(PublishedCords, AreAHelixLongerByItsAngle) {
  for (const PublishedRow& row : test::published_rows("twist.csv", 8)) {
    const double slope = std::tan(test::number(row, "angle_deg") * pi / 180.0);
    const double ours = plied_length(twisted(2, 1.5, slope), millimetres(1.5));
    EXPECT_NEAR(ours, test::number(row, "helix"), 5.1e-6) << row.at("angle_deg");  // last place
  }
}

TEST(PublishedCords, AtTheTightestTwistOfAllAreRefused) {
  // There the plies are pushed apart, and twisting on makes the cord longer again: no ply runs in
  // the plane across the cord that the formula is for. The ratio is the sine of the pitch angle.
  for (const PublishedRow& row : rows_of("tightest twist")) {
    auto given = test::given(row);
    const double pitch_angle = given.at("pitch_angle") * pi / 180.0;
    EXPECT_NEAR(std::sin(pitch_angle), test::number(row, "value"), 1e-3);  // angle to a tenth
    const HangingCord cord =
        twisted(static_cast<int>(given.at("plies")), 1.5, 1.0 / std::tan(pitch_angle));
    EXPECT_THROW(plied_length(cord, millimetres(1.5)), OutOfRange) << test::where(row);
  }
}

}  // namespace
}  // namespace ellwand::technique
