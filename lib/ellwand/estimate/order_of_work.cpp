#include "ellwand/estimate/order_of_work.hpp"

#include "ellwand/estimate/estimate.hpp"
#include "ellwand/technique/edge_knots.hpp"
#include "ellwand/technique/warp.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::estimate {

namespace {

/// What a row of a work is called at the loom, and several.
struct RowWords {
  const char* one;
  const char* many;
};

constexpr RowWords kRows{"row", "rows"};

constexpr RowWords kRowsOfKnots{"row of knots", "rows of knots"};

struct CountedAs {
  std::size_t part;

  RowWords operator()(const technique::Woven&) const { return kRows; }
  RowWords operator()(const technique::KnottedFringe&) const { return kRowsOfKnots; }
  RowWords operator()(const technique::Soumak&) const { return kRows; }
  RowWords operator()(const technique::Twining&) const { return kRows; }
  RowWords operator()(const technique::LoopedPile&) const { return kRows; }
  RowWords operator()(const technique::Wrapping&) const { return {"turn", "turns"}; }
  RowWords operator()(const technique::KnottedPile&) const {
    return part == technique::KnottedPile::kKnots ? kRowsOfKnots : kRows;
  }
  RowWords operator()(const technique::Gap&) const { return kRows; }
  RowWords operator()(const technique::Hemstitch&) const { return {"edge", "edges"}; }
};

/// How long the cut strands of a part hang, of works that have such.
struct HangOf {
  std::size_t part;

  std::optional<Length<>> operator()(const technique::Woven&) const { return {}; }
  std::optional<Length<>> operator()(const technique::KnottedFringe& fringe) const {
    return fringe.hang;
  }
  std::optional<Length<>> operator()(const technique::Soumak&) const { return {}; }
  std::optional<Length<>> operator()(const technique::Twining&) const { return {}; }
  std::optional<Length<>> operator()(const technique::LoopedPile&) const { return {}; }
  std::optional<Length<>> operator()(const technique::Wrapping&) const { return {}; }
  std::optional<Length<>> operator()(const technique::KnottedPile& pile) const {
    if (part != technique::KnottedPile::kKnots) return {};
    return pile.knots.hang;
  }
  std::optional<Length<>> operator()(const technique::Gap&) const { return {}; }
  std::optional<Length<>> operator()(const technique::Hemstitch&) const { return {}; }
};

/// A band in plain words, where the name of its work leaves out how it goes.
struct CalledAs {
  const piece::Band& band;

  std::string operator()(const technique::Woven&) const {
    if (band.weave == "plain" || band.weave == "tabby") return "plain weave";
    if (band.weave == "grid" || band.weave == "draft") return "weave by its " + band.weave;
    return band.weave.empty() ? name() : "weave " + band.weave;
  }
  std::string operator()(const technique::Soumak& soumak) const {
    if (soumak.over == soumak.back) {
      return fmt::format("soumak round {} at a time",
                         soumak.over == 1 ? "1 end" : std::to_string(soumak.over) + " ends");
    }
    return fmt::format("soumak over {}, back {}", soumak.over, soumak.back);
  }
  std::string operator()(const technique::KnottedFringe&) const { return name(); }
  std::string operator()(const technique::Twining&) const { return name(); }
  std::string operator()(const technique::LoopedPile&) const { return name(); }
  std::string operator()(const technique::Wrapping&) const { return name(); }
  std::string operator()(const technique::KnottedPile&) const { return name(); }
  std::string operator()(const technique::Gap&) const { return name(); }
  std::string operator()(const technique::Hemstitch&) const { return name(); }

