// Loops by hand, against a chain of stiff links and a string pulled tight, and bands of them.

#include "ellwand/technique/looped_pile.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <string>
#include <vector>

#include "ellwand/units/error.hpp"
#include "support/lies.hpp"
#include "support/slopes.hpp"

namespace ellwand::technique {
namespace {

using std::numbers::pi;
using test::lie_of;
using test::notched_lie;
using test::variables_of;

double loop_mm(Raised raised, double base_mm, double height_mm) {
  const Length<> base = millimetres(base_mm);
  const Length<> height = millimetres(height_mm);
  switch (raised) {
    case Raised::ByHand:
      return base_mm + in_millimetres(raised_by_hand(base, height));
    case Raised::OverGauge:
      return base_mm + in_millimetres(raised_over_gauge(base, height));
    case Raised::OverRodAlongPick:
      return base_mm + in_millimetres(raised_over_rod_along_pick(base, height));
  }
  return 0.0;
}

TEST(RaisedByHand, OneLoopWorkedOut) {
  // Base 8, height 12: (2 E - K) / k = 0.6667 at k = 0.8054, K / k = 2.4906: 29.89 (worked out
  // twice, apart from this program).
  EXPECT_NEAR(loop_mm(Raised::ByHand, 8.0, 12.0), 29.89, 0.005);  // the digits given
}

TEST(RaisedOverGauge, OneLoopWorkedOut) {
  // Base 8, height 12: two tangents of 4, and round a circle of radius 6 from 2 atan(4 / 6) = 67.38
  // degrees of its foot: 2 (4 + 6 x 1.9656) = 31.59.
  EXPECT_NEAR(loop_mm(Raised::OverGauge, 8.0, 12.0), 31.59, 0.005);  // the digits given
}

/// Half a chain of stiff links with springs at its joints, from a hinged foot to the crest.
class Chain {
 public:
  Chain(double half_base, double half_length, std::size_t links)
      : half_base_(half_base), link_(half_length / static_cast<double>(links)), angles_(links) {
    // It starts as a regular polygon whose feet are in place.
    double low = 0.0;
    double high = pi;
    for (int i = 0; i < 60; ++i) {
      const double foot = 0.5 * (low + high);
      bend_evenly(foot);
      (span() > half_base_ ? low : high) = foot;
    }
  }

  double span() const {
    double sum = 0.0;
    for (const double angle : angles_) sum += link_ * std::cos(angle);
    return sum;
  }
  double height() const {
    double sum = 0.0;
    for (const double angle : angles_) sum += link_ * std::sin(angle);
    return sum;
  }
  /// Of all joints of this half, the one at the crest by half, for unit stiffness.
  double energy() const {
    double sum = angles_.back() * angles_.back() / link_;
    for (std::size_t i = 1; i < angles_.size(); ++i) {
      sum += 0.5 * (angles_[i] - angles_[i - 1]) * (angles_[i] - angles_[i - 1]) / link_;
    }
    return sum;
  }

  /// Newton's steps to the least energy with the feet held where they are.
  void relax() {
    for (int i = 0; i < 40; ++i) step();
  }
  /// Largest moment left at a joint, and how far the feet are from their places.
  double unrest() const {
    double worst = std::abs(span() - half_base_);
    for (const double moment : moments()) worst = std::max(worst, std::abs(moment));
    return worst;
  }

 private:
  void bend_evenly(double foot) {
    const auto n = static_cast<double>(angles_.size());
    for (std::size_t i = 0; i < angles_.size(); ++i) {
      angles_[i] = foot * (1.0 - (static_cast<double>(i) + 0.5) / n);
    }
  }

  std::vector<double> moments() const {
    const std::size_t n = angles_.size();
    std::vector<double> moment(n);
    for (std::size_t i = 0; i < n; ++i) {
      const double before = i > 0 ? angles_[i] - angles_[i - 1] : 0.0;
      const double after = i + 1 < n ? angles_[i + 1] - angles_[i] : -2.0 * angles_[i];
      moment[i] = (before - after) / link_ - thrust_ * link_ * std::sin(angles_[i]);
    }
    return moment;
  }

