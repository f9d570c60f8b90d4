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
};
}  // namespace

const char* name_of(const Work& work) { return std::visit(NameOf{}, work); }

}  // namespace ellwand::technique
