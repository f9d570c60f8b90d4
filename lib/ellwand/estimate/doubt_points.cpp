#include "ellwand/estimate/doubt_points.hpp"

#include "ellwand/numeric/normal.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <mutex>

namespace ellwand::estimate {

namespace {

bool is_bending(Local local) {
  return std::find(kBending.begin(), kBending.end(), local) != kBending.end();
}

/// The root of x^(d + 1) = x + 1 above 1.
double generalised_golden_ratio(std::size_t d) {
  double x = 1.5;
  for (int i = 0; i < 60; ++i) x = std::pow(1.0 + x, 1.0 / (static_cast<double>(d) + 1.0));
  return x;
}

/// Points and their mirror images, not yet uncorrelated.
std::vector<double> mirrored_points(std::size_t d, std::size_t count) {
  std::vector<double> scores(count * d);
  const double ratio = generalised_golden_ratio(d);
  double step = 1.0;
  for (std::size_t i = 0; i < d; ++i) {
    step /= ratio;
    for (std::size_t k = 0; k < count / 2; ++k) {
      const double place = 0.5 + static_cast<double>(k) * step + 0.5 * step;
      const double score = numeric::normal_quantile(place - std::floor(place));
      scores[2 * k * d + i] = score;
      scores[(2 * k + 1) * d + i] = -score;
    }
  }
  return scores;
}

/// Makes the scores uncorrelated, each with variance 1: one after the other they are freed of
/// those before.
void make_uncorrelated(std::size_t d, std::vector<double>& scores) {
  const std::size_t count = scores.size() / d;
  const auto product = [&](std::size_t i, std::size_t j) {
    double sum = 0.0;
    for (std::size_t k = 0; k < count; ++k) sum += scores[k * d + i] * scores[k * d + j];
    return sum / static_cast<double>(count);
  };
  for (std::size_t i = 0; i < d; ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      const double shared = product(i, j);
      for (std::size_t k = 0; k < count; ++k) scores[k * d + i] -= shared * scores[k * d + j];
    }
    const double sd = std::sqrt(product(i, i));
    for (std::size_t k = 0; k < count; ++k) scores[k * d + i] /= sd;
  }
}

/// Where a number is not 0, rising; of more than kMostBending the largest.
std::vector<std::size_t> largest_of(const std::vector<double>& numbers) {
  std::vector<std::size_t> places;
  for (std::size_t c = 0; c < numbers.size(); ++c) {
    if (numbers[c] > 0.0) places.push_back(c);
  }
  if (places.size() <= kMostBending) return places;
  std::stable_sort(places.begin(), places.end(),
                   [&](std::size_t a, std::size_t b) { return numbers[a] > numbers[b]; });
  places.resize(kMostBending);
  std::sort(places.begin(), places.end());
  return places;
}

/// Made once for each number of scores and of points.
const std::vector<double>& standard_scores(std::size_t d, std::size_t count) {
  static std::mutex making;
  static std::map<std::pair<std::size_t, std::size_t>, std::vector<double>> made;
  const std::lock_guard<std::mutex> only_one(making);
  std::vector<double>& scores = made[{d, count}];
  if (scores.empty()) {
    scores = mirrored_points(d, count);
    make_uncorrelated(d, scores);
  }
  return scores;
}

}  // namespace

DoubtPoints::DoubtPoints(const std::vector<const BandYarn*>& bands,
                         const Coefficients& coefficients, std::size_t count)
    : size_(count) {
  std::vector<double> moves(coefficients.size(), 0.0);
  for (const BandYarn* one : bands) {
    for (const Hold& hold : one->holds) {
      const double move = std::abs(hold.slope * coefficients.spreads[hold.coefficient]);
      if (is_bending(hold.local)) moves[hold.coefficient] += move;
    }
  }
  bending_ = largest_of(moves);
  if (bending_.empty()) return;
  const std::size_t d = bending_.size();
  std::vector<double> correlation(d * d);
  for (std::size_t i = 0; i < d; ++i) {
    for (std::size_t j = 0; j < d; ++j) {
      correlation[i * d + j] = coefficients.correlated(bending_[i], bending_[j]);
    }
  }
  moves_ = triangular_root(correlation, d);
  for (std::size_t i = 0; i < d; ++i) {
    for (std::size_t j = 0; j < d; ++j) moves_[i * d + j] *= coefficients.spreads[bending_[i]];
  }
  scores_ = standard_scores(d, count);
}

