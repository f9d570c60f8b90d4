#pragma once
/// How much quicker the next of a series goes.

namespace ellwand::decide {

/// What "each doubling takes 90 % of the time" is said of.
enum class LearningModel {
  Unit,              ///< of the time of one: the 2nd takes 90 % of the 1st, the 4th of the 2nd
  CumulativeAverage  ///< of the average of all up to it (T. P. Wright)
};

struct LearningCurve {
  double rate = 1.0;  ///< above 0.5 up to 1; 1 is no learning
  LearningModel model = LearningModel::Unit;
};

/// Times of so many of a series together, that of its first being 1.
///
/// With b = log2(rate) the k-th takes k^b (unit), or the first k take k^(1 + b) together
/// (cumulative average).
/// @param before  how many were made already, 0 or more
/// @param count   of those after them, 0 or more
/// @throws OutOfRange unless 0.5 < rate <= 1, and before and count are from 0 to a million
///
/// Source: T. P. Wright, Factors affecting the cost of airplanes, J. Aeronautical Sciences 3 (1936)
///         122-128 (cumulative average); J. R. Crawford's unit model as textbooks have it, both
///         from memory; tested against printed tables (data/published/pricing.csv).
double time_of_series(const LearningCurve& curve, int before, int count);

}  // namespace ellwand::decide
