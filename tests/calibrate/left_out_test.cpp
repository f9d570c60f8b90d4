// The deletion formula against fits that have never seen the piece.

#include "ellwand/calibrate/left_out.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ellwand::calibrate {
namespace {

constexpr double kNormal = std::numeric_limits<double>::infinity();

/// Three pieces with two rows each but for the last, two common coefficients, one own.
std::vector<LinearRow> some_rows() {
  return {{{{0, 1.0}}, {{0, 1.0}}, 0, 0.30, 0.05},
          {{{0, 0.7}, {1, 0.2}}, {{0, 0.5}}, 0, 0.10, 0.04},
          {{{0, 1.0}}, {{0, 1.0}}, 1, 0.02, 0.05},
          {{{0, 1.0}, {1, 1.0}}, {{0, 1.0}}, 1, -0.05, 0.06},
          {{{1, 1.0}}, {{0, 1.0}}, 2, 0.40, 0.05}};
}

constexpr double kOwn = 0.06 * 0.06;
const std::vector<double> kCommon = {0.10 * 0.10, 0.20 * 0.20};

Posterior posterior_of(const std::vector<LinearRow>& rows) {
  return NormalRows(rows, 2, 1).without_own(std::vector<double>{kOwn}).posterior(kCommon);
}

std::vector<LeftOut> all_left_out(const std::vector<LinearRow>& rows, double robustness) {
  std::vector<double> sds;
  for (const LinearRow& row : rows) sds.push_back(row.sd);
  return left_out(rows, sds, posterior_of(rows), std::vector<double>{kOwn}, robustness);
}

TEST(LeftOut, IsWhatAFitWithoutThePieceForetells) {
  const std::vector<LinearRow> rows = some_rows();
  const std::vector<LeftOut> told = all_left_out(rows, kNormal);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    std::vector<LinearRow> others;
    std::copy_if(rows.begin(), rows.end(), std::back_inserter(others),
                 [&](const LinearRow& one) { return one.piece != rows[i].piece; });
    for (LinearRow& one : others) one.piece = one.piece > rows[i].piece ? one.piece - 1 : one.piece;
    const Posterior without = posterior_of(others);
    double mean = 0.0;
    double variance = rows[i].sd * rows[i].sd + std::pow(rows[i].own[0].slope, 2.0) * kOwn;
    for (const Slope& a : rows[i].common) {
      mean += a.slope * without.means[a.coefficient];
      for (const Slope& b : rows[i].common) {
        variance += a.slope * b.slope * without.covariances[a.coefficient * 2 + b.coefficient];
      }
    }
    EXPECT_NEAR(told[i].residual, rows[i].value - mean, 1e-12) << i;
    EXPECT_NEAR(told[i].sd, std::sqrt(variance), 1e-12) << i;
  }
}

/// One row alone: the prior foretells it, 0 with 0.2^2 + 0.06^2 + 0.05^2 = 0.0461.
TEST(LeftOut, OfTheOnlyRowIsThePrior) {
  const LeftOut told = all_left_out({some_rows()[4]}, 4.0).front();
  EXPECT_NEAR(told.residual, 0.40, 1e-12);
  EXPECT_NEAR(told.sd, std::sqrt(0.0461), 1e-12);
  EXPECT_NEAR(told.degrees, 4.0 * std::pow(0.0461 / 0.0025, 2.0), 1e-9);
}

/// Published: beyond 1.96 lie 5 % of a normal, beyond 2.7764 as many of Student's t with 4.
TEST(LeftOut, IsHeldAgainstItsTail) {
  EXPECT_NEAR(tail_chance({1.96 * 0.2, 0.2, kNormal}), 0.05, 2e-5);
  EXPECT_NEAR(tail_chance({-2.7764 * 0.2, 0.2, 4.0}), 0.05, 2e-5);
}

}  // namespace
}  // namespace ellwand::calibrate
