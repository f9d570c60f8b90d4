#include "ellwand/numeric/least_squares.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <set>
#include <vector>

#include "ellwand/units/error.hpp"
#include "numeric/nist_fits.hpp"
#include "support/draws.hpp"

namespace ellwand::numeric {
namespace {

constexpr double kInfinite = std::numeric_limits<double>::infinity();

/// y = f(p, x) with slopes by Dual; residuals divided by `sd`.
template <class Formula>
class DualModel final : public ResidualModel {
 public:
  DualModel(Formula formula, std::vector<double> x, std::vector<double> y, double sd = 1.0)
      : formula_(formula), x_(std::move(x)), y_(std::move(y)), sd_(sd) {}
  std::size_t rows() const override { return y_.size(); }
  void residuals(std::span<const double> p, std::span<double> out) const override {
    for (std::size_t i = 0; i < y_.size(); ++i) out[i] = (formula_(p.data(), x_[i]) - y_[i]) / sd_;
  }
  void slopes(std::span<const double> p, std::span<double> out) const override {
    std::vector<Dual> dual(p.size());
    for (std::size_t j = 0; j < p.size(); ++j) dual[j] = Dual::variable(p[j], j);
    for (std::size_t i = 0; i < y_.size(); ++i) {
      const Dual f = formula_(dual.data(), x_[i]);
      for (std::size_t j = 0; j < p.size(); ++j) out[i * p.size() + j] = f.slope[j] / sd_;
    }
  }

