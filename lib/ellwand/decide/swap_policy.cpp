#include "ellwand/decide/swap_policy.hpp"

#include <cmath>
#include <string>

namespace ellwand::decide {

const char* name_of(Term term) {
  switch (term) {
    case Term::Cover:
      return "cover";
    case Term::Thickness:
      return "thickness";
    case Term::Size:
      return "size";
    case Term::Cost:
      return "cost";
    case Term::Shelf:
      return "shelf";
    case Term::Risk:
      return "risk";
    case Term::Fibre:
      return "fibre";
  }
  return "";
}

double score(const Terms& terms, const Terms& weights) {
  double sum = 0.0;
  for (std::size_t t = 0; t < kTerms; ++t) sum += weights[t] * terms[t];
  return sum;
}

SwapRules settled(const SwapPolicy& policy, const estimate::StartingValues& values) {
  SwapRules rules;
  for (std::size_t t = 0; t < kTerms; ++t) {
    const std::string name = name_of(static_cast<Term>(t));
    rules.weights[t] = policy.weights[t].value_or(values.median("swap." + name));
  }
  rules.least_cover = policy.least_cover.value_or(values.median("swap.least_cover"));
  rules.most_chance = policy.most_chance.value_or(values.median("swap.most_chance"));
  rules.most_held =
      policy.most_held.value_or(static_cast<int>(std::lround(values.median("swap.most_held"))));
  rules.keep = policy.keep;
  return rules;
}

}  // namespace ellwand::decide
