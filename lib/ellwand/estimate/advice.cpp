#include "ellwand/estimate/advice.hpp"

#include "ellwand/cloth/weave.hpp"
#include "ellwand/estimate/cuts.hpp"
#include "ellwand/estimate/questions.hpp"
#include "ellwand/estimate/sizes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace ellwand::estimate {

namespace {

bool has_floats(const cloth::Grid& grid) {
  return grid.weft_cells(grid.picks(), 0, grid.ends()).floating > 0;
}

/// An end that every pick passes on the same side is not woven in; a shaft that no treadle ties, or
/// a slip in a row in words, makes one.
void warn_of_loose_ends(const cloth::Grid& grid, std::size_t number,
                        std::vector<Warning>& warnings) {
  int first = -1;
  int loose = 0;
  for (int end = 0; end < grid.ends(); ++end) {
    if (grid.column_cells_in_repeat(end).crossing > 0) continue;
    if (first < 0) first = end;
    ++loose;
  }
  if (loose == 0) return;
  warnings.push_back({"ends_not_woven",
                      fmt::format("band {}: {} of the {} ends {} not woven in, the first of them "
                                  "end {} from the left; every pick passes {} it: correct the "
                                  "weave unless it is to float",
                                  number, loose, grid.ends(), loose == 1 ? "is" : "are", first + 1,
                                  grid.over(0, first) ? "over" : "under")});
}

/// A pick that passes every end on the same side lies on the cloth and is not woven in.
void warn_of_loose_picks(const cloth::Grid& grid, std::size_t number,
                         std::vector<Warning>& warnings) {
  for (int pick = 0; pick < grid.picks(); ++pick) {
    if (grid.row_cells(pick, 0, grid.ends()).crossing > 0) continue;
    warnings.push_back(
        {"picks_not_woven",
         fmt::format("band {}: pick {} of the {} of its repeat passes {} every end "
                     "and is not woven in: correct the weave",
                     number, pick + 1, grid.picks(), grid.over(pick, 0) ? "over" : "under")});
    return;
  }
}

/// Where a length is used up within a few rows, most of the work is its tails.
void warn_of_many_tails(const Worked<double>& worked, const Judgements& judge, std::size_t number,
                        const std::string& yarn, std::vector<Warning>& warnings) {
  const double lengths = std::ceil(worked.lengths);
  if (lengths < judge.many_lengths || worked.rows >= judge.few_rows * lengths) return;
  warnings.push_back(
      {"many_tails",
       fmt::format(
           "band {}: a length of {} is used up within {:.2g} rows, and {:.0f} of them leave "
           "{:.0f} tails; carry it in longer lengths (working_length or carried_by in the "
           "band or in [habits])",
           number, yarn, worked.rows / lengths, lengths, 2.0 * lengths)});
}

void warn_of_band(const PieceModel& model, std::size_t i, std::vector<Warning>& warnings) {
  const BandYarn& one = model.band_yarns()[i];
  const Worked<double>& worked = model.planned()[i];
  const std::string& yarn = model.yarns()[one.yarn]->id;
  const std::size_t number = one.band + 1;
  if (worked.flattened) {
    warnings.push_back(
        {"weft_flattened",
         fmt::format("band {}: {} is too thick to lie round between ends {} apart; it is reckoned "
                     "as flattened, its rows {} high",
                     number, yarn, thread_size(one.medians.warp_spacing),
                     thread_size(worked.row_spacing))});
  } else if (worked.rows_need_room) {
    warnings.push_back(
        {"rows_need_room",
         fmt::format("band {}: the gaps between the ends keep the rows of {} {} apart; it will "
                     "not beat down closer",
                     number, yarn, thread_size(worked.row_spacing))});
  }
  warn_of_many_tails(worked, model.judgements(), number, yarn, warnings);
  const auto* woven = std::get_if<technique::Woven>(&model.piece().bands[one.band].work);
  if (woven == nullptr || one.part != 0 || !has_floats(woven->grid)) return;
  warn_of_loose_ends(woven->grid, number, warnings);
  warn_of_loose_picks(woven->grid, number, warnings);
  if (worked.row_spacing * model.judgements().hidden_picks < one.medians.warp_spacing) {
    warnings.push_back(
        {"weave_hidden",
         fmt::format("band {}: beaten this close, {:.2g} picks to an end, the lines of the weave "
                     "hardly show; state fewer picks if they should",
                     number, one.medians.warp_spacing / worked.row_spacing)});
  }
}

/// Areas side by side whose rows do not come to one height: cloth cannot be so.
/// @param first  of the band's yarns
void warn_of_uneven_areas(const PieceModel& model, std::size_t first,
                          std::vector<Warning>& warnings) {
  const std::size_t band = model.band_yarns()[first].band;
  const auto* woven = std::get_if<technique::Woven>(&model.piece().bands[band].work);
  const bool is_by_rows = woven != nullptr && woven->extent.by != technique::Extent::By::Height;
  if (!is_by_rows || woven->areas.size() < 2 || woven->areas.front().ends == 0) return;
  const auto height = [&](std::size_t i) { return model.planned()[i].height; };
  std::size_t low = first;
  std::size_t high = first;
  for (std::size_t i = first; i < model.band_yarns().size(); ++i) {
    if (model.band_yarns()[i].band != band) break;
    if (height(i) < height(low)) low = i;
    if (height(high) < height(i)) high = i;
  }
  if (height(high) <= model.judgements().uneven * height(low)) return;
  const auto told = [&](std::size_t i) {
    return fmt::format("{} high in {}", cloth_size(height(i)),
                       model.yarns()[model.band_yarns()[i].yarn]->id);
  };
  warnings.push_back(
      {"uneven_areas",
       fmt::format("band {}: its rows come to {} and {}, and areas side by side have one height; "
                   "state its height, and each area is given the rows it takes",
                   band + 1, told(high), told(low))});
}

bool is_held(technique::Join join) {
  return join == technique::Join::Interlocked || join == technique::Join::Dovetailed;
}

/// Wefts that hold each other do so row by row: where one side takes more rows to the same height,
/// those are put in by themselves.
/// @param first  of the band's yarns
void warn_of_joined_areas(const PieceModel& model, std::size_t first,
                          std::vector<Warning>& warnings) {
  const std::size_t band = model.band_yarns()[first].band;
  const auto* woven = std::get_if<technique::Woven>(&model.piece().bands[band].work);
  if (woven == nullptr || woven->extent.by != technique::Extent::By::Height) return;
  const auto rows = [&](std::size_t area) { return model.planned()[first + area].rows; };
  const auto yarn = [&](std::size_t area) -> const std::string& {
    return model.yarns()[model.band_yarns()[first + area].yarn]->id;
  };
  for (std::size_t area = 1; area < woven->areas.size(); ++area) {
    const std::size_t few = rows(area) < rows(area - 1) ? area : area - 1;
    const std::size_t many = few == area ? area - 1 : area;
    if (!is_held(woven->areas[area].join)) continue;
    if (rows(many) <= model.judgements().uneven * rows(few)) continue;
    warnings.push_back(
        {"uneven_joins",
         fmt::format("band {}: wefts that are joined hold each other row by row, and {} takes "
                     "{:.0f} rows where {} beside it takes {:.0f}; put in the {:.0f} more by "
                     "themselves as the work asks for them, or state the picks at which both are "
                     "beaten alike",
                     band + 1, yarn(many), rows(many), yarn(few), rows(few),
                     rows(many) - rows(few))});
    return;
  }
}

/// Knots have the room of the ends they stand on; a bundle thicker than that pushes its
/// neighbours aside, and one that hangs no further than it is thick is all knot. Both are plain
/// from the sizes; where a knot begins to look crowded is for her eye.
void warn_of_fringe(const PieceModel& model, std::size_t i, std::vector<Warning>& warnings) {
  const BandYarn& one = model.band_yarns()[i];
  const technique::KnottedFringe* fringe =
      technique::knots_of(model.piece().bands[one.band].work, one.part);
  if (fringe == nullptr) return;
  const Length<> bundle = technique::fringe_cut(*fringe, one.medians).bundle;
  const Length<> room = fringe->ends_per_knot * one.medians.warp_spacing;
  if (bundle <= room && bundle <= fringe->hang) return;
  warnings.push_back(
      {"fringe_out_of_proportion",
       fmt::format("band {}: {} held together are {} thick, where a knot has {} of the warp and "
                   "hangs {}; hold fewer, or see whether the hang is meant",
                   one.band + 1,
                   fringe->strand.held > 1 ? fmt::format("{} strands of {}", fringe->strand.held,
                                                         model.yarns()[one.yarn]->id)
                                           : "strands of " + model.yarns()[one.yarn]->id,
                   thread_size(bundle), thread_size(room), thread_size(fringe->hang))});
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

/// Plain digits: to a gram, or a tenth of one where there are few; to a tenth of an ounce, or a
/// hundredth.
std::string grams_text(double of_yarn_g, MassShown shown) {
  if (shown == MassShown::Grams)
    return fmt::format("{:.{}f} g", of_yarn_g, of_yarn_g < 10.0 ? 1 : 0);
  const double of_yarn_oz = in_ounces(grams(of_yarn_g));
  const int decimals = of_yarn_oz < 1.0 ? 2 : of_yarn_oz < 100.0 ? 1 : 0;
  return fmt::format("{:.{}f} oz", of_yarn_oz, decimals);
}

/// The largest lots whole, and as much of the last as is still wanted: as few changes as can be.
std::string lots_together(const Stock& stock, double need_g, MassShown shown) {
  std::vector<StockLot> lots = stock.each;
  std::stable_sort(lots.begin(), lots.end(), [](const StockLot& one, const StockLot& other) {
    return one.mass > other.mass;
  });
  std::string together;
  double wanted_g = need_g;
  for (const StockLot& lot : lots) {
    const double taken_g = std::min(wanted_g, in_grams(lot.mass));
    if (!(taken_g > 0.0)) break;
    if (!together.empty()) together += " and ";
    together +=
        grams_text(taken_g, shown) + (lot.lot.empty() ? " of another lot" : " of lot " + lot.lot);
    wanted_g -= taken_g;
  }
  return together;
}

/// One area of colour comes from one lot, or of as many as it takes where the piece lets lots mix.
void warn_of_areas(const PieceModel& model, const Shelf& shelf, const PieceEstimate& estimate,
                   std::vector<Warning>& warnings) {
  const MassShown shown = model.amounts_shown().mass;
  for (const BandEstimate& band : estimate.bands) {
    const auto stock = shelf.find(band.yarn);
    if (band.band == 0 || stock == shelf.end() || stock->second.lots == 0) continue;
    const double need_g = band.length_m.high * model.grams_per_metre(band.yarn_index);
    const double lot_g = in_grams(stock->second.largest_lot);
    if (need_g <= lot_g) continue;
    if (!model.piece().lots_may_mix) {
      warnings.push_back(
          {"area_needs_one_lot",
           fmt::format("band {}: {} may take {} here and no lot on the shelf has more than {}; buy "
                       "it from one lot, or write lots = \"may mix\" in [piece]",
                       band.band, band.yarn, grams_text(need_g, shown), grams_text(lot_g, shown)),
           band.band});
    } else if (need_g <= in_grams(stock->second.mass)) {
      warnings.push_back(
          {"area_of_several_lots",
           fmt::format("band {}: {} may take {} here, more than any one lot has; {}, "
                       "do together",
                       band.band, band.yarn, grams_text(need_g, shown),
                       lots_together(stock->second, need_g, shown)),
           band.band});
    }
  }
}

/// What comes out again has to be there while the piece is woven, beside what stays in it.
void warn_of_lent(const Shelf& shelf, const PieceEstimate& estimate, MassShown shown,
                  std::vector<Warning>& warnings) {
  std::map<std::string, double> lent_g;
  for (const Lent& one : estimate.lent) lent_g[one.yarn] += one.mass_g().high;
  for (const auto& [id, lent] : lent_g) {
    const auto stock = shelf.find(id);
    if (stock == shelf.end()) continue;
    double stays_g = 0.0;
    for (const YarnEstimate& yarn : estimate.yarns) {
      if (yarn.yarn == id) stays_g = yarn.set_aside_g;
    }
    const double there_g = in_grams(stock->second.mass);
    if (lent + stays_g <= there_g) continue;
    warnings.push_back(
        {"lent_short",
         fmt::format("{}: what comes out again may take {} until it is drawn out{}, and the shelf "
                     "has {}; take another yarn for it, or have more by",
                     id, grams_text(lent, shown),
                     stays_g > 0.0 ? fmt::format(", beside {} set aside for the piece",
                                                 grams_text(stays_g, shown))
                                   : std::string(),
                     grams_text(there_g, shown))});
  }
}

/// The strands of a part hang free, or stand up: cut strands and loops.
struct HangsFree {
  std::size_t part;

  bool operator()(const technique::Woven&) const { return false; }
  bool operator()(const technique::KnottedFringe&) const { return true; }
  bool operator()(const technique::Soumak&) const { return false; }
  bool operator()(const technique::Twining&) const { return false; }
  bool operator()(const technique::LoopedPile&) const { return true; }
  bool operator()(const technique::Wrapping&) const { return false; }
  bool operator()(const technique::KnottedPile&) const {
    return part == technique::KnottedPile::kKnots;
  }
  bool operator()(const technique::Gap&) const { return false; }
  bool operator()(const technique::Hemstitch&) const { return false; }
};

/// What hangs free and roving of a fibre that felts, in a piece that is washed.
void warn_of_felting(const PieceModel& model, std::vector<Warning>& warnings) {
  if (model.piece().finish.washing == piece::Washing::None) return;
  for (const BandYarn& one : model.band_yarns()) {
    const yarn::Yarn& yarn = *model.yarns()[one.yarn];
    const technique::Work& work = model.piece().bands[one.band].work;
    const bool is_roving = yarn.kind == yarn::Kind::Roving;
    if (!is_felting(yarn) || !(is_roving || std::visit(HangsFree{one.part}, work))) continue;
    const int band = static_cast<int>(one.band) + 1;
    warnings.push_back(
        {"felts_in_the_wash",
         fmt::format("band {}: {} felts when it is washed: {} mats and draws in, by more than is "
                     "reckoned for the cloth; wash a strand first and measure it, or do not wash",
                     band, yarn.id, is_roving ? "roving" : "what hangs free"),
         band});
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

/// The loops of a fixed span are as far from each other as its posts: what is not woven hangs bare
/// above the cloth.
void warn_of_bare_warp(const PieceModel& model, const PieceEstimate& estimate,
                       std::vector<Warning>& warnings) {
  if (!estimate.budget || !model.piece().finish.rod) return;
  const Length<> left = estimate.budget->left();
  if (!(left > model.judgements().bare_warp)) return;
  warnings.push_back(
      {"bare_warp",
       fmt::format("top: {} of bare warp and the room for the needle are left between the last row "
                   "and the rod; weave more, warp a shorter span, or let it show",
                   cloth_size(left))});
}

void warn_of_edge(const EdgeRoom& edge, std::vector<Warning>& warnings) {
  if (!(edge.room < edge.knot.needed)) return;
  warnings.push_back(
      {"room_to_tie",
       fmt::format(
           "{}: a knot of {} ends takes some {} of each, and {} are left to tie it; leave {} "
           "more, to hold the ends by and for looser knots",
           edge.at_top ? "top" : "bottom", edge.ends_per_knot, cloth_size(edge.knot.plan),
           cloth_size(edge.room), cloth_size(edge.knot.needed - edge.room))});
}

}  // namespace

namespace {
void warn_of_bands(const PieceModel& model, std::vector<Warning>& warnings) {
  for (std::size_t i = 0; i < model.band_yarns().size(); ++i) {
    const std::size_t before = warnings.size();
    warn_of_band(model, i, warnings);
    warn_of_fringe(model, i, warnings);
    if (model.band_yarns()[i].part == 0) {
      warn_of_uneven_areas(model, i, warnings);
      warn_of_joined_areas(model, i, warnings);
    }
    for (std::size_t w = before; w < warnings.size(); ++w) {
      warnings[w].band = static_cast<int>(model.band_yarns()[i].band) + 1;
    }
  }
}

void warn_of_shelf(const PieceModel& model, const Shelf& shelf, const PieceEstimate& estimate,
                   std::vector<Warning>& warnings) {
  if (!model.piece().lots_may_mix) {
    for (const YarnEstimate& yarn : estimate.yarns) {
      const auto stock = shelf.find(yarn.yarn);
      if (stock != shelf.end()) warn_of_stock(yarn, stock->second, warnings);
    }
  }
  warn_of_areas(model, shelf, estimate, warnings);
  warn_of_lent(shelf, estimate, model.amounts_shown().mass, warnings);
}

/// What is tied on and cannot be woven is counted only where it is stated: looms differ too much
/// for a usual figure. The length offered is common practice, no published source.
void warn_of_loom_waste(const PieceModel& model, std::vector<Warning>& warnings) {
  const piece::Piece& piece = model.piece();
  if (piece.loom.kind != piece::LoomKind::Beam || piece.warp.loom_waste) return;
  const bool in_cm = model.shown() == LengthShown::Centimetres;
  warnings.push_back(
      {"no_loom_waste",
       fmt::format("warp: nothing is counted for what is tied on and cannot be woven; write "
                   "loom_waste = \"{}\" in [warp], or what your loom takes, or \"{}\" "
                   "where it takes none",
                   in_cm ? "60 cm" : "24 in", in_cm ? "0 cm" : "0 in")});
}

/// What tying the ends of a beam warp over a rod wants of each: the knots stated for the top, or
/// two tails meeting on the rod.
Length<> tied_on_rod(const PieceModel& model) {
  const piece::EdgeKnots usual{technique::Tied::TailToTail, 2, std::nullopt, 0};
  return model.edge_knot(model.piece().finish.top.value_or(usual)).needed;
}

/// A beam warp has no loops: its cut ends go round the rod and are tied there, out of the fringe,
/// half of which is left at the top.
bool is_short_of_rod(const PieceModel& model) {
  const piece::Piece& piece = model.piece();
  if (piece.loom.kind != piece::LoomKind::Beam || !piece.finish.rod) return false;
  return 0.5 * piece.warp.fringe < round_the_rod(model) + tied_on_rod(model);
}

void warn_of_rod(const PieceModel& model, const Length<>& step, std::vector<Warning>& warnings) {
  const Length<> round = round_the_rod(model);
  const Length<> tied = tied_on_rod(model);
  warnings.push_back(
      {"rod_wants_fringe",
       fmt::format("top: each end goes {} round the rod and wants {} to be tied there, and half of "
                   "the fringe is {} short of both; state fringe = \"{}\" or more under [warp]",
                   cloth_size(round), cloth_size(tied),
                   thread_size(round + tied - 0.5 * model.piece().warp.fringe),
                   cloth_size(whole_steps(2.0 * (round + tied), step)))});
}

}  // namespace

std::vector<Warning> warnings_of(const PieceModel& model, const Shelf& shelf,
                                 const PieceEstimate& estimate, const Length<>& cut_step) {
  std::vector<Warning> warnings = questions_about(model);
  warn_of_loom_waste(model, warnings);
  warn_of_bands(model, warnings);
  const bool short_of_rod = is_short_of_rod(model);
  for (const EdgeRoom& edge : estimate.edges) {
    if (!(edge.at_top && short_of_rod)) warn_of_edge(edge, warnings);  // the rod asks for both
  }
  if (short_of_rod) warn_of_rod(model, cut_step, warnings);
  warn_of_bare_warp(model, estimate, warnings);
  warn_of_felting(model, warnings);
  warn_of_shelf(model, shelf, estimate, warnings);
  for (Warning& warning : warnings) warning.text = in_unit(warning.text, model.shown());
  return warnings;
}

std::vector<std::string> cautions_of(const PieceModel& model) {
  const piece::Piece& piece = model.piece();
  std::vector<std::string> cautions;
  cautions.reserve(7);  // most of them
  cautions.emplace_back(
      "Blades and needles: cut away from the hand, count needles before a child or a class uses "
      "the table.");
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