 private:
  Formula formula_;
  std::vector<double> x_;
  std::vector<double> y_;
  double sd_;
};

const auto kLine = [](const auto* p, double x) { return p[0] + p[1] * x; };
const auto kLevel = [](const auto* p, double) { return p[0] * 1.0; };
const auto kPower = [](const auto* p, double x) {
  using std::exp;
  return p[0] * exp(p[1] * std::log(x));
};

Parameter plain(double start) { return {start, Coordinate::plain(), std::nullopt}; }
Parameter known(double start, double mean, double sd) {
  return {start, Coordinate::plain(), Prior{mean, sd}};
}

/// The rows of data/published/statistics.csv of that name, by their quantity.
std::map<std::string, test::PublishedRow> statistics_of(const std::string& name) {
  std::map<std::string, test::PublishedRow> rows;
  for (const test::PublishedRow& row : test::published_rows("statistics.csv")) {
    if (row.at("name") == name) rows[row.at("quantity")] = row;
  }
  EXPECT_FALSE(rows.empty()) << name;
  return rows;
}

// --- priors -------------------------------------------------------------------------------------

// A line through three points with priors for both coefficients: the posterior in closed form.
TEST(FitLeastSquares, PriorsGiveThePublishedPosterior) {
  const DualModel model(kLine, {1.0, 2.0, 3.0}, {2.1, 3.9, 6.2}, 0.2);
  const Fit fit = fit_least_squares(model, std::vector{known(5.0, 0.0, 0.5), known(-3.0, 2.0, 0.1)},
                                    {.rows_in_sds = true});
  EXPECT_EQ(fit.verdict, Verdict::Settled);
  std::vector<double> published;
  for (const char* word :
       {"posterior mean b0", "posterior mean b1", "posterior sd b0", "posterior sd b1"}) {
    for (const auto& [quantity, row] : statistics_of("map_linear")) {
      if (quantity.starts_with(word)) published.push_back(test::number(row, "value"));
    }
  }
  ASSERT_EQ(published.size(), 4U);
  EXPECT_NEAR(fit.parameters[0], published[0], 1e-12);
  EXPECT_NEAR(fit.parameters[1], published[1], 1e-11);
  EXPECT_NEAR(fit.sds[0], published[2], 1e-12);
  EXPECT_NEAR(fit.sds[1], published[3], 1e-12);
}

TEST(FitLeastSquares, EffectiveDegreesAreWhatTheDataHaveOfTheFit) {
  // One level from n rows of sd 1 with a prior of sd s: n / (n + 1 / s^2).
  const DualModel model(kLevel, {0, 0, 0, 0}, {1.0, 2.0, 3.0, 6.0});
  const Fit fit =
      fit_least_squares(model, std::vector{known(0.0, 0.0, 0.5)}, {.rows_in_sds = true});
  EXPECT_NEAR(fit.effective_df, 4.0 / (4.0 + 4.0), 1e-14);
  EXPECT_NEAR(fit.parameters[0], 12.0 / 8.0, 1e-14);  // posterior mean by hand
  EXPECT_NEAR(fit.covariance[0], 1.0 / 8.0, 1e-15);
  // Rows leave 0.25 + 0.25 + 2.25 + 20.25 = 23, the prior row (1.5 / 0.5)^2 = 9.
  EXPECT_NEAR(fit.rss, 23.0, 1e-12);
  EXPECT_NEAR(fit.cost, 32.0, 1e-12);
  EXPECT_NEAR(fit.residual_sd, std::sqrt(23.0 / 3.5), 1e-12);
  const Fit free = fit_least_squares(model, std::vector{plain(0.0)}, {});
  EXPECT_NEAR(free.effective_df, 1.0, 1e-14);
}

TEST(FitLeastSquares, WithoutRowsThePriorIsTheAnswer) {
  const DualModel model(kLine, {}, {});
  const Fit fit = fit_least_squares(model, std::vector{known(5.0, 0.3, 0.5), known(-3.0, 2.0, 0.1)},
                                    {.rows_in_sds = true});
  EXPECT_EQ(fit.verdict, Verdict::Settled);
  EXPECT_NEAR(fit.parameters[0], 0.3, 1e-14);
  EXPECT_NEAR(fit.parameters[1], 2.0, 1e-14);
  EXPECT_NEAR(fit.sds[0], 0.5, 1e-14);
  EXPECT_EQ(fit.effective_df, 0.0);
}

// --- bounds -------------------------------------------------------------------------------------

// Enzyme velocity against concentration, both parameters above 0 by nature.
TEST(FitLeastSquares, PuromycinInLogCoordinatesHasThePublishedFigures) {
  std::vector<double> conc;
  std::vector<double> rate;
  for (const auto& row : test::published_rows("statistics/puromycin_treated.csv", 12)) {
    conc.push_back(test::number(row, "conc"));
    rate.push_back(test::number(row, "rate"));
  }
  const DualModel model([](const auto* p, double x) { return p[0] * x / (p[1] + x); }, conc, rate);
  const Coordinate above = Coordinate::above_zero();
  const Fit fit = fit_least_squares(
      model, std::vector{Parameter{100.0, above, {}}, Parameter{1.0, above, {}}}, {});
  EXPECT_EQ(fit.verdict, Verdict::Settled);
  auto published = statistics_of("puromycin");
  const auto value = [&](const char* quantity) {
    return test::number(published[quantity], "value");
  };
  // The published column was computed to a tolerance of about 1e-7.
  EXPECT_NEAR(fit.parameters[0] / value("Vm"), 1.0, 1e-6);
  EXPECT_NEAR(fit.parameters[1] / value("K"), 1.0, 1e-6);
  EXPECT_NEAR(fit.sds[0] / value("se Vm"), 1.0, 1e-6);
  EXPECT_NEAR(fit.sds[1] / value("se K"), 1.0, 1e-6);
  EXPECT_NEAR(fit.residual_sd / value("s (10 df)"), 1.0, 1e-6);
}

TEST(FitLeastSquares, TheMinimumIsTheSameInEveryCoordinate) {
  const DualModel model(kPower, {1.0, 2.0, 3.0, 4.0, 5.0}, {2.1, 2.7, 3.5, 4.1, 4.4});
  std::vector<double> first;
  for (const Coordinate& coordinate :
       {Coordinate::plain(), Coordinate::above_zero(), Coordinate::between(0.01, 10.0)}) {
    const Fit fit = fit_least_squares(
        model, std::vector{Parameter{1.0, coordinate, {}}, Parameter{1.0, coordinate, {}}}, {});
    EXPECT_EQ(fit.verdict, Verdict::Settled);
    if (first.empty()) first = fit.parameters;
    EXPECT_NEAR(fit.parameters[0], first[0], 1e-11);
    EXPECT_NEAR(fit.parameters[1], first[1], 1e-11);
  }
}

TEST(FitLeastSquares, SaysWhenAParameterRanToItsEnd) {
  const DualModel below(kLevel, {0, 0, 0}, {-1.0, -2.0, -1.5});
  const Fit log =
      fit_least_squares(below, std::vector{Parameter{1.0, Coordinate::above_zero(), {}}}, {});
  EXPECT_FALSE(is_answer(log.verdict));
  EXPECT_GE(log.parameters[0], 0.0);
  EXPECT_LT(log.parameters[0], 1e-6);
  const DualModel beyond(kLevel, {0, 0, 0}, {7.0, 8.0, 9.0});
  const Fit logit =
      fit_least_squares(beyond, std::vector{Parameter{1.0, Coordinate::between(0.0, 2.0), {}}}, {});
  EXPECT_FALSE(is_answer(logit.verdict));
  EXPECT_GT(logit.parameters[0], 2.0 - 1e-6);
  EXPECT_LE(logit.parameters[0], 2.0);
}

// --- robust weights -----------------------------------------------------------------------------

/// Brownlee's stack loss data, y on three columns.
class StackLoss final : public ResidualModel {
 public:
  StackLoss() : rows_(test::published_rows("statistics/stackloss.csv", 21)) {}
  std::size_t rows() const override { return rows_.size(); }
  void residuals(std::span<const double> p, std::span<double> out) const override {
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      const std::vector<double> t = terms(i);
      out[i] = p[0] * t[0] + p[1] * t[1] + p[2] * t[2] + p[3] * t[3] -
               test::number(rows_[i], "stack.loss");
    }
  }
  void slopes(std::span<const double> /*p*/, std::span<double> out) const override {
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      const std::vector<double> t = terms(i);
      std::copy(t.begin(), t.end(), out.begin() + static_cast<std::ptrdiff_t>(4 * i));
    }
  }

