/// Linear rows against published mixed models and least squares: data/published/statistics.csv.

#include "ellwand/calibrate/normal_rows.hpp"

#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <map>

namespace ellwand::calibrate {
namespace {

using test::published_statistic;

constexpr double kNothingKnown = std::numeric_limits<double>::infinity();

/// One measurement a row, its group being the piece, about one mean.
std::vector<LinearRow> one_way(const std::string& table, const std::string& group,
                               const std::string& value) {
  std::map<std::string, std::size_t> groups;
  std::vector<LinearRow> rows;
  for (const test::PublishedRow& row : test::published_rows("statistics/" + table)) {
    LinearRow one;
    one.piece = groups.emplace(row.at(group), groups.size()).first->second;
    one.common = {{0, 1.0}};
    one.own = {{0, 1.0}};
    one.value = test::number(row, value);
    rows.push_back(one);
  }
  return rows;
}

double restricted(const NormalRows& rows, double log_own_sd, double log_noise) {
  const std::vector<double> own = {std::exp(2.0 * log_own_sd)};
  const std::vector<double> common = {kNothingKnown};
  return rows.without_own(own, std::exp(log_noise)).log_likelihood(common);
}

struct OneWay {
  double own_sd;
  double noise;
  double log_likelihood;
};

/// Newton's method with differences for slopes, from the sds of the values about their mean.
OneWay maximum(const NormalRows& rows, double start) {
  double a = std::log(start);
  double s = std::log(start);
  constexpr double h = 1e-4;
  const auto at = [&](double da, double ds) { return restricted(rows, a + da, s + ds); };
  for (int step = 0; step < 60; ++step) {
    const double ga = (at(h, 0) - at(-h, 0)) / (2 * h);
    const double gs = (at(0, h) - at(0, -h)) / (2 * h);
    const double aa = (at(h, 0) - 2 * at(0, 0) + at(-h, 0)) / (h * h);
    const double ss = (at(0, h) - 2 * at(0, 0) + at(0, -h)) / (h * h);
    const double as = (at(h, h) - at(h, -h) - at(-h, h) + at(-h, -h)) / (4 * h * h);
    const double determinant = aa * ss - as * as;
    const bool is_peak = aa < 0 && determinant > 0;
    double da = is_peak ? -(ss * ga - as * gs) / determinant : std::copysign(0.1, ga);
    double ds = is_peak ? -(aa * gs - as * ga) / determinant : std::copysign(0.1, gs);
    const double longest = std::max({1.0, std::abs(da), std::abs(ds)});
    a += da / longest;
    s += ds / longest;
  }
  return {std::exp(a), std::exp(s), at(0, 0)};
}

TEST(NormalRows, OfDyestuff) {
  const NormalRows rows(one_way("dyestuff.csv", "Batch", "Yield"), 1, 1);
  const OneWay best = maximum(rows, 50.0);
  // Six digits: beyond them the differences of the maximiser above tell.
  EXPECT_NEAR(best.own_sd, published_statistic("dyestuff_reml", "sd Batch"), 42e-6);
  EXPECT_NEAR(best.noise, published_statistic("dyestuff_reml", "sd resid"), 49e-6);
  EXPECT_NEAR(-2.0 * best.log_likelihood, published_statistic("dyestuff_reml", "REML criterion"),
              1e-7);

  const std::vector<double> own = {best.own_sd * best.own_sd};
  const std::vector<double> common = {kNothingKnown};
  const Posterior posterior = rows.without_own(own, best.noise).posterior(common);
  EXPECT_NEAR(posterior.means[0], published_statistic("dyestuff_reml", "intercept"), 1e-9);
  EXPECT_NEAR(std::sqrt(posterior.covariances[0]),
              published_statistic("dyestuff_reml", "se intercept"), 2e-5);
  const std::vector<double> batches = rows.own_means(own, posterior.means, best.noise);
  const char* const names[] = {"A", "B", "C", "D", "E", "F"};
  for (std::size_t i = 0; i < 6; ++i) {
    EXPECT_NEAR(batches.at(i),
                published_statistic("dyestuff_blup", std::string("BLUP batch ") + names[i]), 1e-4);
  }
}

TEST(NormalRows, OfRails) {
  const NormalRows rows(one_way("rail.csv", "Rail", "travel"), 1, 1);
  const OneWay best = maximum(rows, 20.0);
  EXPECT_NEAR(best.own_sd, published_statistic("rail_reml", "sd Rail"), 25e-6);
  EXPECT_NEAR(best.noise, published_statistic("rail_reml", "sd resid"), 4e-6);
  EXPECT_NEAR(best.log_likelihood, published_statistic("rail_reml", "REML logLik"), 1e-7);
}

TEST(NormalRows, OfAThermometersCalibration) {
  std::vector<LinearRow> rows;
  for (const test::PublishedRow& row : test::published_rows("statistics/gum_h3.csv")) {
    rows.push_back(
        {{{0, 1.0}, {1, test::number(row, "t") - 20.0}}, {}, 0, test::number(row, "b"), 1.0});
  }
  const double s = published_statistic("gum_h3", "s (9 dof)");
  const std::vector<double> priors = {kNothingKnown, kNothingKnown};
  const Posterior line = NormalRows(rows, 2, 0).without_own({}, s).posterior(priors);
  EXPECT_NEAR(line.means[0], published_statistic("gum_h3", "intercept y1 (t0=20 degC)"), 1e-12);
  EXPECT_NEAR(line.means[1], published_statistic("gum_h3", "slope y2"), 1e-13);
  const double u1 = std::sqrt(line.covariances[0]);
  const double u2 = std::sqrt(line.covariances[3]);
  EXPECT_NEAR(u1, published_statistic("gum_h3", "u(y1)"), 1e-11);
  EXPECT_NEAR(u2, published_statistic("gum_h3", "u(y2)"), 1e-11);
  EXPECT_NEAR(line.covariances[1] / (u1 * u2), published_statistic("gum_h3", "corr(y1,y2)"), 1e-9);
}

TEST(NormalRows, WithAPriorAreTheConjugateLine) {
  // map_linear: X = [1, x], x = 1, 2, 3, y = 2.1, 3.9, 6.2, sigma 0.2, prior N((0, 2), 0.5, 0.1).
  std::vector<LinearRow> rows;
  const double y[] = {2.1, 3.9, 6.2};
  for (int i = 0; i < 3; ++i) {
    const double x = i + 1.0;
    rows.push_back({{{0, 1.0}, {1, x}}, {}, 0, y[i] - 2.0 * x, 0.2});
  }
  const std::vector<double> priors = {0.25, 0.01};
  const Posterior line = NormalRows(rows, 2, 0).without_own({}).posterior(priors);
  const std::string given =
      ": X=[1,x],x=1,2,3,y=2.1,3.9,6.2,sigma=.2,prior N((0,2),diag(.5^2,.1^2))";
  EXPECT_NEAR(line.means[0], published_statistic("map_linear", "posterior mean b0" + given), 1e-12);
  EXPECT_NEAR(2.0 + line.means[1], published_statistic("map_linear", "posterior mean b1" + given),
              1e-11);
  EXPECT_NEAR(std::sqrt(line.covariances[0]), published_statistic("map_linear", "posterior sd b0"),
              1e-12);
  EXPECT_NEAR(std::sqrt(line.covariances[3]), published_statistic("map_linear", "posterior sd b1"),
              1e-12);
}

/// Two rows of one piece with one common and one own coefficient: their joint density by hand.
TEST(NormalRows, HaveTheDensityOfTheirCovariance) {
  const std::vector<LinearRow> rows = {{{{0, 1.0}}, {{0, 1.0}}, 0, 0.3, 0.5},
                                       {{{0, 2.0}}, {{0, -1.0}}, 0, -0.2, 0.4}};
  const std::vector<double> common = {0.09};
  const std::vector<double> own = {0.04};
  // V = diag(0.25, 0.16) + 0.09 (1, 2)(1, 2)' + 0.04 (1, -1)(1, -1)'
  const double v11 = 0.25 + 0.09 + 0.04;
  const double v22 = 0.16 + 0.36 + 0.04;
  const double v12 = 0.18 - 0.04;
  const double det = v11 * v22 - v12 * v12;
  const double square = (v22 * 0.09 + 2 * v12 * 0.3 * 0.2 + v11 * 0.04) / det;
  const double expected = -std::log(2 * M_PI) - 0.5 * std::log(det) - 0.5 * square;
  EXPECT_NEAR(NormalRows(rows, 1, 1).without_own(own).log_likelihood(common), expected, 1e-13);
}

TEST(NormalRows, HoldACoefficientOfNoVarianceAtNothing) {
  const std::vector<LinearRow> rows = {{{{0, 1.0}, {1, 1.0}}, {}, 0, 1.0, 0.1}};
  const std::vector<double> priors = {0.0, 1.0};
  const Posterior posterior = NormalRows(rows, 2, 0).without_own({}).posterior(priors);
  EXPECT_EQ(posterior.means[0], 0.0);
  EXPECT_EQ(posterior.covariances[0], 0.0);
  EXPECT_NEAR(posterior.means[1], 1.0 / 1.01, 1e-15);  // prior 1, row 0.01: 1 / (1 + 0.01)
}

TEST(NormalRows, SayWhenTheyDoNotTellCoefficientsApart) {
  const std::vector<LinearRow> rows = {{{{0, 1.0}, {1, 1.0}}, {}, 0, 1.0, 0.1},
                                       {{{0, 2.0}, {1, 2.0}}, {}, 0, 2.0, 0.1}};
  const NormalRows pressed(rows, 2, 0);
  const std::vector<double> nothing = {kNothingKnown, kNothingKnown};
  const CommonRows common = pressed.without_own({});
  EXPECT_THROW(common.posterior(nothing), OutOfRange);
  EXPECT_EQ(common.log_likelihood(nothing), -kNothingKnown);
  const std::vector<double> something = {1.0, kNothingKnown};
  EXPECT_NO_THROW(common.posterior(something));
}

TEST(NormalRows, RefuseWhatIsNotFinite) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto rows_of = [](const LinearRow& row) { return NormalRows({{row}}, 1, 1); };
  EXPECT_THROW(rows_of({{{0, nan}}, {}, 0, 1.0, 1.0}), OutOfRange);
  EXPECT_THROW(rows_of({{{0, 1.0}}, {}, 0, nan, 1.0}), OutOfRange);
  EXPECT_THROW(rows_of({{{0, 1.0}}, {}, 0, 1.0, 0.0}), OutOfRange);
  EXPECT_THROW(rows_of({{{1, 1.0}}, {}, 0, 1.0, 1.0}), OutOfRange);
  EXPECT_THROW(rows_of({{}, {{1, 1.0}}, 0, 1.0, 1.0}), OutOfRange);
}

}  // namespace
}  // namespace ellwand::calibrate
