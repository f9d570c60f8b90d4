#include "ellwand/cloth/areal.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"

namespace ellwand::cloth {

namespace {

constexpr const char* kHolder = "the mass of cloth";

template <class Scalar>
void require_linear_density(const LinearDensity<Scalar>& yarn) {
  require_range("linear density, tex", value_of(in_tex(yarn)), 0.0, 1e9, kHolder);
}

template <class Scalar>
void require_crimp(const Crimp<Scalar>& crimp) {
  require_range("crimp, part of the cloth length", value_of(crimp.over_cloth), 0.0, 999.0, kHolder);
}

}  // namespace

template <class Scalar>
ArealDensity<Scalar> mass_per_area(const ThreadSet<Scalar>& threads) {
  require_range("threads per cm", in_per_cm(threads.sett), 0.0, 1e6, kHolder);
  require_linear_density(threads.yarn);
  require_crimp(threads.crimp);
  return threads.sett * threads.yarn * Scalar(1.0 + threads.crimp.over_cloth);
}

template <class Scalar>
ArealDensity<Scalar> mass_per_area(const ThreadSet<Scalar>& warp, const ThreadSet<Scalar>& weft) {
  return mass_per_area(warp) + mass_per_area(weft);
}

template <class Scalar>
Mass<Scalar> mass_of_threads(double threads, const Length<Scalar>& each,
                             const LinearDensity<Scalar>& yarn) {
  require_range("threads", threads, 0.0, 1e12, kHolder);
  require_range("length of a thread, m", value_of(in_metres(each)), 0.0, 1e9, kHolder);
  require_linear_density(yarn);
  return threads * each * yarn;
}

template <class Scalar>
Length<Scalar> straightened(const Length<Scalar>& cloth, const Crimp<Scalar>& crimp) {
  require_range("length of the cloth, m", value_of(in_metres(cloth)), 0.0, 1e9, kHolder);
  require_crimp(crimp);
  return cloth * Scalar(1.0 + crimp.over_cloth);
}

// The two scalars this project computes with.
template ArealDensity<double> mass_per_area(const ThreadSet<double>&);
template ArealDensity<Dual> mass_per_area(const ThreadSet<Dual>&);
template ArealDensity<double> mass_per_area(const ThreadSet<double>&, const ThreadSet<double>&);
template ArealDensity<Dual> mass_per_area(const ThreadSet<Dual>&, const ThreadSet<Dual>&);
template Mass<double> mass_of_threads(double, const Length<double>&, const LinearDensity<double>&);
template Mass<Dual> mass_of_threads(double, const Length<Dual>&, const LinearDensity<Dual>&);
template Length<double> straightened(const Length<double>&, const Crimp<double>&);
template Length<Dual> straightened(const Length<Dual>&, const Crimp<Dual>&);

}  // namespace ellwand::cloth
