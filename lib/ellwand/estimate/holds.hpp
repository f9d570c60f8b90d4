#pragma once
/// What a band's yarn hangs on: which coefficients move which of its local factors.

#include "ellwand/estimate/band_yarn.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <cstddef>
#include <vector>

namespace ellwand::estimate {

/// What a band's yarn hangs on in all, its strips among it.
inline constexpr std::size_t kMostHolds = 18;

/// Adds what the rows of one part of a work hang on.
void hold_rows(const technique::Work& work, std::size_t part, std::vector<Hold>& holds);

/// How thick a yarn lies: of itself and, unless that was measured, as its lot strays.
/// @param which  of the piece's yarns
void hold_thickness(Local local, std::size_t which, const yarn::Yarn& yarn,
                    std::vector<Hold>& holds);

/// Which coefficient says how much one part of a work takes.
Shared take_coefficient(const technique::Work& work, std::size_t part);

/// How much of a yarn a work takes.
void hold_take(Shared of_work, std::size_t yarn, std::vector<Hold>& holds);

/// Rising by coefficient.
void sort_holds(std::vector<Hold>& holds);

}  // namespace ellwand::estimate
