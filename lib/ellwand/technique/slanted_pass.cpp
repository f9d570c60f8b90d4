#include "ellwand/technique/slanted_pass.hpp"

#include "ellwand/cloth/jam.hpp"
#include "ellwand/numeric/dual.hpp"

#include <cmath>

namespace ellwand::technique {

template <class Scalar>
Scalar slope_of_passes(const Length<Scalar>& spacing, const Length<Scalar>& end,
                       const Length<Scalar>& strand, int apart) {
  using std::sqrt;
  const Length<Scalar> thickness = end + strand;
  const bool fits = value_of(thickness.si()) <= value_of(spacing.si());
  const Scalar along = Scalar(static_cast<double>(apart) * (fits ? spacing : thickness).si());
  const Scalar across = strand.si();
  return across / sqrt(along * along - across * across);
}

template <class Scalar>
Length<Scalar> through_gap(const Length<Scalar>& spacing, const Length<Scalar>& end,
                           const Length<Scalar>& strand) {
  const Length<Scalar> thickness = end + strand;
  return value_of(spacing.si()) < value_of(thickness.si()) ? spacing : thickness;
}

bool is_pressed_through(const Length<>& spacing, const Length<>& end, const Length<>& strand) {
  cloth::require_sett({1, 0}, spacing, end, strand, cloth::Face::Weft);
  return spacing < end + strand;
}

template Length<double> through_gap(const Length<double>&, const Length<double>&,
                                    const Length<double>&);
template Length<Dual> through_gap(const Length<Dual>&, const Length<Dual>&, const Length<Dual>&);
template double slope_of_passes(const Length<double>&, const Length<double>&, const Length<double>&,
                                int);
template Dual slope_of_passes(const Length<Dual>&, const Length<Dual>&, const Length<Dual>&, int);

}  // namespace ellwand::technique
