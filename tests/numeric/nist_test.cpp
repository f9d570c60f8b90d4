/// The solver on the certified problems of NIST's Statistical Reference Datasets.

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <unsupported/Eigen/NonLinearOptimization>
#include <vector>

#include "numeric/nist_fits.hpp"
#include "support/draws.hpp"
#include "support/slopes.hpp"

namespace ellwand::numeric {
namespace {

using test::NistProblem;

Fit fitted(const NistProblem& problem, std::span<const double> start, int most_evaluations) {
  const test::NistResiduals model(problem);
  FitSettings settings;
  settings.search.most_evaluations = most_evaluations;
  Fit fit = fit_least_squares(model, test::plain_parameters(start), settings);
  EXPECT_EQ(fit.evaluations, model.evaluations) << problem.name;
  EXPECT_LE(fit.evaluations, most_evaluations) << problem.name;
  return fit;
}

// The other tests rest on these slopes: every model's against central differences at both starts.
TEST(NistModels, SlopesAgreeWithCentralDifferences) {
  for (const NistProblem& problem : test::nist_problems()) {
    const std::size_t n = problem.certified.size();
    const std::size_t rows = problem.model->y.size();
    for (const std::vector<double>& start : problem.starts) {
      std::vector<double> slopes(rows * n);
      problem.model->slopes(start, slopes);
      for (std::size_t j = 0; j < n; ++j) {
        std::vector<double> below = start;
        std::vector<double> above = start;
        below[j] -= test::central_step(start[j]);
        above[j] += test::central_step(start[j]);
        std::vector<double> low(rows);
        std::vector<double> high(rows);
        problem.model->residuals(below, low);
        problem.model->residuals(above, high);
        for (std::size_t i = 0; i < rows; ++i) {
          const double difference = (high[i] - low[i]) / (above[j] - below[j]);
          // The rounding of a central difference, 64 units of the model over the step, and 1e-5:
          // the step at 500 is 1e-3 of the width of Eckerle4's peak, ten widths away.
          const double size =
              std::abs(low[i] + problem.model->y[i]) + std::abs(problem.model->y[i]);
          const double rounding = 64.0 * 2.2e-16 * size / (above[j] - below[j]);
          EXPECT_NEAR(slopes[i * n + j], difference, 1e-5 * std::abs(difference) + rounding)
              << problem.name << " row " << i << " parameter " << j;
        }
      }
    }
  }
}

TEST(NistNonlinear, EveryRunHasEightDigitsAndHalfOfThemTenAndAHalf) {
  std::vector<double> all;
  for (const NistProblem& problem : test::nist_problems()) {
    for (const std::vector<double>& start : problem.starts) {
      const Fit fit = fitted(problem, start, 20000);
      EXPECT_TRUE(is_answer(fit.verdict)) << problem.name << ": " << told(fit.verdict);
      ASSERT_EQ(fit.parameters.size(), problem.certified.size()) << problem.name;
      const double digits = test::fewest_digits(fit.parameters, problem.certified);
      std::printf("%-9s %5.2f digits, %d evaluations, %d descents\n", problem.name.c_str(), digits,
                  fit.evaluations, fit.starts);
      EXPECT_GE(digits, 8.0) << problem.name;
      all.push_back(digits);
    }
  }
  ASSERT_EQ(all.size(), 54U);
  std::sort(all.begin(), all.end());
  const double median = 0.5 * (all[26] + all[27]);
  std::printf("fewest %.2f, median %.2f\n", all.front(), median);
  EXPECT_GE(median, 10.5);
}

// Lanczos1 has no noise: what is left over is rounding, and holds two or three digits.
TEST(NistNonlinear, StandardDeviationsHaveEightDigits) {
  for (const NistProblem& problem : test::nist_problems()) {
    const double least = problem.name == "Lanczos1" ? 2.0 : 8.0;
    const Fit fit = fitted(problem, problem.starts[1], 20000);
    ASSERT_EQ(fit.sds.size(), problem.certified_sd.size()) << problem.name;
    EXPECT_GE(test::fewest_digits(fit.sds, problem.certified_sd), least) << problem.name;
    EXPECT_GE(test::digits(fit.residual_sd, problem.certified_residual_sd), least) << problem.name;
    if (least < 8.0) continue;
    EXPECT_GE(test::digits(fit.rss, problem.certified_rss), 8.0) << problem.name;
  }
}

/// Whether the certified minimum was reached.
bool reached(const NistProblem& problem, std::span<const double> parameters, double rss) {
  if (parameters.size() != problem.certified.size()) return false;
  if (problem.name == "Lanczos1") {
    return test::fewest_digits(parameters, problem.certified) >= 4.0;
  }
  return (rss - problem.certified_rss) / problem.certified_rss < 1e-6;
}

/// A NIST problem as Eigen's Levenberg-Marquardt asks for it.
struct ForEigen {
  const NistProblem& problem;
  int values() const { return static_cast<int>(problem.model->y.size()); }
  int inputs() const { return static_cast<int>(problem.certified.size()); }
  int operator()(const Eigen::VectorXd& b, Eigen::VectorXd& out) const {
    problem.model->residuals({b.data(), problem.certified.size()},
                             {out.data(), problem.model->y.size()});
    return 0;
  }
  int df(const Eigen::VectorXd& b, Eigen::MatrixXd& slopes) const {
    Eigen::Matrix<double, -1, -1, Eigen::RowMajor> by_rows(values(), inputs());
    problem.model->slopes({b.data(), problem.certified.size()},
                          {by_rows.data(), static_cast<std::size_t>(by_rows.size())});
    slopes = by_rows;
    return 0;
  }
};

/// Eigen's own solver, tolerances as tight as they go, the same budget counted in the same way.
bool eigen_reaches(const NistProblem& problem, const std::vector<double>& start, int most) {
  ForEigen functor{problem};
  Eigen::LevenbergMarquardt<ForEigen> solver(functor);
  solver.parameters.ftol = 1e-15;
  solver.parameters.xtol = 1e-15;
  solver.parameters.gtol = 0.0;
  solver.parameters.maxfev = most;
  Eigen::VectorXd b =
      Eigen::Map<const Eigen::VectorXd>(start.data(), static_cast<Eigen::Index>(start.size()));
  auto status = solver.minimizeInit(b);
  while (status == Eigen::LevenbergMarquardtSpace::NotStarted ||
         status == Eigen::LevenbergMarquardtSpace::Running) {
    if (solver.nfev + solver.njev >= most) break;
    status = solver.minimizeOneStep(b);
  }
  std::vector<double> at(b.data(), b.data() + b.size());
  std::vector<double> residuals(problem.model->y.size());
  problem.model->residuals(at, residuals);
  double rss = 0.0;
  for (const double r : residuals) rss += r * r;
  return reached(problem, at, rss);
}

struct Reached {
  int ours = 0;
  int eigen = 0;
};

/// Every start times exp(N(0, 0.3^2)) for each parameter, 20 draws, 5000 evaluations for each run.
Reached perturbed_runs(std::uint64_t seed) {
  test::NormalDraws draws(seed);
  Reached total;
  for (const NistProblem& problem : test::nist_problems()) {
    Reached here;
    for (const std::vector<double>& start : problem.starts) {
      for (int draw = 0; draw < 20; ++draw) {
        std::vector<double> moved = start;
        for (double& b : moved) b *= std::exp(0.3 * draws.next());
        const Fit fit = fitted(problem, moved, 5000);
        here.ours += reached(problem, fit.parameters, fit.rss) ? 1 : 0;
        here.eigen += eigen_reaches(problem, moved, 5000) ? 1 : 0;
      }
    }
    std::printf("%-9s %2d of 40 reached, Eigen %2d\n", problem.name.c_str(), here.ours, here.eigen);
    total.ours += here.ours;
    total.eigen += here.eigen;
  }
  std::printf("seed %llu: %d of 1080 reached, Eigen %d\n", static_cast<unsigned long long>(seed),
              total.ours, total.eigen);
  return total;
}

// 2800 of the 3240 runs of all three seeds, and 50 a seed more than Eigen's solver. The first is
// asked of each seed alone: 934 of 1080.
class NistPerturbedStarts : public testing::TestWithParam<std::uint64_t> {};

TEST_P(NistPerturbedStarts, ReachTheCertifiedMinimum) {
  const Reached total = perturbed_runs(GetParam());
  EXPECT_GE(total.ours, 934);
  EXPECT_GE(total.ours, total.eigen + 50);
}

INSTANTIATE_TEST_SUITE_P(Seeds, NistPerturbedStarts, testing::Values(1, 2, 3));

/// A linear problem: y on the columns of `terms`.
class LinearModel final : public ResidualModel {
 public:
  LinearModel(std::vector<std::vector<double>> terms, std::vector<double> y)
      : terms_(std::move(terms)), y_(std::move(y)) {}
  std::size_t rows() const override { return y_.size(); }
  void residuals(std::span<const double> b, std::span<double> out) const override {
    for (std::size_t i = 0; i < y_.size(); ++i) {
      out[i] = -y_[i];
      for (std::size_t j = 0; j < b.size(); ++j) out[i] += b[j] * terms_[i][j];
    }
  }
  void slopes(std::span<const double> b, std::span<double> out) const override {
    for (std::size_t i = 0; i < y_.size(); ++i) {
      for (std::size_t j = 0; j < b.size(); ++j) out[i * b.size() + j] = terms_[i][j];
    }
  }

