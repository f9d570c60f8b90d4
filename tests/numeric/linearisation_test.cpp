#include "ellwand/numeric/linearisation.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <vector>

#include "ellwand/numeric/sums.hpp"

namespace ellwand::numeric {
namespace {

// J = [1 0; 1 1; 0 2].
const std::vector<double> kSlopes = {1.0, 0.0, 1.0, 1.0, 0.0, 2.0};

TEST(DenseLinearisation, MultipliesAsByHand) {
  const auto linear = dense_linearisation(kSlopes, 2);
  std::vector<double> two(2);
  linear->column_norms(two);
  EXPECT_NEAR(two[0], std::sqrt(2.0), 1e-15);
  EXPECT_NEAR(two[1], std::sqrt(5.0), 1e-15);
  linear->gradient(std::vector{1.0, 2.0, 3.0}, two);
  EXPECT_EQ(two, (std::vector{3.0, 8.0}));
  std::vector<double> three(3);
  linear->along(std::vector{2.0, -1.0}, three);
  EXPECT_EQ(three, (std::vector{2.0, 1.0, -2.0}));
}

TEST(DenseLinearisation, SolvesThePlainAndTheDampedProblem) {
  const auto linear = dense_linearisation(kSlopes, 2);
  std::vector<double> step(2);
  // J^T J = [2 1; 1 5], J^T (1, 2, 3) = (3, 8): step = (7, 13) / 9.
  ASSERT_TRUE(linear->damp(std::vector{0.0, 0.0}));
  linear->solve(std::vector{1.0, 2.0, 3.0}, step);
  EXPECT_NEAR(step[0], 7.0 / 9.0, 1e-15);
  EXPECT_NEAR(step[1], 13.0 / 9.0, 1e-15);
  // Damped by (1, 2): [3 1; 1 9]: step = (19, 21) / 26.
  ASSERT_TRUE(linear->damp(std::vector{1.0, 2.0}));
  linear->solve(std::vector{1.0, 2.0, 3.0}, step);
  EXPECT_NEAR(step[0], 19.0 / 26.0, 1e-15);
  EXPECT_NEAR(step[1], 21.0 / 26.0, 1e-15);
}

TEST(DenseLinearisation, TellsColumnsThatDependOnEachOther) {
  const auto linear = dense_linearisation(std::vector{1.0, 2.0, 3.0, 6.0, 0.1, 0.2}, 2);
  EXPECT_FALSE(linear->damp(std::vector{0.0, 0.0}));
  EXPECT_TRUE(linear->damp(std::vector{0.1, 0.1}));
  const auto few = dense_linearisation(std::vector{1.0, 2.0}, 2);  // one row, two unknowns
  EXPECT_FALSE(few->damp(std::vector{0.0, 0.0}));
  EXPECT_TRUE(few->damp(std::vector{1.0, 1.0}));
  const auto none = dense_linearisation(std::vector{1.0, 0.0, 1.0, 0.0}, 2);  // a column of zeros
  EXPECT_FALSE(none->damp(std::vector{0.0, 0.0}));
}

TEST(DenseLinearisation, IsNoneWhereASlopeIsNotFinite) {
  EXPECT_EQ(dense_linearisation(std::vector{1.0, std::nan("")}, 1), nullptr);
  EXPECT_EQ(dense_linearisation(std::vector{std::numeric_limits<double>::infinity()}, 1), nullptr);
}

TEST(MovedStart, PassesThroughZeroToTheOtherSide) {
  EXPECT_EQ(moved_start(2.0, 0.0), 2.0);
  EXPECT_NEAR(moved_start(-2.0, 1.0), -2.0 * std::exp(1.0), 1e-15);
  EXPECT_NEAR(moved_start(2.0, -3.0), -2.0 * std::exp(1.0), 1e-14);
  EXPECT_EQ(moved_start(0.0, -0.3), -0.3);
}

TEST(CompensatedSum, KeepsWhatAPlainSumLoses) {
  CompensatedSum sum;
  for (const double term : {1.0, 1e100, 1.0, -1e100}) sum.add(term);  // Neumaier's own example
  EXPECT_EQ(sum.value(), 2.0);
  const std::vector<double> tenths(10000000, std::sqrt(0.1));
  // Each square is 0.1 to 1e-16; a plain sum of 1e7 of them is off by about 1e-10 of itself.
  EXPECT_NEAR(sum_of_squares(tenths), 1e6, 1e-9);
}

TEST(CompensatedSum, IsInfiniteWhenATermIs) {
  EXPECT_EQ(sum_of_squares(std::vector{1.0, 1e300}), std::numeric_limits<double>::infinity());
  EXPECT_TRUE(std::isnan(sum_of_squares(std::vector{1.0, std::nan("")})));
}

}  // namespace
}  // namespace ellwand::numeric
