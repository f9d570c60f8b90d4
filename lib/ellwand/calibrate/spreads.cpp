#include "ellwand/calibrate/spreads.hpp"

#include "ellwand/numeric/in_parallel.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace ellwand::calibrate {

namespace {

/// A point that counts for less than this beside the likeliest is left out.
constexpr double kNegligible = 1e-7;

/// Points in a row that are possible and have the same own spreads.
using Alike = std::vector<std::size_t>;

std::vector<Alike> alike_in(const std::vector<SpreadPoint>& points) {
  std::vector<Alike> all;
  for (std::size_t k = 0; k < points.size(); ++k) {
    if (!(points[k].weight > 0.0)) continue;
    if (all.empty() || points[k].own != points[all.back().front()].own) all.emplace_back();
    all.back().push_back(k);
  }
  return all;
}

/// The logarithm of each point's chance, up to one sum; own coefficients are taken out once for
/// points alike.
std::vector<double> log_chances(const NormalRows& rows, const std::vector<SpreadPoint>& points,
                                std::size_t threads) {
  std::vector<double> logs(points.size(), -std::numeric_limits<double>::infinity());
  const std::vector<Alike> alike = alike_in(points);
  numeric::in_parallel(alike.size(), 1, threads, [&](std::size_t a) {
    const CommonRows common = rows.without_own(points[alike[a].front()].own);
    for (const std::size_t k : alike[a]) {
      logs[k] = std::log(points[k].weight) + common.log_likelihood(points[k].common);
    }
  });
  return logs;
}

std::vector<double> weights_of(const NormalRows& rows, const std::vector<SpreadPoint>& points,
                               std::size_t threads) {
  std::vector<double> logs = log_chances(rows, points, threads);
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
Posterior moments_of(const NormalRows& rows, const std::vector<SpreadPoint>& points,
                     const std::vector<double>& weights, const Alike& alike) {
  Posterior sum;
  std::optional<CommonRows> common;
  for (const std::size_t k : alike) {
    if (!(weights[k] > 0.0)) continue;
    if (!common) common.emplace(rows.without_own(points[k].own));
    add_moments(common->posterior(points[k].common), weights[k], sum);
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
  Blend all;
  all.weights = weights_of(rows, points, threads);
  const std::vector<Alike> alike = alike_in(points);
  std::vector<Posterior> moments(alike.size());
  numeric::in_parallel(alike.size(), 1, threads, [&](std::size_t a) {
    moments[a] = moments_of(rows, points, all.weights, alike[a]);
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