 private:
  std::vector<double> terms(std::size_t i) const {
    return {1.0, test::number(rows_[i], "Air.Flow"), test::number(rows_[i], "Water.Temp"),
            test::number(rows_[i], "Acid.Conc.")};
  }
  std::vector<test::PublishedRow> rows_;
};

/// The column `value` was computed by rlm of R's package MASS, which its help page prints to four
/// places; one of those is cut off there and not rounded.
void expect_stackloss(const std::string& name, const Robust& robust) {
  const Fit fit = fit_least_squares(
      StackLoss(), std::vector{plain(0.0), plain(0.0), plain(0.0), plain(0.0)}, {.robust = robust});
  EXPECT_EQ(fit.verdict, Verdict::Settled) << told(fit.verdict);
  auto published = statistics_of(name);
  const auto expect_near = [&](const char* quantity, double found, double printed_to) {
    const test::PublishedRow& row = published[quantity];
    const double value = test::number(row, "value");
    EXPECT_NEAR(found, value, 1e-8 * std::abs(value)) << quantity;
    EXPECT_NEAR(found, test::number(row, "published_value"), printed_to) << quantity;
  };
  expect_near("(Intercept)", fit.parameters[0], 1e-4);
  expect_near("Air.Flow", fit.parameters[1], 1e-4);
  expect_near("Water.Temp", fit.parameters[2], 1e-4);
  expect_near("Acid.Conc.", fit.parameters[3], 1e-4);
  if (robust.rule == RobustRule::None) {
    expect_near("s", fit.residual_sd, 1e-3);
  } else {
    expect_near("scale", fit.robust_scale, 5e-3);
  }
}

TEST(FitLeastSquares, StackLossHasThePublishedPlainFit) {
  expect_stackloss("stackloss_ols", Robust{});
}
TEST(FitLeastSquares, StackLossHasThePublishedHuberFit) {
  expect_stackloss("stackloss_huber_rlm k=1.345 MAD", Robust::huber(1.345));
}
TEST(FitLeastSquares, StackLossHasThePublishedBisquareFit) {
  expect_stackloss("stackloss_bisquare_rlm c=4.685 MAD", Robust::bisquare(4.685));
}

