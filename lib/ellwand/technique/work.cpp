#include "ellwand/technique/work.hpp"

namespace ellwand::technique {

namespace {
struct NameOf {
  const char* operator()(const Woven&) const { return "weave"; }
  const char* operator()(const KnottedFringe&) const { return "knotted fringe"; }
  const char* operator()(const Soumak&) const { return "soumak"; }
  const char* operator()(const Twining&) const { return "twining"; }
  const char* operator()(const LoopedPile&) const { return "looped pile"; }
  const char* operator()(const Wrapping&) const { return "wrapping"; }
  const char* operator()(const KnottedPile&) const { return "knotted pile"; }
  const char* operator()(const Gap&) const { return "gap"; }
  const char* operator()(const Hemstitch&) const { return "hemstitch"; }
};
}  // namespace

const char* name_of(const Work& work) { return std::visit(NameOf{}, work); }

WovenPart woven_part(const Work& work, std::size_t part) {
  if (const auto* woven = std::get_if<Woven>(&work)) return {woven, part};
  const auto* pile = std::get_if<KnottedPile>(&work);
  if (pile != nullptr && part == KnottedPile::kGround) return {&pile->ground, 0};
  return {};
}

const KnottedFringe* knots_of(const Work& work, std::size_t part) {
  const auto* pile = std::get_if<KnottedPile>(&work);
  if (pile != nullptr && part == KnottedPile::kKnots) return &pile->knots;
  return std::get_if<KnottedFringe>(&work);
}

bool is_stacked(const Work& work) { return std::holds_alternative<KnottedPile>(work); }

}  // namespace ellwand::technique