std::span<const double> DoubtPoints::scores(std::size_t k) const {
  const std::size_t d = bending_.size();
  return {scores_.data() + k * d, d};
}

std::array<double, kLocals> DoubtPoints::factors(const BandYarn& one, std::size_t k) const {
  const std::span<const double> at = scores(k);
  std::array<double, kLocals> factors{};
  for (const Hold& hold : one.holds) {
    if (!is_bending(hold.local)) continue;
    const auto found = std::lower_bound(bending_.begin(), bending_.end(), hold.coefficient);
    if (found == bending_.end() || *found != hold.coefficient) continue;
    const auto i = static_cast<std::size_t>(found - bending_.begin());
    double deviation = 0.0;
    for (std::size_t j = 0; j <= i; ++j) deviation += moves_[i * at.size() + j] * at[j];
    factors[static_cast<std::size_t>(hold.local)] += hold.slope * deviation;
  }
  for (double& factor : factors) factor = factor == 0.0 ? 1.0 : std::exp(factor);
  return factors;
}

LogLine DoubtPoints::nearest_line(std::span<const double> logs) const {
  const auto count = static_cast<double>(size_);
  LogLine line;
  for (const double log : logs) line.mean += log / count;
  line.slopes.assign(bending_.size(), 0.0);
  for (std::size_t k = 0; k < logs.size(); ++k) {
    const double off = logs[k] - line.mean;
    line.remainder += off * off / count;
    const std::span<const double> at = scores(k);
    for (std::size_t i = 0; i < at.size(); ++i) line.slopes[i] += off * at[i] / count;
  }
  for (const double slope : line.slopes) line.remainder -= slope * slope;
  line.remainder = std::max(0.0, line.remainder);
  return line;
}

namespace {

/// Of coefficients that do not hang together; what one of them moves twice stands side by side.
BendingLogSds independent_log_sds(const BandYarn& one, const std::vector<double>& spreads) {
  std::array<double, kLocals> variances{};
  for (auto hold = one.holds.begin(); hold != one.holds.end();) {
    const Local local = hold->local;
    const std::size_t coefficient = hold->coefficient;
    double slope = 0.0;
    for (; hold != one.holds.end() && hold->coefficient == coefficient && hold->local == local;
         ++hold) {
      slope += hold->slope;
    }
    const double move = slope * spreads[coefficient];
    variances[static_cast<std::size_t>(local)] += move * move;
  }
  BendingLogSds sds{};
  for (std::size_t i = 0; i < kBending.size(); ++i) {
    sds[i] = std::sqrt(variances[static_cast<std::size_t>(kBending[i])]);
  }
  return sds;
}

}  // namespace

BendingLogSds bending_log_sds(const BandYarn& one, const Coefficients& coefficients) {
  if (coefficients.correlation.empty()) return independent_log_sds(one, coefficients.spreads);
  BendingLogSds sds{};
  for (std::size_t i = 0; i < kBending.size(); ++i) {
    double variance = 0.0;
    for (auto a = one.holds.begin(); a != one.holds.end(); ++a) {
      if (a->local != kBending[i]) continue;
      variance += a->slope * a->slope * coefficients.covariance(a->coefficient, a->coefficient);
      for (auto b = one.holds.begin(); b != a; ++b) {
        if (b->local != kBending[i]) continue;
        variance +=
            2.0 * a->slope * b->slope * coefficients.covariance(a->coefficient, b->coefficient);
      }
    }
    sds[i] = std::sqrt(std::max(0.0, variance));
  }
  return sds;
}

}  // namespace ellwand::estimate
