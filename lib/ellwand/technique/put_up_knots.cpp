#include "ellwand/technique/put_up_knots.hpp"

#include "ellwand/numeric/dual.hpp"

#include <cmath>

namespace ellwand::technique {

namespace {

/// exp(x) - 1 - x, to 14 digits also where x is small.
template <class Scalar>
Scalar beyond_linear(const Scalar& x) {
  using std::exp;
  if (value_of(x) > 0.01) return exp(x) - 1.0 - x;
  return 0.5 * x * x * (1.0 + x / 3.0 * (1.0 + x / 4.0 * (1.0 + x / 5.0 * (1.0 + x / 6.0))));
}

/// Knots in a length.
template <class Scalar>
Scalar knots_in(const Length<Scalar>& length, double knots_per_metre) {
  return in_metres(length) * knots_per_metre;
}

}  // namespace

template <class Scalar>
Length<Scalar> knots_in_lengths(const Length<Scalar>& yarn, const Length<Scalar>& tail,
                                double knots_per_metre) {
  const Scalar knots = 2.0 * knots_in(tail, knots_per_metre);
  return yarn * (beyond_linear(knots) + knots);
}

template <class Scalar>
Length<Scalar> knots_in_cuts(const Scalar& strands, const Length<Scalar>& each,
                             double knots_per_metre) {
  if (!(knots_per_metre > 0.0)) return Length<Scalar>();
  const Scalar run_m = beyond_linear(knots_in(each, knots_per_metre)) / knots_per_metre;
  return strands * metres(run_m);
}

template <class Scalar>
Length<Scalar> knots_in_wound_warp(double passes, const Length<Scalar>& pass, const Length<>& tie,
                                   double knots_per_metre) {
  const Scalar knots = knots_in(pass, knots_per_metre);
  const Scalar tied_anew = beyond_linear(knots) + knots;
  return knots_in_cuts(Scalar(passes), pass, knots_per_metre) +
         metres(passes * tied_anew * (2.0 * in_metres(tie)));
}

template Length<double> knots_in_lengths(const Length<double>&, const Length<double>&, double);
template Length<Dual> knots_in_lengths(const Length<Dual>&, const Length<Dual>&, double);
template Length<double> knots_in_cuts(const double&, const Length<double>&, double);
template Length<Dual> knots_in_cuts(const Dual&, const Length<Dual>&, double);
template Length<double> knots_in_wound_warp(double, const Length<double>&, const Length<>&, double);
template Length<Dual> knots_in_wound_warp(double, const Length<Dual>&, const Length<>&, double);

}  // namespace ellwand::technique
