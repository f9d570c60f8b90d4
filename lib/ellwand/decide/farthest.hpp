#pragma once
/// The largest step that still suffices, of steps that mostly need more the larger they are.

#include <functional>
#include <optional>

namespace ellwand::decide {

/// How one step turned out.
enum class Outcome {
  Suffices,
  Short,     ///< it takes more than there is
  TooLarge,  ///< there is no room for it, nor for any larger one
  Refused    ///< it cannot be, though one larger may
};

struct Steps {
  int least = 1;
  int start = 1;  ///< where the search begins, from least to most
  int most = 1;
};

/// Where steps stop sufficing.
struct Farthest {
  int step = 0;                ///< the largest that suffices
  std::optional<int> too_far;  ///< the nearest beyond it that is short or too large, or else
                               ///< refused; none where the most suffices
};

/// So many steps in a row may be refused between two that can be: longer than repeats of weaves are
/// in ends.
inline constexpr int kWidestHole = 24;

/// By doubling and halving. Then the next kWidestHole steps are tried one by one, so that a need
/// that falls once with a larger step does not hide one that suffices.
///
/// @param outcome  asked for each step once
/// @returns nothing where no step suffices
std::optional<Farthest> farthest(const std::function<Outcome(int)>& outcome, const Steps& steps);

}  // namespace ellwand::decide
