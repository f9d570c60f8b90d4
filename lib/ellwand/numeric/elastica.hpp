#pragma once
/// The shape a springy strand takes when it is bent into a free arch between two hinges.

namespace ellwand::numeric {

/// How much longer a free arch is than its base, over its height: (length - base) / height.
///
/// A strand that can bend but not stretch stands on two feet at one level that are held but free to
/// turn. Its curvature is in proportion to the height above the feet (Euler's elastica, half a wave
/// from one inflection to the next), which gives with the modulus k, the sine of half the angle at
/// which it leaves the ground,
///     base / height = (2 E(k) - K(k)) / k,    length / height = K(k) / k.
/// The first is solved for k. It falls from infinity (k = 0, a flat arch) to 0 (k = 0.9089, where
/// the feet meet), so there is one k for each ratio; at k = sqrt(1/2) the legs leave upright.
/// Slopes come from the two derivatives by k and stay finite over the whole range.
///
/// @param base_over_height  between the feet, over the height of the arch: 0 to 10^6
/// @returns 2.5537 at 0, falling to pi^2 / 4 over the ratio for very low arches, never below 0
/// @throws OutOfRange outside these
///
/// Source:   L. Euler, Methodus inveniendi (1744), first additamentum; A. E. H. Love, A Treatise on
///           the Mathematical Theory of Elasticity, chapter XIX (both from memory); derived again
///           from the pendulum equation theta'' = -sin(theta).
/// Accuracy: to rounding: within 1e-9 of that equation integrated step by step, for legs that leave
///           at 5 to 130 degrees (test FreeArch.IsWhatTheBendingEquationGives).
template <class Scalar>
Scalar free_arch_excess(const Scalar& base_over_height);

}  // namespace ellwand::numeric
