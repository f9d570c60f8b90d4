#include "ellwand/numeric/tolerance.hpp"

#include "ellwand/numeric/normal.hpp"
#include "ellwand/units/error.hpp"

#include <boost/math/distributions/non_central_t.hpp>
#include <cmath>

namespace ellwand::numeric {

namespace {
namespace policies = boost::math::policies;
using PlainDouble = policies::policy<policies::promote_double<false>,
                                     policies::overflow_error<policies::ignore_error>,
                                     policies::underflow_error<policies::ignore_error>>;
using NoncentralT = boost::math::non_central_t_distribution<double, PlainDouble>;
}  // namespace

double tolerance_factor(int n, double share, double confidence) {
  require_range("values seen", n, 2.0, 10'000.0, "a limit above most of all values");
  require_range("a share of all values", share, 0.5, 0.9999, "a limit above most of all values");
  require_range("a confidence", confidence, 0.5, 0.9999, "a limit above most of all values");
  const double root = std::sqrt(static_cast<double>(n));
  const NoncentralT distribution(n - 1.0, normal_quantile(share) * root);
  return boost::math::quantile(distribution, confidence) / root;
}

}  // namespace ellwand::numeric
