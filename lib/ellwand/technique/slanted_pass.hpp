#pragma once
/// Passes of weft that lie side by side on one face of the ends, each a few ends beyond the last.

#include "ellwand/units/quantity.hpp"

namespace ellwand::technique {

/// How steeply passes must run to lie beside each other: rise up the warp over run along the weft.
///
/// Parallel passes whose like points are e apart along the weft, and which touch, run at
/// sin(a) = d_w / e; this is tan(a).
///
/// @param spacing  p_e, between neighbouring ends; above 0
/// @param end      d_e, diameter of an end; above 0
/// @param strand   d_w, diameter of the strand; 0 or more
/// @param apart    ends from one pass to the next, 1 or more; e = apart p_e
///
/// A round strand fits between the ends where d_e + d_w <= p_e. Beyond that e is taken with
/// d_e + d_w in place of p_e, as though the gaps opened until it fits: finite, and continuous.
///
/// Source: derived.
template <class Scalar>
Scalar slope_of_passes(const Length<Scalar>& spacing, const Length<Scalar>& end,
                       const Length<Scalar>& strand, int apart);

}  // namespace ellwand::technique