TEST(FitLeastSquares, StudentWeightsReachTheGreatestLikelihood) {
  // The slope of the log likelihood of t with 4 degrees: sum of 5 z / (4 + z^2), written out here.
  const std::vector<double> y = {1.0, 1.3, 0.8, 1.1, 9.0};
  const DualModel model(kLevel, std::vector<double>(5, 0.0), y, 0.2);
  const Fit fit = fit_least_squares(model, std::vector{plain(0.0)},
                                    {.robust = Robust::student(4.0), .rows_in_sds = true});
  EXPECT_EQ(fit.verdict, Verdict::Settled);
  double slope = 0.0;
  for (const double each : y) {
    const double z = (fit.parameters[0] - each) / 0.2;
    slope += 5.0 * z / (4.0 + z * z);
  }
  EXPECT_NEAR(slope, 0.0, 1e-7);
  EXPECT_LT(fit.parameters[0], 1.2);  // the mean is 2.64
  EXPECT_LT(fit.weights[4], 0.01);
}

TEST(FitLeastSquares, PriorRowsAreNeverWeightedDown) {
  // A prior 30 of its sds away from the data: with weight 1 it is felt in full,
  //   sum of w (p - y) / 0.2^2 + (p - 4) / 0.1^2 = 0.
  const std::vector<double> y = {1.0, 1.3, 0.8, 1.1};
  const DualModel model(kLevel, std::vector<double>(4, 0.0), y, 0.2);
  const Fit fit = fit_least_squares(model, std::vector{known(1.0, 4.0, 0.1)},
                                    {.robust = Robust::student(4.0), .rows_in_sds = true});
  double slope = (fit.parameters[0] - 4.0) / 0.01;
  for (const double each : y) {
    const double z = (fit.parameters[0] - each) / 0.2;
    slope += 5.0 / (4.0 + z * z) * z / 0.2;
  }
  EXPECT_NEAR(slope, 0.0, 1e-5);
  EXPECT_EQ(fit.weights.size(), 4U);
}

TEST(FitLeastSquares, RowsThatFitExactlyLeaveWeightsAlone) {
  const DualModel model(kLine, {0.0, 1.0, 2.0}, {1.0, 3.0, 5.0});
  const Fit fit =
      fit_least_squares(model, std::vector{plain(0.0), plain(0.0)}, {.robust = Robust::huber()});
  EXPECT_NEAR(fit.parameters[0], 1.0, 1e-12);
  EXPECT_NEAR(fit.parameters[1], 2.0, 1e-12);
  for (const double weight : fit.weights) EXPECT_TRUE(std::isfinite(weight));
}

// --- verdicts -----------------------------------------------------------------------------------

TEST(FitLeastSquares, SaysWhatTheDataLeaveOpen) {
  const DualModel model([](const auto* p, double x) { return (p[0] + p[1]) * x; }, {1.0, 2.0, 3.0},
                        {1.0, 2.1, 2.9});
  const Fit fit = fit_least_squares(model, std::vector{plain(1.0), plain(3.0)}, {});
  EXPECT_EQ(fit.verdict, Verdict::NotPinned);
  EXPECT_EQ(fit.rank, 1U);
  EXPECT_TRUE(fit.covariance.empty());
  // By hand: sum x y / sum x^2 = 13.9 / 14.
  EXPECT_NEAR(fit.parameters[0] + fit.parameters[1], 13.9 / 14.0, 1e-9);
  // A prior on one of them pins both.
  const Fit pinned = fit_least_squares(model, std::vector{known(1.0, 0.3, 0.1), plain(3.0)},
                                       {.rows_in_sds = true});
  EXPECT_EQ(pinned.verdict, Verdict::Settled);
  EXPECT_EQ(pinned.rank, 2U);
  EXPECT_NEAR(pinned.parameters[0], 0.3, 1e-9);
}

TEST(FitLeastSquares, AsManyRowsAsParametersLeaveNoSpread) {
  const DualModel model(kLine, {0.0, 2.0}, {1.0, 5.0});
  const Fit fit = fit_least_squares(model, std::vector{plain(0.0), plain(0.0)}, {});
  EXPECT_NEAR(fit.parameters[1], 2.0, 1e-14);
  EXPECT_EQ(fit.residual_sd, 0.0);
  EXPECT_TRUE(fit.covariance.empty());
}

