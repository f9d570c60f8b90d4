#include "ellwand/estimate/taught.hpp"

#include "ellwand/estimate/piece_model.hpp"

namespace ellwand::estimate {

namespace {

/// Whether any amount of the piece moves with a coefficient.
bool is_moved_by(const Parts& parts, std::size_t coefficient) {
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const bool is_there = parts.medians_m[i] > 0.0;
    if (is_there && parts.slopes.at(i, coefficient) != 0.0) return true;
  }
  return false;
}

}  // namespace

Taught taught(const PieceModel& model, const Learned& learned, const StartingValues& values) {
  Taught result;
  result.date = learned.date;
  result.swatches = learned.swatches;
  const Parts parts = model.parts_by_coefficient(Line::AtTheMedians);
  for (std::size_t c = index_of(Shared::TakeWeave); c <= index_of(Shared::TakeCord); ++c) {
    if (!is_moved_by(parts, c)) continue;
    const std::string row = coefficient_name(c, model.all_yarns());
    const auto found = learned.pieces_by_work.find(row);
    const bool is_taught =
        found != learned.pieces_by_work.end() && found->second >= kPiecesThatTeach;
    if (!is_taught) result.stranger_in.push_back(values.at(row).shared_by);
  }
  for (std::size_t y = 0; y < model.yarns().size(); ++y) {
    const std::string name = "yarn " + model.yarns()[y]->id;
    const bool is_met = learned.find(name) != Learned::kNone;
    if (!is_met && is_moved_by(parts, index_of(OfYarn::Take, y))) {
      result.never_measured.push_back(model.yarns()[y]->id);
    }
  }
  return result;
}

}  // namespace ellwand::estimate
