#pragma once
/// Every work a band can be, as one closed set: a forgotten case does not compile.

#include "ellwand/technique/gap.hpp"
#include "ellwand/technique/hemstitch.hpp"
#include "ellwand/technique/knotted_fringe.hpp"
#include "ellwand/technique/knotted_pile.hpp"
#include "ellwand/technique/looped_pile.hpp"
#include "ellwand/technique/soumak.hpp"
#include "ellwand/technique/twining.hpp"
#include "ellwand/technique/woven.hpp"
#include "ellwand/technique/wrapping.hpp"

#include <variant>

namespace ellwand::technique {

using Work = std::variant<Woven, KnottedFringe, Soumak, Twining, LoopedPile, Wrapping, KnottedPile,
                          Gap, Hemstitch>;

/// "weave", "knotted fringe": the word in a piece file.
const char* name_of(const Work& work);

/// Cloth that a part of a work is woven in, and which area of it the part is.
struct WovenPart {
  const Woven* cloth = nullptr;  ///< null where the part is no weft of a cloth
  std::size_t area = 0;
};
WovenPart woven_part(const Work& work, std::size_t part);

/// Its parts lie one upon the other in its height; those of other works lie side by side.
bool is_stacked(const Work& work);

}  // namespace ellwand::technique
