// The free arch against the bending equation integrated step by step, and Euler's special shapes.

#include "ellwand/numeric/elastica.hpp"

#include <gtest/gtest.h>

#include <array>
#include <boost/math/special_functions/ellint_1.hpp>
#include <boost/math/special_functions/ellint_2.hpp>
#include <cmath>
#include <limits>
#include <numbers>

#include "ellwand/units/error.hpp"
#include "support/slopes.hpp"

namespace ellwand::numeric {
namespace {

using std::numbers::pi;

/// Half an arch from the foot up, as s grows: inclination, its derivative, and where the strand is.
struct Point {
  double angle, bend, x, y;

  Point along(const Point& slope, double step) const {
    return {angle + step * slope.angle, bend + step * slope.bend, x + step * slope.x,
            y + step * slope.y};
  }
};

/// theta'' = -sin(theta), x' = cos(theta), y' = sin(theta).
Point slope_at(const Point& at) {
  return {at.bend, -std::sin(at.angle), std::cos(at.angle), std::sin(at.angle)};
}

/// One step of Runge and Kutta's fourth-order rule.
Point stepped(const Point& at, double step) {
  const Point a = slope_at(at);
  const Point b = slope_at(at.along(a, 0.5 * step));
  const Point c = slope_at(at.along(b, 0.5 * step));
  const Point d = slope_at(at.along(c, step));
  Point next = at.along(a, step / 6.0);
  next = next.along(b, step / 3.0);
  next = next.along(c, step / 3.0);
  return next.along(d, step / 6.0);
}

struct Arch {
  double base, height, length;
};

/// The arch whose legs leave at this angle, from a foot without bending (a hinge) to the crest,
/// where the strand is level; both halves are alike. Steps of 1/1000 leave errors below 1e-12.
Arch integrated(double leaves_at_rad) {
  constexpr double kStep = 1e-3;
  Point at{leaves_at_rad, 0.0, 0.0, 0.0};
  double s = 0.0;
  while (at.angle + 2.0 * kStep * at.bend > 0.0) {
    at = stepped(at, kStep);
    s += kStep;
  }
  for (int i = 0; i < 6; ++i) {  // Newton's steps on to the crest
    const double step = -at.angle / at.bend;
    at = stepped(at, step);
    s += step;
  }
  return {2.0 * at.x, at.y, 2.0 * s};
}

TEST(FreeArch, IsWhatTheBendingEquationGives) {
  for (const double degrees : {5.0, 20.0, 45.0, 70.0, 90.0, 110.0, 125.0, 130.0}) {
    const Arch arch = integrated(degrees * pi / 180.0);
    const double excess = (arch.length - arch.base) / arch.height;
    // The integration's own error, see there, grown by the small height it is divided by.
    EXPECT_NEAR(free_arch_excess(arch.base / arch.height), excess, 1e-9) << degrees << " degrees";
  }
}

TEST(FreeArch, OfUprightLegsIsTheRectangularElastica) {
  // Euler: where the legs leave at right angles, base / height times length / height is pi, and
  // length / height is the lemniscate constant 2.62205755429212 (Gauss; from memory).
  const double lemniscate = 2.62205755429212;
  EXPECT_NEAR(free_arch_excess(pi / lemniscate), lemniscate - pi / lemniscate, 1e-13);
}

TEST(FreeArch, AVeryLowOneIsHalfASineWave) {
  // y = H sin(pi x / B) is longer than B by pi^2 H^2 / (4 B), but for terms (H / B)^2 smaller.
  for (const double ratio : {1e2, 1e4, 1e6}) {
    const double relative = free_arch_excess(ratio) * ratio / (0.25 * pi * pi) - 1.0;
    EXPECT_NEAR(relative, 0.0, 2.0 / (ratio * ratio) + 1e-14) << ratio;
  }
}

TEST(FreeArch, LiesBetweenTheTautPathAndTheBoxRoundIt) {
  // No path over the crest is shorter than two straight legs. While the legs lean inwards, which
  // they do down to the ratio pi / 2.622 of upright ones, none that bends one way is longer than
  // the box round it.
  double before = std::numeric_limits<double>::infinity();
  for (double ratio = 1e-3; ratio < 1e6; ratio *= 1.07) {
    const double excess = free_arch_excess(ratio);
    EXPECT_GT(excess, std::sqrt(ratio * ratio + 4.0) - ratio) << ratio;
    if (ratio > 1.199) {
      EXPECT_LT(excess, 2.0) << ratio;
    }
    EXPECT_LT(excess, before) << ratio;
    before = excess;
  }
}

TEST(FreeArch, WhoseFeetMeetIsStillAnArch) {
  // Its legs leave at 2 asin(0.9089085575) = 130.7099 degrees (2 E = K by the tables of Jahnke and
  // Emde, from memory); the integration decides: it finds the feet together there.
  const Arch arch = integrated(130.7099 * pi / 180.0);
  EXPECT_NEAR(arch.base, 0.0, 1e-5);  // half a unit in the angle's last place, times about 4
  EXPECT_NEAR(free_arch_excess(0.0), arch.length / arch.height, 1e-5);
}

TEST(FreeArch, RefusesWhatIsNoArch) {
  EXPECT_THROW(free_arch_excess(-1e-9), OutOfRange);
  EXPECT_THROW(free_arch_excess(1.1e6), OutOfRange);
  EXPECT_THROW(free_arch_excess(std::numeric_limits<double>::quiet_NaN()), OutOfRange);
  EXPECT_THROW(free_arch_excess(std::numeric_limits<double>::infinity()), OutOfRange);
}

TEST(FreeArch, SlopesAgreeWithCentralDifferences) {
  for (const double ratio : {1e-3, 0.2, 0.6667, 1.19814, 3.0, 40.0, 1e4}) {
    test::expect_slopes_match([](const auto& x) { return free_arch_excess(x[0]); },
                              std::array<double, 1>{ratio});
  }
}

TEST(FreeArch, SlopesHoldAtBothEndsOfTheRange) {
  // Where the feet meet there are values on one side only: the step's square is 1e-10 of the
  // slope's own change, and rounding 1e-16 / 1e-5.
  constexpr double kStep = 1e-5;
  const double ahead = (4.0 * free_arch_excess(kStep) - free_arch_excess(2.0 * kStep) -
                        3.0 * free_arch_excess(0.0)) /
                       (2.0 * kStep);
  EXPECT_NEAR(free_arch_excess(Dual::variable(0.0, 0)).slope[0], ahead, 1e-8);
  // Half a sine wave: the excess is pi^2 / (4 ratio), its slope -pi^2 / (4 ratio^2).
  EXPECT_NEAR(free_arch_excess(Dual::variable(1e6, 0)).slope[0] * 1e12, -0.25 * pi * pi, 1e-9);
}

/// Boost.Math's complete integrals, which come by Carlson's forms. From 0.1 on E and K do not
/// cancel; 1e-13 is what is lost to the slope of the ratio in k.
TEST(FreeArch, IsThatOfTheCompleteIntegrals) {
  for (double k = 0.1; k < 0.9089; k += 0.01) {
    const double first = boost::math::ellint_1(k);
    const double second = boost::math::ellint_2(k);
    const double excess = 2.0 * (first - second) / k;
    EXPECT_NEAR(free_arch_excess((2.0 * second - first) / k), excess, 1e-13 * excess) << k;
  }
}

}  // namespace
}  // namespace ellwand::numeric
