#include "ellwand/calibrate/scores.hpp"

#include "ellwand/numeric/normal.hpp"
#include "ellwand/numeric/student.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <numbers>
#include <vector>

namespace ellwand::calibrate {

namespace {

void require(bool is_so, const char* otherwise) {
  if (!is_so) throw OutOfRange(otherwise);
}

void require_finite(std::initializer_list<double> numbers) {
  const bool all =
      std::all_of(numbers.begin(), numbers.end(), [](double one) { return std::isfinite(one); });
  require(all, "a score is of finite numbers only");
}

void require_chance(double chance) {
  require(chance > 0.0 && chance < 1.0, "a chance lies between 0 and 1");
}

double log_beta(double a, double b) { return std::lgamma(a) + std::lgamma(b) - std::lgamma(a + b); }

double student_density(double nu, double t) {
  return std::exp(-0.5 * (nu + 1.0) * std::log1p(t * t / nu) - log_beta(0.5, 0.5 * nu)) /
         std::sqrt(nu);
}

}  // namespace

double crps_normal(double mean, double sd, double observed) {
  require_finite({mean, sd, observed});
  require(sd >= 0.0, "a standard deviation is 0 or more");
  if (sd == 0.0) return std::abs(observed - mean);
  const double z = (observed - mean) / sd;
  const double density = std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
  return sd * (z * (2.0 * numeric::normal_cdf(z) - 1.0) + 2.0 * density - std::numbers::inv_sqrtpi);
}

double crps_student(double degrees_of_freedom, double centre, double scale, double observed) {
  if (std::isinf(degrees_of_freedom)) return crps_normal(centre, scale, observed);
  require_finite({degrees_of_freedom, centre, scale, observed});
  require(degrees_of_freedom > 1.0, "the score of Student's t needs more than 1 degree of freedom");
  require(scale >= 0.0, "a scale is 0 or more");
  if (scale == 0.0) return std::abs(observed - centre);
  const double nu = degrees_of_freedom;
  const double t = (observed - centre) / scale;
  const double own = 2.0 * std::sqrt(nu) / (nu - 1.0) *
                     std::exp(log_beta(0.5, nu - 0.5) - 2.0 * log_beta(0.5, 0.5 * nu));
  return scale * (t * (2.0 * numeric::student_cdf(t, nu) - 1.0) +
                  2.0 * student_density(nu, t) * (nu + t * t) / (nu - 1.0) - own);
}

double crps_of_sample(std::span<const double> sample, double observed, SampleIs what) {
  const std::size_t least = what == SampleIs::DrawnFromIt ? 2 : 1;
  require(sample.size() >= least, "a sample's score needs a value, of draws two");
  require_finite({observed});
  std::vector<double> sorted(sample.begin(), sample.end());
  for (const double one : sorted) require_finite({one});
  std::sort(sorted.begin(), sorted.end());
  const auto n = static_cast<double>(sorted.size());
  double off = 0.0;
  double apart =
      0.0;  // over all pairs: the i-th of n counts i times above and n - 1 - i times below
  for (std::size_t i = 0; i < sorted.size(); ++i) {
    off += std::abs(sorted[i] - observed);
    apart += (2.0 * static_cast<double>(i) - (n - 1.0)) * sorted[i];
  }
  const double pairs = what == SampleIs::DrawnFromIt ? n * (n - 1.0) : n * n;
  return off / n - apart / pairs;
}

double interval_score(double low, double high, double observed, double miss) {
  require_finite({low, high, observed});
  require_chance(miss);
  require(low <= high, "a range begins at its lower end");
  return high - low + 2.0 / miss * (std::max(0.0, low - observed) + std::max(0.0, observed - high));
}

double pinball(double point, double chance, double observed) {
  require_finite({point, observed});
  require_chance(chance);
  return observed >= point ? chance * (observed - point) : (1.0 - chance) * (point - observed);
}

std::size_t conformal_rank(std::size_t n, double miss) {
  require_chance(miss);
  const double rank = (static_cast<double>(n) + 1.0) * (1.0 - miss);
  return static_cast<std::size_t>(std::ceil(rank * (1.0 - 1e-12)));  // 0.9 is not quite nine tenths
}

}  // namespace ellwand::calibrate
