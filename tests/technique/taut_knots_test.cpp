// Knots and stitches against the shortest paths of round threads in three dimensions. Lengths in
// mm. The parameters are round numbers chosen here; none was used to fit anything.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <vector>

#include "ellwand/technique/edge_knots.hpp"
#include "ellwand/technique/hemstitch.hpp"
#include "ellwand/technique/knotted_fringe.hpp"
#include "ellwand/yarn/yarn.hpp"
#include "technique/taut_path.hpp"

namespace ellwand::technique {
namespace {

using std::numbers::pi;
using test::Bar;
using test::Point;
using test::pull_taut;
using test::Scene;
using test::Strip;
using test::Taut;
using test::Thread;

/// A path is believed when no two bodies share more of a diameter than this. Springs give 0.02
/// where a thread is bent round its own thickness, more where thin bars bite into thick threads;
/// threads that passed through a body or are jammed show 0.3 and more.
constexpr double kSunkIn = 0.06;

// ---- the engine itself

Thread ring(Point middle, Point one_way, Point other_way, double diameter) {
  Thread thread;
  thread.diameter = diameter;
  thread.repeats = true;
  for (int i = 0; i < 40; ++i) {
    const double turned = 2.0 * pi * i / 40;
    thread.laid.push_back(middle + std::cos(turned) * one_way + std::sin(turned) * other_way);
  }
  return thread;
}

TEST(TautPath, OfRingsRoundBars) {
  // Round one bar pi (1 + 2); round two bars 4 apart 2 x 4 more. Chords are short by 0.1 %.
  Scene scene;
  scene.bars = {Bar{{0, 0, 0}, {0, 1, 0}, 1.0}};
  scene.threads = {ring({0.1, 0, 0}, {3, 0, 0}, {0, 0, 3}, 2.0)};
  EXPECT_NEAR(pull_taut(scene).lengths[0] / (3.0 * pi), 1.0, 2e-3);
  scene.bars.push_back(Bar{{4, 0, 0}, {0, 1, 0}, 1.0});
  scene.threads = {ring({2, 0, 0}, {5, 0, 0}, {0, 0, 3}, 2.0)};
  EXPECT_NEAR(pull_taut(scene).lengths[0] / (3.0 * pi + 8.0), 1.0, 2e-3);
  // Finer pieces once let the ring slip through a bar.
  EXPECT_NEAR(pull_taut(scene, 0.1).lengths[0] / (3.0 * pi + 8.0), 1.0, 2e-3);
}

TEST(TautPath, OverTwoBars) {
  // From 10 beside one bar to 10 beside the other, at the height of their axes: tangents and arcs
  // of radius 1.5, and 4 between the bars.
  Scene scene;
  scene.bars = {Bar{{0, 0, 0}, {0, 1, 0}, 1.0}, Bar{{4, 0, 0}, {0, 1, 0}, 1.0}};
  Thread thread;
  thread.laid = {{-10, 0, 0}, {0, 0, 4}, {4, 0, 4}, {14, 0, 0}};
  thread.diameter = 2.0;
  scene.threads = {thread};
  const double taut = 2.0 * (std::sqrt(100.0 - 2.25) + 1.5 * std::asin(0.15)) + 4.0;
  EXPECT_NEAR(pull_taut(scene).lengths[0] / taut, 1.0, 1e-3);
}

TEST(TautPath, OfTwoLinkedRings) {
  // The Hopf link: 4 pi diameters, exactly (Cantarella, Kusner, Sullivan, Invent. Math. 150 (2002)
  // 257-286, from memory). 0.5 %: pieces of a fifth of a diameter.
  Scene scene;
  scene.threads = {ring({0, 0, 0}, {2, 0, 0}, {0, 2, 0}, 1.0),
                   ring({2, 0, 0}, {2, 0, 0}, {0, 0, 2}, 1.0)};
  const Taut taut = pull_taut(scene);
  EXPECT_NEAR((taut.lengths[0] + taut.lengths[1]) / (4.0 * pi), 1.0, 5e-3);
}

TEST(TautPath, OfAClosedTrefoil) {
  // 16.372 diameters, best numeric bound (Denne, Diao, Sullivan, Geom. Topol. 10 (2006) 1-26).
  Scene scene;
  Thread knot;
  knot.diameter = 1.0;
  knot.repeats = true;
  for (int i = 0; i < 80; ++i) {
    const double t = 2.0 * pi * i / 80;
    knot.laid.push_back(1.2 * Point{std::sin(t) + 2.0 * std::sin(2.0 * t),
                                    std::cos(t) - 2.0 * std::cos(2.0 * t), -std::sin(3.0 * t)});
  }
  scene.threads = {knot};
  EXPECT_NEAR(pull_taut(scene).lengths[0] / 16.372, 1.0, 5e-3);
}

// ---- the overhand knot

TEST(TautKnots, AnOpenOverhandTakesTenDiametersAndATenth) {
  // A trefoil in a thread whose ends are held in one line: the thread less the way from end to end.
  for (const double half_way : {12.0, 20.0}) {
    Scene scene;
    Thread knot;
    knot.diameter = 1.0;
    knot.laid.push_back({-half_way, 0, 0});
    for (int i = 0; i <= 43; ++i) {
      const double t = -2.15 + 0.1 * i;
      knot.laid.push_back({1.2 * (std::pow(t, 3) - 3.0 * t), std::pow(t, 4) - 4.0 * t * t,
                           0.24 * (std::pow(t, 5) - 10.0 * t)});
    }
    knot.laid.push_back({half_way, 0, 0});
    scene.threads = {knot};
    const Taut taut = pull_taut(scene);
    EXPECT_LT(taut.overlap, kSunkIn);
    EXPECT_NEAR((taut.lengths[0] - 2.0 * half_way) / kOverhandDiameters, 1.0, 0.02);
  }
}

// ---- the fringe knot

struct KnotCase {
  double spacing, end, bundle, half_cloth;
  int ends = 2;
};

/// The bundle's axis, loose: up the first tail, in over the edge, behind the first end, across the
/// front of all, and down again. Where the tails have no room side by side the second lies over
/// the first.
std::vector<Point> laid_knot(const KnotCase& c, double hang) {
  const double width = (c.ends - 1) * c.spacing;
  const double round = 0.51 * (c.end + c.bundle);
  const bool over = c.ends == 2 && c.spacing - c.end < 2.05 * c.bundle;
  const double low = 0.51 * c.bundle;
  const double high = over ? 1.55 * c.bundle : low;
  const double bar = high + 1.05 * c.bundle;
  const double near_front = c.half_cloth + 0.52 * c.bundle;
  const double far_front = over ? near_front + 1.05 * c.bundle : near_front;
  const double bar_front = round + 0.05 * c.bundle;
  return {{round, -hang, near_front},
          {round, low, near_front},
          {round, low, -round},
          {-round, low, -round},
          {-round, 0.5 * (low + bar), 0},
          {-round, bar, round},
          {0, bar, bar_front},
          {0.5 * width, bar, std::max(far_front, round)},
          {width, bar, bar_front},
          {width + round, bar, round},
          {width + round, 0.5 * (high + bar), 0},
          {width + round, high, -round},
          {width - round, high, -round},
          {width - round, high, far_front},
          {width - round, -hang, far_front}};
}

/// Length of the taut bundle less two tails from the height of its bar; none if it is not to be
/// believed.
std::optional<double> taut_knot(const KnotCase& c) {
  const double width = (c.ends - 1) * c.spacing;
  const double hang = 5.0 * c.bundle + 2.0 * c.end;
  Scene scene;
  for (int i = 0; i < c.ends; ++i) scene.bars.push_back({{i * c.spacing, 0, 0}, {0, 1, 0}, c.end});
  scene.strip = Strip{-hang - 20.0 * c.bundle, 0.0, c.half_cloth};
  Thread bundle;
  bundle.diameter = c.bundle;
  bundle.laid = laid_knot(c, hang);
  bundle.start_held = {false, true, false};
  bundle.end_held = {false, true, false};
  scene.threads = {bundle};
  const double piece = std::min(0.2, 0.2 * (c.end + c.bundle) / c.bundle);
  const Taut taut = pull_taut(scene, piece, 1.0);
  if (taut.overlap > kSunkIn) return std::nullopt;
  double bar = -1.0;
  for (const Point& at : taut.paths[0]) {
    const bool in_the_middle =
        std::abs(at.x - 0.5 * width) < std::max(0.1 * c.bundle, 0.02 * width);
    if (in_the_middle && at.z > 0.25 * (c.end + c.bundle)) bar = std::max(bar, at.y);
  }
  if (bar < c.bundle) return std::nullopt;  // the bar has slipped off its tails
  return taut.lengths[0] - 2.0 * (hang + bar);
}

double formula(const KnotCase& c) {
  return in_millimetres(taut_knot_wrap(millimetres(c.spacing), millimetres(c.end),
                                       millimetres(c.bundle), millimetres(2.0 * c.half_cloth),
                                       c.ends));
}

void expect_within(double bar, const std::vector<KnotCase>& cases) {
  for (const KnotCase& c : cases) {
    const std::optional<double> taut = taut_knot(c);
    const auto told = ::testing::Message() << "p " << c.spacing << " d_e " << c.end << " d_b "
                                           << c.bundle << " t " << c.half_cloth;
    ASSERT_TRUE(taut.has_value()) << told;
    EXPECT_NEAR(formula(c) / *taut, 1.0, bar) << told;
  }
}

TEST(TautKnots, TailsSideBySide) {
  expect_within(0.015, {{2.0, 0.5, 0.5, 0.25},
                        {2.0, 0.8, 0.6, 1.4},
                        {4.0, 1.0, 0.5, 0.5},
                        {4.0, 1.0, 1.0, 2.0},
                        {4.0, 1.0, 1.5, 2.5},
                        {6.0, 2.0, 2.0, 1.0},
                        {6.0, 1.5, 1.0, 3.0},
                        {8.0, 0.5, 3.0, 1.5},
                        {8.0, 2.0, 3.0, 4.0},
                        {12.0, 2.0, 0.5, 1.0},
                        {12.0, 1.0, 5.5, 3.0},
                        {12.0, 0.5, 4.0, 4.0},
                        {4.0, 1.0, 2.5, 2.1, 3},
                        {9.0, 2.0, 6.0, 3.0, 3}});
}

TEST(TautKnots, TailsOverEachOther) {
  expect_within(0.03, {{2.5, 1.0, 1.0, 1.5},
                       {3.0, 0.6, 2.0, 1.0},
                       {4.0, 1.0, 2.4, 2.1},
                       {4.0, 1.0, 2.578, 2.1},
                       {4.0, 2.0, 1.25, 2.5},
                       {5.0, 1.6, 3.0, 2.0},
                       {6.0, 1.0, 4.0, 2.5},
                       {8.0, 2.0, 4.5, 3.0},
                       {8.0, 1.0, 6.0, 2.0},
                       {3.45, 1.0, 2.4, 2.1}});  // pulled tight
}

TEST(TautKnots, WhereTheShortFormulaHolds) {
  const auto short_over_taut = [](const KnotCase& c) {
    const double wrap = in_millimetres(
        knot_wrap(millimetres(c.spacing), millimetres(c.end), millimetres(c.bundle)));
    return wrap / taut_knot(c).value_or(0.0);
  };
  // Cloth of 1.0, 1.2, 1.4 and 1.6 bundles.
  EXPECT_NEAR(short_over_taut({4.0, 0.8, 1.2, 0.6}), 1.0, 0.03);
  EXPECT_NEAR(short_over_taut({6.0, 1.0, 2.0, 1.2}), 1.0, 0.03);
  EXPECT_NEAR(short_over_taut({12.0, 1.5, 4.0, 2.8}), 1.0, 0.03);
  EXPECT_NEAR(short_over_taut({5.0, 0.8, 1.0, 0.8}), 1.0, 0.03);
  // A thin bundle over thick cloth, a thick one over bare ends.
  EXPECT_LT(short_over_taut({2.6, 1.0, 0.7, 2.0}), 0.86);
  EXPECT_GT(short_over_taut({6.4, 1.0, 4.4, 0.5}), 1.12);
}

// ---- the hemstitch

struct HemCase {
  double spacing, end, weft, thread;
  int ends, rows;
  double row_spacing;
};

/// One stitch as hemstitch.hpp tells it, from hole to hole, loose.
std::vector<Point> laid_stitch(const HemCase& c, double group) {
  const double right = c.ends * c.spacing;
  const double face = 0.5 * c.end + c.weft + 0.6 * c.thread;
  const double round = 0.5 * group + 0.6 * c.thread;
  const double behind = std::max(round, face) + 1.1 * c.thread;
  const double hole = c.rows * c.row_spacing + 0.55 * c.thread;
  const double first = -0.55 * c.thread;
  const double second = first - 1.1 * c.thread;
  const double third = second - 1.1 * c.thread;
  return {{0, hole, face},       {0, first, face},        {0, first, 0},
          {0, first, -round},    {right, second, -round}, {right, second, round},
          {0, third, round},     {0, third, -round},      {0.1 * right, third, -behind},
          {right, hole, -behind}};
}

Scene hem_scene(const HemCase& c, bool drawn, double group) {
  const double right = c.ends * c.spacing;
  Scene scene;
  scene.strip = Strip{0.0, c.rows * c.row_spacing, 0.5 * c.end + c.weft};
  for (int stitch = -1; stitch <= 1; ++stitch) {
    const int bars = drawn ? 1 : c.ends;
    for (int i = 0; i < bars; ++i) {
      scene.bars.push_back({{stitch * right + (i + 0.5) * right / bars, 0, 0}, {0, 1, 0}, group});
    }
  }
  Thread thread;
  thread.diameter = c.thread;
  thread.laid = laid_stitch(c, group);
  if (drawn) {  // held in the middle of both holes, since the bars no longer say where they are
    const double hole = c.rows * c.row_spacing + 0.5 * c.thread;
    thread.laid.insert(thread.laid.begin(), {0, hole, 0});
    thread.laid.push_back({right, hole, 0});
  } else {
    thread.repeats = true;
    thread.period = {right, 0, 0};
  }
  scene.threads = {thread};
  return scene;
}

void expect_stitch(const HemCase& c, bool drawn, double bar = 0.03) {
  Hemstitch hem;
  hem.ends = c.ends;
  hem.ends_per_stitch = c.ends;
  hem.rows_deep = c.rows;
  hem.drawn_together = drawn;
  Lie<> lie;
  lie.warp_diameter = millimetres(c.end);
  lie.warp_spacing = millimetres(c.spacing);
  lie.strand_diameter = millimetres(c.thread);
  const double group =
      drawn ? in_millimetres(yarn::bundle_diameter(lie.warp_diameter, c.ends)) : c.end;
  const Scene scene = hem_scene(c, drawn, group);
  const Taut taut = pull_taut(scene, std::min(0.2, 0.17 * (group + c.thread) / c.thread), 1.0);
  const double stitch =
      in_millimetres(hemstitch_stitch(hem, lie, millimetres(c.weft), millimetres(c.row_spacing)));
  EXPECT_LT(taut.overlap, kSunkIn) << c.spacing << " " << c.thread;
  EXPECT_NEAR(stitch / taut.lengths[0], 1.0, bar)
      << "p " << c.spacing << " d_e " << c.end << " d_w " << c.weft << " d_h " << c.thread << " g "
      << c.ends << " k " << c.rows << (drawn ? " drawn together" : " left apart");
}

TEST(TautHemstitch, StitchesAreWithinThreePercent) {
  for (const HemCase& c :
       {HemCase{2.0, 0.5, 0.5, 0.5, 2, 1, 0.4}, HemCase{2.0, 1.0, 0.8, 0.8, 4, 3, 0.5},
        HemCase{3.0, 0.6, 2.0, 1.5, 3, 2, 1.3}, HemCase{4.0, 1.0, 1.6, 1.6, 4, 2, 1.1},
        HemCase{4.0, 2.0, 3.0, 1.0, 2, 4, 2.0}, HemCase{4.0, 1.0, 1.6, 2.9, 3, 2, 1.1},
        HemCase{4.5, 0.5, 1.0, 3.0, 6, 1, 0.8}, HemCase{3.0, 1.5, 0.7, 1.4, 5, 2, 0.5},
        HemCase{9.0, 0.5, 1.2, 3.0, 3, 1, 0.8}, HemCase{5.0, 1.5, 5.0, 2.0, 5, 1, 4.0},
        HemCase{6.0, 1.0, 6.0, 1.2, 2, 4, 4.0}, HemCase{8.0, 2.0, 1.0, 3.0, 6, 1, 0.8},
        HemCase{8.0, 1.2, 4.0, 2.5, 3, 3, 2.4}, HemCase{10.0, 2.0, 0.6, 1.5, 2, 2, 0.5},
        HemCase{12.0, 1.4, 2.0, 2.0, 5, 4, 1.4}}) {
    expect_stitch(c, false);
    expect_stitch(c, true);
  }
}

TEST(TautHemstitch, ASingleEndIsWithinFivePercent) {
  // Its hole and its way in lie so near that the thread does not follow both ends.
  for (const HemCase& c :
       {HemCase{4.0, 1.0, 1.6, 1.6, 1, 2, 1.1}, HemCase{11.0, 0.6, 1.6, 1.2, 1, 3, 1.1},
        HemCase{3.0, 1.5, 0.7, 1.0, 1, 1, 0.5}}) {
    expect_stitch(c, false, 0.05);
  }
}

}  // namespace
}  // namespace ellwand::technique
