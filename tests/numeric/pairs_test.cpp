#include "ellwand/numeric/pairs.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace ellwand::numeric {
namespace {

double larger_off(const Pair& have, double first, double second) {
  return std::max(std::abs(have[0] / first - 1.0), std::abs(have[1] / second - 1.0));
}

// Against the C library's exp and expm1.
TEST(Pairs, SeriesAreAsCloseAsTheySay) {
  for (double x = -kSeriesReach; x < kSeriesReach; x += 0.0097) {
    const Pair both = {x, -x};
    EXPECT_LT(larger_off(expm1_by_8_terms(both), std::expm1(x), std::expm1(-x)), 3e-7) << x;
    EXPECT_LT(larger_off(exp_by_9_terms(both), std::exp(x), std::exp(-x)), 1e-9) << x;
  }
}

TEST(Pairs, BeyondTheirReachTheLibraryIsAsked) {
  for (const double x : {-40.0, -3.0, -0.71, 0.71, 3.0, 40.0}) {
    for (const Pair both : {Pair{x, 0.1}, Pair{0.1, x}}) {
      EXPECT_LT(larger_off(quick_exp(both), std::exp(both[0]), std::exp(both[1])), 1e-14);
      EXPECT_LT(larger_off(quick_expm1(both), std::expm1(both[0]), std::expm1(both[1])), 1e-14);
    }
  }
}

TEST(Pairs, AnOddNumberHasOneMore) {
  EXPECT_EQ(in_pairs(0), 0U);
  EXPECT_EQ(in_pairs(1), 2U);
  EXPECT_EQ(in_pairs(2), 2U);
  EXPECT_EQ(in_pairs(7), 8U);
}

}  // namespace
}  // namespace ellwand::numeric
