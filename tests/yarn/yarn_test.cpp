#include "ellwand/yarn/yarn.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"
#include "support/slopes.hpp"

namespace ellwand::yarn {
namespace {

constexpr Packing kStart{
    .singles = 0.60, .plied = 0.46, .woollen = 0.42, .roving_loose = 0.05, .roving_held = 0.25};

Yarn cotton_of(Kind kind) {
  Yarn yarn;
  yarn.kind = kind;
  yarn.fibre = read_fibre_blend("cotton");
  yarn.linear_density = tex(295.2706);
  return yarn;
}

TEST(LyingDiameter, FollowsTheWayTheYarnIsMade) {
  // sqrt(4 x 295.2706 / (1000 pi x 1.52 phi)) = sqrt(0.247335 / phi), phi from kStart.
  EXPECT_NEAR(in_millimetres(lying_diameter(cotton_of(Kind::Singles), kStart)), 0.642, 5e-4);
  EXPECT_NEAR(in_millimetres(lying_diameter(cotton_of(Kind::Plied), kStart)), 0.733, 5e-4);
  EXPECT_NEAR(in_millimetres(lying_diameter(cotton_of(Kind::Woollen), kStart)), 0.767, 5e-4);
  EXPECT_NEAR(in_millimetres(lying_diameter(cotton_of(Kind::Roving), kStart)), 0.995, 5e-4);
}

TEST(LyingDiameter, IsTheMeasuredOneWhenThereIsOne) {
  Yarn yarn = cotton_of(Kind::Plied);
  yarn.measured_diameter = millimetres(1.0);
  EXPECT_EQ(lying_diameter(yarn, kStart), millimetres(1.0));
  yarn.measured_diameter = millimetres(0.0);
  EXPECT_THROW(lying_diameter(yarn, kStart), OutOfRange);
}

TEST(LyingDiameter, RefusesAYarnWithoutFibreOrMass) {
  Yarn yarn = cotton_of(Kind::Plied);
  yarn.linear_density = tex(0.0);
  EXPECT_THROW(lying_diameter(yarn, kStart), OutOfRange);
  yarn = cotton_of(Kind::Plied);
  yarn.fibre.clear();
  EXPECT_THROW(lying_diameter(yarn, kStart), OutOfRange);
}

TEST(SideBySideDiameter, HasTheAreaOfAllStrands) {
  EXPECT_NEAR(in_millimetres(side_by_side_diameter(millimetres(1.2), 1)), 1.2, 1e-14);
  EXPECT_NEAR(in_millimetres(side_by_side_diameter(millimetres(1.2), 4)), 2.4, 1e-14);
  EXPECT_THROW(side_by_side_diameter(millimetres(1.2), 0), OutOfRange);
  EXPECT_THROW(side_by_side_diameter(millimetres(0.0), 2), OutOfRange);
}

/// The smallest circle round n equal circles, over one of theirs: from its geometry.
double circle_round(int n) {
  const double pi = std::numbers::pi;
  if (n == 1) return 1.0;
  if (n == 6) return 3.0;  // as seven with the middle one left out
  if (n == 7) return 3.0;
  return 1.0 + 1.0 / std::sin(pi / n);  // a ring of touching circles
}

TEST(BundleDiameter, IsTheCircleRoundTheStrands) {
  // The fills are rounded to two or three digits: at most 0.4 % of a diameter (3 strands).
  for (int n = 1; n <= 7; ++n) {
    EXPECT_NEAR(bundle_diameter(millimetres(1.0), n) / millimetres(1.0), circle_round(n),
                0.004 * circle_round(n))
        << n;
  }
}

TEST(BundleDiameter, OfThreeFringeStrandsByHand) {
  // 1.2 x sqrt(3 / 0.65) = 2.578.
  EXPECT_NEAR(in_millimetres(bundle_diameter(millimetres(1.2), 3)), 2.578, 5e-4);
}

TEST(BundleDiameter, DoesNotShrinkWithAStrandMore) {
  // Seven lie in the same circle as six; the rounding of the two fills, 0.667 and 0.78, is worth
  // 0.12 % of it.
  for (int n = 1; n < 60; ++n) {
    const double growth =
        bundle_diameter(millimetres(1.0), n + 1) / bundle_diameter(millimetres(1.0), n);
    EXPECT_GT(growth, n == 6 ? 0.998 : 1.0) << n;
  }
}

TEST(Diameters, CarryTheirSlopes) {
  test::expect_slopes_match(
      [](const auto& x) { return side_by_side_diameter(metres(x[0] * 1e-3), 3).si(); },
      std::array<double, 1>{1.2});
  test::expect_slopes_match(
      [](const auto& x) { return bundle_diameter(metres(x[0] * 1e-3), 3).si(); },
      std::array<double, 1>{1.2});
}

}  // namespace
}  // namespace ellwand::yarn
