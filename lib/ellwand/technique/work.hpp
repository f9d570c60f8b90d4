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

/// The knots that a part of a work is tied in; null where it is none.
const KnottedFringe* knots_of(const Work& work, std::size_t part);

/// Hands over the strand each place of a band carries, in the order of its parts.
///
/// @param work  a Work; one that is not const may have its strands changed
template <class AWork, class Take>
void for_each_strand(AWork& work, const Take& take);

/// Its parts lie one upon the other in its height; those of other works lie side by side.
bool is_stacked(const Work& work);

namespace detail {
/// Works come as they are, const or not.
template <class Take>
struct EachStrand {
  const Take& take;

  void of(auto& band, const Woven*) const {
    for (auto& area : band.areas) take(area.strand);
  }
  void of(auto& band, const Twining*) const {
    for (auto& strand : band.strands) take(strand);
  }
  void of(auto& band, const KnottedPile*) const {
    take(band.knots.strand);
    take(band.ground.areas.at(0).strand);
  }
  void of(auto& /*band*/, const Gap*) const {}
  void of(auto& band, const KnottedFringe*) const { take(band.strand); }
  void of(auto& band, const Soumak*) const { take(band.strand); }
  void of(auto& band, const LoopedPile*) const { take(band.strand); }
  void of(auto& band, const Wrapping*) const { take(band.strand); }
  void of(auto& band, const Hemstitch*) const { take(band.strand); }
};
}  // namespace detail

template <class AWork, class Take>
void for_each_strand(AWork& work, const Take& take) {
  std::visit([&](auto& band) { detail::EachStrand<Take>{take}.of(band, &band); }, work);
}

}  // namespace ellwand::technique
