#include "ellwand/decide/swap.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::decide {

namespace {

using estimate::PieceModel;

/// Where a yarn is used, as far as its fibre matters there.
struct Use {
  bool in_warp = false;
  bool in_cloth = false;    ///< as a weft
  bool hangs_free = false;  ///< fringe and loops
  bool is_cut = false;      ///< fringe and pile: cut strands
};

struct UseOf {
  std::size_t part;

  Use operator()(const technique::Woven&) const { return {false, true, false, false}; }
  Use operator()(const technique::KnottedFringe&) const { return {false, false, true, true}; }
  Use operator()(const technique::Soumak&) const { return {false, true, false, false}; }
  Use operator()(const technique::Twining&) const { return {false, true, false, false}; }
  Use operator()(const technique::LoopedPile&) const { return {false, true, true, false}; }
  Use operator()(const technique::Wrapping&) const { return {}; }
  Use operator()(const technique::KnottedPile&) const {
    if (part == technique::KnottedPile::kKnots) return {false, false, true, true};
    return {false, true, false, false};
  }
  Use operator()(const technique::Gap&) const { return {}; }
  Use operator()(const technique::Hemstitch&) const { return {}; }
};

Use use_of(const piece::Piece& piece, const std::vector<YarnPlace>& places) {
  Use all;
  for (const YarnPlace& place : places) {
    all.in_warp = all.in_warp || place.where == Where::Warp;
    if (place.where != Where::Band) continue;
    const Use one = std::visit(UseOf{place.part}, piece.bands[place.band].work);
    all.in_cloth = all.in_cloth || one.in_cloth;
    all.hangs_free = all.hangs_free || one.hangs_free;
    all.is_cut = all.is_cut || one.is_cut;
  }
  return all;
}

bool is_soft(const yarn::Yarn& yarn) {
  return yarn.kind == yarn::Kind::Roving || yarn.kind == yarn::Kind::Woollen;
}

/// Wefts that felt, other than those that are put in.
bool others_felt(const PieceModel& model, const yarn::Yarn& to) {
  return std::any_of(model.yarns().begin() + 1, model.yarns().end(), [&](const yarn::Yarn* one) {
    return one->id != to.id && estimate::is_felting(*one);
  });
}

void note_washing(const PieceModel& original, const PieceModel& model, const Use& use,
                  const yarn::Yarn& from, const yarn::Yarn& to, std::vector<SwapNote>& notes) {
  if (model.piece().finish.washing == piece::Washing::None) return;
  const bool felts = estimate::is_felting(to);
  if (felts != estimate::is_felting(from)) {
    if (felts) {
      notes.push_back({"felts", fmt::format("felts in warm water and rubbing, and the piece is "
                                            "washed{}",
                                            use.hangs_free ? "; what hangs free mats" : "")});
    } else if (use.in_cloth && others_felt(model, to)) {
      notes.push_back({"shrinks_unlike",
                       "does not draw in as the wool beside it when the piece is washed, so that "
                       "the cloth may pucker"});
    }
  }
  const double before = original.shrinkage();
  const double after = model.shrinkage();
  if (std::abs(after - before) < 0.005) return;
  notes.push_back({"shrinks", fmt::format("the piece is reckoned to shrink {:.0f} % in the wash, "
                                          "where it did {:.0f} %",
                                          100.0 * after, 100.0 * before)});
}

void note_steam(const yarn::Yarn& from, const yarn::Yarn& to, std::vector<SwapNote>& notes) {
  if (!estimate::is_spoilt_by_steam(to) || estimate::is_spoilt_by_steam(from)) return;
  notes.push_back({"no_steam", estimate::is_felting(to)
                                   ? "is not steamed flat: steam felts it"
                                   : "is not steamed or ironed: heat softens it for good"});
}

void note_warp(const Use& use, const yarn::Yarn& from, const yarn::Yarn& to,
               const estimate::StartingValues& values, std::vector<SwapNote>& notes) {
  if (!use.in_warp) return;
  const double before = values.median(estimate::stretch_name(from));
  const double after = values.median(estimate::stretch_name(to));
  if (after > before) {
    notes.push_back({"stretches", fmt::format("stretches {:.1f} % in the warp, where {} does "
                                              "{:.1f} %: wind it evenly and slacken it overnight",
                                              100.0 * after, from.id, 100.0 * before)});
  } else if (after < before) {
    notes.push_back({"hardly_gives", fmt::format("gives {:.1f} % in the warp, where {} does "
                                                 "{:.1f} %: uneven tension shows",
                                                 100.0 * after, from.id, 100.0 * before)});
  }
  const auto is_plied = [](const yarn::Yarn& yarn) { return yarn.kind == yarn::Kind::Plied; };
  if (is_plied(from) && !is_plied(to)) {
    notes.push_back({"frays", "is not said to be plied: unplied it frays in the warp"});
  }
}

void note_make(const Use& use, const yarn::Yarn& from, const yarn::Yarn& to,
               std::vector<SwapNote>& notes) {
  if (use.is_cut && is_soft(to) && !is_soft(from)) {
    notes.push_back({"sheds", "sheds where it is cut, being hardly twisted"});
  }
  constexpr double kFlatter = 1.25;  // starting value: what the eye sees
  const double flatter = to.width_over_thickness / from.width_over_thickness;
  if (flatter > kFlatter) {
    notes.push_back({"lies_flat", fmt::format("lies flat, {:.2g} times as wide as thick",
                                              to.width_over_thickness)});
  } else if (flatter < 1.0 / kFlatter) {
    notes.push_back({"lies_round", fmt::format("lies rounder than {}", from.id)});
  }
}

}  // namespace

std::vector<SwapNote> fibre_notes(const PieceModel& original, const PieceModel& model,
                                  const std::vector<YarnPlace>& places, const yarn::Yarn& from,
                                  const yarn::Yarn& to, const estimate::StartingValues& values) {
  std::vector<SwapNote> notes;
  const Use use = use_of(model.piece(), places);
  note_washing(original, model, use, from, to, notes);
  note_steam(from, to, notes);
  note_warp(use, from, to, values, notes);
  note_make(use, from, to, notes);
  return notes;
}

}  // namespace ellwand::decide
