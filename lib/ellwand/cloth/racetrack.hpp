#pragma once
/// A flattened thread: a rectangle with half a circle at each end, of the same area as when round.

#include "ellwand/cloth/crossing.hpp"
#include "ellwand/units/quantity.hpp"

namespace ellwand::cloth {

/// Cross-section of a flattened thread; round when width and thickness are equal.
template <class Scalar = double>
struct Racetrack {
  Length<Scalar> width;      ///< a, along the cloth
  Length<Scalar> thickness;  ///< b, across the cloth; not above the width
};

/// The thread pressed to thickness b: a = b + (pi / 4) (d^2 - b^2) / b.
///
/// @param round      d, diameter before pressing; above 0
/// @param thickness  b; above 0, not above d
/// @throws OutOfRange outside these
///
/// Source: derived, (a - b) b + pi b^2 / 4 = pi d^2 / 4.
template <class Scalar>
Racetrack<Scalar> pressed_to_thickness(const Length<Scalar>& round,
                                       const Length<Scalar>& thickness);

/// The thread spread to width a: the root b of (1 - pi/4) b^2 - a b + (pi/4) d^2 = 0 not above d.
///
/// @param round  d, diameter before pressing; above 0
/// @param width  a; not below d
/// @throws OutOfRange outside these
///
/// Source: derived, the equation above solved for b.
template <class Scalar>
Racetrack<Scalar> spread_to_width(const Length<Scalar>& round, const Length<Scalar>& width);

/// A thread that lies flat by nature, such as a tape: `ratio` times as wide as thick,
/// b = d sqrt((pi / 4) / (ratio - 1 + pi / 4)).
///
/// @param round  d, diameter of the round thread of the same area; above 0
/// @param ratio  a / b; 1 or more
/// @throws OutOfRange outside these
///
/// Source: derived, the equation above with a = ratio b.
template <class Scalar>
Racetrack<Scalar> lying_flat(const Length<Scalar>& round, double ratio);

/// One crossing over flattened threads: the crossing of round threads of their thickness, a - b
/// closer, and a - b of straight thread along the flat.
///
/// @param spacing   p, between the threads that are crossed; above a - b
/// @param crossed   cross-section of the threads that are crossed
/// @param crossing  thickness of the thread that crosses (its width does not matter here)
/// @param height    h, crimp height; 0 to `crossing` and the crossed thread's thickness together
/// @throws OutOfRange where `taut_crossing` does for p - (a - b)
///
/// Source: A. Kemp, J. Text. Inst. 49 (1958) T44 (from memory).
template <class Scalar>
Crossing<Scalar> crossing_over_flat(const Length<Scalar>& spacing, const Racetrack<Scalar>& crossed,
                                    const Length<Scalar>& crossing, const Length<Scalar>& height);

}  // namespace ellwand::cloth
