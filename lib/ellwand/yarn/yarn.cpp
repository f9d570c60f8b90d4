#include "ellwand/yarn/yarn.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/diameter.hpp"
#include "ellwand/yarn/strands.hpp"

#include <array>
#include <cmath>

namespace ellwand::yarn {
namespace {

template <class Scalar>
void require_strands(const Length<Scalar>& strand, int strands) {
  require_range("number of strands", strands, 1, kMostStrands, "a bundle of strands");
  require_range("strand diameter, mm", value_of(in_millimetres(strand)), 1e-3, 1e3,
                "a bundle of strands");
}

/// How much of the circle round a bundle its strands fill.
double bundle_fill(int strands) {
  constexpr std::array<double, 6> kFill{1.0, 0.50, 0.65, 0.69, 0.685, 0.667};
  constexpr double kSevenAndMore = 0.78;
  const auto at = static_cast<std::size_t>(strands - 1);
  return at < kFill.size() ? kFill[at] : kSevenAndMore;
}

}  // namespace

Length<> lying_diameter(const Yarn& yarn, const Packing& packing) {
  if (yarn.measured_diameter) {
    require_range("measured yarn diameter, mm", in_millimetres(*yarn.measured_diameter), 1e-3, 1e3,
                  "a yarn");
    return *yarn.measured_diameter;
  }
  return diameter_of(yarn.linear_density, blend_density(yarn.fibre),
                     lying_packing(yarn.kind, packing));
}

template <class Scalar>
Length<Scalar> side_by_side_diameter(const Length<Scalar>& strand, int strands) {
  require_strands(strand, strands);
  return strand * std::sqrt(static_cast<double>(strands));
}

template <class Scalar>
Length<Scalar> bundle_diameter(const Length<Scalar>& strand, int strands) {
  require_strands(strand, strands);
  return strand * std::sqrt(strands / bundle_fill(strands));
}

template Length<double> side_by_side_diameter(const Length<double>&, int);
template Length<Dual> side_by_side_diameter(const Length<Dual>&, int);
template Length<double> bundle_diameter(const Length<double>&, int);
template Length<Dual> bundle_diameter(const Length<Dual>&, int);

}  // namespace ellwand::yarn
