#include "ellwand/decide/learning_curve.hpp"

#include "ellwand/units/error.hpp"

#include <cmath>

namespace ellwand::decide {

double time_of_series(const LearningCurve& curve, int before, int count) {
  constexpr double kMost = 1e6;
  require_range("a learning rate", curve.rate, 0.5 + 1e-9, 1.0, "the learning curve");
  require_range("pieces made already", before, 0.0, kMost, "the learning curve");
  require_range("pieces", count, 0.0, kMost, "the learning curve");
  const double b = std::log2(curve.rate);
  if (curve.model == LearningModel::CumulativeAverage) {
    const auto together = [b](int k) { return k == 0 ? 0.0 : std::pow(k, 1.0 + b); };
    return together(before + count) - together(before);
  }
  double sum = 0.0;
  for (int k = before + 1; k <= before + count; ++k) sum += std::pow(k, b);
  return sum;
}

}  // namespace ellwand::decide
