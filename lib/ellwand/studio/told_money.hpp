#pragma once
/// Money, and what may be missing, in machine output.

#include "ellwand/decide/money.hpp"

#include <nlohmann/json.hpp>

#include <optional>

namespace ellwand::studio {

template <class Kind>
nlohmann::ordered_json or_null(const std::optional<Kind>& value) {
  return value ? nlohmann::ordered_json(*value) : nlohmann::ordered_json(nullptr);
}

/// Writes money of one currency.
struct MoneyTeller {
  const decide::Currency& currency;

  /// A double has fifteen decimals and more: it prints as the amount does.
  double operator()(const decide::Money& amount) const {
    return decide::rounded(amount, currency).approximately();
  }
  nlohmann::ordered_json operator()(const std::optional<decide::Money>& amount) const {
    return amount ? nlohmann::ordered_json((*this)(*amount)) : nlohmann::ordered_json(nullptr);
  }
};

}  // namespace ellwand::studio
