/// What one row does to a fit, and where a new one will lie: delivery times (D. C. Montgomery,
/// E. A. Peck and G. G. Vining, Introduction to Linear Regression Analysis), by the fit and its
/// covariance: data/published/statistics.csv.

#include "ellwand/numeric/least_squares.hpp"
#include "ellwand/numeric/student.hpp"
#include "support/published_rows.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace ellwand::numeric {
namespace {

using Terms = std::array<double, 3>;

struct Delivery {
  Terms terms;  ///< 1, cases, distance
  double minutes;
};

/// minutes = b . terms
class Line final : public ResidualModel {
 public:
  explicit Line(std::vector<Delivery> rows) : rows_(std::move(rows)) {}
  std::size_t rows() const override { return rows_.size(); }
  void residuals(std::span<const double> b, std::span<double> out) const override {
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      const Terms& t = rows_[i].terms;
      out[i] = b[0] * t[0] + b[1] * t[1] + b[2] * t[2] - rows_[i].minutes;
    }
  }
  void slopes(std::span<const double> /*b*/, std::span<double> out) const override {
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      std::copy(rows_[i].terms.begin(), rows_[i].terms.end(),
                out.begin() + static_cast<std::ptrdiff_t>(3 * i));
    }
  }

 private:
  std::vector<Delivery> rows_;
};

std::vector<Delivery> deliveries() {
  std::vector<Delivery> all;
  for (const test::PublishedRow& row : test::published_rows("statistics/delivery.csv", 25)) {
    all.push_back({{1.0, test::number(row, "n.prod"), test::number(row, "distance")},
                   test::number(row, "delTime")});
  }
  return all;
}

Fit fitted(const std::vector<Delivery>& rows) {
  const Fit fit = fit_least_squares(Line(rows), std::vector<Parameter>(3), {});
  EXPECT_EQ(fit.verdict, Verdict::Settled) << told(fit.verdict);
  return fit;
}

double at(const Fit& fit, const Terms& terms) {
  double sum = 0.0;
  for (std::size_t i = 0; i < 3; ++i) sum += fit.parameters[i] * terms[i];
  return sum;
}

/// Variance of the line there.
double variance_at(const Fit& fit, const Terms& terms) {
  double sum = 0.0;
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) sum += terms[i] * fit.covariance[3 * i + j] * terms[j];
  }
  return sum;
}

/// One row against R's figure and, to the digits it is printed with, the book's.
void expect_published(const std::string& name, const std::string& quantity, double found,
                      double printed_to) {
  for (const test::PublishedRow& row : test::published_rows("statistics.csv")) {
    if (row.at("name") != name || row.at("quantity") != quantity) continue;
    const double value = test::number(row, "value");
    EXPECT_NEAR(found, value, 1e-9 * std::abs(value)) << quantity;
    EXPECT_NEAR(found, test::number(row, "published_value"), printed_to) << quantity;
    return;
  }
  ADD_FAILURE() << name << ", " << quantity;
}

TEST(Influence, DeliveryTimesHaveThePublishedFit) {
  const Fit fit = fitted(deliveries());
  expect_published("delivery_ols", "(Intercept)", fit.parameters[0], 1e-5);
  expect_published("delivery_ols", "n.prod", fit.parameters[1], 1e-5);
  expect_published("delivery_ols", "distance", fit.parameters[2], 1e-5);
  // The book rounds on the way: its 10.6239 is 10.6242.
  expect_published("delivery_ols", "MSres", fit.residual_sd * fit.residual_sd, 5e-4);
}

TEST(Influence, ANewDeliveryLiesInThePublishedRange) {
  const Fit fit = fitted(deliveries());
  const Terms terms = {1.0, 8.0, 275.0};
  const double t = student_quantile(0.975, 22.0);
  const double mean = t * std::sqrt(variance_at(fit, terms));
  const double fresh = t * std::hypot(std::sqrt(variance_at(fit, terms)), fit.residual_sd);
  expect_published("delivery_ci", "95% CI mean lower at (8,275)", at(fit, terms) - mean, 0.02);
  expect_published("delivery_ci", "95% CI mean upper", at(fit, terms) + mean, 0.02);
  expect_published("delivery_pi", "95% PI lower", at(fit, terms) - fresh, 0.01);
  expect_published("delivery_pi", "95% PI upper", at(fit, terms) + fresh, 0.01);
}

/// A row left out: what that does, without fitting again.
struct Left {
  double residual;  ///< of the fit with it
  double h;         ///< how much of its own fitted value is its own doing
};

Left left(const Fit& fit, const Delivery& row) {
  const double s2 = fit.residual_sd * fit.residual_sd;
  return {row.minutes - at(fit, row.terms), variance_at(fit, row.terms) / s2};
}

TEST(Influence, OfDeliveriesIsAsPublished) {
  const std::vector<Delivery> rows = deliveries();
  const Fit fit = fitted(rows);
  const double s2 = fit.residual_sd * fit.residual_sd;
  const auto cook = [&](const Left& one) {
    return one.residual * one.residual * one.h / (3.0 * s2 * (1.0 - one.h) * (1.0 - one.h));
  };
  const Left ninth = left(fit, rows[8]);
  expect_published("delivery_cook", "h obs 9", ninth.h, 1e-5);
  expect_published("delivery_cook", "Cook D obs 9", cook(ninth), 1e-3);
  expect_published("delivery_cook", "Cook D obs 22", cook(left(fit, rows[21])), 2e-5);
  const double r = ninth.residual / std::sqrt(s2 * (1.0 - ninth.h));
  expect_published("delivery_cook", "studentised r obs 9", r, 1e-4);
  // Without it: s^2 from what it leaves, by fitting again.
  std::vector<Delivery> others = rows;
  others.erase(others.begin() + 8);
  const double outer = ninth.residual / (fitted(others).residual_sd * std::sqrt(1.0 - ninth.h));
  expect_published("delivery_cook", "R-student obs 9", outer, 1e-4);
  expect_published("delivery_cook", "DFFITS obs 9", outer * std::sqrt(ninth.h / (1.0 - ninth.h)),
                   1e-4);
}

// By leaving out each in turn and fitting again, and at once from the one fit.
TEST(Influence, PredictionsOfDeliveriesLeftOutAreAsPublished) {
  const std::vector<Delivery> rows = deliveries();
  const Fit fit = fitted(rows);
  double at_once = 0.0;
  double one_by_one = 0.0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    std::vector<Delivery> others = rows;
    others.erase(others.begin() + static_cast<std::ptrdiff_t>(i));
    one_by_one += std::pow(rows[i].minutes - at(fitted(others), rows[i].terms), 2);
    const Left one = left(fit, rows[i]);
    at_once += std::pow(one.residual / (1.0 - one.h), 2);
  }
  expect_published("delivery_press", "PRESS", at_once, 1e-4);
  expect_published("delivery_press", "PRESS", one_by_one, 1e-4);
}

}  // namespace
}  // namespace ellwand::numeric
