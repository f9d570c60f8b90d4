// Knots in put-ups: by hand, and against yarn unwound knot by knot.

#include "ellwand/technique/put_up_knots.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>

#include "ellwand/numeric/dual.hpp"

namespace ellwand::technique {
namespace {

/// Yarn with knots here and there, unwound bit by bit.
class KnottedYarn {
 public:
  explicit KnottedYarn(double knots_per_metre) : knots_(knots_per_metre) { to_next_ = draw(); }

  /// How far the next knot is.
  double to_next_knot() const { return to_next_; }
  /// Unwinds so much, and no further than the knot.
  void unwind(double metres) {
    used_ += metres;
    to_next_ -= metres;
    if (to_next_ <= 0.0) to_next_ = draw();
  }
  double used() const { return used_; }

 private:
  double draw() {
    const double uniform = static_cast<double>(engine_() >> 11) * 0x1.0p-53;
    return -std::log(1.0 - uniform) / knots_;
  }
  std::mt19937_64 engine_{7};
  double knots_;
  double to_next_ = 0.0;
  double used_ = 0.0;
};

TEST(PutUpKnots, InLengthsCostTwoTailsEach) {
  // 100 m with one knot in 50 m and tails of 10 cm: 2 x 2 x 0.1 = 0.4 m to first order;
  // 100 (exp(2 x 0.02 x 0.1) - 1) = 100 x 0.00400801.
  EXPECT_NEAR(in_metres(knots_in_lengths(metres(100.0), metres(0.1), 0.02)), 0.400801, 1e-6);
  EXPECT_EQ(in_metres(knots_in_lengths(metres(100.0), metres(0.1), 0.0)), 0.0);
}

TEST(PutUpKnots, InCutsCostHalfACutEach) {
  // 1000 strands of 32 cm with a knot in 50 m: 6.4 knots, 0.16 m each: 1.024 m to first order.
  // (exp(0.0064) - 1 - 0.0064) / 0.02 x 1000 = 2.0523761e-5 / 0.02 x 1000: x^2/2 + x^3/6 + x^4/24.
  EXPECT_NEAR(in_metres(knots_in_cuts(1000.0, metres(0.32), 0.02)), 1.0261880, 1e-6);
  EXPECT_EQ(in_metres(knots_in_cuts(1000.0, metres(0.32), 0.0)), 0.0);
}

TEST(PutUpKnots, InAWoundWarpCostARunAndTwoTies) {
  // 30 passes of 0.5 m with a knot in 10 m: exp(0.05) - 1 = 0.0512711; 30 x (0.0512711 x (10 + 0.2)
  // - 0.5) = 30 x 0.0229652.
  EXPECT_NEAR(in_metres(knots_in_wound_warp(30.0, metres(0.5), metres(0.1), 0.1)), 0.688956, 1e-5);
  EXPECT_EQ(in_metres(knots_in_wound_warp(30.0, metres(0.5), metres(0.1), 0.0)), 0.0);
}

TEST(PutUpKnots, InLengthsAgreeWithYarnUnwound) {
  // Far more knots than any yarn has, so that every term counts. The means of 200 000 lengths are
  // within 0.3 %.
  for (const double knots : {0.05, 0.5, 2.0}) {
    const double length = 2.0;
    const double tail = 0.1;
    KnottedYarn yarn(knots);
    double laid = 0.0;
    for (int i = 0; i < 200'000; ++i) {
      for (double left = length; left > 0.0;) {
        const double run = std::min(left, yarn.to_next_knot());
        laid += std::max(0.0, run - 2.0 * tail);
        yarn.unwind(run);
        left -= run;
      }
    }
    const double without = laid * length / (length - 2.0 * tail);
    const double extra = in_metres(knots_in_lengths(metres(without), metres(tail), knots));
    EXPECT_NEAR((without + extra) / yarn.used(), 1.0, 0.003) << knots << " knots a metre";
  }
}

TEST(PutUpKnots, InCutsAgreeWithYarnUnwound) {
  for (const double knots : {0.05, 0.5, 2.0}) {
    const double each = 0.8;
    constexpr int kStrands = 400'000;
    KnottedYarn yarn(knots);
    for (int i = 0; i < kStrands; ++i) {
      while (yarn.to_next_knot() < each) yarn.unwind(yarn.to_next_knot());
      yarn.unwind(each);
    }
    const double extra = in_metres(knots_in_cuts(double{kStrands}, metres(each), knots));
    EXPECT_NEAR(extra / (yarn.used() - kStrands * each), 1.0, 0.03) << knots << " knots a metre";
  }
}

TEST(PutUpKnots, SlopesAgreeWithCentralDifferences) {
  const double h = 1e-5;
  const Length<Dual> each = metres(Dual::variable(0.32, 0));
  const auto cut_m = [](double c) { return in_metres(knots_in_cuts(48.0, metres(c), 0.2)); };
  EXPECT_NEAR(in_metres(knots_in_cuts(Dual(48.0), each, 0.2)).slope[0],
              (cut_m(0.32 + h) - cut_m(0.32 - h)) / (2.0 * h), 1e-7);
  const auto laid_m = [](double t) {
    return in_metres(knots_in_lengths(metres(40.0), metres(t), 0.2));
  };
  EXPECT_NEAR(in_metres(knots_in_lengths(Length<Dual>(metres(40.0)), each, 0.2)).slope[0],
              (laid_m(0.32 + h) - laid_m(0.32 - h)) / (2.0 * h), 1e-6);
  const auto wound_m = [](double a) {
    return in_metres(knots_in_wound_warp(33.0, metres(a), metres(0.1), 0.2));
  };
  EXPECT_NEAR(in_metres(knots_in_wound_warp(33.0, each, metres(0.1), 0.2)).slope[0],
              (wound_m(0.32 + h) - wound_m(0.32 - h)) / (2.0 * h), 1e-6);
}

TEST(PutUpKnots, ShortAndLongFormulasMeet) {
  // exp(x) - 1 - x at x = 0.01, from either side: 5.016708416805754e-5 (series by hand to x^6).
  const auto cut_m = [](double x) { return in_metres(knots_in_cuts(1.0, metres(x), 1.0)); };
  EXPECT_NEAR(cut_m(0.01), 5.016708416805754e-5, 1e-17);
  EXPECT_NEAR(cut_m(0.0100001) / cut_m(0.01), std::pow(1.00001, 2.0 + 0.01 / 3.0), 1e-9);
}

}  // namespace
}  // namespace ellwand::technique
