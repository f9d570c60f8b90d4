#include "ellwand/estimate/cuts.hpp"

#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::estimate {

namespace {

/// A length that is a whole number of steps to within rounding is not rounded up to the next.
constexpr double kStepSlack = 1e-9;

/// @throws BadInput with the band, where the strands are too short for its card
Length<> card_of(const PieceModel& model, const BandYarn& one,
                 const technique::KnottedFringe& fringe, const Length<>& cut) {
  try {
    return technique::card_height(cut, fringe.card_thickness, one.medians.strand_diameter);
  } catch (const OutOfRange& refusal) {
    const piece::Piece& piece = model.piece();
    throw BadInput({{piece.file, piece.bands[one.band].line, 0,
                     fmt::format("band {} ({}, {}): {}; leave out card, or let it hang longer",
                                 one.band + 1, technique::name_of(piece.bands[one.band].work),
                                 model.yarns()[one.yarn]->id, refusal.told(model.shown()))}});
  }
}

/// Strands that come to the same length when it is rounded up are cut together.
bool join_same(const Cut& next, Cut& last) {
  const bool is_same = last.what == next.what && last.yarn == next.yarn && last.band == next.band &&
                       last.length == next.length;
  if (!is_same) return false;
  const double before = last.count;
  last.count += next.count;
  last.exact = (before * last.exact + static_cast<double>(next.count) * next.exact) /
               static_cast<double>(last.count);
  if (last.card_height) last.spare = technique::spare_strands(last.count);
  return true;
}

void add_fringe(const PieceModel& model, const BandYarn& one,
                const technique::KnottedFringe& fringe, const Length<>& step,
                std::vector<Cut>& cuts) {
  const auto cut = technique::fringe_cut(fringe, one.medians);
  const bool is_pile =
      std::holds_alternative<technique::KnottedPile>(model.piece().bands[one.band].work);
  const std::string& yarn = model.yarns()[one.yarn]->id;
  const auto add = [&](int strands, const Length<>& exact) {
    if (strands == 0) return;
    Cut next{is_pile ? "pile" : "fringe",
             yarn,
             static_cast<int>(one.band) + 1,
             strands,
             exact,
             whole_steps(exact, is_pile ? 0.5 * step : step),
             fringe.strand.split_into,
             0,
             std::nullopt,
             Leave::No,
             0};
    if (fringe.wound_on_card) {
      next.spare = technique::spare_strands(strands);
      next.card_height = card_of(model, one, fringe, next.length);
    }
    if (cuts.empty() || !join_same(next, cuts.back())) cuts.push_back(next);
  };
  add(cut.strands_each, cut.each);
  add(cut.strands_last, cut.last);
}

void add_hem(const PieceModel& model, const BandYarn& one, const technique::Hemstitch& hem,
             std::vector<Cut>& cuts) {
  const piece::SewnEdge edge = piece::sewn_edge(model.piece(), one.band);
  const Length<> exact =
      technique::hemstitch_length_to_leave(hem, one.medians, one.edge.weft, one.edge.row_spacing);
  const Leave hanging = edge.is_bottom ? Leave::BeforeWeaving : Leave::WhenWoven;
  cuts.push_back({"hemstitch", model.yarns()[one.yarn]->id, static_cast<int>(one.band) + 1,
                  hem.strand.held, exact, exact, hem.strand.split_into, 0, std::nullopt,
                  hem.sewn_with_weft ? hanging : Leave::No, static_cast<int>(edge.band) + 1});
}

/// The strands of the cord.
Cut cord_of(const PieceModel& model, const Length<>& step) {
  const technique::HangingCord& cord = *model.cord();
  const Length<> exact = technique::cord_cut(cord, model.cord_yarn().medians);
  return {"cord",
          cord.strand.yarn,
          0,
          cord.plies * cord.strand.held,
          exact,
          whole_steps(exact, step),
          1,
          0,
          std::nullopt,
          Leave::No,
          0};
}

}  // namespace

Length<> usual_cut_step(LengthShown shown) {
  return shown == LengthShown::Inches ? inches(0.5) : centimetres(1.0);
}

Length<> whole_steps(const Length<>& exact, const Length<>& step) {
  return std::ceil(exact / step - kStepSlack) * step;
}

std::vector<Cut> cut_list(const PieceModel& model, const Length<>& step) {
  std::vector<Cut> cuts;
  for (const BandYarn& one : model.band_yarns()) {
    const auto* fringe = technique::knots_of(model.piece().bands[one.band].work, one.part);
    if (fringe != nullptr) add_fringe(model, one, *fringe, step, cuts);
    const auto* hem = std::get_if<technique::Hemstitch>(&model.piece().bands[one.band].work);
    if (hem != nullptr) add_hem(model, one, *hem, cuts);
  }
  if (model.cord()) cuts.push_back(cord_of(model, step));
  if (model.piece().loom.kind == piece::LoomKind::Beam) {
    const piece::Warp& warp = model.piece().warp;
    const Length<> exact = model.end_length();
    cuts.push_back({"warp", warp.yarn, 0, warp.ends * warp.held, exact, whole_steps(exact, step), 1,
                    0, std::nullopt, Leave::No, 0});
  }
  return cuts;
}

void lengthen_hems(const Length<>& step, PieceEstimate& estimate) {
  const std::vector<BandEstimate>& bands = estimate.bands;
  for (Cut& cut : estimate.cuts) {
    if (cut.what != "hemstitch") continue;
    auto band = std::lower_bound(bands.begin(), bands.end(), cut.band,
                                 [](const BandEstimate& a, int b) { return a.band < b; });
    for (; band != bands.end() && band->band == cut.band; ++band) {
      const double strands = static_cast<double>(cut.count) / cut.split_into;
      cut.length = whole_steps(metres(band->length_m.high) / strands, step);
    }
  }
}

void lengthen_warp(double warp_m, const Length<>& sampled_end, const Length<>& step,
                   std::vector<Cut>& cuts) {
  for (Cut& cut : cuts) {
    if (cut.what != "warp") continue;
    const Length<> enough = metres(warp_m) / cut.count + sampled_end;
    if (enough <= cut.length) continue;
    cut.enough = enough;
    cut.length = whole_steps(enough, step);
  }
}

std::unordered_map<std::string, BeyondPlan> beyond_plan(const std::vector<Cut>& cuts) {
  std::unordered_map<std::string, BeyondPlan> all;
  for (const Cut& cut : cuts) {
    BeyondPlan& one = all[cut.yarn];
    const Length<> exact = cut.enough.value_or(cut.exact);
    one.rounding_m += cut.count * in_metres(cut.length - exact) / cut.split_into;
    one.spare_m += cut.spare * in_metres(cut.length) / cut.split_into;
  }
  return all;
}

}  // namespace ellwand::estimate
