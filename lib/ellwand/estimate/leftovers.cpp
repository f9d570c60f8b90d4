#include "ellwand/estimate/leftovers.hpp"

#include "ellwand/units/told.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

namespace ellwand::estimate {

namespace {

Length<> shortest_use(const BandYarn& one, const Worked<double>& worked,
                      const technique::Strand& strand) {
  if (worked.strands > 0.0) return worked.entries.total() / worked.strands;
  Length<> laid;
  for (const auto& entry : worked.entries) {
    if (entry.portion == technique::Portion::Laid) laid += entry.yarn;
  }
  const double rows = std::max(1.0, worked.rows);
  return laid / (rows * strand.yarn_per_laid()) + 2.0 * one.medians.tail;
}

Length<> shortest_warp(const PieceModel& model) {
  const piece::Piece& piece = model.piece();
  if (piece.loom.kind != piece::LoomKind::Beam) return piece.loom.span + 2.0 * model.tie();
  Length<> end = piece.warp.gaps + piece.warp.fringe + piece.warp.loom_waste.value_or(Length<>());
  for (const Length<>& height : model.band_heights()) end += height;
  return end;
}

bool is_too_short(const StockLot& lot, const Length<>& use) {
  return lot.longest_piece && *lot.longest_piece < use;
}

/// Too short for every use of its yarn; a yarn without uses is not of this piece.
bool is_unusable(const StockLot& lot, const std::vector<ShortestUse>& uses) {
  return std::none_of(uses.begin(), uses.end(),
                      [&](const ShortestUse& use) { return !is_too_short(lot, use.length); });
}

Stock usable_stock(const Stock& stock, const std::vector<ShortestUse>& uses) {
  Stock usable;
  for (const StockLot& lot : stock.each) {
    if (!is_unusable(lot, uses)) usable.add(lot);
  }
  return usable;
}

std::string lot_text(const std::string& yarn, const StockLot& lot, YarnShown shown) {
  const std::string named = lot.lot.empty() ? "a lot" : "lot " + lot.lot;
  return fmt::format("{}: the longest piece of {}, {},", yarn, named,
                     yarn_told(*lot.longest_piece, shown, 3));
}

void warn_of_lot(const std::string& yarn, const StockLot& lot, const std::vector<ShortestUse>& uses,
                 YarnShown shown, std::vector<Warning>& warnings) {
  std::string does_not;
  bool does_for_some = false;
  for (const ShortestUse& use : uses) {
    if (!is_too_short(lot, use.length)) {
      does_for_some = true;
      continue;
    }
    does_not += does_not.empty() ? "" : ", ";
    does_not += use.band == 0 ? "the warp" : fmt::format("band {}", use.band);
  }
  if (does_not.empty()) return;
  if (does_for_some) {
    warnings.push_back({"piece_too_short_for_some",
                        lot_text(yarn, lot, shown) + " is too short for " + does_not, 0});
  } else {
    warnings.push_back({"lot_too_short",
                        lot_text(yarn, lot, shown) +
                            " does for nothing in this piece; that lot is not "
                            "counted as stock",
                        0});
  }
}

/// Yarn by yarn.
std::vector<std::vector<ShortestUse>> uses_by_yarn(const PieceModel& model) {
  std::vector<std::vector<ShortestUse>> all(model.yarns().size());
  for (const ShortestUse& use : shortest_uses(model)) all[use.yarn].push_back(use);
  return all;
}

}  // namespace

std::vector<ShortestUse> shortest_uses(const PieceModel& model) {
  std::vector<ShortestUse> uses = {{0, model.warp_yarn(), shortest_warp(model)}};
  for (std::size_t i = 0; i < model.band_yarns().size(); ++i) {
    const BandYarn& one = model.band_yarns()[i];
    uses.push_back({static_cast<int>(one.band) + 1, one.yarn,
                    shortest_use(one, model.planned()[i], model.strand(one))});
  }
  return uses;
}

Shelf usable_shelf(const PieceModel& model, const Shelf& shelf) {
  Shelf usable;
  if (shelf.empty()) return usable;
  const std::vector<std::vector<ShortestUse>> uses = uses_by_yarn(model);
  for (std::size_t y = 0; y < model.yarns().size(); ++y) {
    const auto found = shelf.find(model.yarns()[y]->id);
    if (found == shelf.end()) continue;
    const Stock& stock = found->second;
    usable.emplace(found->first, stock.each.empty() ? stock : usable_stock(stock, uses[y]));
  }
  for (std::size_t y = model.yarns().size(); y < model.all_yarns().size(); ++y) {  // lent alone
    const auto found = shelf.find(model.all_yarns()[y]->id);
    if (found != shelf.end()) usable.insert(*found);
  }
  return usable;
}

void warn_of_short_pieces(const PieceModel& model, const Shelf& shelf,
                          std::vector<Warning>& warnings) {
  if (shelf.empty()) return;
  const std::vector<std::vector<ShortestUse>> uses = uses_by_yarn(model);
  for (std::size_t y = 0; y < model.yarns().size(); ++y) {
    const auto found = shelf.find(model.yarns()[y]->id);
    if (found == shelf.end()) continue;
    for (const StockLot& lot : found->second.each) {
      if (lot.longest_piece) {
        warn_of_lot(found->first, lot, uses[y], model.amounts_shown().yarn, warnings);
      }
    }
  }
}

std::optional<Thrums> thrums_for_fringe(const PieceModel& model) {
  const piece::Piece& piece = model.piece();
  const bool is_beam = piece.loom.kind == piece::LoomKind::Beam;
  const Length<> waste = piece.warp.loom_waste.value_or(Length<>());
  if (!is_beam) return std::nullopt;
  const Thrums thrums{piece.warp.yarn, piece.warp.ends * piece.warp.held, waste};
  if (thrums.longer() < centimetres(kHand_cm)) return std::nullopt;
  return thrums;
}

std::vector<LeftOverUse> uses_of_left_over(const std::vector<YarnEstimate>& yarns,
                                           const std::vector<PieceEstimate>& planned) {
  std::vector<LeftOverUse> uses;
  std::unordered_map<std::string, double> left_over;
  for (const YarnEstimate& mine : yarns) {
    if (mine.left_over_m) left_over.emplace(mine.yarn, *mine.left_over_m);
  }
  for (const PieceEstimate& piece : planned) {
    for (const YarnEstimate& need : piece.yarns) {
      const double need_m = need.set_aside_m + need.cut_rounding_m + need.spare_m;
      const auto mine = left_over.find(need.yarn);
      if (mine == left_over.end() || mine->second < need_m) continue;
      uses.push_back({piece.piece, piece.name, need.yarn, need_m, mine->second});
    }
  }
  return uses;
}

}  // namespace ellwand::estimate
