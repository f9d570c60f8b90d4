#include "ellwand/decide/in_short.hpp"

#include <algorithm>

namespace ellwand::decide {

namespace {

/// Of two ratios the one that is further from 1.
double further(double a, double b) { return std::max(b, 1.0 / b) > std::max(a, 1.0 / a) ? b : a; }

}  // namespace

double left_g(const KitYarn& yarn) {
  double left = 0.0;
  for (const KitLot& lot : yarn.lots) left += lot.left_g;
  return left;
}

double thickness_of(const SwapRow& row) {
  double furthest = 1.0;
  for (const PlaceChange& change : row.places) furthest = further(furthest, change.thickness);
  return furthest;
}

double cover_of(const SwapRow& row) {
  double furthest = 1.0;
  for (const PlaceChange& change : row.places) {
    furthest = further(furthest, change.cover.value_or(1.0));
  }
  return furthest;
}

Money rounding_of(const Priced& priced, const PriceQuestion& question) {
  const Currency& currency = question.currency;
  Money lines = rounded(priced.asked.labour, currency) + rounded(priced.asked.overhead, currency);
  for (const YarnCost& yarn : priced.yarns) {
    lines += rounded(yarn.cost.times(Ratio{1, priced.asked.pieces}), currency);
  }
  for (const Consumable& one : question.policy.consumables) {
    lines += rounded(one.cost, currency);
  }
  return rounded(priced.asked.cost, currency) - lines;
}

}  // namespace ellwand::decide
