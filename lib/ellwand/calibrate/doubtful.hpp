#pragma once
/// Figures of a swatch that can hardly be meant: a unit, a decimal mark, a count gone wrong.

#include "ellwand/calibrate/report.hpp"

#include <optional>
#include <vector>

namespace ellwand::calibrate {

/// So many of its standard deviations from what is foretold a figure is asked about. Of honest
/// figures one in 16 000 lies beyond (normal), of the thicker tails of real ones perhaps one in a
/// hundred swatches.
inline constexpr double kDoubtfulSds = 4.0;

/// A figure far from what is foretold of it.
struct Doubtful {
  std::size_t measurement = 0;
  double expected = 0.0;   ///< its median, in the unit of the figure
  double log_sd = 0.0;     ///< of the logarithm of the figure about it
  bool by_others = false;  ///< foretold from the other figures of the swatch as well
};

/// The figures of a swatch beyond kDoubtfulSds of what the workshop foretells; where none is, the
/// one furthest beyond what the others of the same swatch lead to expect. Those share hand, lot,
/// thickness and rows, so that they hold one another to a few hundredths.
///
/// @throws BadInput for a swatch that cannot be woven
/// @throws OutOfRange for a measurement of what is not in it
///
/// Source: the conditional normal: of n figures with covariance S and deviations r, figure i given
///         the others has the score (S^-1 r)_i / sqrt((S^-1)_ii) (derived).
std::vector<Doubtful> doubtful_of(const Swatch& swatch, const estimate::Workshop& workshop);

/// What the rows that an amount is of take where they run straight from the first end to the last,
/// all strands held together, in metres: strands x rows x (ends - 1) x spacing. Nothing where it is
/// not of counted rows of one weft from edge to edge, or of a roving split lengthwise.
///
/// Of it a tenth is left out for yarn that springs back when it is drawn out; a quarter where the
/// cloth is drawn in or washed after it was measured (common practice, no published source). Where
/// its width was measured that is taken, in place of what the loom alone says, if it is more.
std::optional<double> straight_way_m(const Swatch& swatch, const Measurement& amount);

/// The least mass in grams that an amount in grams can be, by its straight way and the count of its
/// yarn: so far below it label, lot and scale lead once in 700 times. Nothing where there is none.
std::optional<double> least_mass_g(const Swatch& swatch, const Measurement& amount,
                                   const estimate::Workshop& workshop);

}  // namespace ellwand::calibrate
