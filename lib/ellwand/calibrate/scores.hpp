#pragma once
/// How good a forecast was, once the figure it was of is known. Every score is in the unit of the
/// figure, 0 is perfect and less is better; none is lowered, in the mean, by saying other than what
/// is believed.
///
/// Source: T. Gneiting and A. E. Raftery, JASA 102 (2007) 359-378, unless another is named.

#include <cstddef>
#include <span>

namespace ellwand::calibrate {

/// Continuous ranked probability score: the integral of (F(x) - [x >= observed])^2 of a forecast
/// with distribution function F. Of a forecast without doubt it is the distance.
///
/// @param sd  of the forecast: 0 or more
/// @throws OutOfRange for a number that is not finite, an sd below 0
double crps_normal(double mean, double sd, double observed);

/// The same of centre + scale x Student's t.
///
/// @param degrees_of_freedom  above 1; infinity is the normal distribution
/// @param scale               0 or more
/// @throws OutOfRange for other than that, or a number that is not finite
///
/// Source: A. Jordan, F. Krueger and S. Lerch, Journal of Statistical Software 90 (2019) no. 12.
double crps_student(double degrees_of_freedom, double centre, double scale, double observed);

/// What a sample stands for.
enum class SampleIs {
  TheForecast,  ///< its values with equal chance, and no others
  DrawnFromIt   ///< draws of a forecast whose own score is wanted: the sample's is a little larger
};

/// The same of a sample, E|X - observed| - E|X - X'| / 2; of draws each pair of two of them.
///
/// @param sample  one value at least, two where they are draws; in any order
/// @throws OutOfRange for fewer, or a number that is not finite
double crps_of_sample(std::span<const double> sample, double observed, SampleIs what);

/// Score of a range: its width, and 2 / miss for every unit that the figure lies outside of it.
///
/// @param miss  the chance that the figure lies outside: 0.1 for a 90 % range; above 0, below 1
/// @throws OutOfRange for another miss, a number that is not finite, low above high
double interval_score(double low, double high, double observed, double miss);

/// Score of one point of a forecast: chance x what the figure lies above it, or (1 - chance) x what
/// it lies below.
///
/// @param chance  that the figure is at most the point: above 0, below 1
/// @throws OutOfRange for another, or a number that is not finite
double pinball(double point, double chance, double observed);

/// Of how-far-off figures on pieces left out, counted from the smallest, the one that a new piece
/// stays within with the chance of 1 - miss, whatever their distribution: the rank
/// ceil((n + 1)(1 - miss)). Above n: there are too few, and no range is sure to that.
///
/// @param miss  above 0, below 1
/// @throws OutOfRange for another
///
/// Source: J. Lei, M. G'Sell, A. Rinaldo, R. J. Tibshirani and L. Wasserman, JASA 113 (2018)
///         1094-1111.
std::size_t conformal_rank(std::size_t n, double miss);

}  // namespace ellwand::calibrate
