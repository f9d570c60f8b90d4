#include "ellwand/calibrate/reading.hpp"

#include "ellwand/numeric/normal.hpp"

#include <cmath>
#include <limits>
#include <numbers>

namespace ellwand::calibrate {

namespace {

double density(double z) {
  return std::isinf(z) ? 0.0 : std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
}

double moment(double z) { return std::isinf(z) ? 0.0 : z * density(z); }

/// The chance of an interval less than this is beyond what can be told: the reading is far out.
constexpr double kLeastChance = 1e-9;

}  // namespace

LogReading log_reading(const Reading& reading, double log_expected, double log_sd) {
  const double relative = reading.reading_sd / std::exp(log_expected);
  const LogReading fine{std::log(reading.value) - log_expected, std::hypot(log_sd, relative)};
  if (!reading.is_coarse) return fine;

  const double half = std::sqrt(3.0) * reading.reading_sd;
  const double low = reading.value > half ? (std::log(reading.value - half) - log_expected) / log_sd
                                          : -std::numeric_limits<double>::infinity();
  const double high = (std::log(reading.value + half) - log_expected) / log_sd;
  const double chance = numeric::normal_cdf(high) - numeric::normal_cdf(low);
  if (chance < kLeastChance) return fine;
  const double slope = (density(low) - density(high)) / (log_sd * chance);
  const double bend = slope * slope - (moment(low) - moment(high)) / (log_sd * log_sd * chance);
  const double least = 1e-6 / (log_sd * log_sd);
  const double information = bend > least ? bend : least;
  return {slope / information, 1.0 / std::sqrt(information)};
}

}  // namespace ellwand::calibrate
