#pragma once
/// What a studio holds against another yarn, and how much each counts.

#include "ellwand/decide/rebuilt.hpp"
#include "ellwand/estimate/starting_values.hpp"

#include <array>
#include <cstddef>
#include <optional>

namespace ellwand::decide {

/// What is held against a yarn: each 0 where it is as good as the original was meant to be.
enum class Term : std::size_t {
  Cover,      ///< 1 less the smaller cover over the larger, where it is worst
  Thickness,  ///< the same of the strands held together
  Size,       ///< the same of the finished width or height
  Cost,       ///< how much dearer, over the dearer of the two; below 0 where it is cheaper
  Shelf,      ///< of the set-aside, the share that is not on the shelf
  Risk,       ///< chance that it is too thick or too thin
  Fibre,      ///< how many differences of fibre matter
};
inline constexpr std::size_t kTerms = 7;
constexpr std::size_t index_of(Term term) { return static_cast<std::size_t>(term); }

/// "cover", "thickness": the word in studio.toml.
const char* name_of(Term term);

using Terms = std::array<double, kTerms>;

/// A weighted sum; less is better.
double score(const Terms& terms, const Terms& weights);

/// A studio's say; what it leaves out is a starting value.
struct SwapPolicy {
  std::array<std::optional<double>, kTerms> weights;  ///< 0 to 100
  std::optional<double> least_cover;  ///< of the original's, below which a yarn is too thin
  std::optional<double> most_chance;  ///< of being too thick, above which it cannot serve
  std::optional<int> most_held;       ///< strands held together, and parts of a roving
  Keep keep = Keep::AsStated;
};

/// The same, everything said.
struct SwapRules {
  Terms weights{};
  double least_cover = 0.0;
  double most_chance = 0.0;
  int most_held = 1;
  Keep keep = Keep::AsStated;
};
SwapRules settled(const SwapPolicy& policy, const estimate::StartingValues& values);

}  // namespace ellwand::decide
