#include "ellwand/estimate/estimate.hpp"

#include "ellwand/estimate/advice.hpp"
#include "ellwand/estimate/cuts.hpp"
#include "ellwand/estimate/leftovers.hpp"
#include "ellwand/estimate/sizes.hpp"
#include "ellwand/estimate/yarn_totals.hpp"
#include "ellwand/numeric/in_parallel.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <unordered_map>
#include <utility>

namespace ellwand::estimate {

void Stock::add(const StockLot& lot) {
  if (lots == 0) {
    length = lot.length;
  } else if (length && lot.length) {
    *length += *lot.length;
  } else {
    length.reset();
  }
  mass += lot.mass;
  largest_lot = std::max(largest_lot, lot.mass);
  ++lots;
  each.push_back(lot);
}

namespace {

std::string work_of(const PieceModel& model, const LedgerLine& line) {
  switch (purpose_of(line.band, line.portion)) {
    case Purpose::Band:
      break;
    case Purpose::Warp:
      return "warp";
    case Purpose::Cord:
      return "cord";
    case Purpose::Waste:
      return "waste";
  }
  return technique::name_of(model.piece().bands[static_cast<std::size_t>(line.band) - 1].work);
}

BandEstimate opened_for(const PieceModel& model, const LedgerLine& line) {
  BandEstimate band;
  band.band = line.band;
  band.purpose = purpose_of(line.band, line.portion);
  band.work = work_of(model, line);
  band.yarn_index = line.yarn;
  band.yarn = model.yarns()[line.yarn]->id;
  return band;
}

BandEstimate without_yarn(const PieceModel& model, std::size_t index) {
  BandEstimate band;
  band.band = static_cast<int>(index) + 1;
  band.work = technique::name_of(model.piece().bands[index].work);
  band.height = model.band_heights()[index];
  return band;
}

/// Bands no yarn stays in, which the ledger does not know: bare warp, and what comes out again.
void add_bare_bands(const PieceModel& model, std::vector<BandEstimate>& bands) {
  for (std::size_t b = 0; b < model.piece().bands.size(); ++b) {
    const bool bare = std::holds_alternative<technique::Gap>(model.piece().bands[b].work);
    if (bare) bands.push_back(without_yarn(model, b));
  }
  for (std::size_t i = 0; i < model.lent_yarns().size(); ++i) {
    const BandYarn& one = model.lent_yarns()[i];
    BandEstimate band = without_yarn(model, one.band);
    band.yarn = model.all_yarns()[one.yarn]->id;
    band.comes_out = true;
    band.rows = static_cast<int>(std::lround(model.lent_planned()[i].rows));
    band.row_spacing = model.lent_planned()[i].row_spacing;
    bands.push_back(band);
  }
}

std::vector<Lent> lent_of(const PieceModel& model) {
  std::vector<Lent> all;
  if (model.lent_yarns().empty()) return all;
  const Parts parts = model.lent_parts(Line::OverTheDoubt);
  for (std::size_t i = 0; i < model.lent_yarns().size(); ++i) {
    const BandYarn& one = model.lent_yarns()[i];
    const double plan_m = in_metres(model.lent_planned()[i].entries.total());
    all.push_back({static_cast<int>(one.band) + 1,
                   model.all_yarns()[one.yarn]->id,
                   plan_m,
                   plan_m * model.grams_per_metre(one.yarn),
                   range_of_place(parts, static_cast<int>(one.band) + 1, one.yarn),
                   {}});
    for (const auto& entry : model.lent_planned()[i].entries) {
      all.back().causes_m[static_cast<std::size_t>(entry.cause)] += in_metres(entry.yarn);
    }
  }
  return all;
}

/// Where each yarn stands among the places of one band; band 0 has several for one yarn. Bands come
/// one after the other.
class PlacesOfYarns {
 public:
  explicit PlacesOfYarns(std::size_t yarns) : places_(yarns * kPurposes) {}

  /// The place of this line's band, yarn and purpose; how many there are yet where it is new.
  std::size_t of(const LedgerLine& line) {
    Last& last = places_[line.yarn * kPurposes +
                         static_cast<std::size_t>(purpose_of(line.band, line.portion))];
    if (last.band != line.band) last = {line.band, count_++};
    return last.place;
  }

