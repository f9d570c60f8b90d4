#include "ellwand/numeric/normal_joint.hpp"

#include <Eigen/Core>
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "ellwand/numeric/infinite.hpp"
#include "ellwand/numeric/normal.hpp"
#include "ellwand/units/error.hpp"

namespace ellwand::numeric {

namespace {

using Rows = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

// How far mirrored numbers may differ, and the diagonal from 1: figures written with six digits.
constexpr double kSixDigits = 2e-6;
// How far below zero the smallest eigenvalue of an estimated correlation matrix may lie.
constexpr double kForgiven = 0.05;
// With less variance than this left over a variable is determined by those before it (leaving
// out a log-sd of 1e-5 changes no chance by more than 0.4e-5); a smaller coefficient is rounding.
constexpr double kNoVariance = 1e-10;
constexpr double kNoCoefficient = 1e-7;

// Points p g / points (fractional parts), one g for each dimension: good lattice points.
//
// Source: derived; component by component (I. H. Sloan and A. V. Reztsov, Math. Comp. 71 (2002)
// 263-273, from memory), each g the one with the least worst-case error in the periodic space of
// smoothness 2 with weights d^-1.5 on the d-th dimension. The folded points come in equal pairs,
// so half of them are visited.
struct Lattice {
  int points;
  std::array<int, kMostJointVariables - 1> generators;
};
constexpr Eigen::Index kFewSteps = 8;
// Of 1334 sets of 2 to 8 variables with one common factor, correlations 0.05 to 0.99, 1081 agreed
// so nearly; those were off by 1e-4 at most, four of them by more than half of that, and what is
// reckoned by the finest lattice by 3e-5.
constexpr double kAgreed = 4e-5;
constexpr Lattice kCoarse = {509, {1, 151, 232, 87, 244, 193, 100}};
constexpr Lattice kFiner = {2'039, {1, 462, 753, 595, 806, 968, 200}};
constexpr Lattice kFinest = {8'191, {1, 2431, 3799, 1141, 520, 929, 2845}};
constexpr Lattice kForMany = {65'521,
                              {1,     18303, 12798, 32060, 27716, 1903,  3497,  15524, 29292, 15925,
                               10296, 8096,  14530, 21348, 24954, 10778, 26045, 6681,  27225, 18522,
                               16587, 29453, 30594, 25674, 30851, 30230, 7597,  10157, 8945}};

void require_correlation(double r, double mirrored, bool itself) {
  require_range(itself ? "the correlation of a variable with itself" : "a correlation", r,
                itself ? 1.0 - kSixDigits : -1.0 - kSixDigits, 1.0 + kSixDigits,
                "a correlation matrix");
  require_range("the difference of two mirrored correlations", r - mirrored, -kSixDigits,
                kSixDigits, "a symmetric matrix");
}

Rows matrix_of(std::span<const double> correlation, std::size_t n) {
  require_range("the number of variables looked at together", static_cast<double>(n), 1.0,
                static_cast<double>(kMostJointVariables), "the joint chance");
  if (correlation.size() != n * n) {
    throw OutOfRange("a correlation matrix has " + std::to_string(correlation.size()) +
                     " numbers; " + std::to_string(n) + " variables need " + std::to_string(n * n));
  }
  const auto size = static_cast<Eigen::Index>(n);
  const Rows r = Eigen::Map<const Rows>(correlation.data(), size, size);
  for (Eigen::Index i = 0; i < size; ++i) {
    for (Eigen::Index j = 0; j < size; ++j) require_correlation(r(i, j), r(j, i), i == j);
  }
  return 0.5 * (r + r.transpose());
}

// The matrix itself when some variables can have it, else the same without its negative part. A
// smallest eigenvalue below `least` is refused.
Rows possible_correlation(const Rows& r, double least) {
  const Eigen::SelfAdjointEigenSolver<Rows> parts(r);
  const double smallest = parts.eigenvalues().minCoeff();
  require_range("the smallest eigenvalue of a correlation matrix", smallest, least,
                static_cast<double>(kMostJointVariables), "a set of variables that can exist");
  if (smallest > -kNoVariance) return r;
  const Rows kept = parts.eigenvectors() * parts.eigenvalues().cwiseMax(0.0).asDiagonal() *
                    parts.eigenvectors().transpose();
  const Eigen::VectorXd scale = kept.diagonal().cwiseSqrt().cwiseInverse();
  return scale.asDiagonal() * kept * scale.asDiagonal();
}

// Mean of a standard normal variable known to stay below z.
double mean_below(double z) {
  if (z < -30.0) return z;  // the density's tail is that steep
  if (z > 30.0) return 0.0;
  return -std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi) / normal_cdf(z);
}

// The variables written in independent standard normals y_0, y_1, ...: variable = row . y.
struct Written {
  Rows rows;
  Eigen::Index steps = 0;
  // For each y, the variables that contain it as their last: their limits are limits on it.
  std::vector<std::vector<Eigen::Index>> limited_by;
};

// The variable not yet determined whose limit leaves it the smallest chance; -1 when none is left.
Eigen::Index most_binding(const Rows& left, const Rows& rows, const Eigen::VectorXd& expected,
                          std::span<const double> z) {
  Eigen::Index found = -1;
  double smallest = kInfinite;
  for (Eigen::Index i = 0; i < left.rows(); ++i) {
    if (left(i, i) <= kNoVariance) continue;
    const double score =
        (z[static_cast<std::size_t>(i)] - rows.row(i).dot(expected)) / std::sqrt(left(i, i));
    if (found < 0 || score < smallest) {
      smallest = score;
      found = i;
    }
  }
  return found;
}

void note_limits(Written& written) {
  written.limited_by.resize(static_cast<std::size_t>(written.steps));
  for (Eigen::Index i = 0; i < written.rows.rows(); ++i) {
    Eigen::Index last = written.steps - 1;
    while (last > 0 && std::abs(written.rows(i, last)) < kNoCoefficient) --last;
    written.limited_by[static_cast<std::size_t>(last)].push_back(i);
  }
}

// Cholesky's factors, the most binding variable first.
Written written_in_independent(Rows left, std::span<const double> z) {
  const Eigen::Index n = left.rows();
  Written written{Rows::Zero(n, n), 0, {}};
  Eigen::VectorXd expected = Eigen::VectorXd::Zero(n);
  for (; written.steps < n; ++written.steps) {
    const Eigen::Index i = most_binding(left, written.rows, expected, z);
    if (i < 0) break;
    const double sd = std::sqrt(left(i, i));
    const double score = (z[static_cast<std::size_t>(i)] - written.rows.row(i).dot(expected)) / sd;
    written.rows.col(written.steps) = left.col(i) / sd;
    expected[written.steps] = mean_below(score);
    left -= written.rows.col(written.steps) * written.rows.col(written.steps).transpose();
    left.row(i).setZero();
    left.col(i).setZero();
  }
  note_limits(written);
  return written;
}

// A variable's limit as a limit on the last y that it contains: `room` less the others, which weigh
// as many as there are steps before it.
struct Limit {
  double room;
  bool from_above;
  const double* weights;
};

// All of them, step by step.
struct Limits {
  std::vector<double> weights;
  std::vector<std::vector<Limit>> of_step;
};

Limits limits_of(const Written& written, std::span<const double> z) {
  Limits limits;
  limits.of_step.resize(static_cast<std::size_t>(written.steps));
  limits.weights.resize(static_cast<std::size_t>(written.rows.size()));
  double* free = limits.weights.data();
  for (Eigen::Index step = 0; step < written.steps; ++step) {
    for (const Eigen::Index i : written.limited_by[static_cast<std::size_t>(step)]) {
      const double by = written.rows(i, step);
      limits.of_step[static_cast<std::size_t>(step)].push_back(
          {z[static_cast<std::size_t>(i)] / by, by > 0.0, free});
      for (Eigen::Index l = 0; l < step; ++l) *free++ = written.rows(i, l) / by;
    }
  }
  return limits;
}

// Where y of this step may lie, given those before it, as chances to lie below.
struct Window {
  double from;
  double width;
};

Window window(const std::vector<Limit>& limits, std::size_t step, const double* y) {
  double low = -kInfinite;
  double high = kInfinite;
  for (const Limit& limit : limits) {
    double room = limit.room;
    for (std::size_t l = 0; l < step; ++l) room -= limit.weights[l] * y[l];
    if (limit.from_above) {
      high = std::min(high, room);
    } else {
      low = std::max(low, room);
    }
  }
  const double from = low == -kInfinite ? 0.0 : normal_cdf(low);
  return {from, (high == kInfinite ? 1.0 : normal_cdf(high)) - from};
}

// Genz's integrand at one point of the unit cube.
double chance_at(const Limits& limits, const double* shares) {
  std::array<double, kMostJointVariables> y{};
  const std::size_t steps = limits.of_step.size();
  double chance = 1.0;
  for (std::size_t step = 0; step < steps; ++step) {
    const Window open = window(limits.of_step[step], step, y.data());
    if (open.width <= 0.0) return 0.0;
    chance *= open.width;
    if (step + 1 == steps) break;
    const double p = std::clamp(open.from + shares[step] * open.width, 1e-300, 1.0 - 1e-16);
    y[step] = normal_quantile(p);
  }
  return chance;
}

double mean_over(const Lattice& lattice, const Limits& limits) {
  std::array<double, kMostJointVariables> shares{};
  const std::size_t dimensions = limits.of_step.size() - 1;
  double sum = 0.0;
  for (int point = 0; point <= lattice.points / 2; ++point) {
    for (std::size_t d = 0; d < dimensions; ++d) {
      const int place = point * lattice.generators[d] % lattice.points;  // below 2^31
      shares[d] = std::abs(2.0 * place / lattice.points - 1.0);  // folded: no jump at the edge
    }
    sum += (point == 0 ? 1.0 : 2.0) * chance_at(limits, shares.data());
  }
  return sum / lattice.points;
}

// Of few variables two coarse lattices that agree are enough.
double chance_none_exceeds(const Written& written, std::span<const double> z) {
  constexpr double kShares[kMostJointVariables] = {};
  const Limits limits = limits_of(written, z);
  if (written.steps == 1) return chance_at(limits, kShares);
  if (written.steps > kFewSteps) return mean_over(kForMany, limits);
  const double coarse = mean_over(kCoarse, limits);
  const double finer = mean_over(kFiner, limits);
  return std::abs(finer - coarse) <= kAgreed ? finer : mean_over(kFinest, limits);
}

// The root of a rising, nearly straight function that is <= 0 at low and >= 0 at high, by regula
// falsi in the Illinois form.
template <class Function>
double root_between(double low, double high, const Function& f) {
  constexpr double kCloseEnough = 1e-5;
  double at_low = f(low);
  double at_high = f(high);
  if (at_low >= 0.0) return low;
  if (at_high <= 0.0) return high;
  for (int round = 0; round < 40 && high - low > kCloseEnough; ++round) {
    const double x = low - at_low * (high - low) / (at_high - at_low);
    const double at_x = f(x);
    if (std::abs(at_x) < kCloseEnough) return x;
    if (at_x < 0.0) {
      low = x;
      at_low = at_x;
      at_high *= 0.5;
    } else {
      high = x;
      at_high = at_x;
      at_low *= 0.5;
    }
  }
  return 0.5 * (low + high);
}

}  // namespace

std::vector<double> nearest_correlations(std::span<const double> correlation) {
  const auto n =
      static_cast<std::size_t>(std::lround(std::sqrt(static_cast<double>(correlation.size()))));
  const Rows r = possible_correlation(matrix_of(correlation, n), -kInfinite);
  return {r.data(), r.data() + r.size()};
}

double chance_any_exceeds(std::span<const double> z, std::span<const double> correlation) {
  const Rows r = possible_correlation(matrix_of(correlation, z.size()), -kForgiven);
  for (const double limit : z) {
    if (std::isnan(limit)) throw OutOfRange("a limit is not a number; give a number");
    if (limit == -kInfinite) return 1.0;
  }
  return std::clamp(1.0 - chance_none_exceeds(written_in_independent(r, z), z), 0.0, 1.0);
}

double joint_quantile(std::span<const double> correlation, double p) {
  require_range("the chance that all are enough", p, 0.5, 0.9999, "the joint quantile");
  const auto n =
      static_cast<std::size_t>(std::lround(std::sqrt(static_cast<double>(correlation.size()))));
  const Rows r = possible_correlation(matrix_of(correlation, n), -kForgiven);
  // One variable alone needs no more; Bonferroni's inequality needs no less.
  double low = normal_quantile(p);
  double high = normal_quantile(1.0 - (1.0 - p) / static_cast<double>(n));
  std::vector<double> z(n, high);
  const Written written = written_in_independent(r, z);
  const auto miss = [&](double limit) {
    std::fill(z.begin(), z.end(), limit);
    const double chance = std::clamp(chance_none_exceeds(written, z), 1e-12, 1.0 - 1e-12);
    return normal_quantile(chance) - normal_quantile(p);
  };
  return root_between(low, high, miss);
}

}  // namespace ellwand::numeric
