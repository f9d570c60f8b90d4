#include "ellwand/technique/work.hpp"

namespace ellwand::technique {

namespace {
struct NameOf {
  const char* operator()(const Woven&) const { return "weave"; }
  const char* operator()(const KnottedFringe&) const { return "knotted fringe"; }
};
}  // namespace

const char* name_of(const Work& work) { return std::visit(NameOf{}, work); }

}  // namespace ellwand::technique
