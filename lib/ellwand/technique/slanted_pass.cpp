#include "ellwand/technique/slanted_pass.hpp"

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

template double slope_of_passes(const Length<double>&, const Length<double>&, const Length<double>&,
                                int);
template Dual slope_of_passes(const Length<Dual>&, const Length<Dual>&, const Length<Dual>&, int);

}  // namespace ellwand::technique
