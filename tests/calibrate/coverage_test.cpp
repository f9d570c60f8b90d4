/// Whether ranges after a calibration hold what they promise: studios drawn from the starting
/// values, their swatches fitted, and the pieces they weave afterwards held against the estimate.
/// Nothing of what is expected here is reckoned by the fit: a promise of 9 in 10 is one.

#include "ellwand/calibrate/fit.hpp"

#include "ellwand/calibrate/scores.hpp"
#include "ellwand/estimate/estimate.hpp"
#include "support/simulated_studio.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <thread>
#include <vector>

namespace ellwand::calibrate {
namespace {

constexpr std::array<int, 5> kSizes = {0, 3, 6, 12, 24};

/// Of many ranges.
struct Tally {
  double ranges = 0.0;
  double inside = 0.0;
  double enough = 0.0;  ///< the set-aside did not run short
  double log_width = 0.0;
  double score = 0.0;  ///< interval score of the 90 % range of ln g
  double off = 0.0;    ///< |ln(used / middle)|

  void add(const estimate::YarnEstimate& yarn, double used_g) {
    const estimate::Spread& range = yarn.mass_g;
    ranges += 1.0;
    inside += used_g >= range.low && used_g <= range.high ? 1.0 : 0.0;
    enough += used_g <= yarn.set_aside_g ? 1.0 : 0.0;
    log_width += std::log(range.high / range.low);
    score += interval_score(std::log(range.low), std::log(range.high), std::log(used_g), 0.1);
    off += std::abs(std::log(used_g / range.mid));
  }
  void add(const Tally& other) {
    ranges += other.ranges;
    inside += other.inside;
    enough += other.enough;
    log_width += other.log_width;
    score += other.score;
    off += other.off;
  }
  double share(double Tally::*what) const { return this->*what / ranges; }
};

/// After so many swatches.
struct After {
  Tally all;
  Tally new_yarn;
  int not_settled = 0;

