#include "ellwand/calibrate/spreads.hpp"

#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace ellwand::calibrate {

namespace {

/// A point that counts for less than this beside the likeliest is left out.
constexpr double kNegligible = 1e-7;

/// Calls `use` with each point that is possible and its rows; own coefficients are taken out once
/// for points alike.
template <class Use>
void for_each(const NormalRows& rows, const std::vector<SpreadPoint>& points, Use use) {
  std::optional<CommonRows> common;
  const std::vector<double>* own = nullptr;
  for (std::size_t k = 0; k < points.size(); ++k) {
    if (!(points[k].weight > 0.0)) continue;
    if (own == nullptr || points[k].own != *own) {
      own = &points[k].own;
      common.emplace(rows.without_own(*own));
    }
    use(k, *common);
  }
}

std::vector<double> weights_of(const NormalRows& rows, const std::vector<SpreadPoint>& points) {
  std::vector<double> logs(points.size(), -std::numeric_limits<double>::infinity());
  for_each(rows, points, [&](std::size_t k, const CommonRows& common) {
    logs[k] = std::log(points[k].weight) + common.log_likelihood(points[k].common);
  });
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

}  // namespace

Blend blend(const NormalRows& rows, const std::vector<SpreadPoint>& points) {
  Blend all;
  all.weights = weights_of(rows, points);
  for_each(rows, points, [&](std::size_t k, const CommonRows& common) {
    if (all.weights[k] > 0.0) {
      add_moments(common.posterior(points[k].common), all.weights[k], all.posterior);
    }
  });
  const std::size_t n = all.posterior.means.size();
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      all.posterior.covariances[i * n + j] -= all.posterior.means[i] * all.posterior.means[j];
    }
  }
  return all;
}

}  // namespace ellwand::calibrate
