#include "ellwand/numeric/elastica.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"

namespace ellwand::numeric {

namespace {

/// The modulus at which the feet meet: 2 E(k) = K(k).
constexpr double kFeetMeet = 0.90890855754854;

constexpr double kFlattest = 1e6;

/// The complete integrals of one modulus, 0 to kFeetMeet. E, the second kind, is carried as
/// D = (K - E) / k^2, which does not cancel where k is small.
///
/// By arithmetic-geometric means of 1 and k' = sqrt(1 - k^2): with c_0 = k, a_n and b_n the means
/// and c_n = (a_(n-1) - b_(n-1)) / 2 = c_(n-1)^2 / (4 a_n),
///     K = pi / (2 a),  K - E = K (k^2 + 2 c_1^2 + 4 c_2^2 + ...) / 2.
/// Source: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 17.6 (from memory).
struct Complete {
  explicit Complete(double modulus) : k(modulus) {
    double a = 1.0;
    double b = std::sqrt((1.0 - k) * (1.0 + k));
    double c_over_k = 1.0;
    double sum = 0.5;  // (K - E) / (k^2 K)
    double weight = 0.5;
    while (k * c_over_k > kNoMore) {
      const double mean = 0.5 * (a + b);
      b = std::sqrt(a * b);
      a = mean;
      c_over_k *= 0.25 * k * c_over_k / a;
      weight *= 2.0;
      sum += weight * c_over_k * c_over_k;
    }
    K = 0.5 * std::numbers::pi / a;
    D = K * sum;
  }

  static constexpr double kNoMore = 1e-9;  // its square and what follows are below rounding
  double k;
  double K = 0.0;
  double D = 0.0;

  double second_kind() const { return K - k * k * D; }
  /// 2 E - K: base over height, times k.
  double span() const { return K - 2.0 * k * k * D; }
  /// d(2 E - K)/dk = -k (K + (1 - 2 k^2) D) / (1 - k^2), from the standard derivatives of E and K.
  double span_slope() const { return -k * (K + (1.0 - 2.0 * k * k) * D) / (1.0 - k * k); }
};

/// That of 2 E - K taken for pi (1 - 3 k^2 / 4) / 2, its series to the second term.
double near_modulus(double ratio) {
  constexpr double kHalfPi = 0.5 * std::numbers::pi;
  const double k = 2.0 * kHalfPi / (ratio + std::sqrt(ratio * ratio + 3.0 * kHalfPi * kHalfPi));
  return std::min(k, kFeetMeet);
}

/// The root k of k ratio - (2 E - K), which rises with k: Newton's steps, and halves of what
/// encloses the root whenever a step would leave it.
Complete solved_for_modulus(double ratio) {
  double low = 0.0;
  double high = kFeetMeet;
  constexpr double kClose = 4.0 * std::numeric_limits<double>::epsilon();
  constexpr int kMostSteps = 100;  // halving alone needs 53
  Complete at(near_modulus(ratio));
  for (int i = 0; i < kMostSteps; ++i) {
    const double beyond = at.k * ratio - at.span();
    (beyond > 0.0 ? high : low) = at.k;
    double next = at.k - beyond / (ratio - at.span_slope());
    if (!(next >= low && next <= high)) next = 0.5 * (low + high);
    if (std::abs(next - at.k) <= kClose * at.k) break;
    at = Complete(next);
  }
  return at;
}

struct Arch {
  double ratio = -1.0;  ///< base over height; none yet
  double excess = 0.0;
  double excess_by_ratio = 0.0;
};

Arch arch_at(double ratio) {
  const Complete at = solved_for_modulus(ratio);
  const double rest = 1.0 - at.k * at.k;

  // length - base over height is 2 (K - E) / k; both derivatives by k:
  const double excess = 2.0 * at.k * at.D;
  const double excess_by_k = 2.0 * (at.second_kind() / rest - at.D);
  const double ratio_by_k = at.span_slope() / at.k - at.span() / (at.k * at.k);
  return {ratio, excess, excess_by_k / ratio_by_k};
}

/// The last few arches of a thread are kept: a row has loops of a few widths, which stay as they
/// are in most doubts about its band.
const Arch& known_arch_at(double ratio) {
  static thread_local std::array<Arch, 4> last;
  static thread_local std::size_t oldest = 0;
  for (const Arch& arch : last) {
    if (arch.ratio == ratio) return arch;
  }
  Arch& arch = last[oldest];
  oldest = (oldest + 1) % last.size();
  arch = arch_at(ratio);
  return arch;
}

}  // namespace

template <class Scalar>
Scalar free_arch_excess(const Scalar& base_over_height) {
  const double ratio = value_of(base_over_height);
  require_range("base of an arch over its height", ratio, 0.0, kFlattest, "a free bent strand");
  const Arch& arch = known_arch_at(ratio);
  return arch.excess + arch.excess_by_ratio * (base_over_height - ratio);
}

template double free_arch_excess(const double&);
template Dual free_arch_excess(const Dual&);

}  // namespace ellwand::numeric
