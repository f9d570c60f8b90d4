#include "ellwand/numeric/normal.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "ellwand/units/error.hpp"

namespace ellwand::numeric {
namespace {

constexpr double kInfinite = std::numeric_limits<double>::infinity();

// M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions (1964), table 26.1 and 26.5,
// from memory; the digits are also the half of erfc, which the C library computes by another way.
TEST(NormalCdf, HasTheHandbooksValues) {
  EXPECT_NEAR(normal_cdf(0.0), 0.5, 1e-16);
  EXPECT_NEAR(normal_cdf(1.0), 0.841344746068543, 1e-15);
  EXPECT_NEAR(normal_cdf(-2.0), 0.022750131948179, 1e-15);
}

TEST(NormalCdf, AgreesWithTheErrorFunctionOfTheCLibrary) {
  for (double z = -30.0; z <= 8.0; z += 0.37) {
    const double other = 0.5 * std::erfc(-z / std::sqrt(2.0));
    EXPECT_NEAR(normal_cdf(z) / other, 1.0, 1e-12) << z;  // far tail: z^2 times the rounding of z
  }
}

TEST(NormalCdf, IsZeroAndOneAtTheEndsOfTheLine) {
  EXPECT_EQ(normal_cdf(-kInfinite), 0.0);
  EXPECT_EQ(normal_cdf(kInfinite), 1.0);
  EXPECT_EQ(normal_cdf(-1e10), 0.0);
  EXPECT_EQ(normal_cdf(1e10), 1.0);
}

TEST(NormalQuantile, HasTheHandbooksValues) {
  EXPECT_EQ(normal_quantile(0.5), 0.0);
  EXPECT_NEAR(normal_quantile(0.95), 1.644853626951473, 1e-14);
  EXPECT_NEAR(normal_quantile(0.975), 1.959963984540054, 1e-14);
  EXPECT_NEAR(normal_quantile(0.05), -1.644853626951473, 1e-14);
}

TEST(NormalQuantile, UndoesTheCdf) {
  for (double z = -30.0; z <= 5.0; z += 0.41) {
    // Near 1 the chance itself has 1e-16 steps; by the density at z = 5 that is 7e-11 of z.
    EXPECT_NEAR(normal_quantile(normal_cdf(z)), z, 1e-10) << z;
  }
}

TEST(NormalQuantile, RefusesAChanceThatIsNone) {
  for (const double p : {0.0, 1.0, -0.1, 1.5, kInfinite, std::nan("")}) {
    EXPECT_THROW(normal_quantile(p), OutOfRange) << p;
  }
  EXPECT_THROW(normal_cdf(std::nan("")), OutOfRange);
}

TEST(NormalQuantile, SaysWhatItNeeds) {
  try {
    normal_quantile(1.5);
    FAIL() << "1.5 was accepted";
  } catch (const OutOfRange& refused) {
    EXPECT_STREQ(refused.what(), "a chance is 1.5; a quantile needs one above 0 and below 1");
  }
}

}  // namespace
}  // namespace ellwand::numeric
