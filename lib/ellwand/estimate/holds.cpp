#include "ellwand/estimate/holds.hpp"

#include <algorithm>
#include <variant>

namespace ellwand::estimate {

namespace {

Shared beat_coefficient(cloth::Face face) {
  switch (face) {
    case cloth::Face::Weft:
      return Shared::BeatWeftFaced;
    case cloth::Face::Balanced:
      return Shared::BeatBalanced;
    case cloth::Face::Warp:
      return Shared::BeatWarpFaced;
  }
  return Shared::BeatWeftFaced;
}

/// Adds what the rows of one part of a work hang on.
struct HoldRows {
  std::size_t part;
  std::vector<Hold>& holds;

  void operator()(const technique::Woven& band) const {
    if (band.beat.measured) return;
    if (!band.beat.picks) hold(beat_coefficient(band.beat.face));
    hold(Shared::BeatPiece);
  }
  void operator()(const technique::KnottedFringe&) const { hold_height(Shared::RowHeightKnots); }
  void operator()(const technique::Soumak&) const { hold_height(Shared::RowHeightSoumak); }
  void operator()(const technique::Twining&) const { hold_height(Shared::RowHeightTwining); }
  void operator()(const technique::LoopedPile&) const { hold_height(Shared::RowHeightLoops); }
  void operator()(const technique::Wrapping&) const { hold(Shared::RowHeightWraps); }
  void operator()(const technique::KnottedPile& pile) const {
    part == technique::KnottedPile::kKnots ? (*this)(pile.knots) : (*this)(pile.ground);
  }
  void operator()(const technique::Gap&) const {}
  void operator()(const technique::Hemstitch&) const {}  // see set_edge

  void hold_height(Shared of_work) const {
    hold(of_work);
    hold(Shared::BeatPiece);
  }
  void hold(Shared which) const { holds.push_back({Local::RowSpacing, index_of(which), 1.0}); }
};

struct TakeOf {
  std::size_t part;

  Shared operator()(const technique::Woven&) const { return Shared::TakeWeave; }
  Shared operator()(const technique::KnottedFringe&) const { return Shared::TakeKnots; }
  Shared operator()(const technique::Soumak&) const { return Shared::TakeSoumak; }
  Shared operator()(const technique::Twining&) const { return Shared::TakeTwining; }
  Shared operator()(const technique::LoopedPile&) const { return Shared::TakeLoops; }
  Shared operator()(const technique::Wrapping&) const { return Shared::TakeWraps; }
  Shared operator()(const technique::KnottedPile&) const {
    return part == technique::KnottedPile::kKnots ? Shared::TakeKnots : Shared::TakeWeave;
  }
  Shared operator()(const technique::Gap&) const { return Shared::TakeWeave; }  // nothing is laid
  Shared operator()(const technique::Hemstitch&) const { return Shared::TakeHemstitch; }
};

}  // namespace

void hold_rows(const technique::Work& work, std::size_t part, std::vector<Hold>& holds) {
  std::visit(HoldRows{part, holds}, work);
}

void hold_thickness(Local local, std::size_t which, const yarn::Yarn& yarn,
                    std::vector<Hold>& holds) {
  holds.push_back({local, index_of(OfYarn::Thickness, which), 1.0});
  if (!yarn.measured_diameter) holds.push_back({local, index_of(OfYarn::Lot, which), 0.5});
}

Shared take_coefficient(const technique::Work& work, std::size_t part) {
  return std::visit(TakeOf{part}, work);
}

void hold_take(Shared of_work, std::size_t yarn, std::vector<Hold>& holds) {
  for (const Shared which : {Shared::Hand, of_work, Shared::Weaver, Shared::PieceTake}) {
    holds.push_back({Local::Take, index_of(which), 1.0});
  }
  holds.push_back({Local::Take, index_of(OfYarn::Take, yarn), 1.0});
}

void sort_holds(std::vector<Hold>& holds) {
  std::sort(holds.begin(), holds.end(), [](const Hold& a, const Hold& b) {
    return a.coefficient != b.coefficient ? a.coefficient < b.coefficient : a.local < b.local;
  });
}

}  // namespace ellwand::estimate
