#include "ellwand/numeric/covariance.hpp"

#include <gtest/gtest.h>

#include <vector>

namespace ellwand::numeric {
namespace {

// J = [1 0; 1 1; 0 2]: J^T J = [2 1; 1 5], its inverse [5 -1; -1 2] / 9.
const std::vector<double> kSlopes = {1.0, 0.0, 1.0, 1.0, 0.0, 2.0};

TEST(UncertaintyOf, InvertsAsByHand) {
  const Uncertainty found = uncertainty_of(kSlopes, 2, 3);
  EXPECT_EQ(found.rank, 2U);
  ASSERT_EQ(found.inverse.size(), 4U);
  EXPECT_NEAR(found.inverse[0], 5.0 / 9.0, 1e-15);
  EXPECT_NEAR(found.inverse[1], -1.0 / 9.0, 1e-15);
  EXPECT_NEAR(found.inverse[2], -1.0 / 9.0, 1e-15);
  EXPECT_NEAR(found.inverse[3], 2.0 / 9.0, 1e-15);
}

TEST(UncertaintyOf, DataShareIsTheTraceOverTheDataRows) {
  EXPECT_NEAR(uncertainty_of(kSlopes, 2, 3).data_share, 2.0, 1e-14);
  // Rows (1, 0) and (1, 1): 5 / 9 and (5 - 1 - 1 + 2) / 9.
  EXPECT_NEAR(uncertainty_of(kSlopes, 2, 2).data_share, 10.0 / 9.0, 1e-14);
  EXPECT_EQ(uncertainty_of(kSlopes, 2, 0).data_share, 0.0);
}

TEST(UncertaintyOf, UnitsOfTheUnknownsDoNotChangeTheRank) {
  const Uncertainty found = uncertainty_of(std::vector{1e-9, 0.0, 1e-9, 1e9, 0.0, 2e9}, 2, 3);
  EXPECT_EQ(found.rank, 2U);
  EXPECT_NEAR(found.inverse[0], 5.0 / 9.0 * 1e18, 1e4);
}

TEST(UncertaintyOf, CountsOnlyDirectionsThatArePinned) {
  const Uncertainty twice = uncertainty_of(std::vector{1.0, 2.0, 3.0, 6.0, 0.1, 0.2}, 2, 3);
  EXPECT_EQ(twice.rank, 1U);
  EXPECT_TRUE(twice.inverse.empty());
  const Uncertainty none = uncertainty_of(std::vector{0.0, 0.0, 0.0, 0.0}, 2, 2);
  EXPECT_EQ(none.rank, 0U);
  const Uncertainty lost = uncertainty_of(std::vector{1e-300}, 1, 1);
  EXPECT_TRUE(lost.inverse.empty());
}

}  // namespace
}  // namespace ellwand::numeric
