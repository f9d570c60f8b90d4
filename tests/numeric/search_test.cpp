#include "ellwand/numeric/search.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "ellwand/numeric/sums.hpp"
#include "numeric/nist_fits.hpp"
#include "support/draws.hpp"

namespace ellwand::numeric {
namespace {

// From its first start MGH17 ends in a false minimum, whose gradient vanishes as well.
TEST(Search, LeavesAFalseMinimum) {
  const auto problems = test::nist_problems();
  const test::NistProblem& mgh17 = test::named(problems, "MGH17");
  const test::NistResidualProblem problem(mgh17);
  const Found alone = search(problem, mgh17.starts[0], {.agreeing = 1});
  EXPECT_EQ(alone.ending, Ending::Stationary);
  EXPECT_EQ(alone.starts, 1);
  EXPECT_GT(alone.lowest.cost, 1.4 * mgh17.certified_rss);
  const Found several = search(problem, mgh17.starts[0], {});
  EXPECT_NEAR(several.lowest.cost, mgh17.certified_rss, 1e-8 * mgh17.certified_rss);
  EXPECT_GE(several.reached, 2);
}

// Eckerle4 is a peak of width 4 at 451, measured from 400 to 500; a start at 650 sees none of it.
TEST(Search, LeavesAPlainFarFromEveryMinimum) {
  const auto problems = test::nist_problems();
  const test::NistProblem& peak = test::named(problems, "Eckerle4");
  const test::NistResidualProblem problem(peak);
  const std::vector<double> far = {1.0, 10.0, 650.0};
  const Found alone = search(problem, far, {.most_starts = 1});
  EXPECT_GT(alone.lowest.cost, 10.0 * peak.certified_rss);
  const Found several = search(problem, far, {});
  EXPECT_NEAR(several.lowest.cost, peak.certified_rss, 1e-8 * peak.certified_rss);
}

TEST(Search, GivesTheSameTwice) {
  const auto problems = test::nist_problems();
  const test::NistProblem& mgh17 = test::named(problems, "MGH17");
  const test::NistResidualProblem problem(mgh17);
  const Found one = search(problem, mgh17.starts[0], {});
  const Found two = search(problem, mgh17.starts[0], {});
  EXPECT_EQ(one.lowest.at, two.lowest.at);
  EXPECT_EQ(one.evaluations, two.evaluations);
}

/// x^2 is to be 4, with `tilt` pulling to one side.
class Square final : public ResidualProblem {
 public:
  explicit Square(double tilt) : tilt_(tilt) {}
  std::size_t rows() const override { return 3; }
  std::size_t unknowns() const override { return 1; }
  void residuals(std::span<const double> at, std::span<double> out) const override {
    ++evaluations;
    out[0] = at[0] * at[0] - 4.0;
    out[1] = tilt_ * (at[0] + 2.0);
    out[2] = 1.0;
  }
  std::unique_ptr<Linearisation> linearise(std::span<const double> at) const override {
    ++evaluations;
    return dense_linearisation(std::vector{2.0 * at[0], tilt_, 0.0}, 1);
  }
  mutable int evaluations = 0;

 private:
  double tilt_;
};

TEST(Search, TellsOfAnotherMinimumThatDoesAsWell) {
  const Found found = search(Square(0.0), std::vector{1.0}, {.agreeing = 24});
  EXPECT_NEAR(found.lowest.at[0], 2.0, 1e-12);
  ASSERT_EQ(found.others.size(), 1U);
  EXPECT_NEAR(found.others[0].at[0], -2.0, 1e-12);
}

TEST(Search, KeepsTheLowestAndTellsOfOthersOnlyWhenNearlyEqual) {
  // At -2 the sum is 1; near 2 it is 1 + (4 tilt)^2: 1.16, and 17 at most.
  const Found near = search(Square(0.1), std::vector{1.0}, {.agreeing = 24});
  EXPECT_NEAR(near.lowest.at[0], -2.0, 1e-9);
  EXPECT_EQ(near.others.size(), 1U);
  const Found far = search(Square(1.0), std::vector{1.0}, {.agreeing = 24});
  EXPECT_NEAR(far.lowest.at[0], -2.0, 1e-9);
  EXPECT_TRUE(far.others.empty());
}

TEST(Search, KeepsToItsBudgetAndItsStarts) {
  for (const int most : {0, 1, 5, 17, 60, 200}) {
    const Square problem(0.3);
    const Found found =
        search(problem, std::vector{1.0}, {.most_evaluations = most, .agreeing = 99});
    EXPECT_EQ(found.evaluations, problem.evaluations);
    EXPECT_LE(problem.evaluations, most);
  }
  const Found few = search(Square(0.3), std::vector{1.0}, {.most_starts = 3, .agreeing = 99});
  EXPECT_EQ(few.starts, 3);
}

/// Two common coefficients and one of its own for every piece: rows log y = c0 + c1 x + b, made
/// nonlinear as y, and a row b / 0.1 for each piece that holds its b near 0.
struct Pieces {
  std::size_t pieces;
  std::size_t each;
  std::vector<double> x;
  std::vector<double> y;

