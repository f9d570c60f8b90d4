#pragma once
/// Money in machine output.

#include "ellwand/decide/money.hpp"

#include <optional>

namespace ellwand::studio {

/// Money of one currency as a number, rounded as it is paid.
struct MoneyTeller {
  const decide::Currency& currency;

  /// A double has fifteen decimals and more: it prints as the amount does.
  double operator()(const decide::Money& amount) const {
    return decide::rounded(amount, currency).approximately();
  }
  std::optional<double> operator()(const std::optional<decide::Money>& amount) const {
    if (!amount) return std::nullopt;
    return (*this)(*amount);
  }
};

}  // namespace ellwand::studio
