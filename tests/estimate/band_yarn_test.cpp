#include "ellwand/estimate/band_yarn.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "support/lies.hpp"
#include "support/slopes.hpp"

namespace ellwand::estimate {
namespace {

using technique::Counting;
using technique::Join;
using technique::KnottedFringe;
using technique::Portion;
using technique::Woven;

TEST(LocalFactors, AreTheExponentialOfWhatTheyHangOn) {
  BandYarn one;
  one.holds = {{Local::Take, 0, 1.0}, {Local::Take, 2, 0.5}, {Local::WarpSpacing, 1, -1.25}};
  const auto factors = local_factors(one, {0.2, 0.04, -0.1});
  // take 0.2 - 0.05 = 0.15, e^0.15 = 1.161834; spacing -0.05, e^-0.05 = 0.951229
  EXPECT_NEAR(factors[static_cast<std::size_t>(Local::Take)], 1.161834, 5e-7);
  EXPECT_NEAR(factors[static_cast<std::size_t>(Local::WarpSpacing)], 0.951229, 5e-7);
  EXPECT_EQ(factors[static_cast<std::size_t>(Local::Tail)], 1.0);
}

TEST(LieWith, EveryFactorFallsOnItsOwnThread) {
  technique::Lie<> medians = test::notched_lie();
  medians.warp_flatness = 1.5;
  medians.weft_flatness = 2.5;
  medians.counting = Counting::Smooth;
  medians.planned = {millimetres(1.04), metres(0.1), metres(2.0)};
  const std::array<double, kLocals> factors = {1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.7, 1.8};
  const technique::Lie<> lie = lie_with(medians, factors);
  EXPECT_NEAR(in_millimetres(lie.warp_diameter), 1.0 * 1.1, 1e-12);
  EXPECT_NEAR(in_millimetres(lie.strand_diameter), 1.6 * 1.2, 1e-12);
  EXPECT_NEAR(in_millimetres(lie.warp_spacing), 4.0 * 1.3, 1e-12);
  EXPECT_NEAR(lie.row_spacing, 1.4, 1e-12);
  EXPECT_NEAR(lie.take, 1.05 * 1.5, 1e-12);
  EXPECT_NEAR(in_millimetres(lie.tail), 100.0 * 1.6, 1e-9);
  EXPECT_NEAR(in_millimetres(lie.working_length), 2000.0 * 1.7, 1e-9);
  EXPECT_NEAR(in_millimetres(lie.trim), 8.0 * 1.8, 1e-12);
  EXPECT_EQ(lie.warp_flatness, 1.5);
  EXPECT_EQ(lie.weft_flatness, 2.5);
  EXPECT_EQ(lie.counting, Counting::Smooth);
  ASSERT_TRUE(lie.planned.has_value());
  EXPECT_EQ(lie.planned->row_spacing, millimetres(1.04));
}

struct Case {
  std::string name;
  technique::Work work;
  std::size_t part;
};

Woven band(const cloth::Grid& repeat, cloth::Face face, double ratio) {
  Woven woven;
  woven.grid = cloth::spread(repeat, 34, cloth::Remainder::Right);
  woven.repeat_picks = repeat.picks();
  woven.areas = {{{"weft", 2, 1}, 34, Join::None, std::nullopt}};
  woven.beat = {face, ratio, false, std::nullopt, std::nullopt};
  woven.extent.count = 40;
  return woven;
}

std::vector<Case> cases() {
  std::vector<Case> all;
  all.push_back({"weft-faced", band(cloth::plain(), cloth::Face::Weft, 0.65), 0});
  all.push_back({"balanced", band(cloth::twill({2, 2}), cloth::Face::Balanced, 1.0), 0});
  all.push_back({"warp-faced", band(cloth::satin(5, 2), cloth::Face::Warp, 1.15), 0});
  Woven height = band(cloth::plain(), cloth::Face::Weft, 0.65);
  height.extent = {technique::Extent::By::Height, 0, millimetres(100.0)};
  all.push_back({"a height", height, 0});
  Woven picks = band(cloth::plain(), cloth::Face::Balanced, 1.0);
  picks.beat.picks = per_cm(3.0);
  all.push_back({"picks stated", picks, 0});
  Woven measured = height;
  measured.beat.measured = technique::MeasuredRows{20, millimetres(33.0)};
  all.push_back({"a height of measured rows", measured, 0});
  Woven areas = band(cloth::plain(), cloth::Face::Weft, 0.65);
  areas.areas = {{{"a", 1, 1}, 10, Join::None, std::nullopt},
                 {{"b", 1, 3}, 12, Join::Interlocked, std::nullopt},
                 {{"c", 2, 1}, 12, Join::Dovetailed, std::nullopt}};
  for (const std::size_t part : {0U, 1U, 2U}) all.push_back({"joined areas", areas, part});
  Woven drawn = height;
  drawn.areas = {
      {{"a", 1, 1}, 0, Join::None, technique::Drawn{square_centimetres(20.0), 2, centimetres(2.0)}},
      {{"b", 1, 1}, 0, Join::None, std::nullopt}};
  for (const std::size_t part : {0U, 1U}) all.push_back({"drawn shapes", drawn, part});
  for (const bool tight : {false, true}) {
    KnottedFringe fringe;
    fringe.strand = {"fringe", 1, 1};
    fringe.ends = 33;
    fringe.rows = 2;
    fringe.hang = millimetres(140.0);
    fringe.pulled_tight = tight;
    all.push_back({tight ? "fringe pulled tight" : "fringe", fringe, 0});
  }
  KnottedFringe knots;
  knots.strand = {"pile", 2, 1};
  knots.ends_per_knot = 4;
  knots.rows = 6;
  knots.hang = millimetres(12.0);
  Woven ground = band(cloth::plain(), cloth::Face::Weft, 0.65);
  const technique::KnottedPile pile = technique::knotted_pile(knots, ground, 34, 3, 2);
  all.push_back({"pile", pile, technique::KnottedPile::kKnots});
  technique::Hemstitch hem;
  hem.strand = {"weft", 1, 1};
  hem.ends = 33;
  hem.ends_per_stitch = 4;
  hem.rows_deep = 2;
  for (const bool own : {false, true}) {
    hem.sewn_with_weft = !own;
    hem.drawn_together = own;
    all.push_back({own ? "hemstitch with its own thread" : "hemstitch with the weft", hem, 0});
  }
  all.push_back({"the ground of a pile", pile, technique::KnottedPile::kGround});
  return all;
}

/// Millimetres of one portion.
template <class Scalar>
Scalar portion_mm(const Worked<Scalar>& worked, Portion portion) {
  Scalar sum{0.0};
  for (const auto& entry : worked.entries) {
    if (entry.portion == portion) sum += in_millimetres(entry.yarn);
  }
  return sum;
}

TEST(WorkBand, SlopesAgreeWithCentralDifferencesByEveryLocalFactor) {
  for (const Case& one : cases()) {
    SCOPED_TRACE(one.name);
    BandYarn yarn;
    yarn.part = one.part;
    yarn.medians = test::notched_lie();
    yarn.medians.counting = Counting::Smooth;
    yarn.medians.planned = {millimetres(1.3), yarn.medians.tail, yarn.medians.working_length};
    yarn.row_height = 1.2;
    yarn.edge = {millimetres(1.6), millimetres(1.1)};
    const auto worked = [&](const auto& x) {
      return work_band(one.work, yarn, lie_with(yarn.medians, x));
    };
    std::array<double, kLocals> at;
    at.fill(1.0);
    for (std::size_t p = 0; p < technique::kPortions; ++p) {
      test::expect_slopes_match(
          [&](const auto& x) { return portion_mm(worked(x), static_cast<Portion>(p)); }, at);
    }
    test::expect_slopes_match([&](const auto& x) { return worked(x).rows; }, at);
    test::expect_slopes_match([&](const auto& x) { return worked(x).lengths; }, at);
    test::expect_slopes_match([&](const auto& x) { return in_millimetres(worked(x).height); }, at);
    test::expect_slopes_match([&](const auto& x) { return in_millimetres(worked(x).row_spacing); },
                              at);
  }
}

TEST(WorkBand, AHeightKeepsThatOfItsPlannedRowsHoweverTheyLie) {
  // 100 mm planned in rows of 1.3 mm: 77 rows, 100.1 mm. Beaten 10 % closer the height stays and
  // the rows, counted smoothly, are 10 % more.
  Woven height = band(cloth::plain(), cloth::Face::Weft, 0.65);
  height.areas[0].strand.held = 1;
  height.extent = {technique::Extent::By::Height, 0, millimetres(100.0)};
  height.beat.measured = technique::MeasuredRows{10, millimetres(13.0)};
  BandYarn yarn;
  yarn.medians = test::notched_lie();
  yarn.medians.counting = Counting::Smooth;
  yarn.medians.planned = {millimetres(1.3), yarn.medians.tail, yarn.medians.working_length};
  std::array<double, kLocals> factors;
  factors.fill(1.0);
  factors[static_cast<std::size_t>(Local::RowSpacing)] = 1.0 / 1.1;
  const auto worked = work_band<double>(height, yarn, lie_with(yarn.medians, factors));
  EXPECT_NEAR(in_millimetres(worked.height), 100.1, 1e-9);
  EXPECT_NEAR(worked.rows, 77.0 * 1.1, 1e-9);
}

}  // namespace
}  // namespace ellwand::estimate
