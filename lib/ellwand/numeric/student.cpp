#include "ellwand/numeric/student.hpp"

#include <boost/math/distributions/students_t.hpp>
#include <boost/math/special_functions/beta.hpp>
#include <cmath>
#include <sstream>

#include "ellwand/numeric/normal.hpp"
#include "ellwand/units/error.hpp"

namespace ellwand::numeric {

namespace {

namespace policies = boost::math::policies;
using PlainDouble = policies::policy<policies::promote_double<false>,
                                     policies::overflow_error<policies::ignore_error>,
                                     policies::underflow_error<policies::ignore_error>>;
using Students = boost::math::students_t_distribution<double, PlainDouble>;

constexpr double kFewestDegrees = 0.01;

void require_degrees(double degrees, double least) {
  if (degrees > 0.0 && degrees >= least) return;
  std::ostringstream text;
  text << "Student's t has " << degrees << " degrees of freedom; give a number ";
  if (least > 0.0) {
    text << "from " << least << " up";
  } else {
    text << "above 0";
  }
  throw OutOfRange(text.str());
}

void require_chance(double p, const char* what) {
  if (p > 0.0 && p < 1.0) return;
  std::ostringstream text;
  text << what << " is " << p << "; give one above 0 and below 1";
  throw OutOfRange(text.str());
}

}  // namespace

double student_cdf(double t, double degrees_of_freedom) {
  require_degrees(degrees_of_freedom, 0.0);
  if (std::isnan(t)) throw OutOfRange("a value of Student's t is not a number; give a number");
  if (std::isinf(t)) return t > 0.0 ? 1.0 : 0.0;
  if (std::isinf(degrees_of_freedom)) return normal_cdf(t);
  return boost::math::cdf(Students(degrees_of_freedom), t);
}

double student_quantile(double p, double degrees_of_freedom) {
  require_chance(p, "a chance");
  require_degrees(degrees_of_freedom, kFewestDegrees);
  if (std::isinf(degrees_of_freedom)) return normal_quantile(p);
  const double t = boost::math::quantile(Students(degrees_of_freedom), p);
  if (std::isfinite(t)) return t;
  std::ostringstream text;
  text << "Student's t with " << degrees_of_freedom << " degrees of freedom has no value at chance "
       << p << " that a number holds; take more degrees of freedom or a chance nearer 0.5";
  throw OutOfRange(text.str());
}

ChanceRange clopper_pearson(int seen, int of, double confidence) {
  require_chance(confidence, "a confidence");
  if (of < 1 || seen < 0 || seen > of) {
    std::ostringstream text;
    text << "something was seen " << seen << " times out of " << of
         << "; give 0 to n times out of n, n at least 1";
    throw OutOfRange(text.str());
  }
  const double tail = 0.5 * (1.0 - confidence);
  ChanceRange range;
  if (seen > 0) range.low = boost::math::ibeta_inv(seen, of - seen + 1.0, tail, PlainDouble());
  if (seen < of) range.high = boost::math::ibetac_inv(seen + 1.0, of - seen, tail, PlainDouble());
  return range;
}

}  // namespace ellwand::numeric
