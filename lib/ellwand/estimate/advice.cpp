#include "ellwand/estimate/advice.hpp"

#include "ellwand/cloth/weave.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace ellwand::estimate {

namespace {

/// A weave with floats whose picks lie more than twice as close as its ends shows little of its
/// lines. Source: common practice, no published source, for the effect; the figure is ours.
constexpr double kHiddenPicksPerEnd = 2.0;

bool has_floats(const cloth::Grid& grid) {
  return grid.weft_cells(grid.picks(), 0, grid.ends()).floating > 0;
}

void warn_of_band(const PieceModel& model, std::size_t i, std::vector<Warning>& warnings) {
  const BandYarn& one = model.band_yarns()[i];
  const Worked<double>& worked = model.planned()[i];
  const std::string& yarn = model.yarns()[one.yarn]->id;
  const std::size_t number = one.band + 1;
  if (worked.flattened) {
    warnings.push_back(
        {"weft_flattened",
         fmt::format("band {}: {} is too thick to lie round between ends {:.3g} mm apart; it is "
                     "reckoned as flattened, its rows {:.3g} mm high",
                     number, yarn, in_millimetres(one.medians.warp_spacing),
                     in_millimetres(worked.row_spacing))});
  } else if (worked.rows_need_room) {
    warnings.push_back(
        {"rows_need_room",
         fmt::format("band {}: the gaps between the ends keep the rows of {} {:.3g} mm apart; it "
                     "will not beat down closer",
                     number, yarn, in_millimetres(worked.row_spacing))});
  }
  const auto* woven = std::get_if<technique::Woven>(&model.piece().bands[one.band].work);
  if (woven == nullptr || one.part != 0 || !has_floats(woven->grid)) return;
  if (worked.row_spacing * kHiddenPicksPerEnd < one.medians.warp_spacing) {
    warnings.push_back(
        {"weave_hidden",
         fmt::format("band {}: beaten this close, {:.2g} picks to an end, the lines of the weave "
                     "hardly show; state fewer picks if they should",
                     number, one.medians.warp_spacing / worked.row_spacing)});
  }
}

void warn_of_stock(const YarnEstimate& yarn, const Stock& stock, std::vector<Warning>& warnings) {
  const bool all_enough = in_grams(stock.mass) >= yarn.set_aside_g;
  const bool one_enough = in_grams(stock.largest_lot) >= yarn.set_aside_g;
  if (all_enough && !one_enough) {
    warnings.push_back(
        {"lots_mixed", fmt::format("{}: the shelf has enough only in several lots together; a "
                                   "change of lot may show within one area of colour",
                                   yarn.yarn)});
  }
}

bool any_yarn(const PieceModel& model, bool (*test)(const yarn::Yarn&)) {
  return std::any_of(model.yarns().begin(), model.yarns().end(),
                     [&](const yarn::Yarn* yarn) { return test(*yarn); });
}

bool has_fringe(const piece::Piece& piece) {
  return std::any_of(piece.bands.begin(), piece.bands.end(), [](const piece::Band& band) {
    return std::holds_alternative<technique::KnottedFringe>(band.work);
  });
}

}  // namespace

std::vector<Warning> warnings_of(const PieceModel& model, const Shelf& shelf,
                                 const PieceEstimate& estimate) {
  std::vector<Warning> warnings;
  for (std::size_t i = 0; i < model.band_yarns().size(); ++i) {
    const std::size_t before = warnings.size();
    warn_of_band(model, i, warnings);
    for (std::size_t w = before; w < warnings.size(); ++w) {
      warnings[w].band = static_cast<int>(model.band_yarns()[i].band) + 1;
    }
  }
  for (const YarnEstimate& yarn : estimate.yarns) {
    const auto stock = shelf.find(yarn.yarn);
    if (stock != shelf.end()) warn_of_stock(yarn, stock->second, warnings);
  }
  return warnings;
}

std::vector<std::string> cautions_of(const PieceModel& model) {
  const piece::Piece& piece = model.piece();
  std::vector<std::string> cautions = {
      "Blades and needles: cut away from the hand, count needles before a child or a class uses "
      "the table."};
  if (any_yarn(model, is_felting)) {
    cautions.emplace_back(
        "Fibre dust: air the room and damp-wipe when splitting roving or working with wool and "
        "other hair.");
  }
  if (piece.finish.washing != piece::Washing::None) {
    cautions.emplace_back(
        "Hot water and steam scald, steam worse than boiling water: lift away from the face, cool "
        "a burn under running water and seek help if it is large or blistered.");
  }
  if (any_yarn(model, is_felting)) {
    cautions.emplace_back(
        "Wool and other hair felt in warm water and rubbing, and are not steamed "
        "flat.");
  }
  if (piece.finish.rod) {
    cautions.emplace_back(
        "Hanging load: the fixing must carry the piece wet and pulled at; ask someone competent "
        "about the wall.");
  }
  if (has_fringe(piece) || piece.finish.cord) {
    cautions.emplace_back(
        "Cords, fringe and small parts: keep them out of reach of small children, and follow local "
        "rules for anything made for children.");
  }
  cautions.emplace_back(
      "Fire: in public rooms local fire rules may limit what hangs on a wall; ask whoever is "
      "licensed to judge. Nothing here says that a piece meets a standard.");
  return cautions;
}

}  // namespace ellwand::estimate
