#include "ellwand/numeric/descent.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <limits>
#include <vector>

#include "numeric/nist_fits.hpp"

namespace ellwand::numeric {
namespace {

/// A problem of one unknown from its residuals and their slopes.
class OneUnknown final : public ResidualProblem {
 public:
  using Rows = std::function<std::vector<double>(double)>;
  OneUnknown(Rows residuals, Rows slopes)
      : residuals_(std::move(residuals)), slopes_(std::move(slopes)) {}
  std::size_t rows() const override { return residuals_(1.0).size(); }
  std::size_t unknowns() const override { return 1; }
  void residuals(std::span<const double> at, std::span<double> out) const override {
    ++evaluations;
    const std::vector<double> found = residuals_(at[0]);
    std::copy(found.begin(), found.end(), out.begin());
  }
  std::unique_ptr<Linearisation> linearise(std::span<const double> at) const override {
    ++evaluations;
    return dense_linearisation(slopes_(at[0]), 1);
  }
  mutable int evaluations = 0;

 private:
  Rows residuals_;
  Rows slopes_;
};

/// The square root of the unknown, which there is none of below 0, is to be `root`.
OneUnknown square_root(double root) {
  return OneUnknown([root](double x) { return std::vector{std::sqrt(x) - root}; },
                    [](double x) { return std::vector{0.5 / std::sqrt(x)}; });
}

Descent from(const ResidualProblem& problem, double start, int most = 1000) {
  return descend(problem, std::vector{start}, {}, most);
}

TEST(Descend, StepsToWhereThereIsNoNumberAreRefused) {
  // From 100 the tangent of sqrt(x) = 0.01 leads to -99.8.
  const Descent descent = from(square_root(0.01), 100.0);
  EXPECT_EQ(descent.ending, Ending::Stationary);
  EXPECT_NEAR(descent.at[0], 1e-4, 1e-15);
}

TEST(Descend, StepsToWhereASlopeIsInfiniteAreRefused) {
  // The first step leads to 3, where there is no slope.
  const OneUnknown problem(
      [](double x) {
        return std::vector{x - 3.0, 0.5};
      },
      [](double x) {
        return x == 3.0 ? std::vector{std::numeric_limits<double>::infinity(), 0.0}
                        : std::vector{1.0, 0.0};
      });
  const Descent descent = descend(problem, std::vector{1.0}, {.damping = 1e-300}, 1000);
  EXPECT_TRUE(std::isfinite(descent.at[0]));
  EXPECT_TRUE(std::isfinite(descent.cost));
  EXPECT_NEAR(descent.at[0], 3.0, 1e-6);
}

TEST(Descend, AStartWithoutNumbersIsToldAsSuch) {
  constexpr double kInfinite = std::numeric_limits<double>::infinity();
  for (const double start : {-1.0, 0.0, std::nan(""), kInfinite, -kInfinite}) {
    EXPECT_EQ(from(square_root(2.0), start).ending, Ending::NoFiniteStart) << start;
  }
}

TEST(Descend, CountsEvaluationsAndKeepsToItsBudget) {
  for (const int most : {0, 1, 2, 3, 4, 7, 20, 1000}) {
    const OneUnknown problem = square_root(0.01);
    const Descent descent = from(problem, 100.0, most);
    EXPECT_EQ(descent.evaluations, problem.evaluations);
    EXPECT_LE(problem.evaluations, most);
  }
  EXPECT_EQ(from(square_root(0.01), 100.0, 7).ending, Ending::OutOfEvaluations);
}

TEST(Descend, AnExactFitIsStationary) {
  const OneUnknown line(
      [](double x) {
        return std::vector{x - 2.0, 2.0 * x - 4.0};
      },
      [](double) {
        return std::vector{1.0, 2.0};
      });
  const Descent descent = from(line, 17.0);
  EXPECT_EQ(descent.ending, Ending::Stationary);
  EXPECT_NEAR(descent.at[0], 2.0, 1e-15);
  EXPECT_EQ(from(line, 2.0).ending, Ending::Stationary);
}

TEST(Descend, AnUnknownWithoutEffectLosesRank) {
  const OneUnknown idle(
      [](double) {
        return std::vector{1.0, 2.0};
      },
      [](double) {
        return std::vector{0.0, 0.0};
      });
  EXPECT_EQ(from(idle, 1.0).ending, Ending::RankLost);
}

TEST(Descend, ASumThatFallsForEverIsNoMinimum) {
  // exp(-x) has no least square; steps of 1 until it is out of evaluations or out of numbers.
  const OneUnknown falling([](double x) { return std::vector{std::exp(-x)}; },
                           [](double x) { return std::vector{-std::exp(-x)}; });
  EXPECT_NE(from(falling, 0.0, 50).ending, Ending::Stationary);
}

// What the acceleration is for: NIST's BoxBOD from its first start is lost without, and found with.
TEST(Descend, TheAccelerationRescuesBoxBod) {
  const auto problems = test::nist_problems();
  const test::NistProblem& box = test::named(problems, "BoxBOD");
  const test::NistResidualProblem problem(box);
  const Descent with = descend(problem, box.starts[0], {}, 1000);
  EXPECT_GE(test::fewest_digits(with.at, box.certified), 8.0);
  const Descent without = descend(problem, box.starts[0], {.accelerate = false}, 1000);
  EXPECT_LT(test::fewest_digits(without.at, box.certified), 1.0);
}

// What D's forgetting is for: NIST's MGH10 begins where its slopes are 1e6 times those at its end.
// A maximum kept for ever holds the first unknown fast; with the acceleration it arrives in a third
// of the evaluations.
TEST(Descend, AMaximumKeptForEverHoldsMgh10Fast) {
  const auto problems = test::nist_problems();
  const test::NistProblem& mgh10 = test::named(problems, "MGH10");
  const test::NistResidualProblem problem(mgh10);
  const Descent forgets = descend(problem, mgh10.starts[0], {}, 10000);
  EXPECT_GE(test::fewest_digits(forgets.at, mgh10.certified), 8.0);
  const Descent keeps = descend(problem, mgh10.starts[0], {.memory = 1.0}, 10000);
  EXPECT_LT(test::fewest_digits(keeps.at, mgh10.certified), 1.0);
  DescentSettings plain{.accelerate = false, .most_iterations = 20000};
  const Descent plods = descend(problem, mgh10.starts[0], plain, 50000);
  EXPECT_GE(test::fewest_digits(plods.at, mgh10.certified), 8.0);
  EXPECT_GT(plods.evaluations, 2 * forgets.evaluations);
}

// Unknowns in other units, changes no step: D moves with the units.
TEST(Descend, GoesTheSameWayInOtherUnits) {
  const auto in_units = [](double unit) {
    return OneUnknown(
        [unit](double x) {
          return std::vector{std::exp(x * unit) - 3.0, x * unit - 2.0};
        },
        [unit](double x) {
          return std::vector{unit * std::exp(x * unit), unit};
        });
  };
  const Descent ones = from(in_units(1.0), 4.0);
  const Descent thousands = from(in_units(0x1.0p-10), 4096.0);
  EXPECT_EQ(ones.evaluations, thousands.evaluations);
  EXPECT_EQ(ones.at[0], thousands.at[0] * 0x1.0p-10);
}

}  // namespace
}  // namespace ellwand::numeric
