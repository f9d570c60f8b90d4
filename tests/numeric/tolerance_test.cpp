// Tolerance factors against a table.

#include "ellwand/numeric/tolerance.hpp"

#include "ellwand/numeric/normal.hpp"
#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"

#include <gtest/gtest.h>

namespace ellwand::numeric {
namespace {

TEST(ToleranceFactor, AgreesWithTheTable) {
  for (const auto& row : test::published_rows("tolerance_factors.csv", 135)) {
    const double k = tolerance_factor(static_cast<int>(test::number(row, "n")),
                                      test::number(row, "share"), test::number(row, "confidence"));
    // Half of the last digit.
    EXPECT_NEAR(k, test::number(row, "k"), 0.5e-4) << row.at("n") << ' ' << row.at("share");
  }
}

TEST(ToleranceFactor, ComesDownToTheScoreOfTheShare) {
  // Of many values the mean and the sd are nearly known: of 10 000 the mean to 0.01, the sd to
  // 0.007; at 90 % 1.28 times the root of 0.01^2 + (2.05 x 0.007)^2, which is 0.0225, and a little
  // for the skewness.
  const double k = tolerance_factor(10'000, 0.98, 0.9);
  EXPECT_NEAR(k - normal_quantile(0.98), 0.0225, 0.002);
}

TEST(ToleranceFactor, RefusesWhatHasNone) {
  EXPECT_THROW(tolerance_factor(1, 0.98, 0.9), OutOfRange);
  EXPECT_THROW(tolerance_factor(5, 1.0, 0.9), OutOfRange);
  EXPECT_THROW(tolerance_factor(5, 0.98, 0.2), OutOfRange);
}

}  // namespace
}  // namespace ellwand::numeric
