/// One reading's likelihood against a normal one of the logarithm.

#include "ellwand/calibrate/reading.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

namespace ellwand::calibrate {
namespace {

TEST(LogReading, OfAFineToolIsItsLogarithm) {
  const LogReading one = log_reading({12.0, 0.3, false}, std::log(10.0), 0.04);
  EXPECT_NEAR(one.residual, std::log(1.2), 1e-15);
  EXPECT_NEAR(one.sd, 0.05, 1e-15);  // 0.04 and 0.3 / 10, not 0.3 / 12: 3, 4, 5
}

// A 1 g scale reads 2 g of what is 2.3 g, 3 g of what is 2.7 g. With the tool's error over what was
// read, readings too low would count for more.
TEST(LogReading, CountsAReadingTooLowForNoMoreThanOneTooHigh) {
  const double at = std::log(20.0);
  const LogReading low = log_reading({19.0, 1.0, false}, at, 0.03);
  const LogReading high = log_reading({21.0, 1.0, false}, at, 0.03);
  EXPECT_EQ(low.sd, high.sd);
}

/// ln of the chance that a figure normal in its logarithm about `at` is read as value +- half, by
/// adding up the density in 20000 strips.
double log_chance(double value, double half, double at, double sd) {
  constexpr int kStrips = 20000;
  const double low = std::max(value - half, 1e-9);
  const double width = (value + half - low) / kStrips;
  double sum = 0.0;
  for (int i = 0; i < kStrips; ++i) {
    const double x = low + (i + 0.5) * width;
    const double z = (std::log(x) - at) / sd;
    sum += std::exp(-0.5 * z * z) / (x * sd * std::sqrt(2.0 * M_PI)) * width;
  }
  return std::log(sum);
}

// First and second slope of the likelihood, by differences of the chance added up above, are those
// of -(residual - change)^2 / (2 sd^2): residual / sd^2 and -1 / sd^2.
TEST(LogReading, OfACoarseToolHasTheSlopesOfItsIntervalsLikelihood) {
  struct Case {
    double value, step, expected, sd;
  };
  for (const Case& one : {Case{3.0, 1.0, 3.1, 0.05}, Case{2.0, 1.0, 2.6, 0.1},
                          Case{1.0, 1.0, 1.3, 0.3}, Case{4.0, 1.0, 3.4, 0.03}}) {
    const LogReading reading =
        log_reading({one.value, one.step / std::sqrt(12.0), true}, std::log(one.expected), one.sd);
    const double h = 0.02 * one.sd;
    const auto at = [&](double change) {
      return log_chance(one.value, one.step / 2, std::log(one.expected) + change, one.sd);
    };
    const double slope = (at(h) - at(-h)) / (2 * h);
    const double bend = (at(h) - 2 * at(0) + at(-h)) / (h * h);
    const double information = 1.0 / (reading.sd * reading.sd);
    // Differences of a step of 0.02 sd are right to about its square; strips to 1e-8 over h^2.
    EXPECT_NEAR(reading.residual * information, slope, 2e-3 * (std::abs(slope) + 1 / one.sd));
    EXPECT_NEAR(information, -bend, 2e-3 / (one.sd * one.sd));
  }
}

TEST(LogReading, WellInsideItsStepSaysNextToNothing) {
  const LogReading reading = log_reading({3.0, 1.0 / std::sqrt(12.0), true}, std::log(3.0), 0.01);
  EXPECT_GT(reading.sd, 5 * 0.01);  // between 2.5 and 3.5 all is as likely
}

TEST(LogReading, FarOutOfItsStepIsTakenAsAFineOne) {
  const Reading reading = {3.0, 1.0 / std::sqrt(12.0), true};
  const LogReading far = log_reading(reading, std::log(300.0), 0.05);
  EXPECT_NEAR(far.residual, std::log(0.01), 1e-12);
  EXPECT_TRUE(std::isfinite(far.sd));
}

TEST(LogReading, ReadAsNothingButOneStepIsFinite) {
  const LogReading reading = log_reading({0.4, 1.0 / std::sqrt(12.0), true}, std::log(0.7), 0.2);
  EXPECT_TRUE(std::isfinite(reading.residual));
  EXPECT_GT(reading.sd, 0.0);
}

}  // namespace
}  // namespace ellwand::calibrate