  std::size_t rows() const { return pieces * (each + 1); }
  std::size_t unknowns() const { return 2 + pieces; }
  double fitted(std::span<const double> at, std::size_t piece, std::size_t i) const {
    return std::exp(at[0] + at[1] * x[piece * each + i] + at[2 + piece]);
  }
  void residuals(std::span<const double> at, std::span<double> out) const {
    for (std::size_t p = 0; p < pieces; ++p) {
      for (std::size_t i = 0; i < each; ++i) {
        out[p * (each + 1) + i] = (fitted(at, p, i) - y[p * each + i]) / 0.05;
      }
      out[p * (each + 1) + each] = at[2 + p] / 0.1;
    }
  }
};

constexpr double kFirst = 0.4;
constexpr double kSecond = -0.7;

Pieces drawn_pieces(std::size_t pieces, std::size_t each) {
  test::NormalDraws draws(7);
  Pieces made{pieces, each, {}, {}};
  for (std::size_t p = 0; p < pieces; ++p) {
    const double own = 0.1 * draws.next();
    for (std::size_t i = 0; i < each; ++i) {
      made.x.push_back(static_cast<double>(i) / static_cast<double>(each));
      made.y.push_back(std::exp(kFirst + kSecond * made.x.back() + own) + 0.05 * draws.next());
    }
  }
  return made;
}

/// Its slopes by columns: own coefficients are projected out of each piece's rows, the common ones
/// solved by orthogonal vectors as long as the rows. No matrix of rows by unknowns.
class Arrow final : public Linearisation {
 public:
  Arrow(const Pieces& made, std::span<const double> at) : made_(made) {
    const std::size_t block = made.each + 1;
    own_.resize(made.rows());
    for (auto& column : common_) column.resize(made.rows());
    for (std::size_t p = 0; p < made.pieces; ++p) {
      for (std::size_t i = 0; i < made.each; ++i) {
        const double slope = made.fitted(at, p, i) / 0.05;
        own_[p * block + i] = slope;
        common_[0][p * block + i] = slope;
        common_[1][p * block + i] = slope * made.x[p * made.each + i];
      }
      own_[p * block + made.each] = 1.0 / 0.1;
    }
  }

  void column_norms(std::span<double> norms) const override {
    for (std::size_t k = 0; k < 2; ++k) norms[k] = std::sqrt(dot(common_[k], common_[k]));
    for (std::size_t p = 0; p < made_.pieces; ++p) norms[2 + p] = std::sqrt(dot_own(p, own_));
  }
  void gradient(std::span<const double> residuals, std::span<double> gradient) const override {
    for (std::size_t k = 0; k < 2; ++k) gradient[k] = dot(common_[k], residuals);
    for (std::size_t p = 0; p < made_.pieces; ++p) gradient[2 + p] = dot_own(p, residuals);
  }
  void along(std::span<const double> step, std::span<double> change) const override {
    for (std::size_t i = 0; i < own_.size(); ++i) {
      change[i] = common_[0][i] * step[0] + common_[1][i] * step[1] + own_[i] * step[2 + piece(i)];
    }
  }

  bool damp(std::span<const double> damping) override {
    damping_.assign(damping.begin(), damping.end());
    for (std::size_t p = 0; p < made_.pieces; ++p) {
      if (!(dot_own(p, own_) + damping[2 + p] * damping[2 + p] > 0.0)) return false;
    }
    return true;
  }

  void solve(std::span<const double> right, std::span<double> step) const override {
    // Two more rows for the damping of the common ones, and one a piece for its own.
    std::array<std::vector<double>, 2> q = {extended(common_[0]), extended(common_[1])};
    for (std::size_t k = 0; k < 2; ++k) q[k][own_.size() + made_.pieces + k] = damping_[k];
    std::vector<double> r = extended(right);
    const double length = std::sqrt(dot(q[0], q[0]));
    for (double& v : q[0]) v /= length;
    const double overlap = dot(q[0], q[1]);
    for (std::size_t i = 0; i < q[1].size(); ++i) q[1][i] -= overlap * q[0][i];
    const double first = dot(q[0], r);
    step[1] = dot(q[1], r) / dot(q[1], q[1]);
    step[0] = (first - overlap * step[1]) / length;
    std::vector<double> rest(right.begin(), right.end());
    for (std::size_t i = 0; i < rest.size(); ++i) {
      rest[i] -= common_[0][i] * step[0] + common_[1][i] * step[1];
    }
    for (std::size_t p = 0; p < made_.pieces; ++p) step[2 + p] = dot_own(p, rest) / squared(p);
  }