  /// Solves the symmetric three-diagonal system of the links for one right-hand side.
  std::vector<double> solved(std::vector<double> right) const {
    const std::size_t n = angles_.size();
    std::vector<double> diagonal(n);
    for (std::size_t i = 0; i < n; ++i) {
      const double springs = (i > 0 ? 1.0 : 0.0) + (i + 1 < n ? 1.0 : 2.0);
      diagonal[i] = springs / link_ - thrust_ * link_ * std::cos(angles_[i]);
      if (i == 0) continue;
      const double factor = -1.0 / (link_ * diagonal[i - 1]);
      diagonal[i] += factor / link_;
      right[i] -= factor * right[i - 1];
    }
    for (std::size_t i = n; i-- > 0;) {
      if (i + 1 < n) right[i] += right[i + 1] / link_;
      right[i] /= diagonal[i];
    }
    return right;
  }

  void step() {
    const std::size_t n = angles_.size();
    std::vector<double> pull(n);  // of the feet's place by each angle
    std::vector<double> moment = moments();
    for (std::size_t i = 0; i < n; ++i) {
      pull[i] = -link_ * std::sin(angles_[i]);
      moment[i] = -moment[i];
    }
    const std::vector<double> by_moment = solved(moment);
    const std::vector<double> by_pull = solved(pull);
    double a = span() - half_base_;
    double b = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      a += pull[i] * by_moment[i];
      b += pull[i] * by_pull[i];
    }
    const double more_thrust = a / b;
    thrust_ += more_thrust;
    for (std::size_t i = 0; i < n; ++i) angles_[i] += by_moment[i] - more_thrust * by_pull[i];
  }