 private:
  std::vector<std::vector<double>> terms_;
  std::vector<double> y_;
};

/// Digits of a linear problem fitted from zeros: the fewer of parameters and standard deviations.
double linear_digits(const std::string& name, std::vector<std::vector<double>> terms,
                     std::vector<double> y) {
  std::vector<double> certified;
  std::vector<double> certified_sd;
  for (const test::PublishedRow& row : test::published_rows("nist/linear_certified.csv")) {
    if (row.at("problem") != name) continue;
    certified.push_back(test::number(row, "certified"));
    certified_sd.push_back(test::number(row, "certified_sd"));
  }
  const LinearModel model(std::move(terms), std::move(y));
  const Fit fit = fit_least_squares(
      model, test::plain_parameters(std::vector<double>(certified.size(), 0.0)), {});
  EXPECT_EQ(fit.verdict, Verdict::Settled);
  EXPECT_EQ(fit.sds.size(), certified.size());
  const double digits = test::fewest_digits(fit.parameters, certified);
  const double sd_digits = test::fewest_digits(fit.sds, certified_sd);
  std::printf("%s %.2f digits, standard deviations %.2f\n", name.c_str(), digits, sd_digits);
  return std::min(digits, sd_digits);
}

TEST(NistLinear, FilipKeepsSevenDigits) {
  std::vector<std::vector<double>> terms;
  std::vector<double> y;
  for (const test::PublishedRow& row : test::published_rows("nist/linear_filip_data.csv", 82)) {
    terms.push_back({1.0});
    for (int k = 1; k <= 10; ++k)
      terms.back().push_back(terms.back().back() * test::number(row, "x"));
    y.push_back(test::number(row, "y"));
  }
  EXPECT_GE(linear_digits("Filip", terms, y), 7.0);

  // What J^T J leaves of it, by Eigen.
  Eigen::MatrixXd slopes(82, 11);
  for (Eigen::Index i = 0; i < 82; ++i) {
    for (Eigen::Index j = 0; j < 11; ++j) {
      slopes(i, j) = terms[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
    }
  }
  const Eigen::VectorXd b =
      (slopes.transpose() * slopes)
          .ldlt()
          .solve(slopes.transpose() * Eigen::Map<const Eigen::VectorXd>(y.data(), 82));
  EXPECT_LE(test::digits(b[0], -1467.48961422980), 1.0);
}

TEST(NistLinear, LongleyKeepsElevenDigits) {
  std::vector<std::vector<double>> terms;
  std::vector<double> y;
  for (const test::PublishedRow& row : test::published_rows("nist/linear_longley_data.csv", 16)) {
    terms.push_back({1.0});
    for (const char* column : {"x1", "x2", "x3", "x4", "x5", "x6"}) {
      terms.back().push_back(test::number(row, column));
    }
    y.push_back(test::number(row, "y"));
  }
  EXPECT_GE(linear_digits("Longley", terms, y), 11.0);
}

}  // namespace
}  // namespace ellwand::numeric
