#pragma once
/// How a studio buys yarn.

#include "ellwand/decide/money.hpp"

#include <optional>

namespace ellwand::decide {

/// How a studio buys.
struct BuyPolicy {
  std::optional<double> enough;  ///< chance that what is bought suffices, yarn by yarn
  std::optional<Money>
      running_out;               ///< what each put-up costs that is missing when its lot is gone
  double left_over_worth = 0.0;  ///< of a put-up left over, a share of its price
};

}  // namespace ellwand::decide
