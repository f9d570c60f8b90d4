#pragma once
/// Every work a band can be, as one closed set: a forgotten case does not compile.

#include "ellwand/technique/knotted_fringe.hpp"
#include "ellwand/technique/looped_pile.hpp"
#include "ellwand/technique/soumak.hpp"
#include "ellwand/technique/twining.hpp"
#include "ellwand/technique/woven.hpp"
#include "ellwand/technique/wrapping.hpp"

#include <variant>

namespace ellwand::technique {

using Work = std::variant<Woven, KnottedFringe, Soumak, Twining, LoopedPile, Wrapping>;

/// "weave", "knotted fringe": the word in a piece file.
const char* name_of(const Work& work);

}  // namespace ellwand::technique
