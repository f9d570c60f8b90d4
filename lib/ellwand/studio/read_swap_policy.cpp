#include "ellwand/studio/read_swap_policy.hpp"

namespace ellwand::studio {

namespace {
constexpr double kMostWeight = 100.0;
constexpr int kMostHeld = 50;
}  // namespace

decide::SwapPolicy read_swap_policy(Section& file) {
  decide::SwapPolicy policy;
  auto section = file.table("swap", "[swap]");
  if (!section) return policy;
  for (std::size_t t = 0; t < decide::kTerms; ++t) {
    policy.weights[t] = section->number(name_of(static_cast<decide::Term>(t)), 0.0, kMostWeight);
  }
  policy.least_cover = section->fraction("least_cover", "1 %", "100 %");
  policy.most_chance = section->fraction("most_chance", "50 %", "100 %");
  policy.most_held = section->whole("most_held", 1, kMostHeld);
  const auto keep = section->choice("keep", {"as stated", "rows", "height"});
  if (keep) policy.keep = static_cast<decide::Keep>(*keep);
  section->warn_of_unknown_keys();
  return policy;
}

}  // namespace ellwand::studio