TEST(FitLeastSquares, TellsOfOtherMinima) {
  // cos(p x) does not know the sign of p.
  const DualModel model(
      [](const auto* p, double x) {
        using std::cos;
        return cos(p[0] * x);
      },
      {0.1, 0.2, 0.3, 0.4}, {0.95, 0.81, 0.62, 0.35});
  FitSettings settings;
  settings.search.agreeing = 24;
  const Fit fit = fit_least_squares(model, std::vector{plain(2.0)}, settings);
  EXPECT_EQ(fit.verdict, Verdict::SeveralMinima);
  ASSERT_FALSE(fit.others.empty());
  EXPECT_NEAR(fit.others[0].parameters[0], -fit.parameters[0], 1e-9);
  EXPECT_NEAR(fit.others[0].cost, fit.cost, 1e-12);
}

TEST(FitLeastSquares, SaysWhenItIsOutOfEvaluations) {
  const auto problems = test::nist_problems();
  const test::NistProblem& mgh10 = test::named(problems, "MGH10");
  FitSettings settings;
  settings.search.most_evaluations = 300;
  const test::NistResiduals model(mgh10);
  const Fit fit = fit_least_squares(model, test::plain_parameters(mgh10.starts[0]), settings);
  EXPECT_EQ(fit.verdict, Verdict::OutOfEvaluations);
  EXPECT_LE(model.evaluations, 300);
}

TEST(FitLeastSquares, SaysWhenWeightsAreNotSettledInTime) {
  FitSettings settings{.robust = Robust::bisquare()};
  settings.search.agreeing = 1;
  settings.search.most_evaluations = 30;
  const Fit fit = fit_least_squares(
      StackLoss(), std::vector{plain(0.0), plain(0.0), plain(0.0), plain(0.0)}, settings);
  EXPECT_EQ(fit.verdict, Verdict::WeightsUnsettled);
  EXPECT_LE(fit.evaluations, 30);
}

// A mistake in a model: every step that its slopes promise leads up.
TEST(FitLeastSquares, SaysWhenNoStepLowersTheSum) {
  class WrongSlopes final : public ResidualModel {
   public:
    std::size_t rows() const override { return 2; }
    void residuals(std::span<const double> p, std::span<double> out) const override {
      out[0] = p[0] - 3.0;
      out[1] = 1.0;
    }
    void slopes(std::span<const double> /*p*/, std::span<double> out) const override {
      out[0] = -1.0;
      out[1] = 0.0;
    }
  };
  FitSettings settings;
  settings.search.most_starts = 5;
  const Fit fit = fit_least_squares(WrongSlopes(), std::vector{plain(1.0)}, settings);
  EXPECT_EQ(fit.verdict, Verdict::Flat);
}

TEST(FitLeastSquares, SaysWhenABestWasNotConfirmed) {
  const DualModel model(kPower, {1.0, 2.0, 3.0}, {2.1, 2.7, 3.5});
  FitSettings settings;
  settings.search.most_starts = 1;
  const std::vector start = {plain(1.0), plain(1.0)};
  EXPECT_EQ(fit_least_squares(model, start, settings).verdict, Verdict::ReachedOnce);
  settings.search.agreeing = 1;
  EXPECT_EQ(fit_least_squares(model, start, settings).verdict, Verdict::Settled);
}

TEST(Told, IsOneSentenceForEveryVerdict) {
  std::set<std::string> sentences;
  for (int v = 0; v <= static_cast<int>(Verdict::NoFiniteStart); ++v) {
    const std::string sentence = told(static_cast<Verdict>(v));
    ASSERT_FALSE(sentence.empty()) << v;
    EXPECT_EQ(sentence.back(), '.') << sentence;
    sentences.insert(sentence);
  }
  EXPECT_EQ(sentences.size(), static_cast<std::size_t>(Verdict::NoFiniteStart) + 1);
}

