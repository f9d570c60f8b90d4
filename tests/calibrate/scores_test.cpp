/// Scores of forecasts against data/published/statistics.csv.

#include "ellwand/calibrate/scores.hpp"

#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <regex>

namespace ellwand::calibrate {
namespace {

constexpr double kInfinite = std::numeric_limits<double>::infinity();

/// The rows of one name whose quantity has this form, with the numbers in it.
struct Row {
  std::vector<double> numbers;
  double value;
};
std::vector<Row> rows_of(const std::string& name, const std::string& form, std::size_t at_least) {
  std::vector<Row> rows;
  for (const test::PublishedRow& row : test::published_rows("statistics.csv")) {
    std::smatch found;
    const std::string& quantity = row.at("quantity");
    if (row.at("name") != name || !std::regex_search(quantity, found, std::regex(form))) continue;
    Row one{{}, test::number(row, "value")};
    for (std::size_t i = 1; i < found.size(); ++i) one.numbers.push_back(std::stod(found[i]));
    rows.push_back(one);
  }
  EXPECT_GE(rows.size(), at_least) << name;
  return rows;
}

// The published figures have twelve digits.
double twelfth_digit(double value) { return 1e-11 * std::max(0.1, std::abs(value)); }

TEST(Scores, OfANormalForecast) {
  for (const Row& row :
       rows_of("crps_gaussian", R"(^CRPS\(N\(([\d.]+),([\d.]+)\^2\), y=([-\d.]+)\)$)", 5)) {
    const double crps = crps_normal(row.numbers[0], row.numbers[1], row.numbers[2]);
    EXPECT_NEAR(crps, row.value, twelfth_digit(row.value));
  }
  EXPECT_EQ(crps_normal(3.0, 0.0, 5.0), 2.0);
}

TEST(Scores, OfStudentsT) {
  for (const Row& row : rows_of("crps_student_t", R"(^CRPS\(t_(\d+), y=([\d.]+)\)$)", 3)) {
    const double crps = crps_student(row.numbers[0], 0.0, 1.0, row.numbers[1]);
    EXPECT_NEAR(crps, row.value, twelfth_digit(row.value));
    // Moved and stretched, the score is stretched.
    EXPECT_NEAR(crps_student(row.numbers[0], 2.0, 3.0, 2.0 + 3.0 * row.numbers[1]), 3.0 * crps,
                1e-14);
  }
  // Many degrees of freedom are the normal distribution: the difference falls as 1 / nu.
  EXPECT_NEAR(crps_student(1e6, 1.0, 0.5, 1.7), crps_normal(1.0, 0.5, 1.7), 1e-6);
  EXPECT_EQ(crps_student(kInfinite, 1.0, 0.5, 1.7), crps_normal(1.0, 0.5, 1.7));
  EXPECT_EQ(crps_student(4.0, 1.0, 0.0, -1.0), 2.0);
}

TEST(Scores, OfASample) {
  const std::vector<double> sample = {9.8, 10.1, 10.4, 9.6, 10.9};
  for (const Row& row : rows_of("crps_ensemble", R"(^x=\{.*\}, y=(\d+), )", 2)) {
    EXPECT_NEAR(crps_of_sample(sample, row.numbers[0], SampleIs::TheForecast), row.value, 1e-14);
  }
  for (const Row& row : rows_of("crps_ensemble", R"(^same, fair .*, y=(\d+)$)", 2)) {
    EXPECT_NEAR(crps_of_sample(sample, row.numbers[0], SampleIs::DrawnFromIt), row.value, 1e-14);
  }
  const std::vector<double> one = {3.0};
  EXPECT_EQ(crps_of_sample(one, 5.0, SampleIs::TheForecast), 2.0);
}

TEST(Scores, OfARange) {
  for (const Row& row :
       rows_of("interval_score", R"(^IS l=([-\d.]+) u=([-\d.]+) y=([-\d.]+) alpha=([\d.]+)$)", 5)) {
    const std::vector<double>& n = row.numbers;
    const double score = interval_score(n[0], n[1], n[2], n[3]);
    EXPECT_NEAR(score, row.value, twelfth_digit(row.value));
    // The score of a range is that of its two ends.
    const double ends = pinball(n[0], n[3] / 2, n[2]) + pinball(n[1], 1 - n[3] / 2, n[2]);
    EXPECT_NEAR(2 / n[3] * ends, score, 1e-13 * score);
  }
}

TEST(Scores, OfAPoint) {
  for (const Row& row : rows_of("pinball", R"(^pinball q=(\d+) y=(\d+) tau=([\d.]+)$)", 2)) {
    EXPECT_NEAR(pinball(row.numbers[0], row.numbers[2], row.numbers[1]), row.value, 1e-15);
  }
  EXPECT_NEAR(pinball(12.0, 0.95, 10.0), 0.1, 1e-15);  // 0.05 x 2
}

TEST(Scores, ConformalRanks) {
  for (const Row& row :
       rows_of("conformal", R"(^split conformal rank .*, n=(\d+) alpha=([\d.]+) )", 6)) {
    EXPECT_EQ(conformal_rank(static_cast<std::size_t>(row.numbers[0]), row.numbers[1]), row.value);
  }
  for (const Row& row : rows_of("conformal", R"(^minimum n for finite (\d+)%)", 2)) {
    const auto least = static_cast<std::size_t>(row.value);
    const double miss = (100 - row.numbers[0]) / 100;
    EXPECT_LE(conformal_rank(least, miss), least);
    EXPECT_GT(conformal_rank(least - 1, miss), least - 1);
  }
  EXPECT_EQ(conformal_rank(0, 0.1), 1u);
}

TEST(Scores, RefuseWhatIsNoForecast) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const std::vector<double> none;
  const std::vector<double> one = {1.0};
  const std::vector<double> bad = {1.0, nan};
  EXPECT_THROW(crps_normal(0.0, -1.0, 0.0), OutOfRange);
  EXPECT_THROW(crps_normal(0.0, 1.0, nan), OutOfRange);
  EXPECT_THROW(crps_student(1.0, 0.0, 1.0, 0.0), OutOfRange);
  EXPECT_THROW(crps_student(nan, 0.0, 1.0, 0.0), OutOfRange);
  EXPECT_THROW(crps_student(4.0, 0.0, -1.0, 0.0), OutOfRange);
  EXPECT_THROW(crps_of_sample(none, 0.0, SampleIs::TheForecast), OutOfRange);
  EXPECT_THROW(crps_of_sample(one, 0.0, SampleIs::DrawnFromIt), OutOfRange);
  EXPECT_THROW(crps_of_sample(bad, 0.0, SampleIs::TheForecast), OutOfRange);
  EXPECT_THROW(interval_score(2.0, 1.0, 0.0, 0.1), OutOfRange);
  EXPECT_THROW(interval_score(1.0, kInfinite, 0.0, 0.1), OutOfRange);
  EXPECT_THROW(interval_score(1.0, 2.0, 0.0, 1.0), OutOfRange);
  EXPECT_THROW(pinball(1.0, 0.0, 0.0), OutOfRange);
  EXPECT_THROW(conformal_rank(5, 0.0), OutOfRange);
  EXPECT_THROW(conformal_rank(5, nan), OutOfRange);
}

}  // namespace
}  // namespace ellwand::calibrate