  double half_base_;
  double link_;
  double thrust_ = 0.0;
  std::vector<double> angles_;
};

TEST(RaisedByHand, IsTheShapeOfLeastBending) {
  // The loop's length is given to a chain whose feet are a base apart; left to spring, it must
  // stand as high as the loop was to be.
  for (const double base : {0.25, 2.0 / 3.0, 1.0, 2.0, 4.0, 6.0}) {
    const double length = loop_mm(Raised::ByHand, base, 1.0);
    Chain chain(0.5 * base, 0.5 * length, 200);
    const double polygon = chain.energy();
    chain.relax();
    ASSERT_LT(chain.unrest(), 1e-9) << base;
    EXPECT_LT(chain.energy(), polygon) << base;
    // Links of 1/200 of the half leave about (1/200)^2 of the height; the length follows the height
    // no more than three to one.
    EXPECT_NEAR(chain.height(), 1.0, 1e-4) << base;
  }
}

/// Half the length of a string pulled tight from a foot over a circle that stands on the line
/// through the feet to its top: beads that draw in between their neighbours and are pushed out of
/// the circle.
double tight_string(double half_base, double height) {
  struct Bead {
    double x, y;
  };
  constexpr std::size_t kBeads = 161;
  const double radius = 0.5 * height;
  const Bead foot{half_base, 0.0};
  const Bead corner{half_base + height, radius};
  const Bead top{0.0, height};
  std::vector<Bead> beads;
  for (std::size_t i = 0; i < kBeads; ++i) {
    const double t = 2.0 * static_cast<double>(i) / (kBeads - 1);
    const Bead& from = t < 1.0 ? foot : corner;
    const Bead& to = t < 1.0 ? corner : top;
    const double part = t < 1.0 ? t : t - 1.0;
    beads.push_back({from.x + part * (to.x - from.x), from.y + part * (to.y - from.y)});
  }
  for (int sweep = 0; sweep < 30'000; ++sweep) {
    for (std::size_t i = 1; i + 1 < kBeads; ++i) {
      Bead bead{0.5 * (beads[i - 1].x + beads[i + 1].x), 0.5 * (beads[i - 1].y + beads[i + 1].y)};
      const double from_axis = std::hypot(bead.x, bead.y - radius);
      if (from_axis < radius) {
        bead = {bead.x * radius / from_axis, radius + (bead.y - radius) * radius / from_axis};
      }
      beads[i] = bead;
    }
  }
  double length = 0.0;
  for (std::size_t i = 1; i < kBeads; ++i) {
    length += std::hypot(beads[i].x - beads[i - 1].x, beads[i].y - beads[i - 1].y);
  }
  return length;
}

TEST(RaisedOverGauge, IsAStringPulledTight) {
  for (const double base : {0.3, 2.0 / 3.0, 1.5, 4.0}) {
    const double length = loop_mm(Raised::OverGauge, base, 1.0);
    // Chords between the beads on the circle are short by (angle between beads)^2 / 24: 2e-5.
    EXPECT_NEAR(2.0 * tight_string(0.5 * base, 1.0) / length, 1.0, 2e-4) << base;
  }
}

TEST(RaisedOverRodAlongPick, IsUpToAThirdLongerThanOverAGauge) {
  double most = 0.0;
  for (double base = 0.05; base < 20.0; base *= 1.02) {
    const double part_longer =
        loop_mm(Raised::OverRodAlongPick, base, 1.0) / loop_mm(Raised::OverGauge, base, 1.0) - 1.0;
    EXPECT_GE(part_longer, 0.0) << base;
    most = std::max(most, part_longer);
  }
  // By hand at base 4/3, height 1: sqrt(16/9 + pi^2) / (4/3 + 2 atan(3/4)) = 3.4129 / 2.6203.
  EXPECT_GT(most, 0.302);
  EXPECT_LT(most, 0.31);
}

/// Length of a string pulled tight once round a rod that lies along the line through its feet,
/// which are a base apart on the rod's foot line: beads that draw in between their neighbours and
/// are pushed out of the rod. It begins as a square round the rod.
double string_round_rod(double base, double height) {
  struct Bead {
    double x, y, z;
  };
  constexpr int kBeads = 160;
  const double radius = 0.5 * height;
  std::vector<Bead> beads;
  for (int i = 0; i <= kBeads; ++i) {
    const double round = 2.0 * pi * i / kBeads;
    // Along the rod all at once in the middle, and well off its surface.
    const double along = base * (i < kBeads / 2 ? 0.0 : 1.0);
    const double off = (i == 0 || i == kBeads) ? radius : 1.3 * radius;
    beads.push_back({along, off * std::sin(round), radius - off * std::cos(round)});
  }
  for (int sweep = 0; sweep < 40'000; ++sweep) {
    for (std::size_t i = 1; i < kBeads; ++i) {
      Bead bead{0.5 * (beads[i - 1].x + beads[i + 1].x), 0.5 * (beads[i - 1].y + beads[i + 1].y),
                0.5 * (beads[i - 1].z + beads[i + 1].z)};
      const double from_axis = std::hypot(bead.y, bead.z - radius);
      if (from_axis < radius) {
        bead.y *= radius / from_axis;
        bead.z = radius + (bead.z - radius) * radius / from_axis;
      }
      beads[i] = bead;
    }
  }
  double length = 0.0;
  for (std::size_t i = 1; i <= kBeads; ++i) {
    length += std::hypot(beads[i].x - beads[i - 1].x, beads[i].y - beads[i - 1].y,
                         beads[i].z - beads[i - 1].z);
  }
  return length;
}

TEST(RaisedOverRodAlongPick, IsAStringPulledTight) {
  for (const double base : {0.3, 1.0, 4.0}) {
    const double length = loop_mm(Raised::OverRodAlongPick, base, 1.0);
    // Chords of a fortieth of a radian are short by its square over 24: 7e-5.
    EXPECT_NEAR(string_round_rod(base, 1.0) / length, 1.0, 3e-4) << base;
  }
}

TEST(RaisedOverRodAlongPick, ByHand) {
  // Base 8, height 12: sqrt(64 + (pi 12)^2) = sqrt(64 + 1421.223) = 38.5386.
  EXPECT_NEAR(loop_mm(Raised::OverRodAlongPick, 8.0, 12.0), 38.5386, 1e-4);
}

TEST(Raised, VeryLowLoopsAreTheirBase) {
  // Both grow with the square of the height: by hand pi^2 H^2 / (4 B), over a gauge 2 H^2 / B, but
  // for parts (H / B)^2 smaller.
  EXPECT_NEAR(loop_mm(Raised::ByHand, 8.0, 0.08) - 8.0, pi * pi * 0.0002, 1e-6);
  EXPECT_NEAR(loop_mm(Raised::OverGauge, 8.0, 0.08) - 8.0, 0.0016, 1e-6);
}

TEST(Raised, VeryTallLoopsGrowWithTheirHeightAlone) {
  // A circle: pi heights. Feet together: 2.5537 heights (K / k where 2 E = K, k = 0.90891; K by the
  // arithmetic-geometric mean; the arch itself is tested in the elastica's own suite). A base of a
  // ten-thousandth is seen in the fourth digit.
  EXPECT_NEAR(loop_mm(Raised::OverGauge, 0.01, 100.0) / 100.0, pi, 3e-4);
  EXPECT_NEAR(loop_mm(Raised::ByHand, 0.01, 100.0) / 100.0, 2.5537, 3e-4);
}

TEST(Raised, SlopesAgreeWithCentralDifferences) {
  for (const double base_mm : {0.5, 4.0, 8.0, 30.0, 400.0}) {
    const std::array<double, 1> at{base_mm};
    const Length<> height = millimetres(12.0);
    test::expect_slopes_match(
        [&](const auto& x) { return in_millimetres(raised_by_hand(millimetres(x[0]), height)); },
        at);
    test::expect_slopes_match(
        [&](const auto& x) { return in_millimetres(raised_over_gauge(millimetres(x[0]), height)); },
        at);
    test::expect_slopes_match(
        [&](const auto& x) {
          return in_millimetres(raised_over_rod_along_pick(millimetres(x[0]), height));
        },
        at);
  }
}

TEST(Raised, RefusesLoopsWithoutHeight) {
  EXPECT_THROW(raised_by_hand(millimetres(8.0), millimetres(0.0)), OutOfRange);
  EXPECT_THROW(raised_over_gauge(millimetres(8.0), millimetres(-1.0)), OutOfRange);
  EXPECT_THROW(raised_over_gauge(millimetres(-8.0), millimetres(1.0)), OutOfRange);
}

TEST(GaugeDiameter, LeavesRoomForTheStrandsOverIt) {
  // 12 - 1.6; four strands side by side lie as one of twice the diameter: 12 - 3.2.
  EXPECT_NEAR(in_millimetres(gauge_diameter(millimetres(12.0), millimetres(1.6))), 10.4, 1e-9);
  EXPECT_NEAR(in_millimetres(gauge_diameter(millimetres(12.0), millimetres(1.6), 4)), 8.8, 1e-9);
}

TEST(GaugeDiameter, ThereIsNoneUnderALoopAsLowAsItsStrand) {
  try {
    gauge_diameter(millimetres(1.5), millimetres(1.6));
    FAIL() << "a gauge without thickness was given";
  } catch (const OutOfRange& refused) {
    EXPECT_EQ(std::string(refused.what()),
              "loops 1.5 mm high leave no room for a gauge under a weft of 1.6 mm; raise them "
              "higher or take a thinner weft");
  }
}

/// Rows as words: o over, u under.
std::string words(const cloth::Grid& grid) {
  std::string row;
  for (int end = 0; end < grid.ends(); ++end) row += grid.over(0, end) ? 'o' : 'u';
  return row;
}

TEST(LoopRow, BeginsAtTheLeftAndLeavesAShortLoopAtTheRight) {
  EXPECT_EQ(words(loop_row(3, 1, 10)), "ooouooouoo");
  EXPECT_EQ(words(loop_row(3, 2, 10, 1)), "uooouuooou");
  EXPECT_EQ(words(loop_row(3, 1, 4, 3)), "uuuo");
}

TEST(LoopRow, RefusesARowThatHoldsNoLoop) {
  EXPECT_THROW(loop_row(4, 1, 4), OutOfRange);
  EXPECT_THROW(loop_row(3, 1, 10, 10), OutOfRange);
  EXPECT_THROW(loop_row(0, 1, 10), OutOfRange);
  EXPECT_THROW(loop_row(3, 0, 10), OutOfRange);
  EXPECT_NO_THROW(loop_row(3, 1, 4));
}

/// 33 ends, loops of 12 mm over two ends and under one.
LoopedPile two_over_one() {
  LoopedPile pile;
  pile.strand = {"fleece", 1, 1};
  pile.row = loop_row(2, 1, 33);
  pile.rows = 5;
  pile.loop_height = millimetres(12.0);
  return pile;
}

/// Metres of each cause.
std::map<Cause, double> causes(const Entries<double>& entries) {
  std::map<Cause, double> sums;
  for (const auto& entry : entries) sums[entry.cause] += in_metres(entry.yarn);
  return sums;
}

constexpr double kRowHeight = 1.0;

TEST(LoopedPile, FiveRowsByHand) {
  // p 4, ends of 1.0, weft of 1.6. A row of 11 groups: 21 crossings (4, taut 4.8795 by Peirce, J.
  // Text. Inst. 28 (1937)), 11 floats of 4, a turn sqrt((pi 1.3)^2 + 1.6^2) = 4.3863, 11 loops of
  // 29.89 on bases of 8. Five rows: straight 0.4200, crimp 0.0923, floats 0.2200, turns 0.0219,
  // loops 1.2040; take 5 % of 1.9582 = 0.0979; laid 2.0561 in lengths of 1.80: 2, tails 0.4.
  const auto worked = looped_pile(two_over_one(), notched_lie(), kRowHeight);
  const auto sum = causes(worked.entries);
  EXPECT_NEAR(sum.at(Cause::Straight), 0.42, 1e-9);
  EXPECT_NEAR(sum.at(Cause::Crimp), 0.0923, 5e-5);
  EXPECT_NEAR(sum.at(Cause::Floats), 0.22, 1e-9);
  EXPECT_NEAR(sum.at(Cause::Turns), 0.02193, 5e-6);
  EXPECT_NEAR(sum.at(Cause::Loops), 1.2040, 3e-4);  // 55 loops, each given to 0.005 mm
  EXPECT_NEAR(sum.at(Cause::Take), 0.0979, 5e-5);
  EXPECT_NEAR(sum.at(Cause::Tails), 0.4, 1e-9);
  EXPECT_EQ(worked.lengths, 2.0);
  EXPECT_NEAR(in_millimetres(worked.height), 8.0, 1e-9);  // five rows a weft apart
  EXPECT_NEAR(in_millimetres(looped_pile_row_height(two_over_one(), notched_lie(), kRowHeight)),
              1.6, 1e-9);
  EXPECT_NEAR(in_metres(looped_pile_yarn(two_over_one(), notched_lie(), kRowHeight).total()),
              2.4561, 4e-4);
}

TEST(LoopedPile, SmoothlyCountedHalfALengthIsBegunOnAverage) {
  // x = 2.0561 / 1.80 = 1.1423: x + 1/2 = 1.6423 lengths of two tails of 0.1.
  Lie<> smooth = notched_lie();
  smooth.counting = Counting::Smooth;
  EXPECT_NEAR(causes(looped_pile_yarn(two_over_one(), smooth, kRowHeight)).at(Cause::Tails),
              0.32846, 8e-5);  // 0.4 mm of loops in 1.8 m, times 0.2; the corner 0.03 mm
}

TEST(LoopedPile, OverAGaugeTheLoopsAloneAreLonger) {
  LoopedPile pile = two_over_one();
  pile.raised = Raised::OverGauge;
  const auto taut = causes(looped_pile_yarn(pile, notched_lie(), kRowHeight));
  EXPECT_NEAR(taut.at(Cause::Loops), 55 * (0.03159 - 0.008), 3e-4);  // as above
  const auto by_hand = causes(looped_pile_yarn(two_over_one(), notched_lie(), kRowHeight));
  EXPECT_EQ(taut.at(Cause::Floats), by_hand.at(Cause::Floats));
}

TEST(LoopedPile, AShortGroupAtTheEdgeHasItsOwnBase) {
  // Over 3, under 1 on 33 ends: 8 loops on bases of 12 and one over the last end, on a base of 4.
  LoopedPile pile = two_over_one();
  pile.row = loop_row(3, 1, 33);
  pile.raised = Raised::OverGauge;
  // 12 high: 24 atan(12 / 12) = 6 pi = 18.850 and 24 atan(12 / 4) = 24 x 1.24905 = 29.977.
  const auto sum = causes(looped_pile_yarn(pile, notched_lie(), kRowHeight));
  EXPECT_NEAR(sum.at(Cause::Loops), 5 * (8 * 18.850 + 29.977) * 1e-3, 5e-5);
}

TEST(LoopedPile, StaggeredRowsAreCountedRowByRow) {
  // Two rows in turn: of five, three begin over and two under. On 6 ends, over 2 under 1: "oouoou"
  // has two loops of two, "uoouoo" as well; "uuoouo" has one of two and one of one.
  LoopedPile pile = two_over_one();
  pile.row = cloth::weave_from_words({"o2 u1 o2 u1", "u2 o2 u1 o1"});
  pile.raised = Raised::OverGauge;
  // 24 atan(12 / 8) = 23.587 over two ends, 29.977 over one: 3 x 2 + 2 x 1 of the one, 2 x 1 of
  // the other.
  const auto sum = causes(looped_pile_yarn(pile, notched_lie(), kRowHeight));
  EXPECT_NEAR(sum.at(Cause::Loops), (8 * 23.587 + 2 * 29.977) * 1e-3, 5e-5);
}

TEST(LoopedPile, HeldStrandsMultiplyAndSplitRovingDivides) {
  const double one = in_metres(looped_pile_yarn(two_over_one(), notched_lie(), kRowHeight).total());
  LoopedPile held = two_over_one();
  held.strand.held = 4;
  Lie<> thinner = notched_lie();
  thinner.strand_diameter = millimetres(0.8);  // four side by side lie as one of 1.6
  EXPECT_NEAR(in_metres(looped_pile_yarn(held, thinner, kRowHeight).total()), 4.0 * one, 1e-9);
  LoopedPile split = two_over_one();
  split.strand.split_into = 3;
  EXPECT_NEAR(in_metres(looped_pile_yarn(split, notched_lie(), kRowHeight).total()), one / 3.0,
              1e-9);
}

TEST(LoopedPile, RovingOverlapsAtEachBreakInPlaceOfTails) {
  // Laid 2.0561 m and a tail of 0.1 at each end, in lengths of 0.5 that overlap by 0.06:
  // (2.2561 - 0.06) / 0.44 = 4.99: five lengths, four breaks: 0.2 + 4 x 0.06.
  LoopedPile pile = two_over_one();
  pile.overlap = centimetres(6.0);
  Lie<> lie = notched_lie();
  lie.working_length = metres(0.5);
  const auto worked = looped_pile(pile, lie, kRowHeight);
  EXPECT_EQ(worked.lengths, 5.0);
  EXPECT_NEAR(causes(worked.entries).at(Cause::Tails), 0.44, 1e-9);
  // Smoothly counted 4.99 + 1/2 lengths, 4.49 breaks.
  lie.counting = Counting::Smooth;
  EXPECT_NEAR(causes(looped_pile_yarn(pile, lie, kRowHeight)).at(Cause::Tails), 0.2 + 4.49 * 0.06,
              3e-4);  // the laid length, sure to 0.5 mm in 2 m, and the rounded 4.99
  // One length has no break, however it is counted.
  lie.working_length = metres(20.0);
  EXPECT_NEAR(causes(looped_pile_yarn(pile, lie, kRowHeight)).at(Cause::Tails), 0.2, 1e-9);
}

TEST(LoopedPile, FatRovingLiesFlatAndItsRowsNeedRoom) {
  // A roving of 6 mm between ends 4 mm apart: (4 - 1) p_w >= pi 36 / 4 gives rows of 9.425 mm.
  Lie<> lie = notched_lie();
  lie.strand_diameter = millimetres(6.0);
  const auto worked = looped_pile(two_over_one(), lie, kRowHeight);
  EXPECT_TRUE(worked.flattened);
  EXPECT_TRUE(worked.rows_need_room);
  EXPECT_NEAR(in_millimetres(worked.row_spacing), 3.0 * pi, 1e-9);
}

/// The sentence with which a band is refused.
std::string refusal(const LoopedPile& pile, const Lie<>& lie) {
  try {
    looped_pile(pile, lie, kRowHeight);
  } catch (const OutOfRange& refused) {
    return refused.what();
  }
  return "accepted";
}

TEST(LoopedPile, RefusesWithASentence) {
  LoopedPile pile = two_over_one();
  pile.loop_height = {};
  EXPECT_EQ(
      refusal(pile, notched_lie()),
      "loops 0 mm high do not rise above their weft, which is 1.6 mm thick; raise them higher "
      "or take a thinner weft");
  pile = two_over_one();
  pile.overlap = metres(2.0);
  EXPECT_EQ(
      refusal(pile, notched_lie()),
      "a working length of 200.0 cm is used up by an overlap of 200.0 cm; weave with a longer "
      "length or overlap less");
  pile = two_over_one();
  pile.rows = 0;
  EXPECT_NE(refusal(pile, notched_lie()), "accepted");
}

TEST(LoopedPile, SlopesAgreeWithCentralDifferences) {
  for (const Raised raised : {Raised::ByHand, Raised::OverGauge, Raised::OverRodAlongPick}) {
    for (const double overlap_mm : {0.0, 60.0}) {
      for (const double strand_mm : {1.6, 6.0}) {
        LoopedPile pile = two_over_one();
        pile.row = loop_row(3, 1, 33);
        pile.raised = raised;
        pile.overlap = millimetres(overlap_mm);
        pile.strand = {"fleece", 2, 3};
        Lie<> lie = notched_lie();
        lie.strand_diameter = millimetres(strand_mm);
        lie.working_length = metres(0.7);
        test::expect_slopes_match(
            [&](const auto& x) {
              return in_millimetres(looped_pile_yarn(pile, lie_of(x, lie), kRowHeight).total());
            },
            variables_of(lie));
        test::expect_slopes_match(
            [&](const auto& x) {
              return in_millimetres(looped_pile_row_height(pile, lie_of(x, lie), kRowHeight));
            },
            variables_of(lie));
      }
    }
  }
}

}  // namespace
}  // namespace ellwand::technique
