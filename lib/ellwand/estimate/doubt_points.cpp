#include "ellwand/estimate/doubt_points.hpp"

#include <algorithm>
#include <cmath>

namespace ellwand::estimate {

namespace {

using Scores = DoubtPoints::Scores;
using Square = DoubtPoints::Square;

/// The 24 vertices of the regular 24-cell of radius 2: every way of two coordinates at +-sqrt 2.
std::array<Scores, DoubtPoints::kSize> make_scores() {
  const double root = std::sqrt(2.0);
  std::array<Scores, DoubtPoints::kSize> all{};
  auto next = all.begin();
  for (std::size_t i = 0; i < kBending.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      for (const double x : {root, -root}) {
        for (const double y : {root, -root}) {
          Scores& scores = *next++;
          scores[i] = x;
          scores[j] = y;
        }
      }
    }
  }
  return all;
}

const std::array<Scores, DoubtPoints::kSize>& all_scores() {
  static const std::array<Scores, DoubtPoints::kSize> scores = make_scores();
  return scores;
}

/// What two holds on one coefficient give the covariance of their locals.
double shared(const Hold& a, const Hold& b, const std::vector<double>& spreads) {
  if (a.coefficient != b.coefficient) return 0.0;
  const double spread = spreads[a.coefficient];
  return a.slope * b.slope * spread * spread;
}

/// Covariance of two local logarithms.
double covariance(const BandYarn& one, Local a, Local b, const std::vector<double>& spreads) {
  double sum = 0.0;
  for (const Hold& mine : one.holds) {
    if (mine.local != a) continue;
    for (const Hold& its : one.holds) {
      if (its.local == b) sum += shared(mine, its, spreads);
    }
  }
  return sum;
}

Square covariance(const BandYarn& one, const std::vector<double>& spreads) {
  Square all{};
  for (std::size_t i = 0; i < kBending.size(); ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      all[i][j] = all[j][i] = covariance(one, kBending[i], kBending[j], spreads);
    }
  }
  return all;
}

/// Lower triangle with root root' = covariance; a local that follows wholly from those before it
/// has nothing of its own.
Square triangular_root(const Square& covariance) {
  Square root{};
  for (std::size_t i = 0; i < kBending.size(); ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      double rest = covariance[i][j];
      for (std::size_t k = 0; k < j; ++k) rest -= root[i][k] * root[j][k];
      if (i == j) {
        root[i][i] = rest > 1e-12 * covariance[i][i] ? std::sqrt(rest) : 0.0;
      } else {
        root[i][j] = root[j][j] > 0.0 ? rest / root[j][j] : 0.0;
      }
    }
  }
  return root;
}

}  // namespace

DoubtPoints::DoubtPoints(const BandYarn& one, const std::vector<double>& spreads)
    : root_(triangular_root(covariance(one, spreads))) {}

std::array<double, kLocals> DoubtPoints::factors(std::size_t k) const {
  const Scores& scores = all_scores()[k];
  std::array<double, kLocals> factors;
  factors.fill(1.0);
  for (std::size_t i = 0; i < kBending.size(); ++i) {
    double log = 0.0;
    for (std::size_t j = 0; j <= i; ++j) log += root_[i][j] * scores[j];
    factors[static_cast<std::size_t>(kBending[i])] = std::exp(log);
  }
  return factors;
}

LogLine DoubtPoints::nearest_line(const Logs& logs) const {
  const auto& scores = all_scores();
  const auto count = static_cast<double>(logs.size());
  LogLine line;
  for (const double log : logs) line.mean += log / count;
  Scores by_score{};
  for (std::size_t k = 0; k < logs.size(); ++k) {
    const double off = logs[k] - line.mean;
    line.third += off * off * off / count;
    line.remainder += off * off / count;
    for (std::size_t i = 0; i < by_score.size(); ++i) by_score[i] += off * scores[k][i] / count;
  }
  for (const double slope : by_score) line.remainder -= slope * slope;
  line.remainder = std::max(0.0, line.remainder);
  line.slopes = slopes_by_locals(by_score);
  return line;
}

/// Slopes by the scores are root' times those by the locals: solved from the last local back.
std::array<double, kLocals> DoubtPoints::slopes_by_locals(Scores by_score) const {
  std::array<double, kLocals> slopes{};
  for (std::size_t i = kBending.size(); i-- > 0;) {
    if (!(root_[i][i] > 0.0)) continue;
    const double slope = by_score[i] / root_[i][i];
    slopes[static_cast<std::size_t>(kBending[i])] = slope;
    for (std::size_t j = 0; j < i; ++j) by_score[j] -= root_[i][j] * slope;
  }
  return slopes;
}

double bending_log_sd(const BandYarn& one, const std::vector<double>& spreads) {
  double variance = 0.0;
  for (const Local local : kBending) variance += covariance(one, local, local, spreads);
  return std::sqrt(variance);
}

}  // namespace ellwand::estimate
