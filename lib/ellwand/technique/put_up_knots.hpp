#pragma once
/// Knots found in put-ups: where the spinner or winder joined two ends. A knot is not woven in: it
/// is cut out, and what that takes is reckoned here.
///
/// Knots are taken to come anywhere alike, n a metre, one not knowing of the next (a Poisson
/// process), which is all that a count of them over many put-ups can tell.

#include "ellwand/units/quantity.hpp"

namespace ellwand::technique {

/// Beyond what lengths of weft take without knots. A length is wound without looking for knots;
/// where one comes up in the weaving it is cut out, which leaves two more tails; a run between two
/// knots that is shorter than its own two tails is thrown away.
///
/// @param yarn             all lengths with their tails; 0 or more
/// @param tail             t, left at each end of a length; 0 or more
/// @param knots_per_metre  n, a metre; 0 or more
/// @returns                yarn (exp(2 n t) - 1): two tails a knot for few knots, and runs lost
/// Source: derived. In a length W the runs longer than u are, on average,
///         exp(-n u) (1 + n (W - u)): one begins at the start and n (W - u) at knots, each reaching
///         u without a knot by exp(-n u). What is laid of them is the integral of that from 2 t to
///         W, (W - 2 t) exp(-2 n t), in the place of W - 2 t. Exact for any n, and for any W above
///         2 t.
template <class Scalar>
Length<Scalar> knots_in_lengths(const Length<Scalar>& yarn, const Length<Scalar>& tail,
                                double knots_per_metre);

/// Beyond strands cut to a measure, none of which may cross a knot: where one comes up, the run
/// that was measured off is thrown away, and the strand is measured anew from the knot.
///
/// @param strands  how many; 0 or more
/// @param each     c, their length; above 0
/// @returns        strands ((exp(n c) - 1) / n - c): for few knots n c a strand, half a strand each
/// Source: derived: the mean way to the first stretch of c free of events of a Poisson process is
///         (exp(n c) - 1) / n (W. Feller, An Introduction to Probability Theory and Its
///         Applications, vol. 2 (1971), XI.8, waiting for a large gap; from memory). Exact for any
///         n.
template <class Scalar>
Length<Scalar> knots_in_cuts(const Scalar& strands, const Length<Scalar>& each,
                             double knots_per_metre);

/// Beyond a warp wound to and fro, no pass of which may have a knot: the run since the last notch
/// is thrown away, and the warp is tied anew there, two ties a knot.
///
/// @param passes  ends times strands held; 0 or more
/// @param pass    a, the way from notch to notch, slack; above 0
/// @param tie     left at a free end; 0 or more
/// @returns       passes ((exp(n a) - 1) (1/n + 2 tie) - a)
/// Source: derived as above; a pass fails exp(n a) - 1 times on average before it comes off. Knots
///         in the ties themselves, 2 n tie of them a tie, are left out.
template <class Scalar>
Length<Scalar> knots_in_wound_warp(double passes, const Length<Scalar>& pass, const Length<>& tie,
                                   double knots_per_metre);

/// Knots in one cut length beyond which hardly one in twenty comes off whole.
inline constexpr double kMostKnotsInACut = 3.0;

}  // namespace ellwand::technique
