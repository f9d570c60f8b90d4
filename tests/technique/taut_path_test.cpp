// Taut paths in three dimensions: first of what is known, then against the formulas of the works.

#include "technique/taut_path.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

#include "ellwand/cloth/crossing.hpp"
#include "ellwand/technique/soumak.hpp"
#include "ellwand/technique/twining.hpp"

namespace ellwand::technique {
namespace {

using std::numbers::pi;
using test::Bar;
using test::Point;
using test::pull_taut;
using test::Scene;
using test::Taut;
using test::Thread;

/// Ends and a strand, mm.
struct Sizes {
  double spacing, end, strand;
  double thickness() const { return end + strand; }
};

std::vector<Bar> ends_from(int first, int last, const Sizes& sizes) {
  std::vector<Bar> bars;
  for (int i = first; i <= last; ++i) {
    bars.push_back({{i * sizes.spacing, 0, 0}, {0, 1, 0}, sizes.end});
  }
  return bars;
}

Thread repeating(std::vector<Point> laid, double diameter, const Point& period) {
  Thread thread;
  thread.laid = std::move(laid);
  thread.diameter = diameter;
  thread.repeats = true;
  thread.period = period;
  return thread;
}

// Thin and thick strands on ends thick and thin.
const std::vector<Sizes> kKnown{{3.6, 1.0, 1.6}, {3.4, 2.0, 0.5}, {4.6, 0.5, 3.0}};

TEST(TautPath, GoesRoundABarInARingOrAHelix) {
  for (const Sizes& sizes : kKnown) {
    for (const double pitch : {0.0, 2.0 * sizes.strand}) {
      std::vector<Point> laid;
      for (int corner = 0; corner < 8; ++corner) {
        const double angle = 0.25 * pi * corner;
        laid.push_back({sizes.thickness() * std::cos(angle), pitch * corner / 8.0,
                        sizes.thickness() * std::sin(angle)});
      }
      const Scene scene{{repeating(laid, sizes.strand, {0, pitch, 0})}, ends_from(0, 0, sizes), {}};
      // A polygon of some 30 pieces is short of its circle by 2 parts in 1000.
      EXPECT_NEAR(pull_taut(scene).lengths[0] / std::hypot(pi * sizes.thickness(), pitch), 1.0,
                  3e-3);
    }
  }
}

TEST(TautPath, CrossesBetweenEndsAsPeirceHasIt) {
  for (const Sizes& sizes : kKnown) {
    const double p = sizes.spacing;
    const Scene scene{{repeating({{-0.5 * p, 0, 0},
                                  {0, 0, sizes.thickness()},
                                  {0.5 * p, 0, 0},
                                  {p, 0, -sizes.thickness()}},
                                 sizes.strand, {2.0 * p, 0, 0})},
                      ends_from(-3, 4, sizes),
                      {}};
    const Length<> thickness = millimetres(sizes.thickness());
    const double crossing =
        in_millimetres(cloth::taut_crossing(millimetres(p), thickness, thickness).yarn);
    EXPECT_NEAR(pull_taut(scene).lengths[0] / (2.0 * crossing), 1.0, 3e-3);  // as above
  }
}

/// Spacings, ends and strands over the whole range, from 16 % of the gap taken to all but full.
const std::vector<Sizes> kSizes{
    {2.1, 0.5, 0.7},  {2.1, 0.9, 1.1},  {2.6, 1.7, 0.55}, {3.1, 0.6, 1.3}, {3.1, 1.3, 1.6},
    {3.7, 0.5, 2.9},  {4.3, 1.1, 1.7},  {4.3, 2.0, 2.1},  {4.9, 0.7, 3.9}, {5.3, 1.9, 0.8},
    {5.3, 0.8, 3.3},  {6.1, 0.5, 5.2},  {6.7, 1.4, 4.1},  {6.9, 0.5, 6.0}, {7.3, 1.0, 6.0},
    {7.9, 1.8, 5.1},  {8.9, 0.6, 2.3},  {8.9, 1.2, 5.7},  {9.7, 2.0, 3.1}, {10.9, 0.6, 1.2},
    {11.3, 0.9, 6.0}, {11.9, 1.6, 2.7}, {11.9, 2.0, 6.0}, {7.7, 1.7, 6.0}, {5.9, 0.55, 4.7}};

/// Twined ends without end: each strand in front, in through a gap above the others, behind one
/// group and out through the next gap below the others.
Scene twined(const Sizes& sizes, int over, int strands) {
  const auto at = [&](double end) { return end * sizes.spacing; };
  const double z = sizes.thickness();
  const double y = sizes.strand;
  const int before = (strands - 1) * over;
  std::vector<Point> laid{{at(-0.5), -y, 0}};
  for (int end = 0; end < before; ++end) {
    laid.push_back({at(end), y * ((2.0 * end + 1.0) / before - 1.0), z});
  }
  laid.push_back({at(before - 0.5), y, 0});
  for (int end = before; end < before + over; ++end) {
    laid.push_back({at(end), y * (1.0 - (2.0 * (end - before) + 1.0) / over), -z});
  }
  Thread thread = repeating(laid, sizes.strand, {at(strands * over), 0, 0});
  thread.strands = strands;
  return {{thread}, ends_from(-3, strands * over + 2, sizes), {}};
}

void expect_twining_gap(const Sizes& sizes, int over, int strands) {
  const Taut taut = pull_taut(twined(sizes, over, strands), 0.25);
  ASSERT_LT(taut.overlap, 0.1);
  const double formula =
      in_millimetres(twining_gap(millimetres(sizes.spacing), millimetres(sizes.end),
                                 millimetres(sizes.strand), over, strands));
  EXPECT_NEAR(formula * strands / taut.lengths[0], 1.0, 0.03)
      << strands << " strands over " << over << ": " << sizes.spacing << " " << sizes.end << " "
      << sizes.strand;
}

TEST(TwiningGap, IsATautPath) {
  for (const Sizes& sizes : kSizes) {
    for (const int over : {1, 2, 3}) {
      for (const int strands : {2, 3}) expect_twining_gap(sizes, over, strands);
    }
  }
}

/// Soumak without end: forward in front from high to low, back behind from low to high.
Scene soumak_row(const Sizes& sizes, int over, int back) {
  const auto at = [&](double end) { return end * sizes.spacing; };
  const double z = 0.8 * sizes.thickness();
  const double y = sizes.strand * std::max(0.8, 0.55 * over / (over - back));
  std::vector<Point> laid{{at(-0.5), y, 0}};
  for (int end = 0; end < over; ++end) {
    laid.push_back({at(end), y * (1.0 - (2.0 * end + 1.0) / over), z});
  }
  laid.push_back({at(over - 0.5), -y, 0});
  for (int end = 0; end < back; ++end) {
    laid.push_back({at(over - 1 - end), y * ((2.0 * end + 1.0) / back - 1.0), -z});
  }
  return {
      {repeating(laid, sizes.strand, {at(over - back), 0, 0})}, ends_from(-3, over + 2, sizes), {}};
}

void expect_soumak_wrap(const Sizes& sizes, int over, int back) {
  // Passes that all but fill the pitch would slip through each other in coarse pieces, and come out
  // far too short.
  const double piece = sizes.strand > 0.8 * sizes.spacing ? 0.16 : 0.25;
  const int forward = over == back ? 2 * over : over;
  const Taut taut = pull_taut(soumak_row(sizes, forward, back), piece);
  ASSERT_LT(taut.overlap, 0.1);
  const double formula = in_millimetres(soumak_wrap(
      millimetres(sizes.spacing), millimetres(sizes.end), millimetres(sizes.strand), over, back));
  EXPECT_NEAR(formula / taut.lengths[0], 1.0, 0.03)
      << over << "/" << back << ": " << sizes.spacing << " " << sizes.end << " " << sizes.strand;
}

TEST(SoumakWrap, IsATautPath) {
  struct Passes {
    int over, back;
  };
  for (const Sizes& sizes : kSizes) {
    for (const Passes& passes :
         {Passes{2, 1}, {3, 1}, {4, 1}, {3, 2}, {4, 2}, {5, 3}, {1, 1}, {2, 2}, {3, 3}}) {
      expect_soumak_wrap(sizes, passes.over, passes.back);
    }
  }
}

}  // namespace
}  // namespace ellwand::technique
