#pragma once
/// How thick a yarn is: from its mass and how full of fibre it is, or from wraps on a ruler.

#include "ellwand/units/quantity.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <type_traits>

namespace ellwand::yarn {

/// Diameter of the circle round a yarn.
///
/// @param linear_density  T, of the whole strand
/// @param fibre           rho, density of the fibre itself
/// @param packing         phi, fibre area over the area of the circle; above 0, up to 1
/// @returns               sqrt(4 T / (pi rho phi))
/// @throws OutOfRange
/// Source: derived, mass per length = area of the circle x phi x rho.
/// Accuracy: with cotton at 1.52 g/cm3 and a packing of 0.60, 0.4 to 2.2 % thinner than the printed
///           table of J. T. Taylor (1909) for cotton counts 1 to 200
///           (test DiameterOf.StaysNearTaylorsTable).
template <class Scalar>
Length<Scalar> diameter_of(const LinearDensity<std::type_identity_t<Scalar>>& linear_density,
                           const VolumeDensity<>& fibre, const Scalar& packing);

/// The same the other way: how full of fibre a yarn of measured diameter is. Above 1 the
/// measurements contradict each other, and it is refused.
/// @returns 4 T / (pi rho d^2)
/// @throws OutOfRange unless the answer lies above 0 and up to 1
double packing_from(const LinearDensity<>& linear_density, const VolumeDensity<>& fibre,
                    const Length<>& diameter);

/// How wraps round a ruler were laid; the two differ by a factor of two.
enum class WrapConvention {
  Touching,    ///< side by side without a gap: a wrap is one diameter wide
  ThreadApart  ///< a thread's width left between wraps: a wrap is two diameters wide
};

/// Diameter from wraps per length.
/// @returns 1 / wraps when touching, 1 / (2 wraps) a thread apart
/// @throws OutOfRange unless 0.1 to 1000 wraps per cm
Length<> diameter_from_wraps(const ThreadDensity<>& wraps, WrapConvention convention);

/// How wide 2, 3 or 4 round singles touching in a ring look on average as the twist turns them,
/// over the width of one: 1 + ply / pi. 1 for a single.
/// @throws OutOfRange unless ply is 1 to 4
/// Source: derived; the mean width of a convex shape is its girth over pi (Cauchy), and the girth
///         round such a ring is pi + ply single diameters (2 + pi for two).
double plied_width_over_single(int ply);

/// How full of fibre a 2-, 3- or 4-ply is, when its singles are `singles` full: the starting value
/// for plied yarn comes from it (0.45, 0.47, 0.46 from 0.60).
/// @returns singles x ply / (plied_width_over_single(ply))^2
/// @throws OutOfRange unless ply is 1 to 4 and the packing above 0, up to 1
double plied_packing(int ply, double singles);

/// How full of fibre this yarn lies in the cloth, by the way it is made. Roving: as held.
double lying_packing(Kind kind, const Packing& packing);

/// How thick a roving looks before it is woven; any other yarn looks as it lies.
/// @throws OutOfRange as lying_diameter
Length<> loose_diameter(const Yarn& yarn, const Packing& packing);

}  // namespace ellwand::yarn
