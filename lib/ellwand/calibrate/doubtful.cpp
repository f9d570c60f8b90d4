#include "ellwand/calibrate/doubtful.hpp"

#include <Eigen/Cholesky>

#include <cmath>

namespace ellwand::calibrate {

namespace {

/// What was read beside what was foretold, as vectors over the figures.
struct Beside {
  Eigen::VectorXd mids;
  Eigen::VectorXd strays;
  Eigen::MatrixXd covariance;
};

Beside beside(const Swatch& swatch, const ForetoldTogether& told) {
  const auto n = static_cast<Eigen::Index>(swatch.measurements.size());
  Beside all{Eigen::VectorXd(n), Eigen::VectorXd(n), Eigen::MatrixXd(n, n)};
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto at = static_cast<std::size_t>(i);
    all.mids[i] = told.log_mids[at];
    all.strays[i] = std::log(swatch.measurements[at].value) - told.log_mids[at];
    for (Eigen::Index j = 0; j < n; ++j) {
      all.covariance(i, j) =
          told.covariance[at * static_cast<std::size_t>(n) + static_cast<std::size_t>(j)];
    }
  }
  return all;
}

std::vector<Doubtful> each_alone(const Beside& all) {
  std::vector<Doubtful> doubtful;
  for (Eigen::Index i = 0; i < all.strays.size(); ++i) {
    const double sd = std::sqrt(all.covariance(i, i));
    if (std::abs(all.strays[i]) <= kDoubtfulSds * sd) continue;
    doubtful.push_back({static_cast<std::size_t>(i), std::exp(all.mids[i]), sd, false});
  }
  return doubtful;
}

/// The last of those furthest off: of two figures both are as far from one another.
std::vector<Doubtful> by_the_others(const Beside& all) {
  const Eigen::Index n = all.strays.size();
  const Eigen::LLT<Eigen::MatrixXd> solved(all.covariance);
  if (n < 2 || solved.info() != Eigen::Success) return {};
  const Eigen::MatrixXd precision = solved.solve(Eigen::MatrixXd::Identity(n, n));
  const Eigen::VectorXd pulled = precision * all.strays;
  constexpr double kAsFar = 1.0 - 1e-9;  // rounding
  std::vector<Doubtful> worst;
  double furthest = kDoubtfulSds;
  for (Eigen::Index i = 0; i < n; ++i) {
    const double sd = 1.0 / std::sqrt(precision(i, i));
    const double stray = pulled[i] * sd * sd;
    if (std::abs(stray) < furthest * sd * kAsFar) continue;
    furthest = std::abs(stray) / sd;
    const double expected = std::exp(all.mids[i] + all.strays[i] - stray);
    worst = {{static_cast<std::size_t>(i), expected, sd, true}};
  }
  return worst;
}

}  // namespace

std::vector<Doubtful> doubtful_of(const Swatch& swatch, const estimate::Workshop& workshop) {
  if (swatch.measurements.empty()) return {};
  const Beside all = beside(swatch, foretold_together(swatch, workshop));
  const std::vector<Doubtful> alone = each_alone(all);
  return alone.empty() ? by_the_others(all) : alone;
}

}  // namespace ellwand::calibrate
