#include "ellwand/decide/newsvendor.hpp"

#include "ellwand/numeric/normal.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ellwand::decide {

double critical_chance(const StockCosts& costs) {
  require_range("what running out costs", costs.short_of, 1e-9, 1e9, "stock");
  require_range("what a left-over costs", costs.left, 0.0, 1e9, "stock");
  return costs.short_of / (costs.short_of + costs.left);
}

namespace {

/// Mean of (z - z0) where z is above z0.
double standard_loss(double z0) {
  const double density = std::exp(-0.5 * z0 * z0) / std::sqrt(2.0 * std::numbers::pi);
  return density - z0 * numeric::normal_cdf(-z0);
}

/// Below it the curve is taken for normal; its loss differs by less than that share.
constexpr double kHardlySkewed = 1e-6;

}  // namespace

double expected_short(const numeric::ShiftedLognormal& need, double stock) {
  const double sd = need.standard_deviation();
  if (sd <= 0.0) return std::max(0.0, need.mean() - stock);
  const double s = need.log_sd();
  const double z0 = need.score(stock);
  if (std::isinf(z0)) return z0 < 0.0 ? std::max(0.0, need.mean() - stock) : 0.0;
  if (std::abs(s) < kHardlySkewed) return sd * standard_loss(z0);
  const double at_0 = need.at_score(0.0);
  const double b = (need.at_score(1.0) - at_0) / std::expm1(s);
  const double a = at_0 - b;
  return (a - stock) * numeric::normal_cdf(-z0) +
         b * std::exp(0.5 * s * s) * numeric::normal_cdf(s - z0);
}

double expected_left(const numeric::ShiftedLognormal& need, double stock) {
  return stock - need.mean() + expected_short(need, stock);
}

}  // namespace ellwand::decide
