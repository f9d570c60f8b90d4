#include "ellwand/studio/known_without.hpp"

#include "ellwand/calibrate/fit.hpp"
#include "ellwand/studio/read_swatches.hpp"

#include <algorithm>
#include <vector>

namespace ellwand::studio {

std::optional<estimate::Learned> known_without(const std::filesystem::path& folder,
                                               const std::string& measured, const Studio& studio,
                                               const estimate::StartingValues& starting) {
  std::vector<calibrate::Swatch> others = open_swatches(folder, studio, starting).swatches;
  others.erase(std::remove_if(others.begin(), others.end(),
                              [&](const calibrate::Swatch& one) {
                                return one.id == measured || one.piece.id == measured;
                              }),
               others.end());
  const calibrate::Fit fit =
      calibrate::fit(others, {studio.yarns, starting, studio.habits, studio.shown.length, nullptr});
  if (fit.verdict != calibrate::Verdict::Settled) return std::nullopt;
  return fit.learned;
}

}  // namespace ellwand::studio
