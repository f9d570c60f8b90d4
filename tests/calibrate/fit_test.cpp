/// Fits whose answer is known otherwise.

#include "ellwand/calibrate/fit.hpp"

#include "ellwand/calibrate/observe.hpp"
#include "ellwand/units/error.hpp"
#include "support/simulated_studio.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ellwand::calibrate {
namespace {

using estimate::index_of;
using estimate::Shared;

piece::Piece woven(const std::string& id, const std::string& yarn, int rows,
                   const std::string& more = "") {
  piece::Piece piece = test::read_demo_piece(
      "[piece]\nname = \"Trial\"\n" + more +
          "[loom]\nkind = \"notched\"\nspan = \"300 cm\"\npitch = \"4 mm\"\n"
          "[warp]\nyarn = \"seine-12-6\"\nends = 40\n[[band]]\nwork = \"weave\"\nyarn = \"" +
          yarn + "\"\nrows = " + std::to_string(rows) + "\n",
      id);
  piece.id = id;
  return piece;
}

Measurement mass_of(const std::string& yarn) {
  Measurement one;
  one.what = Measured::Mass;
  one.includes = Includes::InThePiece;
  one.yarn = yarn;
  one.step = 0.01;
  one.reading_sd = one.step / std::sqrt(6.0);
  one.column = "used_g";
  return one;
}

/// A swatch that reads what the model has at these coefficients, by name; the others at their
/// start.
Swatch measured(const piece::Piece& piece, const std::map<std::string, double>& truth,
                std::vector<Measurement> measurements) {
  const auto yarns = estimate::yarns_of(piece, test::demo_studio().yarns);
  estimate::Coefficients at =
      estimate::starting_coefficients(test::starting_values(), yarns, 0, piece.beginner);
  const auto ids = estimate::coefficient_ids(piece, yarns, 0);
  for (std::size_t c = 0; c < ids.size(); ++c) {
    const auto found = truth.find(ids[c]);
    if (found != truth.end()) at.means[c] = found->second;
  }
  const estimate::PieceModel model(piece, test::demo_workshop(), at);
  const Observed observed(model, test::starting_values());
  Swatch swatch;
  swatch.id = piece.id;
  swatch.weaver = piece.weaver;
  swatch.piece = piece;
  for (Measurement& one : measurements) {
    one.value = std::exp(observed.expected(one).log_value);
    swatch.measurements.push_back(one);
  }
  return swatch;
}

const FittedCoefficient& named(const Fit& fit, const std::string& name) {
  for (const FittedCoefficient& one : fit.coefficients) {
    if (one.name == name) return one;
  }
  ADD_FAILURE() << name;
  return fit.coefficients.front();
}

TEST(Fit, OfNoSwatchIsTheStart) {
  const Fit none = fit({}, test::demo_workshop());
  EXPECT_EQ(none.verdict, Verdict::NoSwatches);
  EXPECT_TRUE(none.learned.names.empty());
  EXPECT_TRUE(none.rows.empty());
  Swatch empty;
  empty.piece = woven("a", "rug-wool-ash", 40);
  EXPECT_EQ(fit({empty}, test::demo_workshop()).verdict, Verdict::NoSwatches);
}

// Thirty swatches in three yarns whose densities are measured as well: how she lays (hand, weaving
// and yarn together) comes out, each yarn's lot too.
TEST(Fit, RecoversWhatManySwatchesSay) {
  const char* const yarns[] = {"rug-wool-ash", "rug-wool-rust", "rug-wool-ink"};
  const std::map<std::string, double> truth = {
      {"hand", 0.12}, {"yarn rug-wool-rust", -0.05}, {"lot rug-wool-ink", 0.04}};
  std::vector<Swatch> swatches;
  for (int i = 0; i < 30; ++i) {
    const std::string yarn = yarns[i % 3];
    Measurement length = mass_of(yarn);
    length.what = Measured::Length;
    Measurement height;
    height.what = Measured::Height;
    height.reading_sd = 0.0003;
    swatches.push_back(measured(woven("swatch " + std::to_string(i), yarn, 40 + i), truth,
                                {mass_of(yarn), length, height}));
  }
  const Fit fitted = fit(swatches, test::demo_workshop());
  EXPECT_EQ(fitted.verdict, Verdict::Settled);
  // The means are drawn to the start by what the prior has of them: 1 % of the way with 10 lengths
  // and 10 masses each, and less for what all thirty have in common.
  EXPECT_NEAR(named(fitted, "lot rug-wool-ink").mean, 0.04, 0.006);
  EXPECT_NEAR(named(fitted, "lot rug-wool-ash").mean, 0.0, 0.006);
  const double rust = named(fitted, "yarn rug-wool-rust").mean;
  const double ash = named(fitted, "yarn rug-wool-ash").mean;
  EXPECT_NEAR(rust - ash, -0.05, 0.01);
  const double common = named(fitted, "hand").mean + named(fitted, "take.weave").mean + ash;
  EXPECT_NEAR(common, 0.12, 0.012);
  for (const FittedRow& row : fitted.rows) EXPECT_NEAR(row.log_residual, 0.0, 0.01);
}

/// A surplus of a tenth on one mass.
Swatch surplus(const piece::Piece& piece) {
  Swatch one = measured(piece, {}, {mass_of("rug-wool-ash")});
  one.measurements.front().value *= 1.1;
  return one;
}

// What one row cannot tell apart is split as the variances stand (slopes are 1 by what is laid).
TEST(Fit, SplitsASurplusByTheVariances) {
  FitOptions held;
  held.average_spreads = false;
  const Fit fitted = fit({surplus(woven("a", "rug-wool-ash", 60))}, test::demo_workshop(), held);
  const FittedCoefficient& hand = named(fitted, "hand");
  const FittedCoefficient& yarn = named(fitted, "yarn rug-wool-ash");
  const FittedCoefficient& lot = named(fitted, "lot rug-wool-ash");
  const FittedCoefficient& weave = named(fitted, "take.weave");
  ASSERT_GT(hand.mean, 0.0);
  const auto variance = [](const FittedCoefficient& one) { return std::pow(one.start_spread, 2); };
  EXPECT_NEAR(yarn.mean / hand.mean, variance(yarn) / variance(hand), 0.01);
  EXPECT_NEAR(weave.mean / hand.mean, variance(weave) / variance(hand), 0.01);
  // A lot also moves how thick the yarn lies, so that its share is not of its own slope alone.
  EXPECT_GT(lot.mean, 0.0);
  EXPECT_LT(hand.spread, hand.start_spread);
}

// Weighed twice, one piece teaches its own way once: two pieces that say the same teach more.
TEST(Fit, TwoSwatchesOfOnePieceAreOnePiece) {
  const piece::Piece a = woven("a", "rug-wool-ash", 60);
  const piece::Piece b = woven("b", "rug-wool-ash", 60);
  const Fit one = fit({surplus(a), surplus(a)}, test::demo_workshop());
  const Fit two = fit({surplus(a), surplus(b)}, test::demo_workshop());
  EXPECT_LT(named(one, "hand").mean, named(two, "hand").mean);
  EXPECT_GT(named(one, "hand").spread, named(two, "hand").spread);
}

TEST(Fit, ASecondWeaverHasAWayOfHerOwn) {
  piece::Piece hers = woven("b", "rug-wool-ash", 60);
  hers.weaver = "Anna";
  const Fit one = fit({surplus(woven("a", "rug-wool-ash", 60))}, test::demo_workshop());
  EXPECT_TRUE(one.learned.one_weaver);
  EXPECT_EQ(one.learned.find("weaver (owner)"), estimate::Learned::kNone);
  // With one weaver the hand has her way in it.
  EXPECT_NEAR(named(one, "hand").start_spread,
              std::hypot(test::starting_values().at("hand").spread,
                         test::starting_values().at("weaver.experienced").spread),
              1e-12);
  const Fit two =
      fit({surplus(woven("a", "rug-wool-ash", 60)), measured(hers, {}, {mass_of("rug-wool-ash")})},
          test::demo_workshop());
  EXPECT_FALSE(two.learned.one_weaver);
  EXPECT_GT(named(two, "weaver (owner)").mean, named(two, "weaver Anna").mean);
  EXPECT_NEAR(named(two, "hand").start_spread, test::starting_values().at("hand").spread, 1e-12);
}

TEST(Fit, ABeginnerIsAnotherWeaverWithABeginnersSpread) {
  piece::Piece beginners = woven("b", "rug-wool-ash", 60);
  beginners.beginner = true;
  const Fit two = fit(
      {measured(woven("a", "rug-wool-ash", 60), {}, {mass_of("rug-wool-ash")}), surplus(beginners)},
      test::demo_workshop());
  EXPECT_FALSE(two.learned.one_weaver);
  EXPECT_EQ(named(two, "weaver (beginner)").start_spread,
            test::starting_values().at("weaver.beginner").spread);
  EXPECT_GT(named(two, "weaver (beginner)").mean, named(two, "weaver (owner)").mean);
}

// One yarn measured and weighed (error s = 0.02, its lot's spread 0.03 before), and so far off that
// four errors are left of it at the end: then it counts (4 + 2^2) / (4 + 4^2) = 0.4, the lot has
// moved by 0.03^2 x 0.4 x (4 s) / s^2 = 0.072, and the reading was 4 s + 0.072 = 0.152 off.
TEST(Fit, AReadingOutOfLineCountsAsStudentsTHasIt) {
  Measurement density = mass_of("rug-wool-ash");
  density.what = Measured::Density;
  density.reading_sd = 0.0;
  density.step = 0.0;
  Swatch one = measured(woven("a", "rug-wool-ash", 60), {}, {density});
  one.measurements.front().value *= std::exp(0.152);
  FitOptions held;
  held.average_spreads = false;
  held.sets_aside = false;  // 0.152 is four times sqrt(0.03^2 + 0.02^2)
  const Fit fitted = fit({one}, test::demo_workshop(), held);
  EXPECT_EQ(fitted.verdict, Verdict::Settled);
  ASSERT_EQ(fitted.rows.size(), 1U);
  const FittedCoefficient& lot = named(fitted, "lot rug-wool-ash");
  ASSERT_EQ(lot.start_spread, 0.03);
  ASSERT_NEAR(fitted.rows[0].sd, 0.02, 1e-12);
  // Stopped when the next round would move by less than a thousandth of 0.03; each round goes a
  // quarter of the way or more: four times that. The residual is of the round before.
  EXPECT_NEAR(lot.mean, 0.072, 1.2e-4);
  EXPECT_NEAR(fitted.rows[0].log_residual, 0.08, 1.6e-4);
  EXPECT_NEAR(fitted.rows[0].weight, 0.4, 1.3e-3);  // 0.16 for each error of 0.02
}

/// Two lots of one yarn have a coefficient each, and a name each where they are told of.
TEST(Fit, TellsLotsOfOneYarnApart) {
  std::vector<Swatch> swatches;
  for (const char* lot : {"A3", "B 7", ""}) {
    piece::Piece piece = woven(std::string("of ") + lot, "rug-wool-ash", 60);
    if (*lot != 0) piece.lots["rug-wool-ash"] = lot;
    swatches.push_back(measured(piece, {}, {mass_of("rug-wool-ash")}));
  }
  const Fit fitted = fit(swatches, test::demo_workshop());
  const std::string strays = named(fitted, "thickness rug-wool-ash").meaning;
  EXPECT_EQ(strays.find("lot"), std::string::npos);
  EXPECT_NE(named(fitted, "lot rug-wool-ash A3").meaning.find("(rug-wool-ash, lot A3)"),
            std::string::npos);
  EXPECT_NE(named(fitted, "lot rug-wool-ash B 7").meaning.find("(rug-wool-ash, lot B 7)"),
            std::string::npos);
  EXPECT_NE(named(fitted, "lot rug-wool-ash").meaning.find("(rug-wool-ash, lot not named)"),
            std::string::npos);
  swatches.resize(1);
  const std::string alone =
      named(fit(swatches, test::demo_workshop()), "lot rug-wool-ash A3").meaning;
  EXPECT_EQ(alone.find(", lot"), std::string::npos) << alone;
}

TEST(Fit, AnAbsurdSwatchMovesNextToNothing) {
  const test::SimulatedSeason season(11, {});
  std::vector<Swatch> swatches(season.swatches().begin(), season.swatches().begin() + 12);
  const Fit without = fit(swatches, test::demo_workshop());
  Swatch absurd = swatches.front();
  absurd.id = absurd.piece.id = "absurd";
  absurd.measurements.front().value *= 10.0;
  swatches.push_back(absurd);
  const Fit with = fit(swatches, test::demo_workshop());
  EXPECT_EQ(with.verdict, Verdict::Settled);
  for (const FittedCoefficient& one : without.coefficients) {
    EXPECT_LT(std::abs(named(with, one.name).mean - one.mean), 0.5 * one.spread) << one.name;
  }
  double least = 1.0;
  for (const FittedRow& row : with.rows) {
    if (row.swatch == 12 && row.measurement == 0) least = row.weight;
  }
  EXPECT_LT(least, 0.05);
}

TEST(Fit, RefusesAllThatIsNotInThePieceAtOnce) {
  Swatch one = surplus(woven("a", "rug-wool-ash", 60));
  one.file = "swatches.csv";
  one.measurements.front().line = 2;
  one.measurements.push_back(mass_of("cotton-8-2"));
  one.measurements.back().value = 3.0;
  one.measurements.back().line = 3;
  Swatch two = one;
  two.measurements.erase(two.measurements.begin());
  two.measurements.front().line = 5;
  try {
    fit({one, two}, test::demo_workshop());
    FAIL() << "was taken";
  } catch (const BadInput& bad) {
    ASSERT_EQ(bad.complaints().size(), 2U);
    EXPECT_EQ(bad.complaints()[0].file, "swatches.csv");
    EXPECT_EQ(bad.complaints()[0].line, 3);
    EXPECT_EQ(bad.complaints()[1].line, 5);
    EXPECT_NE(bad.complaints()[0].text.find("cotton-8-2"), std::string::npos);
  }
}

TEST(Fit, IsTheSameInAnyOrderOfSwatches) {
  const test::SimulatedSeason season(5, {});
  std::vector<Swatch> swatches(season.swatches().begin(), season.swatches().begin() + 8);
  const Fit forward = fit(swatches, test::demo_workshop());
  std::reverse(swatches.begin(), swatches.end());
  const Fit backward = fit(swatches, test::demo_workshop());
  for (const FittedCoefficient& one : forward.coefficients) {
    // Each is stopped when the next round would move by less than a thousandth of a spread.
    EXPECT_NEAR(named(backward, one.name).mean, one.mean, 2e-3 * one.start_spread) << one.name;
  }
}

// Threads write what is their own, and what they found is added up in one order.
TEST(Fit, HasTheSameBitsOnOneThreadAndTwo) {
  const test::SimulatedSeason season(3, {}, 600);  // of fewer than 500 one thread does all
  FitOptions options;
  options.threads = 1;
  const Fit one = fit(season.swatches(), test::demo_workshop(), options);
  options.threads = 2;
  const Fit two = fit(season.swatches(), test::demo_workshop(), options);
  EXPECT_EQ(one.rounds, two.rounds);
  EXPECT_EQ(one.learned.names, two.learned.names);
  EXPECT_EQ(one.learned.means, two.learned.means);
  EXPECT_EQ(one.learned.covariances, two.learned.covariances);
}

}  // namespace
}  // namespace ellwand::calibrate
