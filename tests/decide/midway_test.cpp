// Midway: what a weighing of the woven part tells of the rest.

#include "ellwand/decide/midway.hpp"

#include "support/studios.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

namespace ellwand::decide {
namespace {

/// One band of 60 rows, 38.5 m of a yarn of 1 g a metre, unsure by the studio's way and the piece's
/// own; the lot and the strips are sure.
constexpr std::size_t kStudio = 0;
constexpr std::size_t kPiece = 1;
constexpr std::size_t kLot = 2;
constexpr std::size_t kSplit = 3;
constexpr double kBand_m = 15.4 + 23.1;

estimate::Coefficients two_doubts() { return {{0.045, 0.06, 0.0, 0.0}, {0, 0, 0, 0}, {}}; }

estimate::Parts one_band(const estimate::Coefficients& coefficients) {
  estimate::Parts parts;
  parts.coefficients = coefficients.size();
  parts.places = {{1, 0, technique::Portion::Laid}};
  parts.medians_m = {kBand_m * std::exp(coefficients.means[kStudio] + coefficients.means[kPiece])};
  parts.slopes.add(
      std::array{coefficients.spreads[kStudio], coefficients.spreads[kPiece], 0.0, 0.0});
  parts.at_states_m.resize(1);
  return parts;
}

const Measure kGrams{true, 0, 1.0, kLot, kSplit};

TEST(Midway, OneBandByHand) {
  // 24 of 60 rows; foretold 15.4 g, the scale of 1 g steps says 17 before less after; 26 g left.
  // Prior variance 0.045^2 + 0.06^2 = 0.005625; of the observation, with 1 / sqrt(6) = 0.408,
  // (0.408 / 15.4)^2 + 0.03^2 = 0.001602; weight 0.005625 / (0.005625 + 0.001602) = 0.778.
  const estimate::Coefficients prior = two_doubts();
  const std::vector<double> woven = {24.0 / 60.0};
  const LogAmount used = log_amount(one_band(prior), kGrams, woven, prior.spreads);
  EXPECT_NEAR(std::exp(used.value), 15.4, 1e-9);
  EXPECT_NEAR(used.variance(prior), 0.005625, 5e-7);
  const double sd = std::hypot(1.0 / std::sqrt(6.0) / 15.4, 0.03);
  EXPECT_NEAR(sd * sd, 0.001602, 1.5e-6);  // 0.408 is 0.40825 cut off
  EXPECT_NEAR(used.variance(prior) / (used.variance(prior) + sd * sd), 0.778, 5e-4);

  // Mean 0.778 ln(17 / 15.4) = 0.0769; sd sqrt(0.005625 (1 - 0.778)) = 0.0353.
  const estimate::Coefficients known =
      conditioned(prior, used.slopes, std::log(17.0) - used.value, sd);
  EXPECT_NEAR(known.means[kStudio] + known.means[kPiece], 0.0769, 5e-5);
  const LogAmount after = log_amount(one_band(known), kGrams, woven, known.spreads);
  EXPECT_NEAR(std::sqrt(after.variance(known)), 0.0353, 5e-5);

  // To come 23.1 e^0.0769 = 24.95 g, unsure by sqrt(0.0353^2 + 0.03^2) = 0.0463:
  // 24.95 e^(1.645 x 0.0463) = 26.92; Phi(ln(26 / 24.95) / 0.0463) = 81 %.
  const std::vector<double> rest = {36.0 / 60.0};
  const auto to_come = amount_to_come(one_band(known), kGrams, rest, known, 0.03);
  EXPECT_NEAR(to_come.quantile(0.5), 24.95, 5e-3);
  EXPECT_NEAR(std::log(to_come.quantile(0.95) / to_come.quantile(0.5)) / 1.6449, 0.0463, 5e-5);
  EXPECT_NEAR(to_come.quantile(0.95), 26.92, 5e-3);
  EXPECT_NEAR(to_come.cdf(26.0), 0.81, 5e-3);

  // 36 x 26 / 26.92 = 34.8: 34 rows are safe.
  const auto needed = [&](int rows) {
    return amount_to_come(one_band(known), kGrams, std::vector<double>{rows / 60.0}, known, 0.03)
        .quantile(0.95);
  };
  EXPECT_LE(needed(34), 26.0);
  EXPECT_GT(needed(35), 26.0);
}

}  // namespace
}  // namespace ellwand::decide
