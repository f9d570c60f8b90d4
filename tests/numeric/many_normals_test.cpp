/// Joint chances of many variables against quadrature and against all pairs.

#include "ellwand/numeric/many_normals.hpp"

#include "ellwand/numeric/normal.hpp"
#include "ellwand/numeric/normal_joint.hpp"
#include "ellwand/units/error.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>
#include <vector>

namespace ellwand::numeric {
namespace {

/// Factor 0 in common by `r`'s root, and one of its own.
ManyNormals alike(std::size_t count, double r) {
  ManyNormals many;
  for (std::size_t i = 0; i < count; ++i) {
    const std::array factors = {0U, static_cast<std::uint32_t>(i + 1)};
    many.add(factors, std::array{std::sqrt(r), std::sqrt(1.0 - r)});
  }
  return many;
}

/// 1 less the integral over the common factor of the chance that none exceeds, by a fine sum.
double by_quadrature(std::size_t count, double r, double z) {
  double sum = 0.0;
  constexpr double kStep = 0.001;
  for (double f = -8.0; f < 8.0; f += kStep) {
    const double one = normal_cdf((z - std::sqrt(r) * f) / std::sqrt(1.0 - r));
    sum += std::pow(one, static_cast<double>(count)) * std::exp(-0.5 * f * f) * kStep;
  }
  return 1.0 - sum / std::sqrt(2.0 * M_PI);
}

// 0.002: six directions' lattice of 2039 points; the quadrature itself is exact to 1e-9.
TEST(ManyNormals, OfOneCommonFactorAgreeWithQuadrature) {
  for (const std::size_t count : {31U, 300U, 10000U}) {
    for (const double r : {0.1, 0.5, 0.9}) {
      const std::vector<double> z(count, 1.645);
      EXPECT_NEAR(alike(count, r).chance_any_exceeds(z), by_quadrature(count, r, 1.645), 0.002)
          << count << " of " << r;
    }
  }
}

// Twenty variables over three common factors, looked at pair by pair by normal_joint.
TEST(ManyNormals, AgreeWithAllPairs) {
  constexpr std::size_t kCount = 20;
  ManyNormals many;
  std::vector<std::vector<double>> rows;
  for (std::size_t i = 0; i < kCount; ++i) {
    std::vector<double> row(3 + kCount, 0.0);
    row[0] = 0.6;
    row[1 + i % 2] = 0.5;
    row[3 + i] = std::sqrt(1.0 - 0.36 - 0.25);
    const std::array factors = {0U, static_cast<std::uint32_t>(1 + i % 2),
                                static_cast<std::uint32_t>(3 + i)};
    many.add(factors, std::array{row[0], row[1 + i % 2], row[3 + i]});
    rows.push_back(row);
  }
  std::vector<double> correlation;
  std::vector<double> z;
  for (std::size_t i = 0; i < kCount; ++i) {
    z.push_back(1.2 + 0.05 * static_cast<double>(i));
    for (std::size_t j = 0; j < kCount; ++j) {
      double sum = 0.0;
      for (std::size_t c = 0; c < rows[i].size(); ++c) sum += rows[i][c] * rows[j][c];
      correlation.push_back(sum);
    }
  }
  EXPECT_NEAR(many.chance_any_exceeds(z), chance_any_exceeds(z, correlation), 0.002);
  EXPECT_NEAR(many.joint_quantile(0.95), joint_quantile(correlation, 0.95), 0.01);
}

// What 1000 of them have in common may not add up to more than each alone needs by Bonferroni.
TEST(ManyNormals, JointQuantileIsReachedWithItsChance) {
  const ManyNormals many = alike(1000, 0.5);
  const double z = many.joint_quantile(0.95);
  EXPECT_NEAR(by_quadrature(1000, 0.5, z), 0.05, 0.002);
}

TEST(ManyNormals, WhatIsSureNeverExceeds) {
  ManyNormals many = alike(40, 0.5);
  std::vector<double> z(40, 2.0);
  const double without = many.chance_any_exceeds(z);
  many.add({}, {});
  z.push_back(0.0);
  EXPECT_EQ(many.chance_any_exceeds(z), without);
}

TEST(ManyNormals, InfiniteLimitsAreAllowedAndOthersRefused) {
  const ManyNormals many = alike(40, 0.5);
  std::vector<double> z(40, std::numeric_limits<double>::infinity());
  EXPECT_NEAR(many.chance_any_exceeds(z), 0.0, 1e-12);
  z[3] = -std::numeric_limits<double>::infinity();
  EXPECT_NEAR(many.chance_any_exceeds(z), 1.0, 1e-12);
  z[3] = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(many.chance_any_exceeds(z), OutOfRange);
  EXPECT_THROW(many.chance_any_exceeds(std::vector<double>(3, 1.0)), OutOfRange);
}

}  // namespace
}  // namespace ellwand::numeric
