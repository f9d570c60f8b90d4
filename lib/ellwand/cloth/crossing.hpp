#pragma once
/// One thread passing from one side of the cloth to the other between two threads of the other set.

#include "ellwand/units/quantity.hpp"

namespace ellwand::cloth {

/// Extra yarn as a part of the CLOTH length: (yarn - cloth) / cloth.
///
/// Source: the trade's definition of crimp (as in ASTM D3883).
template <class Scalar = double>
struct Crimp {
  Scalar over_cloth;
};

/// Extra yarn as a part of the YARN length: (yarn - cloth) / yarn.
///
/// Source: the trade's definition of take-up (as in ASTM D3883).
template <class Scalar = double>
struct TakeUp {
  Scalar over_yarn;
};

/// Take-up of a thread whose crimp is known: c / (1 + c).
///
/// @throws OutOfRange unless 0 <= crimp <= 999
template <class Scalar>
TakeUp<Scalar> take_up_from_crimp(const Crimp<Scalar>& crimp);

/// Crimp of a thread whose take-up is known: t / (1 - t).
///
/// @throws OutOfRange unless 0 <= take-up <= 0.999
template <class Scalar>
Crimp<Scalar> crimp_from_take_up(const TakeUp<Scalar>& take_up);

/// Crimp of a thread unravelled from cloth and straightened.
///
/// @param yarn   length of the straightened thread, not below `cloth`
/// @param cloth  length of the cloth it came out of, above 0
/// @throws OutOfRange for a cloth without length or a yarn shorter than its cloth
template <class Scalar>
Crimp<Scalar> crimp_from_lengths(const Length<Scalar>& yarn, const Length<Scalar>& cloth);

/// Which set of threads shows, and so which set bends.
enum class Face {
  Weft,      ///< weft-faced: the warp runs straight, the weft bends round it
  Balanced,  ///< both sets bend alike
  Warp       ///< warp-faced: the weft runs straight, the warp bends round it
};

/// The weft's part of the crimp height that warp and weft share: 1, 1/2 or 0.
///
/// Source: starting value by kind of cloth; the two heights of a crossing sum to the two
/// thicknesses (F. T. Peirce, J. Text. Inst. 28 (1937) T45-T96).
double weft_height_share(Face face);

/// The warp's part: what the weft leaves.
double warp_height_share(Face face);

/// The kind of a cloth, and how its warp and weft share the crimp height: as that kind does, or as
/// was found where both were unpicked.
struct HeightShares {
  Face face;
  double weft;  ///< 0 to 1

  HeightShares(Face kind)  // NOLINT(google-explicit-constructor)
      : face(kind), weft(weft_height_share(kind)) {}
  HeightShares(Face kind, double found) : face(kind), weft(found) {}
  double warp() const { return 1.0 - weft; }
};

/// A taut thread between two neighbouring threads of the other set, on whose opposite sides it
/// lies.
template <class Scalar = double>
struct Crossing {
  Length<Scalar> yarn;  ///< l, length along the thread's axis over one spacing
  double angle_rad;     ///< theta, greatest inclination to the cloth plane
};

/// Length of one crossing of round, fully flexible threads.
///
/// The axis lies on two circles of radius D/2, whose centres are p apart along the cloth and
/// q = D - h apart across it, and on the straight line that touches both between them:
///     s = sqrt(p^2 + q^2 - D^2),  theta = atan2(D, s) - atan2(q, p),  l = s + D theta.
/// The derivatives of l are cos(theta) by p, sin(theta) by h and theta - sin(theta) by D (derived:
/// the terms in 1/s cancel), so slopes stay finite where s is 0, at the jam, and where h is 0.
///
/// @param spacing    p, between the threads that are crossed; above 0
/// @param thickness  D, the crossing and the crossed thread together; 0 or more
/// @param height     h, crimp height: from trough to crest of the axis; 0 to D
/// @throws OutOfRange for a spacing below `jam_spacing(thickness, height)` (by more than one part
/// in
///         10^12), or arguments beyond what is stated
///
/// Source: F. T. Peirce, J. Text. Inst. 28 (1937) T45-T96, circular flexible threads.
template <class Scalar>
Crossing<Scalar> taut_crossing(const Length<Scalar>& spacing, const Length<Scalar>& thickness,
                               const Length<Scalar>& height);

/// Closest spacing at which a thread can cross: sqrt(D^2 - (D - h)^2), where s above is 0.
///
/// @throws OutOfRange unless 0 <= h <= D
///
/// At h = 0 the slope by h has no finite value; slopes are given as 0 there, which is right while
/// the height is a fixed part of D.
template <class Scalar>
Length<Scalar> jam_spacing(const Length<Scalar>& thickness, const Length<Scalar>& height);

/// Greatest crimp height a spacing allows: D - sqrt(D^2 - p^2), or all of D from p = D on.
///
/// @throws OutOfRange unless p and D are above 0
template <class Scalar>
Length<Scalar> greatest_height(const Length<Scalar>& spacing, const Length<Scalar>& thickness);

/// Crimp height of a crossing whose yarn length is known: `taut_crossing` solved for h. No estimate
/// asks for it, a cloth's face gives its heights; `peirce_cell` does.
/// @param yarn  l, from `spacing` to the length at `greatest_height`
/// @throws OutOfRange for a yarn outside that; with slopes also for a yarn equal to the spacing,
///         since the height grows as the square root of the crimp there
template <class Scalar>
Length<Scalar> height_from_yarn(const Length<Scalar>& yarn, const Length<Scalar>& spacing,
                                const Length<Scalar>& thickness);

/// Both threads of a plain weave.
template <class Scalar = double>
struct PeirceCell {
  Length<Scalar> warp_height;  ///< h1
  Length<Scalar> weft_height;  ///< h2 = D - h1
  Crossing<Scalar> warp;       ///< over one pick spacing
  Crossing<Scalar> weft;       ///< over one end spacing
  Crimp<Scalar> warp_crimp;
  Crimp<Scalar> weft_crimp;
};

/// What is known of a plain weave when its warp's crimp has been measured.
template <class Scalar = double>
struct PlainCloth {
  Length<Scalar> warp_diameter;  ///< d1
  Length<Scalar> weft_diameter;  ///< d2
  Length<Scalar> end_spacing;    ///< p1
  Length<Scalar> pick_spacing;   ///< p2
  Crimp<Scalar> warp_crimp;      ///< c1
};

/// The weft's crimp and both heights, from the warp's crimp. No estimate asks for it: by it the
/// crossing that all cloth is reckoned with is held against the published cells (peirce_cells.csv).
/// @throws OutOfRange where `height_from_yarn` or `taut_crossing` does
///
/// Source: F. T. Peirce, J. Text. Inst. 28 (1937) T45-T96, solved without his approximations.
template <class Scalar>
PeirceCell<Scalar> peirce_cell(const PlainCloth<Scalar>& cloth);

}  // namespace ellwand::cloth
