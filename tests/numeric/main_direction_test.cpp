#include "ellwand/numeric/main_direction.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstddef>
#include <random>
#include <vector>

namespace ellwand::numeric {
namespace {

struct Unsure {
  std::vector<double> medians;
  std::vector<double> covariances;
};

// Parts that move with causes of their own and one they share, their log-sds up to `widest`.
Unsure some_parts(std::size_t n, double widest, unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> share(0.1, 1.0);
  Unsure parts;
  std::vector<double> shared;
  std::vector<double> own;
  for (std::size_t i = 0; i < n; ++i) {
    parts.medians.push_back(3.0 * share(random));
    shared.push_back(0.6 * widest * share(random));
    own.push_back(0.8 * widest * share(random));
  }
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      parts.covariances.push_back(shared[i] * shared[j] + (i == j ? own[i] * own[i] : 0.0));
    }
  }
  return parts;
}

// The sums of the definition, written out term by term.
class ByDefinition {
 public:
  explicit ByDefinition(const Unsure& parts) : parts_(parts), n_(parts.medians.size()) {
    std::vector<double> moves(n_, 0.0);
    for (std::size_t i = 0; i < n_; ++i) {
      for (std::size_t j = 0; j < n_; ++j) moves[i] += c(i, j) * mean_of(j);
      variance += mean_of(i) * moves[i];
    }
    for (std::size_t i = 0; i < n_; ++i) slopes.push_back(moves[i] / std::sqrt(variance));
  }
  double amount(std::size_t i, double t) const {
    return parts_.medians[i] * std::exp(0.5 * (c(i, i) - slopes[i] * slopes[i]) + slopes[i] * t);
  }
  double mean_at(double t) const {
    double sum = 0.0;
    for (std::size_t i = 0; i < n_; ++i) sum += amount(i, t);
    return sum;
  }
  double variance_at(double t) const {
    double sum = 0.0;
    for (std::size_t i = 0; i < n_; ++i) {
      for (std::size_t j = 0; j < n_; ++j) sum += amount(i, t) * amount(j, t) * beside(i, j);
    }
    return sum;
  }
  double beside(std::size_t i, std::size_t j) const {
    return std::exp(c(i, j) - slopes[i] * slopes[j]) - 1.0;
  }

  double variance = 0.0;
  std::vector<double> slopes;

 private:
  double c(std::size_t i, std::size_t j) const { return parts_.covariances[i * n_ + j]; }
  double mean_of(std::size_t i) const { return parts_.medians[i] * std::exp(0.5 * c(i, i)); }

  const Unsure& parts_;
  std::size_t n_;
};

void expect_as_defined(const Unsure& parts) {
  const ByDefinition expected(parts);
  MainDirection along(parts.medians, parts.covariances);
  EXPECT_NEAR(along.variance() / expected.variance, 1.0, 1e-8);
  const std::size_t n = parts.medians.size();
  ASSERT_EQ(along.slopes().size(), n);
  const std::vector<double> besides = along.besides();
  for (std::size_t i = 0; i < n; ++i) {
    EXPECT_NEAR(along.slopes()[i], expected.slopes[i], 1e-8);
    EXPECT_NEAR(along.middles()[i] / expected.amount(i, 0.0), 1.0, 1e-8);
    EXPECT_NEAR(besides[i * n], expected.beside(i, 0), 1e-7);
  }
  const double z = 1.3;
  const auto states = along.around(z);
  for (std::size_t k = 0; k < 3; ++k) {
    const double t = (static_cast<double>(k) - 1.0) * z;
    const double mean = expected.mean_at(t);
    EXPECT_NEAR(states[k].mean / mean, 1.0, 1e-8) << n << " parts";
    EXPECT_NEAR(states[k].variance, expected.variance_at(t), 1e-6 * mean * mean) << n << " parts";
    // By central differences.
    const double h = 1e-3;
    const double below = expected.mean_at(t - h);
    const double above = expected.mean_at(t + h);
    EXPECT_NEAR(states[k].slope, (above - below) / (2.0 * h), 1e-6 * mean);
    EXPECT_NEAR(states[k].bend, (above - 2.0 * mean + below) / (h * h), 1e-6 * mean);
    EXPECT_NEAR(states[k].variance_slope,
                (expected.variance_at(t + h) - expected.variance_at(t - h)) / (2.0 * h),
                1e-6 * mean * mean);
  }
}

TEST(MainDirection, IsAsDefinedForOddAndEvenNumbersOfParts) {
  for (std::size_t n = 1; n <= 9; ++n) {
    expect_as_defined(some_parts(n, 0.2, static_cast<unsigned>(n)));
    expect_as_defined(some_parts(n, 0.6, static_cast<unsigned>(n)));
  }
}

// Beyond where the series reach, and in more parts than there is room for without the heap.
TEST(MainDirection, IsAsDefinedForWideDoubtsAndManyParts) {
  expect_as_defined(some_parts(5, 1.6, 11));
  expect_as_defined(some_parts(24, 0.4, 12));
}

TEST(MainDirection, SurePartsHaveNone) {
  MainDirection along(std::vector<double>{1.0, 2.0, 3.0}, std::vector<double>(9, 0.0));
  EXPECT_EQ(along.variance(), 0.0);
}

}  // namespace
}  // namespace ellwand::numeric
