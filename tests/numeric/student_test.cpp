#include "ellwand/numeric/student.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "ellwand/numeric/normal.hpp"
#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"

namespace ellwand::numeric {
namespace {

constexpr double kInfinite = std::numeric_limits<double>::infinity();

// One degree is Cauchy's distribution, two have 1/2 + t / (2 sqrt(2 + t^2)):
// M. Abramowitz and I. A. Stegun, Handbook of Mathematical
// Functions (1964), 26.7.3 and 26.7.4, from memory; each is also the integral of the density.
TEST(StudentCdf, AgreesWithItsClosedForms) {
  for (double t = -40.0; t <= 40.0; t += 0.37) {
    const double cauchy = std::atan2(1.0, -t) / std::numbers::pi;
    EXPECT_NEAR(student_cdf(t, 1.0) / cauchy, 1.0, 1e-12) << t;
    // 1/2 (1 + t / sqrt(2 + t^2)), in the lower tail without cancelling: 1 / (s (s - t)), s^2 = 2 +
    // t^2.
    const double s = std::sqrt(2.0 + t * t);
    const double two = t < 0.0 ? 1.0 / (s * (s - t)) : 1.0 - 1.0 / (s * (s + t));
    EXPECT_NEAR(student_cdf(t, 2.0) / two, 1.0, 1e-12) << t;
  }
}

// R. A. Fisher and F. Yates, Statistical Tables; printed in every textbook; from memory. The
// closed forms above decide.
TEST(StudentQuantile, HasTheTablesValues) {
  EXPECT_NEAR(student_quantile(0.975, 1.0), 12.706, 5e-4);
  EXPECT_NEAR(student_quantile(0.975, 4.0), 2.776, 5e-4);
  EXPECT_NEAR(student_quantile(0.95, 5.0), 2.015, 5e-4);
  EXPECT_NEAR(student_quantile(0.975, 10.0), 2.228, 5e-4);
  EXPECT_NEAR(student_quantile(0.995, 30.0), 2.750, 5e-4);
  EXPECT_NEAR(student_quantile(0.975, 120.0), 1.980, 5e-4);
}

TEST(StudentQuantile, UndoesTheCdfForDegreesThatAreNotWhole) {
  for (const double degrees : {0.7, 1.5, 3.3, 12.6, 250.5}) {
    for (const double p : {0.001, 0.05, 0.5, 0.8, 0.999}) {
      EXPECT_NEAR(student_cdf(student_quantile(p, degrees), degrees), p, 1e-12) << degrees;
    }
  }
}

TEST(Student, IsNormalWithoutEnd) {
  EXPECT_EQ(student_cdf(1.3, kInfinite), normal_cdf(1.3));
  EXPECT_EQ(student_quantile(0.95, kInfinite), normal_quantile(0.95));
  EXPECT_EQ(student_cdf(kInfinite, 3.0), 1.0);
  EXPECT_EQ(student_cdf(-kInfinite, 3.0), 0.0);
}

TEST(Student, RefusesWhatItIsNotDefinedFor) {
  EXPECT_THROW(student_cdf(std::nan(""), 3.0), OutOfRange);
  EXPECT_THROW(student_cdf(1.0, 0.0), OutOfRange);
  EXPECT_THROW(student_cdf(1.0, std::nan("")), OutOfRange);
  EXPECT_THROW(student_quantile(0.0, 3.0), OutOfRange);
  EXPECT_THROW(student_quantile(1.0, 3.0), OutOfRange);
  EXPECT_THROW(student_quantile(0.5, 0.001), OutOfRange);
  EXPECT_THROW(student_quantile(1e-300, 0.01), OutOfRange);  // near -1e30000
}

TEST(ClopperPearson, HasThePublishedValues) {
  int rows = 0;
  for (const test::PublishedRow& row : test::published_rows("statistics.csv")) {
    if (row.at("name") != "coverage_ci") continue;
    ++rows;
    const ChanceRange range = clopper_pearson(18, 20, 0.95);
    const bool lower = row.at("quantity") == "Clopper-Pearson 95% lower for 18/20";
    EXPECT_NEAR(lower ? range.low : range.high, test::number(row, "value"), 1e-11);
  }
  EXPECT_EQ(rows, 2);
}

TEST(ClopperPearson, LeavesHalfTheDoubtInEachTail) {
  // Chance of 3 or fewer, and of 3 or more, of 11 by summing the binomial terms.
  const ChanceRange range = clopper_pearson(3, 11, 0.9);
  const auto term = [](int k, double p) {
    return std::exp(std::lgamma(12.0) - std::lgamma(k + 1.0) - std::lgamma(12.0 - k)) *
           std::pow(p, k) * std::pow(1.0 - p, 11 - k);
  };
  double few = 0.0;
  double many = 0.0;
  for (int k = 0; k <= 3; ++k) few += term(k, range.high);
  for (int k = 3; k <= 11; ++k) many += term(k, range.low);
  EXPECT_NEAR(few, 0.05, 1e-12);
  EXPECT_NEAR(many, 0.05, 1e-12);
}

TEST(ClopperPearson, NoneAndAllReachTheEnds) {
  // With none of n the high end has (1 - high)^n = tail.
  const ChanceRange none = clopper_pearson(0, 8, 0.9);
  EXPECT_EQ(none.low, 0.0);
  EXPECT_NEAR(none.high, 1.0 - std::pow(0.05, 1.0 / 8.0), 1e-14);
  const ChanceRange all = clopper_pearson(8, 8, 0.9);
  EXPECT_NEAR(all.low, std::pow(0.05, 1.0 / 8.0), 1e-14);
  EXPECT_EQ(all.high, 1.0);
}

TEST(ClopperPearson, RefusesCountsThatAreNone) {
  EXPECT_THROW(clopper_pearson(3, 2, 0.9), OutOfRange);
  EXPECT_THROW(clopper_pearson(-1, 2, 0.9), OutOfRange);
  EXPECT_THROW(clopper_pearson(0, 0, 0.9), OutOfRange);
  EXPECT_THROW(clopper_pearson(1, 2, 1.0), OutOfRange);
}

}  // namespace
}  // namespace ellwand::numeric