  std::string name() const { return technique::name_of(band.work); }
};

void lay_out(const PieceEstimate& estimate, std::vector<Step>& steps) {
  for (const YarnEstimate& yarn : estimate.yarns) {
    LayOut step;
    step.yarn = yarn.yarn;
    const double beyond_m = beyond_plan_m(yarn);
    step.to_have_m = yarn.set_aside_m + beyond_m;
    step.to_have_g = yarn.set_aside_g + beyond_m * yarn.plan_g / yarn.plan_m;
    step.doubt_m = 0.5 * (yarn.length_m.high - yarn.length_m.low);
    step.doubt_g = 0.5 * (yarn.mass_g.high - yarn.mass_g.low);
    step.put_ups = yarn.put_ups;
    steps.emplace_back(step);
  }
  for (const Lent& lent : estimate.lent) {
    const double metre_g = lent.plan_g / lent.plan_m;
    const double doubt_m = 0.5 * (lent.length_m.high - lent.length_m.low);
    steps.emplace_back(LayOut{lent.yarn, lent.length_m.high, metre_g * lent.length_m.high, doubt_m,
                              metre_g * doubt_m, std::nullopt, lent.band});
  }
}

void cut_strands(const PieceEstimate& estimate, std::vector<Step>& steps) {
  for (const Cut& cut : estimate.cuts) {
    if (cut.leave != Leave::No) continue;
    steps.emplace_back(CutStrands{cut.what, cut.yarn, cut.band, cut.count, cut.spare,
                                  cut.split_into, cut.length, cut.card_height,
                                  cut.enough.has_value()});
  }
}

bool is_beam(const piece::Piece& piece) { return piece.loom.kind == piece::LoomKind::Beam; }

/// A beam warp is in the cut list instead.
void wind_warp(const PieceModel& model, const PieceEstimate& estimate, std::vector<Step>& steps) {
  const piece::Warp& warp = model.piece().warp;
  if (is_beam(model.piece())) return;
  WindWarp step;
  step.yarn = warp.yarn;
  step.ends = warp.ends;
  step.held = warp.held;
  step.tie = model.tie();
  step.ties_at_one_edge = warp.ends % 2 == 0;
  for (const BandEstimate& band : estimate.bands) {
    if (band.work == "warp") step.length_m += band.plan_m;
  }
  steps.emplace_back(step);
}

/// Hem threads that are left at one moment.
std::vector<HemThread> hem_threads(const PieceEstimate& estimate, Leave when) {
  std::vector<HemThread> threads;
  for (const Cut& cut : estimate.cuts) {
    if (cut.leave != when) continue;
    threads.push_back({cut.yarn, cut.beside, cut.count, cut.length, when == Leave::BeforeWeaving});
  }
  return threads;
}

/// A spare end is as long as those of the warp: on a beam as they are cut.
Length<> spare_end(const PieceModel& model, const PieceEstimate& estimate) {
  const auto warp = std::find_if(estimate.cuts.begin(), estimate.cuts.end(),
                                 [](const Cut& one) { return one.what == "warp"; });
  return warp != estimate.cuts.end() ? warp->length : model.end_length();
}

void leave_free(const PieceModel& model, const PieceEstimate& estimate, std::vector<Step>& steps) {
  const piece::Piece& piece = model.piece();
  const auto leave = [&](LeaveFree::What what, const Length<>& length) {
    if (length.si() > 0.0) steps.emplace_back(LeaveFree{what, length});
  };
  const Allowances& allowances = model.allowances();
  if (allowances.spare_ends > 0) {
    steps.emplace_back(HangSpares{piece.warp.yarn, allowances.spare_ends, piece.warp.held,
                                  spare_end(model, estimate)});
  }
  leave(LeaveFree::What::Header, piece.loom.header);
  leave(LeaveFree::What::SampleStrip, allowances.sampling);
  if (is_beam(piece)) {
    leave(LeaveFree::What::WarpFringe, 0.5 * piece.warp.fringe);
    return;
  }
  if (piece.finish.bottom)
    leave(LeaveFree::What::RoomToTie, model.room_to_tie(*piece.finish.bottom));
  if (piece.finish.top) leave(LeaveFree::What::RoomOnTop, model.room_to_tie(*piece.finish.top));
}

/// One strand as woven in, tails included; of yarn without knots.
Length<> one_strand(const Worked<double>& worked, const technique::Strand& strand) {
  Length<> laid;
  for (const auto& entry : worked.entries) {
    if (entry.cause != technique::Cause::Knots) laid += entry.yarn;
  }
  return laid / strand.yarn_per_laid();
}

/// How many lengths, and how long: full ones and a shorter last, or, where several places begin
/// with a length of their own, each of the same.
void share_into_lengths(const Worked<double>& worked, const technique::Lie<double>& lie,
                        const Length<>& strand, Carried& carried) {
  carried.lengths = static_cast<int>(std::lround(worked.lengths));
  if (carried.lengths < 1) return;
  const Length<> last = strand - (carried.lengths - 1) * lie.working_length;
  const bool one_place = !(last < 2.0 * lie.tail) && !(lie.working_length < last);
  if (one_place && carried.lengths > 1) {
    carried.length = lie.working_length;
    carried.last = last;
  } else {
    carried.length = strand / carried.lengths;
  }
}

Carried carried_of(const PieceModel& model, const BandYarn& one, const Worked<double>& worked) {
  const technique::Strand& strand = model.strand(one);
  Carried carried;
  carried.yarn = model.all_yarns()[one.yarn]->id;
  carried.held = strand.held;
  carried.split_into = strand.split_into;
  const RowWords words = std::visit(CountedAs{one.part}, model.piece().bands[one.band].work);
  carried.counted_one = words.one;
  carried.counted = words.many;
  carried.rows = static_cast<int>(std::lround(worked.rows));
  carried.plan_m = in_metres(worked.entries.total());
  share_into_lengths(worked, one.medians, one_strand(worked, strand), carried);
  return carried;
}

void leave_hem_threads(const PieceEstimate& estimate, std::vector<Step>& steps) {
  for (const HemThread& thread : hem_threads(estimate, Leave::BeforeWeaving)) {
    steps.emplace_back(thread);
  }
}

void work_bands(const PieceModel& model, const PieceEstimate& estimate, std::vector<Step>& steps) {
  Length<> up_to;
  for (std::size_t b = 0; b < model.piece().bands.size(); ++b) {
    const technique::Work& work = model.piece().bands[b].work;
    WorkBand step;
    step.band = static_cast<int>(b) + 1;
    step.work = technique::name_of(work);
    step.called = std::visit(CalledAs{model.piece().bands[b]}, work);
    step.height = model.band_heights()[b];
    step.up_to = up_to += step.height;
    step.comes_out = model.piece().bands[b].comes_out;
    const auto& yarns = step.comes_out ? model.lent_yarns() : model.band_yarns();
    const auto& planned = step.comes_out ? model.lent_planned() : model.planned();
    for (std::size_t i = 0; i < yarns.size(); ++i) {
      if (yarns[i].band == b) step.yarns.push_back(carried_of(model, yarns[i], planned[i]));
    }
    for (const HemThread& thread : hem_threads(estimate, Leave::WhenWoven)) {
      if (thread.band == step.band) step.to_leave.push_back(thread);
    }
    for (const Warning& warning : estimate.warnings) {
      if (warning.band == step.band) step.warnings.push_back(warning.text);
    }
    steps.emplace_back(step);
  }
}

std::vector<int> bands_drawn_out(const piece::Piece& piece) {
  std::vector<int> bands;
  for (std::size_t b = 0; b < piece.bands.size(); ++b) {
    if (piece.bands[b].comes_out) bands.push_back(static_cast<int>(b) + 1);
  }
  return bands;
}

void tie_ends(const PieceModel& model, const std::optional<piece::EdgeKnots>& knots, bool at_top,
              std::vector<Step>& steps) {
  if (!knots) return;
  const technique::KnottedEdge edge = model.knotted_edge(*knots);
  TieEnds step;
  step.at_top = at_top;
  step.knots = technique::edge_knots(edge);
  step.ends_per_knot = knots->ends_per_knot;
  step.ends_in_last = edge.ends - (step.knots - 1) * step.ends_per_knot;
  step.room = model.room_to_tie(*knots);
  steps.emplace_back(step);
}

/// @returns lengths of all bands that stay, each of which leaves two tails
int lengths_of(const std::vector<Step>& steps) {
  int lengths = 0;
  for (const Step& step : steps) {
    const auto* band = std::get_if<WorkBand>(&step);
    if (band == nullptr || band->comes_out) continue;
    for (const Carried& yarn : band->yarns) lengths += yarn.lengths * yarn.held;
  }
  return lengths;
}

void trim_fringes(const PieceModel& model, std::vector<Step>& steps) {
  for (const BandYarn& one : model.band_yarns()) {
    const technique::Work& work = model.piece().bands[one.band].work;
    const auto hang = std::visit(HangOf{one.part}, work);
    if (!hang) continue;
    steps.emplace_back(TrimFringe{static_cast<int>(one.band) + 1, technique::name_of(work),
                                  one.medians.trim, *hang});
  }
}

std::vector<std::string> yarns_that(const PieceModel& model, bool (*test)(const yarn::Yarn&)) {
  std::vector<std::string> ids;
  for (const yarn::Yarn* yarn : model.yarns()) {
    if (test(*yarn)) ids.push_back(yarn->id);
  }
  return ids;
}

void finish(const PieceModel& model, const PieceEstimate& estimate, std::vector<Step>& steps) {
  const piece::Finish& finish = model.piece().finish;
  if (finish.washing != piece::Washing::None) {
    steps.emplace_back(
        Wash{estimate.washed.width, estimate.washed.height, yarns_that(model, is_felting)});
  }
  const bool is_wet = finish.washing != piece::Washing::None || finish.blocked > 0.0;
  steps.emplace_back(Finishing{yarns_that(model, is_spoilt_by_steam), is_wet,
                               estimate.finished.width, estimate.finished.height});
  trim_fringes(model, steps);
  if (finish.rod) {
    const int ends = model.piece().warp.ends;
    steps.emplace_back(PutOnRod{*finish.rod, is_beam(model.piece()) ? 0 : loops_at_top(ends)});
  }
  if (estimate.cord) {
    const technique::HangingCord& cord = estimate.cord->cord;
    steps.emplace_back(
        TieCord{cord.strand.yarn, cord.tie_distance, cord.rise, cord.wraps_at_each_tie});
  }
}

}  // namespace

int loops_at_top(int ends) { return technique::spanned_warp_edges(ends).loops_above; }

std::vector<Step> order_of_work(const PieceModel& model, const PieceEstimate& estimate) {
  std::vector<Step> steps;
  lay_out(estimate, steps);
  cut_strands(estimate, steps);
  wind_warp(model, estimate, steps);
  leave_free(model, estimate, steps);
  leave_hem_threads(estimate, steps);
  work_bands(model, estimate, steps);
  steps.emplace_back(TakeOff{model.piece().loom.header.si() > 0.0, estimate.off_loom.width,
                             estimate.off_loom.height, bands_drawn_out(model.piece())});
  tie_ends(model, model.piece().finish.bottom, false, steps);
  tie_ends(model, model.piece().finish.top, true, steps);
  if (const int lengths = lengths_of(steps); lengths > 0) steps.emplace_back(SewIn{lengths});
  finish(model, estimate, steps);
  for (const std::string& caution : estimate.cautions) steps.emplace_back(Caution{caution});
  return steps;
}

}  // namespace ellwand::estimate
