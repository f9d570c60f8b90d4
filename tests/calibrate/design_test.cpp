/// Designs against published optimal ones: data/published/statistics.csv.

#include "ellwand/calibrate/design.hpp"

#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <functional>

namespace ellwand::calibrate {
namespace {

double published(const std::string& name, const std::string& quantity) {
  for (const test::PublishedRow& row : test::published_rows("statistics.csv")) {
    if (row.at("name") == name && row.at("quantity").rfind(quantity, 0) == 0) {
      return test::number(row, "value");
    }
  }
  ADD_FAILURE() << name << ", " << quantity;
  return 0.0;
}

/// The table has twelve digits.
void expect_published(double ours, const std::string& name, const std::string& quantity) {
  const double theirs = published(name, quantity);
  EXPECT_NEAR(ours, theirs, 1e-11 * std::abs(theirs)) << name << ", " << quantity;
}

std::vector<double> powers(double x, int degree) {
  std::vector<double> row;
  for (int k = 0; k <= degree; ++k) row.push_back(std::pow(x, k));
  return row;
}

/// Slopes of Vm x / (K + x) by Vm and K, at the estimates of the puromycin data.
constexpr double kVm = 212.683742;
constexpr double kK = 0.064121282;
std::vector<double> michaelis_menten(double x) {
  return {x / (kK + x), -kVm * x / ((kK + x) * (kK + x))};
}

/// Legendre's three points, by which the mean of a quartic over [-1, 1] is exact.
std::vector<WeightedRow> quadratic_over_interval() {
  const double outer = std::sqrt(0.6);
  return {{powers(-outer, 2), 5.0 / 18.0},
          {powers(0.0, 2), 8.0 / 18.0},
          {powers(outer, 2), 5.0 / 18.0}};
}

std::vector<WeightedRow> quadratic_design(double outer) {
  return {{powers(-1.0, 2), outer}, {powers(0.0, 2), 1.0 - 2.0 * outer}, {powers(1.0, 2), outer}};
}

/// Where a function with one minimum between two places has it, by golden section.
double lowest(const std::function<double(double)>& of, double low, double high) {
  const double golden = (std::sqrt(5.0) - 1.0) / 2.0;
  while (high - low > 1e-9) {
    const double a = high - golden * (high - low);
    const double b = low + golden * (high - low);
    (of(a) < of(b) ? high : low) = of(a) < of(b) ? b : a;
  }
  return 0.5 * (low + high);
}

double largest_sensitivity(const Information& information,
                           const std::function<std::vector<double>(double)>& row, double low,
                           double high) {
  double largest = 0.0;
  for (int i = 0; i <= 2000; ++i) {
    largest = std::max(largest, information.sensitivity(row(low + (high - low) * i / 2000.0)));
  }
  return largest;
}

TEST(Design, OfAQuadraticIsDOptimalAtBothEndsAndTheMiddle) {
  const auto rows = quadratic_design(1.0 / 3.0);
  const Information information(rows);
  expect_published(information.determinant(), "dopt_quadratic", "det M");
  const auto quadratic = [](double x) { return powers(x, 2); };
  expect_published(largest_sensitivity(information, quadratic, -1.0, 1.0), "dopt_quadratic",
                   "max d(x)");
}

TEST(Design, OfAQuadraticIsIOptimalWithHalfInTheMiddle) {
  const auto over = quadratic_over_interval();
  const auto average = [&](double outer) {
    const auto rows = quadratic_design(outer);
    return Information(rows).average_variance(over);
  };
  expect_published(average(0.25), "iopt_quadratic", "average d(x) over [-1,1]");
  expect_published(average(1.0 / 3.0), "iopt_quadratic", "average d(x) for the D-optimal");
  // A minimum found by comparing doubles is good to the root of the rounding unit.
  EXPECT_NEAR(lowest(average, 0.05, 0.45), published("iopt_quadratic", "numerically"), 1e-7);
}

TEST(Design, OfMichaelisAndMentenHasDugglebysLowerPoint) {
  const auto rows_at = [](double x) {
    return std::vector<WeightedRow>{{michaelis_menten(x), 0.5}, {michaelis_menten(1.1), 0.5}};
  };
  const auto less_information = [&](double x) {
    const auto rows = rows_at(x);
    return -Information(rows).determinant();
  };
  const double lower = published("dopt_michaelis_menten", "analytic");
  EXPECT_NEAR(lowest(less_information, 0.001, 1.0), lower, 1e-7);
  const auto rows = rows_at(lower);
  const Information information(rows);
  expect_published(information.determinant(), "dopt_michaelis_menten", "det of normalised M");
  EXPECT_NEAR(largest_sensitivity(information, michaelis_menten, 1e-4, 1.1),
              published("dopt_michaelis_menten", "max d(x)"), 1e-9);
}

TEST(Design, OfADecayIsWhereItIsOneOverE) {
  const auto less_information = [](double x) {
    const std::array<WeightedRow, 1> row = {{{{-x * std::exp(-0.5311 * x)}, 1.0}}};
    return -Information(row).determinant();
  };
  EXPECT_NEAR(lowest(less_information, 0.1, 10.0), published("dopt_exponential", "y=exp"), 1e-6);
}

TEST(Design, OfACubicIsDOptimalAtGuestsPoints) {
  std::vector<WeightedRow> rows;
  const double inner = 1.0 / std::sqrt(5.0);
  for (const double x : {-1.0, -inner, inner, 1.0}) rows.push_back({powers(x, 3), 0.25});
  const auto cubic = [](double x) { return powers(x, 3); };
  expect_published(largest_sensitivity(Information(rows), cubic, -1.0, 1.0), "dopt_cubic",
                   "max d(x)");
}

TEST(Design, GainsByOneMoreRowAsTheDeterminantLemmaHasIt) {
  const std::vector<WeightedRow> line = {
      {powers(0.0, 1), 1.0}, {powers(1.0, 1), 1.0}, {powers(2.0, 1), 1.0}};
  for (const int x : {-1, 3, 4}) {
    const double gain = Information(line).determinant_gain(powers(x, 1));
    const std::string named =
        "straight line, have x=0,1,2; det(M+ff')/det(M) for next x=" + std::to_string(x);
    expect_published(gain, "sequential_d", named);
    std::vector<WeightedRow> longer = line;
    longer.push_back({powers(x, 1), 1.0});
    EXPECT_NEAR(Information(longer).determinant() / Information(line).determinant(), gain, 1e-12);
  }
}

TEST(Design, ThatPinsNotEveryUnknownIsRefused) {
  const std::vector<WeightedRow> one_place = {{powers(1.0, 1), 1.0}, {powers(1.0, 1), 2.0}};
  EXPECT_THROW(Information{one_place}, OutOfRange);
  EXPECT_THROW(Information{std::span<const WeightedRow>()}, OutOfRange);
  const std::vector<WeightedRow> uneven = {{powers(1.0, 1), 1.0}, {powers(1.0, 2), 1.0}};
  EXPECT_THROW(Information{uneven}, OutOfRange);
}

TEST(Belief, ExpectsTheInformationLindleyGives) {
  const Belief prior({4.0, 0.0, 0.0, 1.0}, 2);
  for (const int x : {0, 1, 3}) {
    expect_published(prior.expected_information(std::vector<double>{1.0, double(x)}, 0.5),
                     "bayes_eig",
                     "prior N(0,diag(4,1)), sigma=0.5, f=(1," + std::to_string(x) + ")");
  }
}

/// Bayesian straight line at 1, 2, 3 with errors of 0.2: row "map_linear", closed form.
TEST(Belief, LearnsAsTheConjugateLineHasIt) {
  Belief line({0.25, 0.0, 0.0, 0.01}, 2);
  for (const double x : {1.0, 2.0, 3.0}) line.learn(powers(x, 1), 0.2);
  expect_published(std::sqrt(line.covariance()[0]), "map_linear", "posterior sd b0");
  expect_published(std::sqrt(line.covariance()[3]), "map_linear", "posterior sd b1");
  EXPECT_NEAR(std::sqrt(line.variance(powers(4.0, 1)) + 0.04),
              published("map_linear", "predictive sd at x=4"), 1e-11);
  const std::vector<WeightedRow> both = {{powers(4.0, 1), 3.0}, {powers(0.0, 1), 1.0}};
  EXPECT_NEAR(line.average_variance(both),
              (3.0 * line.variance(powers(4.0, 1)) + line.covariance()[0]) / 4.0, 1e-15);
}

/// Information adds up over rows to half the logarithm of the ratio of determinants.
TEST(Belief, AddsUpInformationOverRows) {
  Belief belief({4.0, 0.6, 0.6, 1.0}, 2);
  const double before = 4.0 * 1.0 - 0.36;
  double information = 0.0;
  for (const double x : {-1.0, 0.5, 3.0}) {
    information += belief.expected_information(powers(x, 1), 0.3);
    belief.learn(powers(x, 1), 0.3);
  }
  const auto& s = belief.covariance();
  EXPECT_NEAR(information, 0.5 * std::log(before / (s[0] * s[3] - s[1] * s[2])), 1e-10);
}

TEST(Belief, RefusesWhatCannotBe) {
  EXPECT_THROW(Belief({1.0, 0.0, 0.0}, 2), OutOfRange);
  EXPECT_THROW(Belief({-1.0}, 1), OutOfRange);
  Belief belief({1.0}, 1);
  EXPECT_THROW(belief.learn(std::vector<double>{1.0}, 0.0), OutOfRange);
  EXPECT_THROW(belief.learn(std::vector<double>{1.0, 2.0}, 1.0), OutOfRange);
  EXPECT_THROW(belief.average_variance({}), OutOfRange);
}

}  // namespace
}  // namespace ellwand::calibrate
