#include "ellwand/technique/lengths.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::technique {

namespace {

void refuse_length_spent_in_tails(double working_length_m, double tail_m) {
  if (working_length_m > 2.0 * tail_m) return;
  throw OutOfRange(
      fmt::format("a working length of {} is used up by its two tails of {}; weave with a longer "
                  "length or leave shorter tails",
                  cloth_size(metres(working_length_m)), cloth_size(metres(tail_m))));
}

/// What is left in tails over what is woven with, once the plan is drawn up.
template <class Scalar>
Scalar tails_over_woven(const Lie<Scalar>& lie) {
  using std::exp;
  using std::log;
  const double planned_share = 2.0 * lie.planned->tail / lie.planned->working_length;
  if (!(planned_share > 0.0)) return Scalar(0.0);
  const double planned_ratio = planned_share / (1.0 - planned_share);
  const Scalar longer_tail = lie.tail / lie.planned->tail;
  const Scalar longer_length = lie.working_length / lie.planned->working_length;
  return planned_ratio * exp(log(longer_tail / longer_length) / (1.0 - planned_share));
}

/// What is begun of a length beyond `lengths` at one place.
template <class Scalar>
Scalar begun(const Scalar& lengths, Counting counting) {
  using std::sqrt;
  if (counting == Counting::Smooth) {
    if (value_of(lengths) > 8.0) return Scalar(0.5);  // the root is over it by less than 3e-10
    const Scalar square = lengths * lengths;
    const Scalar fourth = square * square;
    return 0.5 + sqrt(sqrt(sqrt(fourth * fourth + 0x1p-8))) - lengths;
  }
  return std::max(1.0, std::ceil(value_of(lengths) - 1e-9)) - lengths;
}

}  // namespace

template <class Scalar>
WorkingLength<Scalar> working_length(const Lie<Scalar>& lie) {
  if (lie.planned) {
    const Scalar ratio = tails_over_woven(lie);
    const Length<Scalar> used = lie.working_length / (1.0 + ratio);
    return {used, 0.5 * ratio * used};
  }
  refuse_length_spent_in_tails(value_of(lie.working_length.si()), value_of(lie.tail.si()));
  return {lie.working_length - 2.0 * lie.tail, lie.tail};
}

template <class Scalar>
LengthsLaid<Scalar> lengths_laid(const Length<Scalar>& laid, int places, const Lie<Scalar>& lie) {
  const WorkingLength<Scalar> length = working_length(lie);
  const Scalar lengths = laid / length.used;
  const Scalar beyond = places * begun<Scalar>(lengths / places, lie.counting);
  // Of a place that takes one length and little of it, nothing stands apart.
  const bool takes_one = value_of(lengths) < 0.3 * places;
  if (lie.counting == Counting::Whole || takes_one) {
    return {lengths + beyond, 2.0 * (lengths + beyond) * length.tail, Length<Scalar>()};
  }
  return {lengths + beyond, 2.0 * lengths * length.tail, 2.0 * beyond * length.tail};
}

template WorkingLength<double> working_length(const Lie<double>&);
template WorkingLength<Dual> working_length(const Lie<Dual>&);
template LengthsLaid<double> lengths_laid(const Length<double>&, int, const Lie<double>&);
template LengthsLaid<Dual> lengths_laid(const Length<Dual>&, int, const Lie<Dual>&);

}  // namespace ellwand::technique
