// What a surplus of yarn is put down to, where it goes, and what the fit says on cases worked by
// hand.

#include "ellwand/calibrate/fit.hpp"
#include "ellwand/calibrate/normal_rows.hpp"
#include "ellwand/calibrate/report.hpp"
#include "support/swatches.hpp"

#include <gtest/gtest.h>

namespace ellwand::calibrate {
namespace {

using test::add_reading;
using test::woven_swatch;

/// Spreads held, errors normal: what the arithmetic by hand takes for granted.
FitOptions plain() {
  FitOptions options;
  options.average_spreads = false;
  options.robustness = std::numeric_limits<double>::infinity();
  return options;
}

double mean_of(const Fit& fit, const std::string& name) {
  const std::size_t place = fit.learned.find(name);
  EXPECT_NE(place, estimate::Learned::kNone) << name;
  return place == estimate::Learned::kNone ? 0.0 : fit.learned.means[place];
}

double spread_of(const Fit& fit, const std::string& name) {
  const std::size_t place = fit.learned.find(name);
  EXPECT_NE(place, estimate::Learned::kNone) << name;
  return place == estimate::Learned::kNone ? 0.0 : fit.coefficients[place].spread;
}

// Prior variances 0.10^2, 0.08^2, 0.03^2: 100, 64 and 9 parts of 173, so 58, 37 and 5 %.
TEST(Surplus, OfGramsAloneIsSplitByPriorVariance) {
  const auto values =
      test::changed_values({{}, {{"hand", 0.10}, {"yarn", 0.08}, {"lot.mill", 0.03}}, true});
  const estimate::Workshop workshop{test::demo_studio().yarns, values, test::demo_studio().habits};
  Swatch swatch = woven_swatch("one", "rug-wool-ash", 60);
  add_reading(swatch, Measured::Mass, "rug-wool-ash", 1.1, workshop, Includes::InTheBand);
  const Fit fit = calibrate::fit({swatch}, workshop, plain());
  ASSERT_EQ(fit.verdict, Verdict::Settled);
  const double hand = mean_of(fit, "hand");
  const double yarn = mean_of(fit, "yarn rug-wool-ash");
  const double lot = mean_of(fit, "lot rug-wool-ash");
  const double all = hand + yarn + lot;
  EXPECT_NEAR(hand / all, 100.0 / 173.0, 1e-9);
  EXPECT_NEAR(yarn / all, 64.0 / 173.0, 1e-9);
  EXPECT_NEAR(lot / all, 9.0 / 173.0, 1e-9);
  // All of it: 0.0173 of prior against 0.03^2 of error.
  EXPECT_NEAR(all, std::log(1.1) * 0.0173 / (0.0173 + 0.0009), 1e-9);
}

TEST(Surplus, OnlyTheHandsPartMovesToAnotherYarn) {
  const auto values =
      test::changed_values({{}, {{"hand", 0.10}, {"yarn", 0.08}, {"lot.mill", 0.03}}, true});
  estimate::Workshop workshop{test::demo_studio().yarns, values, test::demo_studio().habits};
  Swatch swatch = woven_swatch("one", "rug-wool-ash", 60);
  add_reading(swatch, Measured::Mass, "rug-wool-ash", 1.1, workshop, Includes::InTheBand);
  const Fit fit = calibrate::fit({swatch}, workshop, plain());
  workshop.learned = &fit.learned;

  const double all = std::log(1.1) * 0.0173 / (0.0173 + 0.0009);
  const auto moved = [&](const std::string& yarn) {
    Swatch next = woven_swatch("next", yarn, 100);
    add_reading(next, Measured::Mass, yarn, 1.0, workshop, Includes::InTheBand);
    const Foretold now = foretold(next, next.measurements[0], workshop);
    return now.log_mid - std::log(next.measurements[0].value);
  };
  EXPECT_NEAR(moved("rug-wool-rust"), all * 100.0 / 173.0, 1e-9);
  EXPECT_NEAR(moved("rug-wool-ash"), all, 1e-9);
}

// Prior log-sd 0.20, sigma 0.06, a 1 g scale read before and after, u = sqrt(2 / 12) g. Foretold
// 12 g and used 13: y = 0.0800, variance 0.06^2 + (0.408 / 12)^2 = 0.004756. Foretold 25, used 28:
// 0.1133 and 0.003866. Precision 25 + 210.2 + 258.6 = 493.9; mean 0.0934, sd 0.0450.
TEST(TwoSwatches, AreTheConjugateMeanBeforeTheReadingsAreHeldAgainstTheFit) {
  const double u = std::sqrt(2.0 / 12.0);
  const std::vector<LinearRow> rows = {
      {{{0, 1.0}}, {}, 0, std::log(13.0 / 12.0), std::hypot(0.06, u / 12.0)},
      {{{0, 1.0}}, {}, 1, std::log(28.0 / 25.0), std::hypot(0.06, u / 25.0)}};
  const std::vector<double> prior = {0.04};
  const Posterior known = NormalRows(rows, 1, 0).without_own({}).posterior(prior);
  EXPECT_NEAR(known.means[0], 0.0934, 5e-5);
  EXPECT_NEAR(std::sqrt(known.covariances[0]), 0.0450, 5e-5);
  EXPECT_NEAR(std::exp(known.means[0]), 1.098, 5e-4);
  EXPECT_NEAR(1.0 - known.covariances[0] / 0.04, 0.949, 5e-4);
  // A piece of 38 g by starting values: two balls of 50 g before, one after.
  const double sd = std::sqrt(known.covariances[0] + 0.06 * 0.06);
  EXPECT_NEAR(38.0 * std::exp(known.means[0]), 41.7, 0.05);
  EXPECT_NEAR(38.0 * std::exp(known.means[0] - 1.6449 * sd), 36.9, 0.05);
  EXPECT_NEAR(38.0 * std::exp(known.means[0] + 1.6449 * sd), 47.2, 0.05);
  EXPECT_NEAR(38.0 * std::exp(-1.6449 * std::hypot(0.20, 0.06)), 27.0, 0.05);
  EXPECT_NEAR(38.0 * std::exp(1.6449 * std::hypot(0.20, 0.06)), 53.6, 0.1);
}

// The same through the whole fit, the tool's error over the fitted amount: its equation solved
// here.
TEST(TwoSwatches, ThroughTheFitHaveTheToolsErrorOverWhatIsFitted) {
  const auto values = test::changed_values({{{"error.mass", 0.06}}, {{"hand", 0.20}}, true});
  const estimate::Workshop workshop{test::demo_studio().yarns, values, test::demo_studio().habits};
  const double u = std::sqrt(2.0 / 12.0);
  const double foretold_g[] = {12.0, 25.0};
  const double used_g[] = {13.0, 28.0};
  std::vector<Swatch> swatches;
  for (std::size_t i = 0; i < 2; ++i) {
    Swatch swatch = woven_swatch("swatch-" + std::to_string(i), "rug-wool-ash", 80);
    add_reading(swatch, Measured::Mass, "rug-wool-ash", 1.0, workshop, Includes::InTheBand);
    Measurement& one = swatch.measurements[0];
    one.share = foretold_g[i] / one.value;
    one.value = used_g[i];
    one.reading_sd = u;
    swatches.push_back(swatch);
  }
  double mean = 0.0;
  double precision = 0.0;
  for (int round = 0; round < 60; ++round) {
    precision = 1.0 / 0.04;
    double pull = 0.0;
    for (std::size_t i = 0; i < 2; ++i) {
      const double variance = 0.0036 + std::pow(u / (foretold_g[i] * std::exp(mean)), 2.0);
      precision += 1.0 / variance;
      pull += std::log(used_g[i] / foretold_g[i]) / variance;
    }
    mean = pull / precision;
  }
  const Fit fit = calibrate::fit(swatches, workshop, plain());
  ASSERT_EQ(fit.verdict, Verdict::Settled);
  EXPECT_NEAR(mean_of(fit, "hand"), mean, 1e-6);
  EXPECT_NEAR(spread_of(fit, "hand"), 1.0 / std::sqrt(precision), 1e-6);
}

std::vector<Swatch> twelve(const estimate::Workshop& workshop) {
  const double strays[] = {0.02, -0.03, 0.01, 0.04,  -0.02, 0.0,
                           0.03, -0.04, 0.01, -0.01, 0.02,  -0.03};
  std::vector<Swatch> swatches;
  for (std::size_t i = 0; i < 12; ++i) {
    const std::string yarn = i % 2 == 0 ? "rug-wool-ash" : "rug-wool-rust";
    Swatch swatch =
        woven_swatch("strip-" + std::to_string(i + 1), yarn, 60 + 10 * static_cast<int>(i));
    add_reading(swatch, Measured::Mass, yarn, 1.15 * std::exp(strays[i]), workshop);
    swatches.push_back(swatch);
  }
  return swatches;
}

TEST(AnAbsurdSwatch, MovesNothingByHalfItsSpreadAndIsNamed) {
  const estimate::Workshop workshop = test::demo_workshop();
  for (const double times : {3.0, 1.0 / 3.0, 10.0}) {
    std::vector<Swatch> swatches = twelve(workshop);
    const Fit sound = calibrate::fit(swatches, workshop);
    swatches[4].measurements[0].value *= times;
    const Fit spoilt = calibrate::fit(swatches, workshop);
    ASSERT_EQ(spoilt.verdict, Verdict::Settled);
    for (std::size_t c = 0; c < sound.coefficients.size(); ++c) {
      const FittedCoefficient& one = sound.coefficients[c];
      EXPECT_LT(std::abs(spoilt.coefficients[c].mean - one.mean), 0.5 * one.spread)
          << one.name << " at " << times;
    }
    const std::vector<OutOfLine> named = out_of_line_of(spoilt);
    ASSERT_EQ(named.size(), 1U) << times;
    EXPECT_EQ(named[0].swatch, 4U);
    EXPECT_NEAR(named[0].times / times, 1.0, 0.15);
    EXPECT_TRUE(out_of_line_of(sound).empty());
  }
}

/// Eleven sound ones in two yarns, and one that is the only one of its work or yarn.
std::vector<Swatch> with_one_of_its_own(bool is_work, double times,
                                        const estimate::Workshop& workshop) {
  std::vector<Swatch> swatches = twelve(workshop);
  const std::string yarn = is_work ? "rug-wool-ash" : "rug-wool-ink";
  Swatch alone = is_work ? test::soumak_swatch("alone", yarn, 12) : woven_swatch("alone", yarn, 80);
  add_reading(alone, Measured::Mass, yarn, 1.15 * times, workshop);
  swatches[11] = alone;
  return swatches;
}

/// No coefficient has another swatch to hold this one against; what all others foretell of it, with
/// its own spread (some 25 % of soumak, 10 % of a yarn), misses it four times over and more.
TEST(AnAbsurdSwatch, ThatIsAllThatIsKnownOfAWorkOrYarnMovesNothingAndIsNamed) {
  const estimate::Workshop workshop = test::demo_workshop();
  for (const bool is_work : {true, false}) {
    const Fit sound = calibrate::fit(with_one_of_its_own(is_work, 1.0, workshop), workshop);
    EXPECT_TRUE(out_of_line_of(sound).empty());
    for (const double times : {3.0, 1.0 / 3.0, 10.0, 28.35}) {
      const Fit spoilt = calibrate::fit(with_one_of_its_own(is_work, times, workshop), workshop);
      ASSERT_EQ(spoilt.verdict, Verdict::Settled);
      for (const FittedCoefficient& one : sound.coefficients) {
        EXPECT_LT(std::abs(mean_of(spoilt, one.name) - one.mean), 0.5 * one.spread)
            << one.name << " at " << times;
      }
      const std::vector<OutOfLine> named = out_of_line_of(spoilt);
      ASSERT_EQ(named.size(), 1U) << is_work << " at " << times;
      EXPECT_EQ(named[0].swatch, 11U);
      EXPECT_TRUE(named[0].is_set_aside);
      // Foretold by the hand that the others show: 1.15, but for what prior and spread pull it.
      EXPECT_NEAR(std::log(named[0].times / times), 0.0, 0.1);
    }
  }
}

/// A second one that says the same is another weaver's work, or another yarn, and no slip.
TEST(AnAbsurdSwatch, IsBelievedOnceAnotherSaysTheSame) {
  const estimate::Workshop workshop = test::demo_workshop();
  std::vector<Swatch> swatches = with_one_of_its_own(true, 3.0, workshop);
  Swatch again = test::soumak_swatch("again", "rug-wool-rust", 16);
  add_reading(again, Measured::Mass, "rug-wool-rust", 1.15 * 3.0, workshop);
  swatches.push_back(again);
  const Fit fit = calibrate::fit(swatches, workshop);
  ASSERT_EQ(fit.verdict, Verdict::Settled);
  EXPECT_TRUE(out_of_line_of(fit).empty());
  EXPECT_GT(mean_of(fit, "take.soumak"), 0.5);  // of ln 3 = 1.1
}

/// What is set aside teaches a work nothing: it is still a stranger's hand.
TEST(AnAbsurdSwatch, CountsForNoPieceOfItsWork) {
  const estimate::Workshop workshop = test::demo_workshop();
  const Fit sound = calibrate::fit(with_one_of_its_own(true, 1.0, workshop), workshop);
  EXPECT_EQ(sound.learned.pieces_by_work.count("take.soumak"), 1U);
  const Fit spoilt = calibrate::fit(with_one_of_its_own(true, 10.0, workshop), workshop);
  EXPECT_EQ(spoilt.learned.pieces_by_work.count("take.soumak"), 0U);
}

TEST(Fit, CountsThePiecesThatTaughtAWork) {
  const estimate::Workshop workshop = test::demo_workshop();
  std::vector<Swatch> swatches = {woven_swatch("a", "rug-wool-ash", 60),
                                  woven_swatch("b", "rug-wool-rust", 60),
                                  test::soumak_swatch("c", "rug-wool-ash", 8)};
  for (Swatch& swatch : swatches) {
    add_reading(swatch, Measured::Mass, swatch.id == "b" ? "rug-wool-rust" : "rug-wool-ash", 1.0,
                workshop);
  }
  swatches.push_back(swatches[0]);  // the same piece measured once more
  const Fit fit = calibrate::fit(swatches, workshop);
  EXPECT_EQ(fit.learned.pieces_by_work.at("take.weave"), 2);
  EXPECT_EQ(fit.learned.pieces_by_work.at("take.soumak"), 1);
  EXPECT_EQ(fit.learned.pieces_by_work.count("take.knots"), 0U);
}

TEST(Fit, WithoutSwatchesLeavesTheStartingValues) {
  const Fit fit = calibrate::fit({}, test::demo_workshop());
  EXPECT_EQ(fit.verdict, Verdict::NoSwatches);
  EXPECT_TRUE(fit.learned.names.empty());
}

}  // namespace
}  // namespace ellwand::calibrate
