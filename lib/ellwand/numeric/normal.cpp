#include "ellwand/numeric/normal.hpp"

#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <numbers>
#include <sstream>

#include "ellwand/units/error.hpp"

namespace ellwand::numeric {

namespace {
namespace policies = boost::math::policies;
using PlainDouble = policies::policy<policies::promote_double<false>,
                                     policies::overflow_error<policies::ignore_error>,
                                     policies::underflow_error<policies::ignore_error>>;
}  // namespace

double normal_cdf(double z) {
  if (std::isnan(z)) throw OutOfRange("a normal score is not a number; give a number");
  return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

double normal_quantile(double p) {
  if (!(p > 0.0 && p < 1.0)) {
    std::ostringstream text;
    text << "a chance is " << p << "; a quantile needs one above 0 and below 1";
    throw OutOfRange(text.str());
  }
  return -std::numbers::sqrt2 * boost::math::erfc_inv(2.0 * p, PlainDouble());
}

}  // namespace ellwand::numeric