  void add(const After& other) {
    all.add(other.all);
    new_yarn.add(other.new_yarn);
    not_settled += other.not_settled;
  }
};
using Outcome = std::array<After, kSizes.size()>;

void hold_against(const test::ComingPiece& coming, const estimate::Workshop& workshop,
                  After& after) {
  estimate::Options options;
  options.chances = false;
  const auto estimate =
      estimate::estimate(estimate::PieceModel(coming.piece, workshop), {}, options);
  for (std::size_t y = 0; y < estimate.yarns.size(); ++y) {
    if (!(coming.used_g[y] > 0.0)) continue;
    after.all.add(estimate.yarns[y], coming.used_g[y]);
    if (estimate.yarns[y].yarn == test::SimulatedSeason::kNewYarn) {
      after.new_yarn.add(estimate.yarns[y], coming.used_g[y]);
    }
  }
}

void live_through(std::uint64_t seed, const test::Wrong& wrong, const FitOptions& options,
                  Outcome& outcome) {
  const test::SimulatedSeason season(seed, wrong);
  for (std::size_t k = 0; k < kSizes.size(); ++k) {
    const std::vector<Swatch> swatches(season.swatches().begin(),
                                       season.swatches().begin() + kSizes.at(k));
    estimate::Workshop workshop = test::demo_workshop();
    const Fit fitted = fit(swatches, workshop, options);
    if (!swatches.empty()) workshop.learned = &fitted.learned;
    outcome.at(k).not_settled += fitted.verdict == Verdict::NotSettled ? 1 : 0;
    for (const test::ComingPiece& coming : season.coming()) {
      hold_against(coming, workshop, outcome.at(k));
    }
  }
}

/// Studios with seeds from `first`, on every core.
Outcome simulate(int studios, std::uint64_t first, const test::Wrong& wrong,
                 const FitOptions& options) {
  const unsigned cores = std::max(1U, std::thread::hardware_concurrency());
  std::vector<Outcome> parts(cores);
  std::vector<std::thread> threads;
  test::demo_studio();  // read once, before there are threads
  for (unsigned core = 0; core < cores; ++core) {
    threads.emplace_back([&, core] {
      for (int i = static_cast<int>(core); i < studios; i += static_cast<int>(cores)) {
        live_through(first + static_cast<std::uint64_t>(i), wrong, options, parts[core]);
      }
    });
  }
  for (std::thread& thread : threads) thread.join();
  Outcome all;
  for (const Outcome& part : parts) {
    for (std::size_t k = 0; k < all.size(); ++k) all.at(k).add(part.at(k));
  }
  return all;
}

void print(const char* what, const Outcome& outcome) {
  std::printf(
      "%s\n  swatches  90 %% range  set-aside  width  score   off    new yarn: range, width\n",
      what);
  for (std::size_t k = 0; k < kSizes.size(); ++k) {
    const After& after = outcome.at(k);
    std::printf("  %8d      %.4f     %.4f  %.3f  %.3f  %.4f      %.4f  %.3f   unsettled %d\n",
                kSizes.at(k), after.all.share(&Tally::inside), after.all.share(&Tally::enough),
                after.all.share(&Tally::log_width), after.all.share(&Tally::score),
                after.all.share(&Tally::off), after.new_yarn.share(&Tally::inside),
                after.new_yarn.share(&Tally::log_width), after.not_settled);
  }
}

/// A smaller number for a look, where the environment says.
int studios(int all) {
  const char* fewer = std::getenv("ELLWAND_STUDIOS");
  return fewer == nullptr ? all : std::atoi(fewer);
}

TEST(Coverage, HoldsWhatItPromisesWhereTheModelIsRight) {
  const Outcome outcome = simulate(studios(3000), 1, {}, {});
  print("right model", outcome);
  for (std::size_t k = 1; k < kSizes.size(); ++k) {
    const Tally& all = outcome.at(k).all;
    EXPECT_GE(all.share(&Tally::inside), 0.88) << kSizes.at(k);
    EXPECT_LE(all.share(&Tally::inside), 0.92) << kSizes.at(k);
    EXPECT_GE(all.share(&Tally::enough), 0.94) << kSizes.at(k);
    EXPECT_LE(all.share(&Tally::enough), 0.96) << kSizes.at(k);
    EXPECT_LT(all.share(&Tally::off), outcome.at(k - 1).all.share(&Tally::off)) << kSizes.at(k);
    EXPECT_LT(all.share(&Tally::score), outcome.at(k - 1).all.share(&Tally::score));
    EXPECT_LE(outcome.at(k).not_settled, 0.005 * studios(3000)) << kSizes.at(k);
    // Of a yarn that is new the range holds as well, by being wider; how much, the yarn says.
    const Tally& new_yarn = outcome.at(k).new_yarn;
    EXPECT_GE(new_yarn.share(&Tally::inside), 0.87) << kSizes.at(k);
    EXPECT_LE(new_yarn.share(&Tally::inside), 0.93) << kSizes.at(k);
    EXPECT_GT(new_yarn.share(&Tally::log_width), 1.02 * all.share(&Tally::log_width));
  }
}

/// Another crossing, a beat that drifts within a piece, labels 3 % off, a row miscounted in every
/// thirtieth swatch.
constexpr test::Wrong kWrong = {true, 0.10, 0.03, 1.0 / 30.0};

// The model is wrong and the fit does not know. A wrong geometry or label is the same in every
// piece, and goes into what is learned of the work and of the yarn; what differs from piece to
// piece goes into the spreads, and so into the ranges. That this is what holds them shows where
// pieces and yarns are twice as unlike as the table has it: with the spreads held at their start
// the ranges fall short and stay so, however many swatches there are.
TEST(Coverage, HoldsByWideningWhereTheModelIsWrong) {
  FitOptions held;
  held.average_spreads = false;
  const int count = studios(400);
  const Outcome right = simulate(count, 20001, {}, {});
  const Outcome wrong = simulate(count, 20001, kWrong, {});
  const Outcome control = simulate(count, 20001, kWrong, held);
  test::Wrong worse = kWrong;
  worse.unlike = 2.0;
  const Outcome unlike = simulate(count, 20001, worse, {});
  const Outcome unlike_control = simulate(count, 20001, worse, held);
  print("right model", right);
  print("wrong model", wrong);
  print("wrong model, spreads held", control);
  print("wrong model, pieces and yarns twice as unlike", unlike);
  print("the same, spreads held", unlike_control);
  for (std::size_t k = 1; k < kSizes.size(); ++k) {
    EXPECT_GE(wrong.at(k).all.share(&Tally::inside), 0.85) << kSizes.at(k);
    EXPECT_LT(unlike_control.at(k).all.share(&Tally::inside), 0.85) << kSizes.at(k);
    EXPECT_LT(unlike.at(k).all.share(&Tally::score), unlike_control.at(k).all.share(&Tally::score));
    if (kSizes.at(k) >= 12) {  // fewer pieces cannot tell that they are so unlike
      EXPECT_GE(unlike.at(k).all.share(&Tally::inside), 0.85) << kSizes.at(k);
    }
  }
}

}  // namespace
}  // namespace ellwand::calibrate