 private:
  static constexpr std::size_t kPurposes = 4;
  struct Last {
    int band = -1;
    std::size_t place = 0;
  };
  std::vector<Last> places_;
  std::size_t count_ = 0;
};

/// The ledger gathered by band and yarn, the bands rising, what is of no band before them.
std::vector<BandEstimate> gather_bands(const PieceModel& model,
                                       const std::vector<LedgerLine>& ledger) {
  std::vector<BandEstimate> bands;
  bands.reserve(model.band_yarns().size() + 3 * model.yarns().size() + model.piece().bands.size() +
                model.lent_yarns().size());
  PlacesOfYarns places(model.yarns().size());
  const auto gather = [&](const LedgerLine& line) {
    const std::size_t place = places.of(line);
    if (place == bands.size()) bands.push_back(opened_for(model, line));
    BandEstimate& band = bands[place];
    band.plan_m += in_metres(line.length);
    band.causes_m[static_cast<std::size_t>(line.cause)] += in_metres(line.length);
  };
  for (const LedgerLine& line : ledger) {
    if (line.band == 0) gather(line);
  }
  for (const LedgerLine& line : ledger) {
    if (line.band > 0) gather(line);
  }
  add_bare_bands(model, bands);
  const auto is_before = [](const BandEstimate& a, const BandEstimate& b) {
    return a.band < b.band;
  };
  if (!std::is_sorted(bands.begin(), bands.end(), is_before)) {
    std::stable_sort(bands.begin(), bands.end(), is_before);
  }
  return bands;
}

bool is_wrapping(const PieceModel& model, std::size_t band) {
  return std::holds_alternative<technique::Wrapping>(model.piece().bands[band].work);
}

void state_rows(const PieceModel& model, std::vector<BandEstimate>& bands) {
  for (std::size_t i = 0; i < model.band_yarns().size(); ++i) {
    const BandYarn& one = model.band_yarns()[i];
    const Worked<double>& worked = model.planned()[i];
    const int number = static_cast<int>(one.band) + 1;
    auto at = std::lower_bound(bands.begin(), bands.end(), number,
                               [](const BandEstimate& a, int b) { return a.band < b; });
    for (; at != bands.end() && at->band == number; ++at) {
      BandEstimate& band = *at;
      if (band.yarn_index != one.yarn || band.height.si() > 0.0) continue;
      (is_wrapping(model, one.band) ? band.turns : band.rows) =
          static_cast<int>(std::lround(worked.rows));
      const bool stacked = technique::is_stacked(model.piece().bands[one.band].work);
      band.height = stacked ? model.band_heights()[one.band] : worked.height;
      band.row_spacing = worked.row_spacing;
    }
  }
}

std::vector<Cut> safe_cuts(const PieceModel& model, const Parts& parts,
                           const std::vector<Sum>& sums, const std::vector<BandEstimate>& bands,
                           const Length<>& step) {
  std::vector<Cut> cuts = cut_list(model, step);
  if (model.piece().loom.kind != piece::LoomKind::Beam) return cuts;
  const auto warp = std::find_if(bands.begin(), bands.end(), [](const BandEstimate& one) {
    return one.purpose == Purpose::Warp;
  });
  if (warp == bands.end()) return cuts;
  const std::optional<double> enough_m = enough_warp_m(parts, sums, *warp);
  if (enough_m) lengthen_warp(*enough_m, model.sampled_end(), step, cuts);
  return cuts;
}

std::vector<YarnEstimate> plan_yarns(const PieceModel& model, const std::vector<LedgerLine>& ledger,
                                     const std::vector<Cut>& cuts) {
  std::vector<YarnEstimate> yarns(model.yarns().size());
  const std::unordered_map<std::string, BeyondPlan> beyond = beyond_plan(cuts);
  for (const LedgerLine& line : ledger) yarns[line.yarn].plan_m += in_metres(line.length);
  for (std::size_t y = 0; y < yarns.size(); ++y) {
    yarns[y].yarn = model.yarns()[y]->id;
    yarns[y].plan_g = yarns[y].plan_m * model.grams_per_metre(y);
    yarns[y].plan_dry_g = in_grams(yarn::mass_at_regain(
        grams(yarns[y].plan_g), yarn::blend_regain(model.yarns()[y]->fibre), 0.0));
    const auto its = beyond.find(yarns[y].yarn);
    if (its == beyond.end()) continue;
    yarns[y].cut_rounding_m = its->second.rounding_m;
    yarns[y].spare_m = its->second.spare_m;
  }
  return yarns;
}

void reckon_edges(const PieceModel& model, PieceEstimate& estimate) {
  const piece::Piece& piece = model.piece();
  const auto add = [&](const std::optional<piece::EdgeKnots>& knots, bool at_top) {
    if (!knots) return;
    estimate.edges.push_back({at_top, technique::edge_knots(model.knotted_edge(*knots)),
                              knots->ends_per_knot, model.edge_knot(*knots),
                              model.room_to_tie(*knots)});
  };
  add(piece.finish.bottom, false);
  add(piece.finish.top, true);
  if (piece.loom.kind == piece::LoomKind::Beam) return;
  estimate.warp_edges = technique::spanned_warp_edges(piece.warp.ends);
  if (piece.finish.rod) estimate.thickest_rod = rod_that_passes(model, *estimate.budget);
}

std::optional<HungCord> hung_cord(const PieceModel& model) {
  if (!model.cord()) return std::nullopt;
  const piece::Finish& finish = model.piece().finish;
  const TieDistance from = finish.cord->tie_distance ? TieDistance::Stated
                           : finish.rod_length       ? TieDistance::RodLength
                                                     : TieDistance::FinishedWidth;
  const Length<> strand = model.cord_yarn().medians.strand_diameter;
  return HungCord{*model.cord(), from, finish.cord->knots.has_value(),
                  technique::cord_diameter(*model.cord(), strand)};
}

}  // namespace

PieceEstimate estimate(const PieceModel& model, const Shelf& all, const Options& options) {
  PieceEstimate result;
  result.piece = model.piece().id;
  result.name = model.piece().name;
  result.budget = span_budget(model);
  if (result.budget) {
    const auto complaint = does_not_fit(model, *result.budget);
    if (complaint) throw BadInput({*complaint});
  }

  const std::vector<LedgerLine> ledger = model.plan();
  const Parts parts = model.parts(Line::OverTheDoubt);
  result.bands = gather_bands(model, ledger);
  result.lent = lent_of(model);
  state_rows(model, result.bands);
  const std::vector<Sum> sums = sums_by_yarn(parts, model.yarns().size());
  result.cuts = safe_cuts(model, parts, sums, result.bands, options.cut_step);
  result.yarns = plan_yarns(model, ledger, result.cuts);
  const Shelf shelf = usable_shelf(model, all);
  reckon_yarns(model, sums, shelf, options, result);
  if (options.bands) reckon_bands(parts, sums, result);
  lengthen_hems(options.cut_step, result);
  reckon_sizes(model, result);
  reckon_edges(model, result);
  result.cord = hung_cord(model);
  result.warnings = warnings_of(model, shelf, result, options.cut_step);
  result.thrums = thrums_for_fringe(model);
  warn_of_short_pieces(model, all, result.warnings);
  result.cautions = cautions_of(model);
  if (options.order) {
    result.order = order_of_work(model, result);
    result.height_m = finished_height(model, result);
  }
  return result;
}

PieceEstimate estimate(const piece::Piece& piece, const Workshop& workshop, const Shelf& shelf,
                       const Options& options) {
  return estimate(PieceModel(piece, workshop), shelf, options);
}

std::vector<ReckonedPiece> estimate_each(const std::vector<piece::Piece>& pieces,
                                         const Workshop& workshop, const Shelf& shelf,
                                         const Options& options, std::size_t threads) {
  std::vector<std::optional<ReckonedPiece>> made(pieces.size());
  numeric::in_parallel(pieces.size(), 1, threads, [&](std::size_t p) {
    PieceModel model(pieces[p], workshop);
    PieceEstimate its = estimate(model, shelf, options);
    made[p].emplace(ReckonedPiece{std::move(model), std::move(its)});
  });
  std::vector<ReckonedPiece> all;
  all.reserve(made.size());
  for (std::optional<ReckonedPiece>& one : made) all.push_back(std::move(*one));
  return all;
}

}  // namespace ellwand::estimate
