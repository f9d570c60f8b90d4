/// Rounds of linear rows against R's nlme, run beside it, and on kinks.

#include "ellwand/calibrate/relinearise.hpp"

#include "ellwand/numeric/dual.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <limits>
#include <map>
#include <sstream>
#include <string>

namespace ellwand::calibrate {
namespace {

/// What a program prints.
std::string output_of(const std::string& command) {
  std::string all;
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) return all;
  std::array<char, 256> some{};
  while (std::fgets(some.data(), some.size(), pipe) != nullptr) all += some.data();
  pclose(pipe);
  return all;
}

struct Orange {
  std::size_t tree;
  double age;
  double circumference;
};

/// R's own fit of its own data: circumference = Asym / (1 + exp(-(age - xmid) / scal)), Asym unlike
/// from tree to tree; and the data.
struct FromR {
  std::map<std::string, double> figures;
  std::vector<Orange> trees;
};

FromR orange_in_r() {
  const std::string printed = output_of(
      "Rscript --vanilla -e 'suppressMessages(library(nlme));"
      "m <- nlme(circumference ~ Asym/(1 + exp(-(age - xmid)/scal)), data = Orange,"
      " fixed = Asym + xmid + scal ~ 1, random = Asym ~ 1 | Tree,"
      " start = c(Asym = 170, xmid = 700, scal = 350));"
      "cat(sprintf(\"%s %.10g\\n\", names(fixef(m)), fixef(m)), sep = \"\");"
      "cat(sprintf(\"residual %.10g\\n\", m$sigma));"
      "cat(sprintf(\"tree %.10g\\n\", as.numeric(VarCorr(m)[1, 2])));"
      "cat(sprintf(\"likelihood %.10g\\n\", as.numeric(logLik(m))));"
      "cat(sprintf(\"data %d %g %g\\n\", as.integer(Orange$Tree), Orange$age,"
      " Orange$circumference), sep = \"\")' 2>&1");
  FromR all;
  std::istringstream lines(printed);
  for (std::string line; std::getline(lines, line);) {
    std::istringstream words(line);
    std::string name;
    words >> name;
    if (name == "data") {
      Orange one{};
      words >> one.tree >> one.age >> one.circumference;
      --one.tree;
      all.trees.push_back(one);
    } else {
      words >> all.figures[name];
    }
  }
  EXPECT_EQ(all.trees.size(), 35U)
      << "needs R with its package nlme (r-base-core, r-cran-nlme): " << printed;
  return all;
}

NormalRows linearised(const std::vector<Orange>& trees, const Means& means) {
  std::vector<LinearRow> rows;
  for (const Orange& one : trees) {
    const Dual asym = Dual::variable(means.common[0], 0) + means.own[one.tree];
    const Dual xmid = Dual::variable(means.common[1], 1);
    const Dual scal = Dual::variable(means.common[2], 2);
    const Dual f = asym / (1.0 + exp(-((one.age - xmid) / scal)));
    LinearRow row;
    row.piece = one.tree;
    row.value = one.circumference - f.value + f.slope[0] * means.own[one.tree];
    for (std::size_t i = 0; i < 3; ++i) {
      row.common.push_back({i, f.slope[i]});
      row.value += f.slope[i] * means.common[i];
    }
    row.own = {{0, f.slope[0]}};
    rows.push_back(row);
  }
  return {rows, 3, 1};
}

/// The likelihood's logarithm at its greatest over the common coefficients. They are normal over a
/// flat prior, whose integral is that greatest times (2 pi)^(3/2) det(C)^(1/2).
double greatest_over_common(const CommonRows& rows) {
  const std::vector<double> flat(3, std::numeric_limits<double>::infinity());
  const std::vector<double> c = rows.posterior(flat).covariances;
  const double det = c[0] * (c[4] * c[8] - c[5] * c[7]) - c[1] * (c[3] * c[8] - c[5] * c[6]) +
                     c[2] * (c[3] * c[7] - c[4] * c[6]);
  return rows.log_likelihood(flat) - 1.5 * std::log(2.0 * M_PI) - 0.5 * std::log(det);
}

struct Spreads {
  double log_tree = std::log(30.0);
  double log_residual = std::log(8.0);
  double log_likelihood = 0.0;
};

/// The spreads that make the likelihood greatest: by halving steps along both.
Spreads likeliest(const NormalRows& rows, Spreads at) {
  const auto value = [&](double log_tree, double log_residual) {
    const std::vector<double> own = {std::exp(2.0 * log_tree)};
    return greatest_over_common(rows.without_own(own, std::exp(log_residual)));
  };
  at.log_likelihood = value(at.log_tree, at.log_residual);
  for (double step = 0.2; step > 1e-6;) {
    const Spreads before = at;
    for (const auto& [dt, dr] : {std::pair{step, 0.0}, {-step, 0.0}, {0.0, step}, {0.0, -step}}) {
      const double there = value(at.log_tree + dt, at.log_residual + dr);
      if (there > at.log_likelihood) at = {at.log_tree + dt, at.log_residual + dr, there};
    }
    if (at.log_likelihood == before.log_likelihood) step *= 0.5;
  }
  return at;
}

// The rounds of calibrate::fit, with the spreads that are likeliest in place of all of them, give
// what nlme gives: 191.05, 722.56, 344.16 or 344.17. That is the likelihood of the linearised rows;
// the exact one is greatest at 192.05, 727.91, 348.07 (J. C. Pinheiro and D. M. Bates,
// Mixed-Effects Models in S and S-PLUS, 2000, from memory).
TEST(Relinearise, OrangeTreesAsNlmeDoes) {
  const FromR r = orange_in_r();
  if (r.trees.size() != 35U) return;  // has failed already
  Means means{{170.0, 700.0, 350.0}, std::vector<double>(5, 0.0)};
  const Means units{{100.0, 100.0, 100.0}, std::vector<double>(5, 100.0)};
  const std::vector<double> flat(3, std::numeric_limits<double>::infinity());
  Spreads spreads;
  const Relinearised ended = relinearise(
      means, units, [&](const Means& at) { return linearised(r.trees, at); },
      [&](const NormalRows& rows, double /*moved*/) {
        spreads = likeliest(rows, spreads);
        const std::vector<double> own = {std::exp(2.0 * spreads.log_tree)};
        const double noise = std::exp(spreads.log_residual);
        const std::vector<double> common = rows.without_own(own, noise).posterior(flat).means;
        return Proposal{{common, rows.own_means(own, common, noise)}, true};
      },
      1e-7, 100);
  EXPECT_TRUE(ended.is_settled);
  // nlme stops at changes of about 1e-5.
  EXPECT_NEAR(means.common[0], r.figures.at("Asym"), 1e-4 * 191.0);
  EXPECT_NEAR(means.common[1], r.figures.at("xmid"), 1e-4 * 722.0);
  EXPECT_NEAR(means.common[2], r.figures.at("scal"), 1e-4 * 344.0);
  EXPECT_NEAR(std::exp(spreads.log_tree), r.figures.at("tree"), 1e-3 * 31.0);
  EXPECT_NEAR(std::exp(spreads.log_residual), r.figures.at("residual"), 1e-3 * 7.8);
  EXPECT_NEAR(spreads.log_likelihood, r.figures.at("likelihood"), 1e-3);
  // As printed in the literature, three digits.
  EXPECT_NEAR(means.common[0], 191.05, 0.05);
  EXPECT_NEAR(means.common[1], 722.56, 0.05);
  EXPECT_NEAR(means.common[2], 344.16, 0.05);
}

/// The model has a kink at 1: from either side the rows, linearised there, lead beyond it.
TEST(Relinearise, ComesToRestAtAKink) {
  Means means{{0.2}, {}};
  const auto rows_at = [](const Means& at) {
    const double x = at.common[0];
    const double pull = x > 1.0 ? 0.5 : 1.8;
    return NormalRows({{LinearRow{{{0, 1.0}}, {}, 0, pull, 1e-3}}}, 1, 0);
  };
  const auto solve = [](const NormalRows& rows, double /*moved*/) {
    const std::vector<double> flat = {std::numeric_limits<double>::infinity()};
    return Proposal{{rows.without_own({}).posterior(flat).means, {}}, true};
  };
  const Relinearised ended = relinearise(means, {{1.0}, {}}, rows_at, solve, 1e-3, 100);
  EXPECT_TRUE(ended.is_settled);
  EXPECT_NEAR(means.common[0], 1.0, 0.01);
}

TEST(Relinearise, SaysWhenItIsNotSettled) {
  Means means{{0.0}, {}};
  const auto rows_at = [](const Means& at) {
    return NormalRows({{LinearRow{{{0, 1.0}}, {}, 0, at.common[0] + 1.0, 1e-3}}}, 1, 0);
  };
  const auto solve = [](const NormalRows& rows, double /*moved*/) {
    const std::vector<double> flat = {std::numeric_limits<double>::infinity()};
    return Proposal{{rows.without_own({}).posterior(flat).means, {}}, true};
  };
  const Relinearised ended = relinearise(means, {{1.0}, {}}, rows_at, solve, 1e-3, 7);
  EXPECT_FALSE(ended.is_settled);
  EXPECT_EQ(ended.rounds, 7);
  EXPECT_NEAR(means.common[0], 7.0, 1e-9);
}

}  // namespace
}  // namespace ellwand::calibrate
