/// Blends over spreads against sums written here, and published shrinkage.

#include "ellwand/calibrate/spreads.hpp"

#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace ellwand::calibrate {
namespace {

using test::published_statistic;

constexpr double kNothingKnown = std::numeric_limits<double>::infinity();

double density(double x, double variance) {
  return std::exp(-0.5 * x * x / variance) / std::sqrt(2.0 * M_PI * variance);
}

// Two pieces, each measured once, y = a + b_piece + error, a with sd 0.1, b with sd 0.05 or 0.2,
// error 0.03; the second spread 3 times as likely beforehand. The density of both values, the mean
// and the square of a are added up over a grid of a and of both b.
TEST(Blend, OfTwoSpreadsIsTheSumOverEverything) {
  const double y[] = {0.15, -0.05};
  const std::vector<LinearRow> rows = {{{{0, 1.0}}, {{0, 1.0}}, 0, y[0], 0.03},
                                       {{{0, 1.0}}, {{0, 1.0}}, 1, y[1], 0.03}};
  const double spreads[] = {0.05, 0.2};
  const double chances[] = {1.0, 3.0};
  double weights[2];
  double sum = 0.0;
  double first = 0.0;
  double second = 0.0;
  for (int k = 0; k < 2; ++k) {
    weights[k] = 0.0;
    for (double a = -0.6; a <= 0.6; a += 0.005) {
      double both = density(a, 0.01) * 0.005;
      for (const double one : y) {
        double of_one = 0.0;
        for (double b = -1.4; b <= 1.4; b += 0.005) {
          of_one += density(b, spreads[k] * spreads[k]) * density(one - a - b, 0.0009) * 0.005;
        }
        both *= of_one;
      }
      both *= chances[k];
      weights[k] += both;
      first += a * both;
      second += a * a * both;
    }
    sum += weights[k];
  }
  const Blend blended =
      blend(NormalRows(rows, 1, 1), {{{0.01}, {0.0025}, 1.0}, {{0.01}, {0.04}, 3.0}});
  // A sum over a smooth density with steps of a sixth of its narrowest sd has no error to speak of;
  // its ends lie beyond 6 sds.
  EXPECT_NEAR(blended.weights[0], weights[0] / sum, 1e-8);
  EXPECT_NEAR(blended.weights[1], weights[1] / sum, 1e-8);
  EXPECT_NEAR(blended.posterior.means[0], first / sum, 1e-8);
  EXPECT_NEAR(blended.posterior.covariances[0], second / sum - std::pow(first / sum, 2), 1e-8);
}

TEST(Blend, OfOneSpreadIsItsPosterior) {
  const std::vector<LinearRow> rows = {{{{0, 1.0}}, {}, 0, 0.3, 0.1}};
  const Blend blended = blend(NormalRows(rows, 1, 1), {{{0.01}, {0.0}, 7.0}});
  EXPECT_EQ(blended.weights[0], 1.0);
  EXPECT_NEAR(blended.posterior.means[0], 0.15, 1e-15);  // prior and row weigh the same
  EXPECT_NEAR(blended.posterior.covariances[0], 0.005, 1e-15);
}

TEST(Blend, KeepsWhatNoRowMovesWith) {
  const std::vector<LinearRow> rows = {{{{0, 1.0}}, {}, 0, 0.3, 0.1}};
  const Blend blended =
      blend(NormalRows(rows, 2, 0), {{{0.01, 0.04}, {}, 1.0}, {{0.01, 0.16}, {}, 1.0}});
  // Nothing tells the two spreads apart: the mean of their variances.
  EXPECT_NEAR(blended.weights[0], 0.5, 1e-15);
  EXPECT_EQ(blended.posterior.means[1], 0.0);
  EXPECT_NEAR(blended.posterior.covariances[3], 0.1, 1e-15);
  EXPECT_EQ(blended.posterior.covariances[1], 0.0);
}

/// "y" of each row about one mean, its group's own coefficient beside it.
std::vector<LinearRow> schools() {
  std::vector<LinearRow> rows;
  for (const test::PublishedRow& row : test::published_rows("statistics/eight_schools.csv")) {
    rows.push_back(
        {{{0, 1.0}}, {{0, 1.0}}, rows.size(), test::number(row, "y"), test::number(row, "se")});
  }
  return rows;
}

// With no spread between schools their mean is the pooled one.
TEST(Blend, OfEightSchoolsAlike) {
  const Blend alike = blend(NormalRows(schools(), 1, 1), {{{kNothingKnown}, {0.0}, 1.0}});
  EXPECT_NEAR(alike.posterior.means[0],
              published_statistic("eight_schools", "complete-pooling mean"), 1e-10);
  EXPECT_NEAR(std::sqrt(alike.posterior.covariances[0]),
              published_statistic("eight_schools", "se pooled"), 1e-10);
}

// Over all spreads alike from 0 to 60: p(tau | y) in proportion to V^(1/2) prod N(y_j; m, s_j^2 +
// tau^2)^(1/2)..., A. Gelman and others, Bayesian Data Analysis, 3rd ed. (2013), eq. 5.21, written
// out below.
TEST(Blend, OfEightSchoolsOverTheirSpread) {
  const std::vector<LinearRow> rows = schools();
  std::vector<SpreadPoint> points;
  std::vector<double> expected;
  double sum = 0.0;
  for (double tau = 0.5; tau < 60.0; tau += 1.0) {
    points.push_back({{kNothingKnown}, {tau * tau}, 1.0});
    double precision = 0.0;
    double weighted = 0.0;
    for (const LinearRow& row : rows) {
      precision += 1.0 / (row.sd * row.sd + tau * tau);
      weighted += row.value / (row.sd * row.sd + tau * tau);
    }
    double chance = 1.0 / std::sqrt(precision);
    for (const LinearRow& row : rows) {
      chance *= density(row.value - weighted / precision, row.sd * row.sd + tau * tau);
    }
    expected.push_back(chance);
    sum += chance;
  }
  const Blend blended = blend(NormalRows(rows, 1, 1), points);
  for (std::size_t k = 0; k < points.size(); ++k) {
    EXPECT_NEAR(blended.weights[k], expected[k] / sum, 1e-6) << k;
  }
}

// Of 18 batters, known to variance 1 each after the arcsine: with the spread whose shrinkage is the
// published one, the first one's own coefficient is shrunk by it.
TEST(Blend, OfBattersShrinksAsPublished) {
  std::vector<LinearRow> rows;
  double mean = 0.0;
  for (const test::PublishedRow& row : test::published_rows("statistics/efron_morris.csv")) {
    // Batting averages as they are printed, to three digits.
    const double average = std::round(1000.0 * test::number(row, "hits45") / 45.0) / 1000.0;
    const double x = std::sqrt(45.0) * std::asin(2.0 * average - 1.0);
    rows.push_back({{{0, 1.0}}, {{0, 1.0}}, rows.size(), x, 1.0});
    mean += x / 18.0;
  }
  const double c = published_statistic("efron_morris", "shrinkage c = 1-15/V");
  const std::vector<double> own = {c / (1.0 - c)};  // of 1 between and 1 within, c is between
  const NormalRows pressed(rows, 1, 1);
  const Blend blended = blend(pressed, {{{kNothingKnown}, own, 1.0}});
  EXPECT_NEAR(blended.posterior.means[0],
              published_statistic("efron_morris", "mean of transformed X"), 1e-10);
  const std::vector<double> batters = pressed.own_means(own, blended.posterior.means);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    EXPECT_NEAR(batters[i], c * (rows[i].value - mean), 1e-10) << i;
  }
}

TEST(Blend, RefusesNoPossibleSpread) {
  const std::vector<LinearRow> rows = {{{{0, 1.0}}, {}, 0, 0.3, 0.1}};
  const NormalRows pressed(rows, 2, 0);
  EXPECT_THROW(blend(pressed, {}), OutOfRange);
  EXPECT_THROW(blend(pressed, {{{1.0, 1.0}, {}, 0.0}}), OutOfRange);
  EXPECT_THROW(blend(pressed, {{{1.0, kNothingKnown}, {}, 1.0}}), OutOfRange);
}

}  // namespace
}  // namespace ellwand::calibrate