/// Whatever is said, nothing in it is not finite; an answer is a whole one.
void expect_all_finite(const Fit& fit, const std::string& what) {
  for (const auto* numbers : {&fit.parameters, &fit.covariance, &fit.sds, &fit.weights}) {
    for (const double number : *numbers) EXPECT_TRUE(std::isfinite(number)) << what;
  }
  for (const double number : {fit.rss, fit.cost, fit.residual_sd, fit.effective_df}) {
    EXPECT_TRUE(std::isfinite(number)) << what;
  }
  EXPECT_FALSE(is_answer(fit.verdict) && fit.parameters.empty()) << what;
}

// Not a number, the infinities, 0 and 1e300, in every place and in each one, for all 27 problems.
TEST(FitLeastSquares, GivesAVerdictForHostileStarts) {
  FitSettings settings;
  settings.search.most_evaluations = 600;
  for (const test::NistProblem& problem : test::nist_problems()) {
    const test::NistResiduals model(problem);
    for (const double hostile : {std::nan(""), kInfinite, -kInfinite, 0.0, 1e300, -1e300}) {
      for (std::size_t place = 0; place <= problem.certified.size(); ++place) {
        std::vector<double> start = problem.starts[1];
        if (place == start.size())
          start.assign(start.size(), hostile);
        else
          start[place] = hostile;
        const Fit fit = fit_least_squares(model, test::plain_parameters(start), settings);
        expect_all_finite(fit, problem.name + " " + std::to_string(hostile));
        EXPECT_TRUE(std::isfinite(hostile) || fit.verdict == Verdict::NoFiniteStart);
      }
    }
  }
}

TEST(FitLeastSquares, GivesAVerdictForHostileModels) {
  using Formula = std::function<double(double)>;
  class Hostile final : public ResidualModel {
   public:
    Hostile(Formula residual, Formula slope) : residual_(residual), slope_(slope) {}
    std::size_t rows() const override { return 3; }
    void residuals(std::span<const double> p, std::span<double> out) const override {
      for (double& r : out) r = residual_(p[0]);
    }
    void slopes(std::span<const double> p, std::span<double> out) const override {
      for (double& s : out) s = slope_(p[0]);
    }

   private:
    Formula residual_;
    Formula slope_;
  };
  const auto constant = [](double v) { return [v](double) { return v; }; };
  for (const double residual : {std::nan(""), kInfinite, 1e200, 1e-300, 0.0, 1.0}) {
    for (const double slope : {std::nan(""), kInfinite, 1e200, 1e-300, 0.0, 1.0}) {
      const Hostile model(constant(residual), constant(slope));
      for (const Coordinate& coordinate : {Coordinate::plain(), Coordinate::above_zero()}) {
        const Fit fit = fit_least_squares(model, std::vector{Parameter{1.0, coordinate, {}}}, {});
        expect_all_finite(fit, std::to_string(residual) + " " + std::to_string(slope));
      }
    }
  }
}

TEST(FitLeastSquares, AStartOutsideItsBoundsIsTold) {
  const DualModel model(kLevel, {0.0}, {1.0});
  for (const double start : {-1.0, 0.0, 1.0, 5.0}) {
    const Fit fit = fit_least_squares(
        model, std::vector{Parameter{start, Coordinate::between(0.0, 1.0), {}}}, {});
    EXPECT_EQ(fit.verdict, Verdict::NoFiniteStart) << start;
  }
}

TEST(FitLeastSquares, RefusesPriorsThatAreNone) {
  const DualModel model(kLevel, {0.0}, {1.0});
  const FitSettings in_sds{.rows_in_sds = true};
  EXPECT_THROW(fit_least_squares(model, {}, {}), OutOfRange);
  EXPECT_THROW(fit_least_squares(model, std::vector{known(0.0, 0.0, 1.0)}, {}), OutOfRange);
  EXPECT_THROW(fit_least_squares(model, std::vector{known(0.0, 0.0, 0.0)}, in_sds), OutOfRange);
  EXPECT_THROW(fit_least_squares(model, std::vector{known(0.0, kInfinite, 1.0)}, in_sds),
               OutOfRange);
}

}  // namespace
}  // namespace ellwand::numeric
