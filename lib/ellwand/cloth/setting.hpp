#pragma once
/// Setting: how many threads per length a yarn and a weave call for, and how full a cloth is.
///
/// These are the trade's rules, for choosing a sett and for comparing cloths; no yarn is estimated
/// from them. They are counted and measured, so plain numbers throughout.

#include "ellwand/cloth/weave.hpp"
#include "ellwand/units/quantity.hpp"

namespace ellwand::cloth {

/// Parts of sqrt(yards per pound) that lie side by side in an inch.
///
/// Source: T. R. Ashenhurst, A Treatise on Textile Calculations and the Structure of Fabrics
/// (1884),
///         as quoted in weaving notes; 0.95 by J. T. Taylor, Cotton Weaving and Designing (6th ed.
///         1909).
inline constexpr double kAshenhurstFirm = 0.90;     ///< worsted and other firm yarns
inline constexpr double kAshenhurstWoollen = 0.84;  ///< woollen and other soft yarns
inline constexpr double kTaylorCotton = 0.95;       ///< cotton, Taylor's five per cent less

/// Diameters per length: factor * sqrt(yards per pound) to the inch, and the same to any length.
///
/// @param yarn    0.001 to 1e6 tex
/// @param factor  see above; 0.1 to 2
/// @throws OutOfRange outside these
///
/// Source: T. R. Ashenhurst (1884).
ThreadDensity<> ashenhurst_diameters(const LinearDensity<>& yarn, double factor = kAshenhurstFirm);

/// Threads side by side when the yarn is a solid round cylinder of a density.
///
/// @param yarn         0.001 to 1e6 tex
/// @param yarn_density of the yarn with its air, 0.001 to 10 g per cm3 (1 / 1.1 for Peirce's
/// cotton)
/// @throws OutOfRange outside these
///
/// Source: F. T. Peirce, J. Text. Inst. 28 (1937) T45-T96, d = sqrt(4 T v / pi).
ThreadDensity<> side_by_side(const LinearDensity<>& yarn, const VolumeDensity<>& yarn_density);

/// The ends of a repeat and how often a thread across them passes from one side to the other.
struct Interlacing {
  int ends;
  int intersections;  ///< 1 or more, not above `ends`
};

/// The interlacing of a grid's tightest row.
Interlacing interlacing_of(const Grid& repeat);

/// Greatest sett: each intersection takes the room of one diameter.
/// sett = diameters * ends / (ends + intersections).
///
/// @throws OutOfRange for an interlacing beyond what is stated
///
/// Source: T. R. Ashenhurst (1884); J. T. Taylor (1909).
ThreadDensity<> maximum_sett(const ThreadDensity<>& diameters, const Interlacing& weave);

/// Sett in another weave at equal firmness: in proportion to ends / (ends + intersections).
ThreadDensity<> sett_in_weave(const ThreadDensity<>& sett, const Interlacing& from,
                              const Interlacing& to);

/// Sett for another yarn at equal firmness: in proportion to 1 / sqrt(tex).
ThreadDensity<> sett_for_yarn(const ThreadDensity<>& sett, const LinearDensity<>& from,
                              const LinearDensity<>& to);

/// Yarn for another sett at equal firmness.
LinearDensity<> yarn_for_sett(const LinearDensity<>& yarn, const ThreadDensity<>& from,
                              const ThreadDensity<>& to);

/// Yarn for another weave at equal threads and equal firmness.
///
/// Source of these four: J. T. Taylor, Cotton Weaving and Designing (6th ed. 1909).
LinearDensity<> yarn_in_weave(const LinearDensity<>& yarn, const Interlacing& from,
                              const Interlacing& to);

/// A weave for the rule of wraps.
enum class WrapRule { Plain, Twill, Rep, Satin };

/// A sett from least to most.
struct SettRange {
  ThreadDensity<> least;
  ThreadDensity<> most;
};

/// Sett from wraps side by side: half of them for plain weave; one third more than plain for twill,
/// twice for satin, two to three times for (warp) rep.
///
/// @param wraps  threads side by side per length, above 0
/// @throws OutOfRange for wraps of 0 or less
///
/// Source: weaving workshop notes, Lucerne University of Applied Sciences (HSLU).
SettRange sett_from_wraps(const ThreadDensity<>& wraps, WrapRule weave);

/// Cover factor K of one set: threads per cm * sqrt(tex) / 10.
double cover_factor(const ThreadDensity<>& sett, const LinearDensity<>& yarn);

/// Peirce's cover factor of one set: threads per inch / sqrt(Ne), Ne in 840 yards per pound.
///
/// Source of both: F. T. Peirce, J. Text. Inst. 28 (1937) T45-T96; the first in SI units.
double peirce_cover_factor(const ThreadDensity<>& sett, const LinearDensity<>& yarn);

/// Fractional cover of one set: thread diameter over thread spacing; above 1 where threads overlap.
///
/// @throws OutOfRange unless both are above 0
double fractional_cover(const Length<>& diameter, const Length<>& spacing);

/// Part of the cloth's face covered by either set: c1 + c2 - c1 c2.
///
/// @throws OutOfRange unless both are 0 to 1
double total_cover(double warp_cover, double weft_cover);

}  // namespace ellwand::cloth