 private:
  std::size_t piece(std::size_t row) const { return row / (made_.each + 1); }
  double squared(std::size_t p) const {
    return dot_own(p, own_) + damping_[2 + p] * damping_[2 + p];
  }
  static double dot(std::span<const double> a, std::span<const double> b) {
    double sum = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
    return sum;
  }
  double dot_own(std::size_t p, std::span<const double> v) const {
    const std::size_t block = made_.each + 1;
    return dot(std::span(own_).subspan(p * block, block), v.subspan(p * block, block));
  }
  /// A vector of residual space less its part along each piece's own column (with the own damping).
  std::vector<double> extended(std::span<const double> v) const {
    std::vector<double> out(own_.size() + made_.pieces + 2, 0.0);
    for (std::size_t p = 0; p < made_.pieces; ++p) {
      const double part = dot_own(p, v) / squared(p);
      for (std::size_t i = p * (made_.each + 1); i < (p + 1) * (made_.each + 1); ++i) {
        out[i] = v[i] - part * own_[i];
      }
      out[own_.size() + p] = -part * damping_[2 + p];
    }
    return out;
  }

  const Pieces& made_;
  std::vector<double> own_;
  std::array<std::vector<double>, 2> common_;
  std::vector<double> damping_;
};

class PiecesProblem final : public ResidualProblem {
 public:
  PiecesProblem(const Pieces& made, bool dense) : made_(made), dense_(dense) {}
  std::size_t rows() const override { return made_.rows(); }
  std::size_t unknowns() const override { return made_.unknowns(); }
  void residuals(std::span<const double> at, std::span<double> out) const override {
    made_.residuals(at, out);
  }
  std::unique_ptr<Linearisation> linearise(std::span<const double> at) const override {
    auto arrow = std::make_unique<Arrow>(made_, at);
    if (!dense_) return arrow;
    std::vector<double> slopes(rows() * unknowns());
    std::vector<double> unit(unknowns());
    std::vector<double> column(rows());
    for (std::size_t j = 0; j < unknowns(); ++j) {
      unit.assign(unknowns(), 0.0);
      unit[j] = 1.0;
      arrow->along(unit, column);
      for (std::size_t i = 0; i < rows(); ++i) slopes[i * unknowns() + j] = column[i];
    }
    return dense_linearisation(slopes, unknowns());
  }

 private:
  const Pieces& made_;
  bool dense_;
};

TEST(Search, TakesAnotherLinearAlgebraForTheSameAnswer) {
  const Pieces made = drawn_pieces(12, 4);
  const std::vector<double> start(made.unknowns(), 0.0);
  const Found dense = search(PiecesProblem(made, true), start, {});
  const Found arrow = search(PiecesProblem(made, false), start, {});
  ASSERT_EQ(dense.ending, Ending::Stationary);
  ASSERT_EQ(arrow.ending, Ending::Stationary);
  for (std::size_t j = 0; j < start.size(); ++j) {
    // Both are polished to rounding; a condition of some ten leaves 1e-14.
    EXPECT_NEAR(dense.lowest.at[j], arrow.lowest.at[j], 1e-12);
  }
}

TEST(Search, FitsAHundredThousandRowsWithoutADenseMatrix) {
  const Pieces made = drawn_pieces(20000, 4);
  const std::vector<double> start(made.unknowns(), 0.0);
  const Found found = search(PiecesProblem(made, false), start, {.agreeing = 1});
  ASSERT_EQ(made.rows(), 100000U);
  EXPECT_EQ(found.ending, Ending::Stationary);
  // The common level is known to 0.1 / sqrt(20000) = 0.0007, the slope better than to
  // 0.05 / (0.28 * sqrt(80000)) = 0.0006 (0.28 is the spread of x); four times that.
  EXPECT_NEAR(found.lowest.at[0], kFirst, 0.004);
  EXPECT_NEAR(found.lowest.at[1], kSecond, 0.003);
}

}  // namespace
}  // namespace ellwand::numeric
