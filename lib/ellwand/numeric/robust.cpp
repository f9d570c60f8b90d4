#include "ellwand/numeric/robust.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace ellwand::numeric {

double robust_weight(const Robust& robust, double z) {
  switch (robust.rule) {
    case RobustRule::None:
      return 1.0;
    case RobustRule::Huber:
      return std::abs(z) <= robust.constant ? 1.0 : robust.constant / std::abs(z);
    case RobustRule::Bisquare: {
      const double part = z / robust.constant;
      const double inside = 1.0 - part * part;
      return std::abs(part) < 1.0 ? inside * inside : 0.0;
    }
    case RobustRule::Student:
      return (robust.constant + 1.0) / (robust.constant + z * z);
  }
  return 1.0;
}

double median_spread(std::span<const double> residuals) {
  if (residuals.empty()) return 0.0;
  std::vector<double> sizes(residuals.size());
  std::transform(residuals.begin(), residuals.end(), sizes.begin(),
                 [](double r) { return std::abs(r); });
  const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2);
  std::nth_element(sizes.begin(), middle, sizes.end());
  double median = *middle;
  if (sizes.size() % 2 == 0) median = 0.5 * (median + *std::max_element(sizes.begin(), middle));
  return median / 0.6745;
}

}  // namespace ellwand::numeric
