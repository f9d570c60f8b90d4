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

/// What an end and a strand that goes through the gap beside it take of the spacing: d_e + d_w
/// while the strand goes through round, and the whole spacing p_e where it must be pressed flat to
/// go through, for then it is as thick as the gap is wide. Source: derived.
template <class Scalar>
Length<Scalar> through_gap(const Length<Scalar>& spacing, const Length<Scalar>& end,
                           const Length<Scalar>& strand);

/// The plan's gaps must leave the strand a way through, at most pressed as flat as cloth/jam.hpp
/// proposes.
/// @returns whether the strand has to be pressed flat
/// @throws CannotBeWoven
bool is_pressed_through(const Length<>& spacing, const Length<>& end, const Length<>& strand);

}  // namespace ellwand::technique
