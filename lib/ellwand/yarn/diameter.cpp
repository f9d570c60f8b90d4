#include "ellwand/yarn/diameter.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/fibre.hpp"

#include <cmath>
#include <numbers>

namespace ellwand::yarn {
namespace {

constexpr double kLeastTex = 1e-3;  // a tenth of the finest silk filament, 0.1 g in 100 km
constexpr double kMostTex = 1e7;    // 10 kg a metre
constexpr double kLeastPacking = 1e-3;

void require_yarn(double yarn_tex, const VolumeDensity<>& fibre) {
  require_range("linear density, tex", yarn_tex, kLeastTex, kMostTex, "the diameter of a yarn");
  require_range("fibre density, g/cm3", in_grams_per_cubic_cm(fibre), 0.1, 25.0,
                "the diameter of a yarn");
}

}  // namespace

template <class Scalar>
Length<Scalar> diameter_of(const LinearDensity<std::type_identity_t<Scalar>>& linear_density,
                           const VolumeDensity<>& fibre, const Scalar& packing) {
  require_yarn(value_of(in_tex(linear_density)), fibre);
  require_range("packing", value_of(packing), kLeastPacking, 1.0, "the diameter of a yarn");
  using std::sqrt;
  const Scalar squared = 4.0 / std::numbers::pi * linear_density.si() / (fibre.si() * packing);
  return metres(Scalar(sqrt(squared)));
}

template Length<double> diameter_of<double>(const LinearDensity<double>&, const VolumeDensity<>&,
                                            const double&);
template Length<Dual> diameter_of<Dual>(const LinearDensity<Dual>&, const VolumeDensity<>&,
                                        const Dual&);

double packing_from(const LinearDensity<>& linear_density, const VolumeDensity<>& fibre,
                    const Length<>& diameter) {
  require_yarn(in_tex(linear_density), fibre);
  require_range("yarn diameter, mm", in_millimetres(diameter), 1e-3, 1e3, "packing");
  const double packing = 4.0 / std::numbers::pi * linear_density / (fibre * diameter * diameter);
  require_range("packing from the measured diameter", packing, kLeastPacking, 1.0,
                "fibre in a yarn");
  return packing;
}

Length<> diameter_from_wraps(const ThreadDensity<>& wraps, WrapConvention convention) {
  require_range("wraps per cm", in_per_cm(wraps), 0.1, 1000.0, "a yarn wrapped on a ruler");
  return 1.0 / (convention == WrapConvention::Touching ? wraps : wraps * 2.0);
}

double plied_width_over_single(int ply) {
  require_range("ply", ply, 1, 4, "the ring of touching singles");
  return ply == 1 ? 1.0 : 1.0 + ply / std::numbers::pi;
}

double plied_packing(int ply, double singles) {
  require_range("packing of the singles", singles, kLeastPacking, 1.0, "a plied yarn");
  const double width = plied_width_over_single(ply);
  return singles * ply / (width * width);
}

double lying_packing(Kind kind, const Packing& packing) {
  switch (kind) {
    case Kind::Singles:
      return packing.singles;
    case Kind::Plied:
      return packing.plied;
    case Kind::Woollen:
      return packing.woollen;
    case Kind::Roving:
      return packing.roving_held;
  }
  return packing.plied;
}

Length<> loose_diameter(const Yarn& yarn, const Packing& packing) {
  if (yarn.kind != Kind::Roving) return lying_diameter(yarn, packing);
  return diameter_of(yarn.linear_density, blend_density(yarn.fibre), packing.roving_loose);
}

}  // namespace ellwand::yarn
