#include "ellwand/cloth/jam.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <string>

#include "ellwand/cloth/setting.hpp"
#include "ellwand/numeric/dual.hpp"
#include "support/published_rows.hpp"
#include "support/slopes.hpp"

namespace ellwand::cloth {
namespace {

using test::number;
using test::published_rows;
using test::PublishedRow;

const Cells kPlainRow{32, 0};
const Cells kTwillRow{16, 16};

CellSpacing<> fit_mm(const Cells& cells, double p, double end, double weft, Face face) {
  return fit_cells(cells, millimetres(p), millimetres(end), millimetres(weft), face);
}

/// The taut length of a pick over its cells, the way the spacing is meant to be used.
template <class Scalar>
Scalar pick_mm(const Cells& cells, const Scalar& p, const Scalar& end, const Scalar& weft,
               Face face) {
  const CellSpacing<Scalar> fit =
      fit_cells<Scalar>(cells, millimetres(p), millimetres(end), millimetres(weft), face);
  const Length<Scalar> thickness = millimetres(end) + fit.weft_thickness;
  const Length<Scalar> l =
      taut_crossing<Scalar>(fit.crossing, thickness, weft_height_share(face) * thickness).yarn;
  return in_millimetres(static_cast<double>(cells.crossing) * l +
                        static_cast<double>(cells.floating) * fit.floating);
}

TEST(LeastSpacing, AgreesWithTheJamOfSquareCloth) {
  // COMPUTED: square cloth of threads of one diameter; crossings sqrt(3) diameters, floats one.
  // Half a unit of the last printed place.
  for (const PublishedRow& row : published_rows("nonplain_jam.csv")) {
    SCOPED_TRACE(row.at("weave"));
    const Grid grid = read_weave_name(row.at("weave"));
    const Length<> d = millimetres(1.0);
    const Length<> ends = least_end_spacing(grid, d, d, Face::Balanced);
    const Length<> picks = least_pick_spacing(grid, d, d, Face::Balanced);
    EXPECT_NEAR(average_weft_float(grid), number(row, "average_float"), 1e-12);
    EXPECT_NEAR(ends / d, number(row, "mean_spacing_over_diameter"), 5.1e-5);
    EXPECT_NEAR(picks / d, number(row, "mean_spacing_over_diameter"), 5.1e-5);
    EXPECT_NEAR(fractional_cover(d, ends), number(row, "diameters_used_jam"), 5.1e-5);
    EXPECT_NEAR(28.0 * (d / ends), number(row, "cover_factor_at_28"), 5.1e-4);
    EXPECT_NEAR(in_per_cm(maximum_sett(per_cm(1.0), interlacing_of(grid))),
                number(row, "diameters_used_ashenhurst"), 5.1e-5);
  }
}

TEST(LeastSpacing, GivesTheCrimpOfTheJam) {
  // The same table's crimp: over the crossings only, related to the mean spacing.
  for (const PublishedRow& row : published_rows("nonplain_jam.csv")) {
    const Grid grid = read_weave_name(row.at("weave"));
    const Cells cells = tightest_row(grid);
    const double p =
        in_millimetres(least_end_spacing(grid, millimetres(1.0), millimetres(1.0), Face::Balanced));
    const double yarn = pick_mm(cells, p, 1.0, 1.0, Face::Balanced);
    EXPECT_NEAR(100.0 * (yarn / (p * static_cast<double>(cells.all())) - 1.0),
                number(row, "crimp_percent"), 5.1e-3)
        << row.at("weave");
  }
}

TEST(LeastSpacing, DiffersBetweenWarpAndWeftWhenTheThreadsDo) {
  // Plain, balanced, 1.0 and 1.6: sqrt(3)/2 * 2.6 = 2.25167 both ways; 2/2 twill: (2.25167 + 1) / 2
  // for the ends, (2.25167 + 1.6) / 2 for the picks. Weft-faced: ends 2.6, straight warp no bound.
  const Length<> end = millimetres(1.0);
  const Length<> weft = millimetres(1.6);
  EXPECT_NEAR(in_millimetres(least_end_spacing(plain(), end, weft, Face::Balanced)), 2.25167, 5e-6);
  EXPECT_NEAR(in_millimetres(least_end_spacing(twill({2, 2}), end, weft, Face::Balanced)), 1.625833,
              5e-6);
  EXPECT_NEAR(in_millimetres(least_pick_spacing(twill({2, 2}), end, weft, Face::Balanced)),
              1.925833, 5e-6);
  EXPECT_NEAR(in_millimetres(least_end_spacing(plain(), end, weft, Face::Weft)), 2.6, 1e-12);
  EXPECT_NEAR(in_millimetres(least_pick_spacing(plain(), end, weft, Face::Weft)), 0.0, 1e-12);
}

TEST(LeastSpacing, RefusesNoCells) {
  EXPECT_THROW(least_mean_spacing(Cells{}, millimetres(1.0), millimetres(1.0), 1.0), OutOfRange);
  EXPECT_THROW(least_mean_spacing(Cells{1, 0}, millimetres(0.0), millimetres(1.0), 1.0),
               OutOfRange);
  EXPECT_THROW(least_mean_spacing(Cells{1, 0}, millimetres(1.0), millimetres(1.0), 1.1),
               OutOfRange);
}

TEST(FitCells, LeavesThreadsWithRoomAlone) {
  const CellSpacing<> fit = fit_mm(kTwillRow, 4.0, 1.0, 1.6, Face::Weft);
  EXPECT_DOUBLE_EQ(in_millimetres(fit.crossing), 4.0);
  EXPECT_DOUBLE_EQ(in_millimetres(fit.floating), 4.0);
  EXPECT_DOUBLE_EQ(in_millimetres(fit.weft_thickness), 1.6);
  EXPECT_FALSE(fit.was_regrouped);
  EXPECT_FALSE(fit.was_flattened);
}

TEST(FitCells, OpensCrossingsToTheJamAndClosesFloats) {
  // 2/2 twill, weft-faced, ends 2.0 apart: crossings need 2.6, so floats keep 2 * 2.0 - 2.6 = 1.4.
  const CellSpacing<> fit = fit_mm(kTwillRow, 2.0, 1.0, 1.6, Face::Weft);
  EXPECT_NEAR(in_millimetres(fit.crossing), 2.6, 1e-12);
  EXPECT_NEAR(in_millimetres(fit.floating), 1.4, 1e-12);
  EXPECT_DOUBLE_EQ(in_millimetres(fit.weft_thickness), 1.6);
  EXPECT_TRUE(fit.was_regrouped);
  EXPECT_FALSE(fit.was_flattened);
}

TEST(FitCells, FlattensARovingInANotchedPitch) {
  // Plain, weft-faced, ends of 1.0 at 4.0, roving of 6.0: 4.0 - 1.0 = 3.0 is left for it. Balanced:
  // 2 * 4.0 / sqrt(3) - 1.0 = 3.618802.
  const CellSpacing<> fit = fit_mm(kPlainRow, 4.0, 1.0, 6.0, Face::Weft);
  EXPECT_NEAR(in_millimetres(fit.weft_thickness), 3.0, 1e-12);
  EXPECT_NEAR(in_millimetres(fit.crossing), 4.0, 1e-12);
  EXPECT_TRUE(fit.was_flattened);
  EXPECT_FALSE(fit.was_regrouped);
  EXPECT_NEAR(in_millimetres(fit_mm(kPlainRow, 4.0, 1.0, 6.0, Face::Balanced).weft_thickness),
              3.618802, 5e-7);
}

TEST(FitCells, ClosesFloatsBeforeItFlattens) {
  // 2/2 twill, weft-faced, ends of 1.0 at 1.5: floats close to 1.0, crossings get 2 * 1.5 - 1.0
  // = 2.0, the weft 1.0 of its 1.6.
  const CellSpacing<> fit = fit_mm(kTwillRow, 1.5, 1.0, 1.6, Face::Weft);
  EXPECT_NEAR(in_millimetres(fit.crossing), 2.0, 1e-12);
  EXPECT_NEAR(in_millimetres(fit.floating), 1.0, 1e-12);
  EXPECT_NEAR(in_millimetres(fit.weft_thickness), 1.0, 1e-12);
  EXPECT_TRUE(fit.was_flattened);
}

TEST(FitCells, OpensFloatsWhereTheEndsWouldOverlap) {
  // Warp-faced: crossings need no room, floats one diameter: ends of 1.0 at 0.8 leave crossings
  // 0.6.
  const CellSpacing<> fit = fit_mm(kTwillRow, 0.8, 1.0, 1.6, Face::Warp);
  EXPECT_NEAR(in_millimetres(fit.floating), 1.0, 1e-12);
  EXPECT_NEAR(in_millimetres(fit.crossing), 0.6, 1e-12);
  EXPECT_FALSE(fit.was_flattened);
}

TEST(FitCells, KeepsTheWidthWhateverItDoes) {
  for (double p = 1.05; p < 4.0; p += 0.05) {
    const CellSpacing<> fit = fit_mm({12, 20}, p, 1.0, 1.6, Face::Weft);
    const double width = 12.0 * in_millimetres(fit.crossing) + 20.0 * in_millimetres(fit.floating);
    EXPECT_NEAR(width, 32.0 * p, 1e-10) << p;  // rounding
  }
}

TEST(FitCells, GivesAPickThatGrowsWithoutAJump) {
  // Across all three states, in steps of 0.001 mm of mean spacing over 32 cells: the pick may
  // change by a few times 0.032, never by more. Where a crossing just fits, its length leaves the
  // jam as the spacing to the power 3/2, so no step is steep.
  for (const Face face : {Face::Weft, Face::Balanced}) {
    for (const Cells& cells : {kPlainRow, kTwillRow, Cells{12, 20}}) {
      double before = pick_mm(cells, 1.200, 1.0, 1.6, face);
      for (int step = 1; step < 2500; ++step) {
        const double now = pick_mm(cells, 1.200 + 0.001 * step, 1.0, 1.6, face);
        EXPECT_NEAR(now, before, 4.0 * 0.032) << step;
        before = now;
      }
    }
  }
}

TEST(FitCells, JoinsItsStatesWithoutAJump) {
  // Plain: flattened below 2.6. Twill: regrouped below 2.6, flattened below (2.6 + 1.0) / 2 = 1.8.
  const double side = 1e-9;
  for (const auto& [cells, join] :
       {std::pair{kPlainRow, 2.6}, std::pair{kTwillRow, 2.6}, std::pair{kTwillRow, 1.8}}) {
    const double below = pick_mm(cells, join - side, 1.0, 1.6, Face::Weft);
    const double above = pick_mm(cells, join + side, 1.0, 1.6, Face::Weft);
    // 32 cells 2e-9 mm apart are 6.4e-8 mm apart in all.
    EXPECT_NEAR(below, above, 1e-6) << join;
    EXPECT_NE(fit_mm(cells, join - side, 1.0, 1.6, Face::Weft).was_flattened +
                  10 * fit_mm(cells, join - side, 1.0, 1.6, Face::Weft).was_regrouped,
              fit_mm(cells, join + side, 1.0, 1.6, Face::Weft).was_flattened +
                  10 * fit_mm(cells, join + side, 1.0, 1.6, Face::Weft).was_regrouped)
        << "the state does change here";
  }
}

TEST(FitCells, CarriesItsSlopesInEveryState) {
  for (const Face face : {Face::Weft, Face::Balanced}) {
    const auto twill_pick = [&](const auto& x) {
      return pick_mm(kTwillRow, x[0], x[1], x[2], face);
    };
    test::expect_slopes_match<3>(twill_pick, {4.0, 1.0, 1.6});  // as it is
    test::expect_slopes_match<3>(twill_pick, {1.9, 1.0, 1.6});  // regrouped
    test::expect_slopes_match<3>(twill_pick, {1.4, 1.0, 1.6});  // flattened
  }
}

TEST(FitCells, RefusesWhereNoGapIsLeft) {
  try {
    fit_mm(kPlainRow, 1.0, 1.0, 1.6, Face::Weft);
    FAIL();
  } catch (const CannotBeWoven& error) {
    // Weft flattened to a twentieth, 0.08: 1.08 mm apart, 9.259 per cm.
    EXPECT_STREQ(
        error.what(),
        "ends 1 mm thick and 1 mm apart (10 per cm) leave no gap for a weft of 1.6 mm, however "
        "flat; they have to lie 1.08 mm apart");
    EXPECT_NEAR(in_per_cm(error.closest_sett()), 10.0 / 1.08, 1e-9);
  }
  EXPECT_THROW(fit_mm(kTwillRow, 1.0, 1.0, 1.6, Face::Weft), CannotBeWoven);
  EXPECT_THROW(fit_mm({0, 32}, 0.9, 1.0, 1.6, Face::Weft), CannotBeWoven);
  EXPECT_THROW(fit_mm(kTwillRow, 0.4, 1.0, 1.6, Face::Warp), CannotBeWoven);
  EXPECT_THROW(fit_mm({0, 0}, 4.0, 1.0, 1.6, Face::Weft), OutOfRange);
  EXPECT_THROW(fit_mm(kPlainRow, 0.0, 1.0, 1.6, Face::Weft), OutOfRange);
  EXPECT_THROW(fit_mm(kPlainRow, 4.0, 1.0, std::nan(""), Face::Weft), OutOfRange);
}

TEST(ClosestSett, CanBeWoven) {
  for (const Face face : {Face::Weft, Face::Balanced, Face::Warp}) {
    for (const Cells& cells : {kPlainRow, kTwillRow, Cells{0, 32}, Cells{12, 20}}) {
      if (face == Face::Warp && cells.floating == 0)
        continue;  // warp-faced plain weave has no bound
      const ThreadDensity<> sett = closest_sett(cells, millimetres(1.0), millimetres(1.6), face);
      EXPECT_NO_THROW(fit_mm(cells, 10.0 / in_per_cm(sett) + 1e-9, 1.0, 1.6, face));
    }
  }
}

// Who types the closest sett in four figures is not refused again.
TEST(RequireSett, TakesWhatWasProposedInFourFigures) {
  const auto require = [](double per_cm_told, double end_mm, double weft_mm) {
    require_sett(kPlainRow, 1.0 / per_cm(per_cm_told), millimetres(end_mm), millimetres(weft_mm),
                 Face::Weft);
  };
  // A weft of 1.6 pressed to a twentieth, 0.08, between ends of 1.0: 10 / 1.08 = 9.2593,
  // told 9.259.
  EXPECT_NO_THROW(require(9.259, 1.0, 1.6));
  // 0.9 and 0.07: 10 / 0.97 = 10.3093, told 10.31, which is a little closer.
  EXPECT_NO_THROW(require(10.31, 0.9, 1.4));
  // A hundredth closer than either is refused.
  EXPECT_THROW(require(9.352, 1.0, 1.6), CannotBeWoven);
  EXPECT_THROW(require(10.41, 0.9, 1.4), CannotBeWoven);
}

// An end as much wider than thick lies so much further from the next (racetrack section), and the
// refusal tells both as they lie in the loom.
TEST(RequireSett, OfFlatEndsMovesByWhatTheyAreWiderThanThick) {
  const Length<> thick = millimetres(0.2);
  const Length<> wider = millimetres(1.3);
  const Length<> weft = millimetres(0.6);
  const Length<> closest = 1.0 / closest_sett(kPlainRow, thick, weft, Face::Weft) + wider;
  EXPECT_NO_THROW(require_sett(kPlainRow, closest, thick, weft, Face::Weft, wider));
  try {
    require_sett(kPlainRow, millimetres(1.25), thick, weft, Face::Weft, wider);
    FAIL() << "ends 1.5 mm wide cannot lie 1.25 mm apart";
  } catch (const CannotBeWoven& refusal) {
    EXPECT_NEAR(in_millimetres(1.0 / refusal.closest_sett()), in_millimetres(closest), 1e-9);
    const std::string told = refusal.told(LengthShown::Centimetres);
    EXPECT_NE(told.find("0.2 mm thick, 1.5 mm wide and 1.25 mm apart (8 per cm)"),
              std::string::npos)
        << told;
  }
}

TEST(RowRoom, ByHand) {
  // Ends of 1.0 at 4.0 leave 3.0; a weft of 6.0 has 28.274 mm2, so a row needs 9.4248 mm; where
  // half of the picks pass a gap, 4.7124. Of the weft's 6.0 mm that is 1.57 and 0.79 diameters.
  const Length<> p = millimetres(4.0);
  const Length<> end = millimetres(1.0);
  const Length<> weft = millimetres(6.0);
  EXPECT_NEAR(in_millimetres(row_room(p, end, weft)), 9.4248, 5e-5);
  EXPECT_NEAR(in_millimetres(row_room(p, end, weft, busiest_gap_share(twill({2, 2})))), 4.7124,
              5e-5);
}

TEST(RowRoom, CarriesItsSlopes) {
  const auto room = [](const auto& x) {
    return in_millimetres(row_room(millimetres(x[0]), millimetres(x[1]), millimetres(x[2]), 0.5));
  };
  test::expect_slopes_match<3>(room, {4.0, 1.0, 6.0});
}

TEST(RowRoom, RefusesEndsThatTouch) {
  EXPECT_THROW(row_room(millimetres(1.0), millimetres(1.0), millimetres(1.6)), OutOfRange);
  EXPECT_THROW(row_room(millimetres(4.0), millimetres(1.0), millimetres(1.6), 1.5), OutOfRange);
}

}  // namespace
}  // namespace ellwand::cloth
