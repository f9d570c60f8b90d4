#include "ellwand/yarn/diameter.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/count.hpp"
#include "support/published_rows.hpp"
#include "support/slopes.hpp"

namespace ellwand::yarn {
namespace {

using test::number;
using test::published_rows;
using test::PublishedRow;
using test::where;

const VolumeDensity<> kCotton = grams_per_cubic_cm(1.52);  // Morton and Hearle, table 5.1
constexpr Packing kStart{
    .singles = 0.60, .plied = 0.46, .woollen = 0.42, .roving_loose = 0.05, .roving_held = 0.25};

/// Diameter of yarn of a stated bulk: the whole yarn taken as a fibre that fills it.
Length<> diameter_of_bulk(const LinearDensity<>& yarn, double cm3_per_g) {
  return diameter_of(yarn, grams_per_cubic_cm(1.0 / cm3_per_g), 1.0);
}

TEST(DiameterOf, GivesThePublishedDiameters) {
  for (const PublishedRow& row : published_rows("yarn_diameters.csv", 12)) {
    const Length<> diameter = diameter_of_bulk(read_count(row.at("yarn")).linear_density,
                                               number(row, "yarn_volume_cm3_per_g"));
    const double answer =
        row.at("asked") == "touching" ? in_per_inch(1.0 / diameter) : in_millimetres(diameter);
    EXPECT_NEAR(answer, number(row, "answer"), number(row, "tolerance"))
        << row.at("yarn") << " (" << where(row) << ")";
  }
}

TEST(DiameterOf, StaysNearTaylorsTable) {
  // READ: J. T. Taylor, Cotton Weaving and Designing (1909), p. 335. His yarns are 1.132 cm3/g
  // bulky, ours 1 / (1.52 x 0.60) = 1.096: sqrt gives 1.6 % on average; single figures of a table
  // made with a slide rule stray from his own rule by up to 1.2 %.
  for (const PublishedRow& row : published_rows("yarn_diameters_taylor_1909.csv", 60)) {
    const LinearDensity<> yarn =
        linear_density_of(CountSystem::Cotton, number(row, "cotton_count"));
    const double touching = in_per_inch(1.0 / diameter_of(yarn, kCotton, 0.60));
    const double too_many = touching / number(row, "threads_touching_per_inch") - 1.0;
    EXPECT_GT(too_many, 0.004) << row.at("cotton_count");
    EXPECT_LT(too_many, 0.022) << row.at("cotton_count");
  }
}

TEST(DiameterOf, OfPliedSeineTwineByHand) {
  // 12/6 cotton, 295.2706 tex: sqrt(4 x 295.2706 / (1000 pi x 1.52 x 0.46)) = sqrt(0.53769).
  const LinearDensity<> twine = read_count("12/6 seine twine").linear_density;
  EXPECT_NEAR(in_millimetres(diameter_of(twine, kCotton, 0.46)), 0.733, 5e-4);
  // As full as a single, 0.60: sqrt(0.41223).
  EXPECT_NEAR(in_millimetres(diameter_of(twine, kCotton, 0.60)), 0.642, 5e-4);
}

TEST(DiameterOf, CarriesItsSlopes) {
  test::expect_slopes_match(
      [](const auto& x) { return diameter_of(tex(x[0]), kCotton, x[1]).si() * 1e3; },
      std::array<double, 2>{295.27, 0.46});
  // The linear density of the label stands, the packing is fitted.
  test::expect_slopes_match(
      [](const auto& x) { return diameter_of(tex(295.27), kCotton, x[0]).si() * 1e3; },
      std::array<double, 1>{0.46});
}

TEST(DiameterOf, RefusesWhatIsNoYarn) {
  const double not_a_number = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(diameter_of(tex(0.0), kCotton, 0.5), OutOfRange);
  EXPECT_THROW(diameter_of(tex(100.0), kCotton, 0.0), OutOfRange);
  EXPECT_THROW(diameter_of(tex(100.0), kCotton, 1.01), OutOfRange);
  EXPECT_THROW(diameter_of(tex(100.0), kCotton, not_a_number), OutOfRange);
  EXPECT_THROW(diameter_of(tex(not_a_number), kCotton, 0.5), OutOfRange);
  EXPECT_THROW(diameter_of(tex(100.0), grams_per_cubic_cm(0.0), 0.5), OutOfRange);
}

TEST(PackingFrom, UndoesTheDiameter) {
  const Length<> diameter = diameter_of(tex(295.27), kCotton, 0.46);
  EXPECT_NEAR(packing_from(tex(295.27), kCotton, diameter), 0.46, 1e-14);
}

TEST(PackingFrom, GivesThePackingOfPublishedBulks) {
  // Fibre volume over yarn volume (COMPUTED from READ volumes, Morton and Hearle table 5.1):
  // cotton 0.66 / 1.1 = 0.60 (Peirce), wool 0.76 / 1.261 = 0.60 (Ashenhurst, firm worsted).
  EXPECT_NEAR(
      packing_from(tex(100.0), grams_per_cubic_cm(1 / 0.66), diameter_of_bulk(tex(100.0), 1.1)),
      0.60, 5e-3);
  EXPECT_NEAR(
      packing_from(tex(100.0), grams_per_cubic_cm(1 / 0.76), diameter_of_bulk(tex(100.0), 1.261)),
      0.60, 5e-3);
}

TEST(PackingFrom, RefusesAYarnFullerThanItsFibre) {
  EXPECT_THROW(packing_from(tex(1000.0), kCotton, millimetres(0.5)), OutOfRange);
  EXPECT_THROW(packing_from(tex(1000.0), kCotton, millimetres(0.0)), OutOfRange);
}

TEST(DiameterFromWraps, DependsOnHowTheWrapsWereLaid) {
  const ThreadDensity<> wraps = per_inch(20.0);
  // 25.4 / 20 = 1.27 mm a wrap.
  EXPECT_NEAR(in_millimetres(diameter_from_wraps(wraps, WrapConvention::Touching)), 1.27, 1e-12);
  EXPECT_NEAR(in_millimetres(diameter_from_wraps(wraps, WrapConvention::ThreadApart)), 0.635,
              1e-12);
  EXPECT_THROW(diameter_from_wraps(per_inch(0.0), WrapConvention::Touching), OutOfRange);
}

/// Mean width of unit circles round `ply` corners of a regular ring of touching circles, by turning
/// it through 3600 angles and measuring the shadow.
double mean_shadow(int ply) {
  const double pi = std::numbers::pi;
  const double ring = 0.5 / std::sin(pi / ply);
  double sum = 0.0;
  for (int turn = 0; turn < 3600; ++turn) {
    double low = 1e9;
    double high = -1e9;
    for (int k = 0; k < ply; ++k) {
      const double at = ring * std::cos(2.0 * pi * (turn / 3600.0 + k / static_cast<double>(ply)));
      low = std::min(low, at);
      high = std::max(high, at);
    }
    sum += high - low + 1.0;
  }
  return sum / 3600.0;
}

TEST(PliedWidth, IsTheMeanShadowOfTouchingSingles) {
  // Midpoint sums over smooth pieces: 3600 steps leave less than 1e-6.
  for (const int ply : {2, 3, 4}) {
    EXPECT_NEAR(plied_width_over_single(ply), mean_shadow(ply), 1e-6) << ply;
  }
  EXPECT_EQ(plied_width_over_single(1), 1.0);
  EXPECT_THROW(plied_width_over_single(5), OutOfRange);
  EXPECT_THROW(plied_width_over_single(0), OutOfRange);
}

TEST(PliedPacking, StandsBehindTheStartingValue) {
  // 0.60 x 2 / 1.637^2 = 0.448; 0.60 x 3 / 1.955^2 = 0.471; 0.60 x 4 / 2.273^2 = 0.465.
  EXPECT_NEAR(plied_packing(2, 0.60), 0.448, 5e-4);
  EXPECT_NEAR(plied_packing(3, 0.60), 0.471, 5e-4);
  EXPECT_NEAR(plied_packing(4, 0.60), 0.465, 7e-4);
  const double mean =
      (plied_packing(2, 0.60) + plied_packing(3, 0.60) + plied_packing(4, 0.60)) / 3.0;
  EXPECT_NEAR(mean, kStart.plied, 5e-3);  // half its last digit
}

TEST(LooseDiameter, OfRovingIsTwiceAndMoreWhatTheClothHolds) {
  Yarn roving;
  roving.kind = Kind::Roving;
  roving.fibre = read_fibre_blend("wool");
  roving.linear_density = tex(8000.0);
  // sqrt(0.25 / 0.05) = 2.236, whatever the fibre.
  EXPECT_NEAR(loose_diameter(roving, kStart) / lying_diameter(roving, kStart), std::sqrt(5.0),
              1e-12);
  roving.kind = Kind::Plied;
  EXPECT_EQ(loose_diameter(roving, kStart), lying_diameter(roving, kStart));
}

}  // namespace
}  // namespace ellwand::yarn
