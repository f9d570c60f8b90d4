#pragma once
/// Mass of cloth per area, and of the threads it is made of.

#include "ellwand/cloth/crossing.hpp"
#include "ellwand/units/quantity.hpp"

namespace ellwand::cloth {

/// All threads of a cloth that run one way.
template <class Scalar = double>
struct ThreadSet {
  ThreadDensity<> sett;        ///< threads per length of cloth, 0 or more
  LinearDensity<Scalar> yarn;  ///< 0 or more
  Crimp<Scalar> crimp;         ///< 0 or more
};

/// Mass per area of one set: sett * (1 + crimp) * linear density.
///
/// @throws OutOfRange for a value below 0 or one that is not a number
///
/// Source: the definitions of sett, crimp and linear density.
template <class Scalar>
ArealDensity<Scalar> mass_per_area(const ThreadSet<Scalar>& threads);

/// Mass per area of a woven cloth: of its warp and of its weft.
template <class Scalar>
ArealDensity<Scalar> mass_per_area(const ThreadSet<Scalar>& warp, const ThreadSet<Scalar>& weft);

/// Mass of so many threads of one length.
///
/// @param threads  how many, 0 or more (a part of a thread is allowed, for means)
/// @param each     straightened length of one
/// @throws OutOfRange for a value below 0 or one that is not a number
template <class Scalar>
Mass<Scalar> mass_of_threads(double threads, const Length<Scalar>& each,
                             const LinearDensity<Scalar>& yarn);

/// Straightened length of a thread in a length of cloth: cloth * (1 + crimp).
///
/// @throws OutOfRange for a value below 0 or one that is not a number
template <class Scalar>
Length<Scalar> straightened(const Length<Scalar>& cloth, const Crimp<Scalar>& crimp);

}  // namespace ellwand::cloth
