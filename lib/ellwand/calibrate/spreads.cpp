#include "ellwand/calibrate/spreads.hpp"

#include "ellwand/numeric/in_parallel.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

namespace ellwand::calibrate {

namespace {

/// A point that counts for less than this beside the likeliest is left out.
constexpr double kNegligible = 1e-7;

/// Points in a row that are possible and have the same own spreads.
using PointsAlike = std::vector<std::size_t>;

std::vector<PointsAlike> alike_in(const std::vector<SpreadPoint>& points) {
  std::vector<PointsAlike> all;
  for (std::size_t k = 0; k < points.size(); ++k) {
    if (!(points[k].weight > 0.0)) continue;
    if (all.empty() || points[k].own != points[all.back().front()].own) all.emplace_back();
    all.back().push_back(k);
  }
  return all;
}

/// Points alike, and the rows with their own coefficients taken out once for all of them.
struct Taken {
  PointsAlike points;
  std::optional<CommonRows> rows;
};

std::vector<Taken> taken_out(const NormalRows& rows, const std::vector<SpreadPoint>& points,
                             std::size_t threads) {
  std::vector<Taken> all;
  for (PointsAlike& alike : alike_in(points)) all.push_back({std::move(alike), std::nullopt});
  numeric::in_parallel(all.size(), 1, threads, [&](std::size_t a) {
    all[a].rows.emplace(rows.without_own(points[all[a].points.front()].own));
  });
  return all;
}

/// The logarithm of each point's chance, up to one sum.
std::vector<double> log_chances(const std::vector<Taken>& taken,
                                const std::vector<SpreadPoint>& points, std::size_t threads) {
  std::vector<double> logs(points.size(), -std::numeric_limits<double>::infinity());
  numeric::in_parallel(taken.size(), 1, threads, [&](std::size_t a) {
    for (const std::size_t k : taken[a].points) {
      logs[k] = std::log(points[k].weight) + taken[a].rows->log_likelihood(points[k].common);
    }
  });
  return logs;
}

/// By Bayes' rule, from the logarithms of chances.
std::vector<double> weights_of(std::vector<double> logs) {
  const auto highest_of = std::max_element(logs.begin(), logs.end());
  const double highest =
      highest_of == logs.end() ? -std::numeric_limits<double>::infinity() : *highest_of;
  if (!std::isfinite(highest)) {
    throw OutOfRange("no set of spreads is possible: a coefficient that nothing pins");
  }
  double sum = 0.0;
  for (double& one : logs) {
    one = std::exp(one - highest);
    if (one < kNegligible) one = 0.0;
    sum += one;
  }
  for (double& one : logs) one /= sum;
  return logs;
}

/// Adds to a blend the moments about 0 of one point.
void add_moments(const Posterior& point, double weight, Posterior& sum) {
  const std::size_t n = point.means.size();
  sum.means.resize(n, 0.0);
  sum.covariances.resize(n * n, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    sum.means[i] += weight * point.means[i];
    for (std::size_t j = 0; j < n; ++j) {
      sum.covariances[i * n + j] +=
          weight * (point.covariances[i * n + j] + point.means[i] * point.means[j]);
    }
  }
}

/// Moments about 0 of those of the points that are alike.
Posterior moments_of(const Taken& taken, const std::vector<SpreadPoint>& points,
                     const std::vector<double>& weights) {
  Posterior sum;
  for (const std::size_t k : taken.points) {
    if (weights[k] > 0.0) add_moments(taken.rows->posterior(points[k].common), weights[k], sum);
  }
  return sum;
}

/// Adds moments to moments.
void add(const Posterior& more, Posterior& sum) {
  sum.means.resize(more.means.size(), 0.0);
  sum.covariances.resize(more.covariances.size(), 0.0);
  for (std::size_t i = 0; i < more.means.size(); ++i) sum.means[i] += more.means[i];
  for (std::size_t i = 0; i < more.covariances.size(); ++i) {
    sum.covariances[i] += more.covariances[i];
  }
}

}  // namespace

Blend blend(const NormalRows& rows, const std::vector<SpreadPoint>& points, std::size_t threads) {
  const std::vector<Taken> taken = taken_out(rows, points, threads);
  Blend all;
  all.weights = weights_of(log_chances(taken, points, threads));
  std::vector<Posterior> moments(taken.size());
  numeric::in_parallel(taken.size(), 1, threads, [&](std::size_t a) {
    moments[a] = moments_of(taken[a], points, all.weights);
  });
  for (const Posterior& one : moments) {
    if (!one.means.empty()) add(one, all.posterior);
  }
  const std::size_t n = all.posterior.means.size();
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      all.posterior.covariances[i * n + j] -= all.posterior.means[i] * all.posterior.means[j];
    }
  }
  return all;
}

}  // namespace ellwand::calibrate
