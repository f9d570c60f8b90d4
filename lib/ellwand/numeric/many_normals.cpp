#include "ellwand/numeric/many_normals.hpp"

#include "ellwand/numeric/normal.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

namespace ellwand::numeric {

namespace {

constexpr std::size_t kDirections = ManyNormals::kMostDirections;

// Good lattice points, found as those of normal_joint are.
constexpr int kPoints = 2039;
constexpr std::array<int, kDirections> kGenerators = {1, 790, 965, 494, 846, 191};

// Nothing left of its own: it moves as the directions do.
constexpr double kLeastOwn = 1e-4;
// Chances this small count for nothing in a sum of 2039.
constexpr double kNothing = 1e-9;

}  // namespace

/// The variables along the directions.
struct ManyNormals::Seen {
  std::vector<double> along;  ///< variable by variable
  std::vector<double> own;    ///< sd of what is left of each; 0 of a sure one

  double chance_none_exceeds(std::span<const double> z) const;
};

void ManyNormals::add(std::span<const std::uint32_t> factors, std::span<const double> slopes) {
  factors_.insert(factors_.end(), factors.begin(), factors.end());
  slopes_.insert(slopes_.end(), slopes.begin(), slopes.end());
  ends_.push_back(factors_.size());
  for (const std::uint32_t one : factors) {
    columns_ = std::max(columns_, static_cast<std::size_t>(one) + 1);
  }
}

std::span<const std::uint32_t> ManyNormals::factors(std::size_t i) const {
  const std::size_t begin = i == 0 ? 0 : ends_[i - 1];
  return {factors_.data() + begin, ends_[i] - begin};
}

std::span<const double> ManyNormals::slopes(std::size_t i) const {
  const std::size_t begin = i == 0 ? 0 : ends_[i - 1];
  return {slopes_.data() + begin, ends_[i] - begin};
}

namespace {

double dot(const std::vector<double>& a, const std::vector<double>& b) {
  return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
}

/// Frees a vector of those before it and makes it of length 1; 0 where nothing is left.
void make_independent(const std::vector<std::vector<double>>& before, std::vector<double>& one) {
  for (int twice = 0; twice < 2; ++twice) {
    for (const std::vector<double>& other : before) {
      const double shared = dot(one, other);
      for (std::size_t c = 0; c < one.size(); ++c) one[c] -= shared * other[c];
    }
  }
  const double length = std::sqrt(dot(one, one));
  for (double& x : one) x = length > 1e-12 ? x / length : 0.0;
}

}  // namespace

/// The directions one after the other: the first from what all have in common. Factors of one
/// variable alone are no direction; they stay its own.
ManyNormals::Seen ManyNormals::seen() const {
  constexpr int kRounds = 40;
  std::vector<int> met(columns_, 0);
  for (const std::uint32_t factor : factors_) ++met[factor];
  std::vector<std::vector<double>> directions;
  std::vector<double> moved(size());
  while (directions.size() < kDirections) {
    std::vector<double> one(columns_);
    for (std::size_t c = 0; c < columns_; ++c) {
      // Any start that no symmetry hides a direction from.
      one[c] = met[c] > 1 ? 1.0 + std::fmod(0.618 * static_cast<double>(c + directions.size()), 1.0)
                          : 0.0;
    }
    make_independent(directions, one);
    for (int round = 0; round < kRounds && dot(one, one) > 0.0; ++round) {
      std::vector<double> next(columns_, 0.0);
      for (std::size_t i = 0; i < size(); ++i) {
        const auto its = factors(i);
        const auto by = slopes(i);
        double along = 0.0;
        for (std::size_t k = 0; k < its.size(); ++k) along += by[k] * one[its[k]];
        for (std::size_t k = 0; k < its.size(); ++k) {
          if (met[its[k]] > 1) next[its[k]] += along * by[k];
        }
      }
      make_independent(directions, next);
      one = std::move(next);
    }
    if (!(dot(one, one) > 0.0)) break;
    directions.push_back(std::move(one));
  }
  Seen seen;
  seen.along.assign(size() * kDirections, 0.0);
  for (std::size_t i = 0; i < size(); ++i) {
    const auto its = factors(i);
    const auto by = slopes(i);
    double left = std::inner_product(by.begin(), by.end(), by.begin(), 0.0);
    for (std::size_t d = 0; d < directions.size(); ++d) {
      double along = 0.0;
      for (std::size_t k = 0; k < its.size(); ++k) along += by[k] * directions[d][its[k]];
      seen.along[i * kDirections + d] = along;
      left -= along * along;
    }
    seen.own.push_back(its.empty() ? 0.0 : std::sqrt(std::max(left, kLeastOwn * kLeastOwn)));
  }
  return seen;
}

double ManyNormals::Seen::chance_none_exceeds(std::span<const double> z) const {
  double sum = 0.0;
  for (int point = 0; point <= kPoints / 2; ++point) {
    std::array<double, kDirections> f{};
    for (std::size_t d = 0; d < kDirections; ++d) {
      const int place = point * kGenerators[d] % kPoints;
      const double share = std::abs(2.0 * place / kPoints - 1.0);  // folded: no jump at the edge
      f[d] = normal_quantile(std::clamp(share, 1e-12, 1.0 - 1e-12));
    }
    double chance = 1.0;
    for (std::size_t i = 0; i < own.size() && chance > kNothing; ++i) {
      if (own[i] == 0.0) continue;
      double room = z[i];
      for (std::size_t d = 0; d < kDirections; ++d) room -= along[i * kDirections + d] * f[d];
      const double score = room / own[i];
      if (score < 6.0) chance *= normal_cdf(score);
    }
    sum += (point == 0 ? 1.0 : 2.0) * chance;
  }
  return sum / kPoints;
}

double ManyNormals::chance_any_exceeds(std::span<const double> z) const {
  if (z.size() != size()) throw OutOfRange("every variable needs one limit");
  if (std::any_of(z.begin(), z.end(), [](double one) { return std::isnan(one); })) {
    throw OutOfRange("a limit is not a number; give a number");
  }
  return std::clamp(1.0 - seen().chance_none_exceeds(z), 0.0, 1.0);
}

double ManyNormals::joint_quantile(double p) const {
  require_range("the chance that all are enough", p, 0.5, 0.9999, "the joint quantile");
  // One alone needs no more; Bonferroni's inequality needs no less.
  double low = normal_quantile(p);
  double high =
      normal_quantile(1.0 - (1.0 - p) / static_cast<double>(std::max<std::size_t>(1, size())));
  const Seen along = seen();
  while (high - low > 1e-4) {
    const double middle = 0.5 * (low + high);
    const std::vector<double> z(size(), middle);
    (along.chance_none_exceeds(z) < p ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace ellwand::numeric
