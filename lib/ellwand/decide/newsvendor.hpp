#pragma once
/// How much to have where too little costs one thing and too much another.

#include "ellwand/numeric/range.hpp"

namespace ellwand::decide {

/// What a unit costs her, in any one currency.
struct StockCosts {
  double short_of = 0.0;  ///< each that is missing, beyond its price; above 0
  double left = 0.0;  ///< each that is left over: its price less what it is still worth; 0 or more
};

/// The chance that the amount to have should suffice with: short / (short + left).
///
/// @throws OutOfRange unless both are finite, the first above 0, the second not below 0
///
/// Source: the newsvendor's critical ratio, K. J. Arrow, T. Harris and J. Marschak, Econometrica 19
///         (1951) 250-272 (from memory); tested on data/published/stock.csv.
double critical_chance(const StockCosts& costs);

/// What is missing on average of a need, when so much is there.
///
/// With X = a + b exp(s z) the need, s its log_sd() and z0 the score of the stock:
///   (a - stock) P(z > z0) + b exp(s^2 / 2) P(z > z0 - s);
/// of a normal need the standard loss function.
/// Source: derived.
double expected_short(const numeric::ShiftedLognormal& need, double stock);

/// What is left over on average.
double expected_left(const numeric::ShiftedLognormal& need, double stock);

}  // namespace ellwand::decide
