#include "ellwand/estimate/piece_model.hpp"

#include "ellwand/cloth/jam.hpp"
#include "ellwand/cloth/racetrack.hpp"
#include "ellwand/estimate/height_share.hpp"
#include "ellwand/estimate/holds.hpp"
#include "ellwand/estimate/piece_warp.hpp"
#include "ellwand/technique/put_up_knots.hpp"
#include "ellwand/units/told.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

namespace ellwand::estimate {

namespace {

using technique::for_each_strand;
using technique::Lie;
using technique::Portion;

piece::Carrier usual_carrier(piece::LoomKind kind) {
  switch (kind) {
    case piece::LoomKind::Notched:
      return piece::Carrier::Needle;
    case piece::LoomKind::Frame:
      return piece::Carrier::Butterfly;
    case piece::LoomKind::Beam:
      return piece::Carrier::Shuttle;
  }
  return piece::Carrier::Needle;
}

/// Moves what hangs on habits to where they are known to lie; diameters and the spacing of the ends
/// are there already.
void move_to_means(BandYarn& one, const std::vector<double>& means) {
  const std::array<double, kLocals> factors = local_factors(one, means);
  const auto factor = [&](Local which) { return factors[static_cast<std::size_t>(which)]; };
  Lie<double>& lie = one.medians;
  lie.row_spacing *= factor(Local::RowSpacing);
  lie.take *= factor(Local::Take);
  lie.tail = lie.tail * factor(Local::Tail);
  lie.working_length = lie.working_length * factor(Local::WorkingLength);
  lie.trim = lie.trim * factor(Local::Trim);
}

PieceYarns find_yarns(const piece::Piece& piece, const YarnTable& table) {
  PieceYarns found;
  std::vector<Complaint> complaints;
  const auto need = [&](const std::string& id, int line) {
    if (found.places.count(id) > 0) return;
    const auto row = table.find(id);
    if (row == table.end()) {
      complaints.push_back({piece.file, line, 0,
                            fmt::format("there is no yarn '{}' in the studio's yarn table; add it "
                                        "there or use the id of one that is",
                                        id)});
    } else {
      found.places.emplace(id, found.all.size());
      found.all.push_back(&row->second);
    }
  };
  const auto need_for_bands = [&](bool come_out) {
    for (const piece::Band& band : piece.bands) {
      if (band.comes_out != come_out) continue;
      for_each_strand(band.work,
                      [&](const technique::Strand& strand) { need(strand.yarn, band.line); });
    }
  };
  need(piece.warp.yarn, 0);
  need_for_bands(false);
  if (piece.finish.cord) need(piece.finish.cord->strand.yarn, piece.finish.cord->line);
  found.staying = found.all.size();
  need_for_bands(true);
  if (!complaints.empty()) throw BadInput(complaints);
  return found;
}

}  // namespace

std::vector<std::string> ids_of(const YarnTable& yarns) {
  std::vector<std::string> ids;
  for (const auto& [id, yarn] : yarns) ids.push_back(id);
  return ids;
}

std::vector<const yarn::Yarn*> yarns_of(const piece::Piece& piece, const YarnTable& table) {
  return find_yarns(piece, table).all;
}

namespace {

Coefficients coefficients_of(const piece::Piece& piece, const Workshop& workshop,
                             const std::vector<const yarn::Yarn*>& yarns) {
  Coefficients starting = starting_coefficients(workshop.values, yarns, 0, piece.beginner);
  if (workshop.learned == nullptr) return starting;
  return learned_coefficients(starting, *workshop.learned, piece, yarns, 0);
}

}  // namespace

PieceModel::PieceModel(const piece::Piece& piece, const Workshop& workshop)
    : PieceModel(piece, workshop, find_yarns(piece, workshop.yarns), nullptr) {}

PieceModel::PieceModel(const piece::Piece& piece, const Workshop& workshop,
                       const Coefficients& coefficients)
    : PieceModel(piece, workshop, find_yarns(piece, workshop.yarns), &coefficients) {}

PieceModel::PieceModel(const piece::Piece& piece, const Workshop& workshop, PieceYarns yarns,
                       const Coefficients* coefficients)
    : piece_(piece),
      shown_(workshop.shown),
      amounts_shown_(workshop.amounts),
      judgements_(workshop.values),
      yarns_(yarns.all.begin(), yarns.all.begin() + static_cast<std::ptrdiff_t>(yarns.staying)),
      all_yarns_(std::move(yarns.all)),
      yarn_places_(std::move(yarns.places)),
      coefficients_(coefficients != nullptr ? *coefficients
                                            : coefficients_of(piece, workshop, all_yarns_)) {
  std::vector<Complaint> complaints;
  set_warp(workshop);
  set_bands(workshop);
  set_edges(complaints);
  plan_bands(band_yarns_, planned_, complaints);
  plan_bands(lent_yarns_, lent_planned_, complaints);
  require_room_to_tie(complaints);
  plan_cord(workshop, complaints);
  std::stable_sort(complaints.begin(), complaints.end(),
                   [](const Complaint& a, const Complaint& b) { return a.line < b.line; });
  if (!complaints.empty()) throw BadInput(complaints);
  settle_bands(band_yarns_, planned_);
  settle_bands(lent_yarns_, lent_planned_);
  plan_heights();
  set_allowances(workshop);
  plan_warp_allowances();
}

void PieceModel::set_warp(const Workshop& workshop) {
  const StartingValues& values = workshop.values;
  const piece::Warp& warp = piece_.warp;
  const piece::Finish& finish = piece_.finish;
  const bool beam = piece_.loom.kind == piece::LoomKind::Beam;

  const yarn::Packing packing = values.packing();
  diameters_.reserve(all_yarns_.size());
  for (const yarn::Yarn* yarn : all_yarns_) {
    const std::size_t y = diameters_.size();
    diameters_.push_back(known_diameter(*yarn, packing,
                                        coefficients_.means[index_of(OfYarn::Thickness, y)],
                                        coefficients_.means[index_of(OfYarn::Lot, y)]));
  }
  end_diameter_ = yarn::side_by_side_diameter(diameters_[warp_yarn()], warp.held);
  const auto mean = [&](Shared which) { return coefficients_.means[index_of(which)]; };
  draw_in_ =
      !beam ? 0.0 : warp.draw_in.value_or(values.median(row("draw_in")) + mean(Shared::DrawIn));
  warp_spacing_ = piece_.loom.kind == piece::LoomKind::Notched
                      ? piece_.loom.pitch * piece_.loom.every
                      : (1.0 - draw_in_) / warp.sett.value();
  stretch_ = warp.stretch.value_or(values.median(stretch_name(*yarns_[warp_yarn()])) +
                                   mean(Shared::Stretch));
  tie_ = warp.tie.value_or(metres(values.median(row("tie"))));
  tie_room_ = metres(values.median(row("tie_room")));
  tie_hold_ = metres(values.median(row("tie_hold")));
  edge_knot_take_ = values.median(row("take.edge_knots"));
  edge_knot_log_sd_ = values.spread(row("take.edge_knots"));
  needle_room_ = metres(values.median(row("needle_room")));
  relaxation_ = finish.relaxation.value_or(values.median(row("relaxation")));

  bool wool = false;
  for (std::size_t i = 0; i < yarns_.size(); ++i) wool = wool || is_felting(*yarns_[i]);
  const double washing = values.median(wool ? row("washing.wool") : row("washing.other"));
  shrinkage_ = finish.washing == piece::Washing::None ? 0.0 : finish.shrinkage.value_or(washing);

  const piece::Habits habits = piece_.habits.or_else(workshop.habits);
  waste_share_ = habits.waste_share.value_or(values.median(row("waste.share"))) *
                 std::exp(mean(Shared::WasteShare));
  waste_per_colour_ =
      habits.waste_per_colour.value_or(metres(values.median(row("waste.per_colour")))) *
      std::exp(mean(Shared::WastePerColour));
}

namespace {

technique::Beat* beat_of(technique::Work& work) {
  if (auto* woven = std::get_if<technique::Woven>(&work)) return &woven->beat;
  if (auto* pile = std::get_if<technique::KnottedPile>(&work)) return &pile->ground.beat;
  return nullptr;
}

}  // namespace

namespace {

/// @param parts  one for each area
void set_beside(const technique::Woven& woven, BandYarn* parts) {
  const auto thickness = [&](std::size_t area) {
    return yarn::side_by_side_diameter(parts[area].medians.strand_diameter,
                                       woven.areas[area].strand.held);
  };
  for (std::size_t area = 1; area < woven.areas.size(); ++area) {
    const double ratio = thickness(area - 1) / thickness(area);
    parts[area].medians.weft_before = ratio;
    parts[area - 1].medians.weft_after = 1.0 / ratio;
  }
}

}  // namespace

void PieceModel::set_bands(const Workshop& workshop) {
  const UsualHabits usual(workshop.values);
  band_yarns_.reserve(2 * piece_.bands.size());
  for (std::size_t b = 0; b < piece_.bands.size(); ++b) {
    piece::Band& band = piece_.bands[b];
    if (auto* woven = std::get_if<technique::Woven>(&band.work)) {
      woven->extent.height = loom_height(band, woven->extent.height);
    } else if (auto* gap = std::get_if<technique::Gap>(&band.work)) {
      gap->height = loom_height(band, gap->height);
    }
    if (technique::Beat* beat = beat_of(band.work)) {
      beat->weft_share = weft_height_share(workshop.values, workshop.learned, beat->face);
    }
    std::vector<BandYarn>& bands = band.comes_out ? lent_yarns_ : band_yarns_;
    std::size_t part = 0;
    for_each_strand(band.work, [&](const technique::Strand& strand) {
      bands.push_back(band_yarn(b, part++, strand, workshop, usual));
    });
    if (const auto* woven = std::get_if<technique::Woven>(&band.work)) {
      set_beside(*woven, bands.data() + (bands.size() - part));
    }
  }
}

Length<> PieceModel::loom_height(const piece::Band& band, const Length<>& stated) const {
  switch (band.height_state) {
    case piece::State::OnLoom:
      return stated;
    case piece::State::OffLoom:
      return stated / (1.0 - relaxation_);
    case piece::State::Finished:
      return stated / ((1.0 - relaxation_) * (1.0 - shrinkage_) * (1.0 + blocked()));
  }
  return stated;
}

BandYarn PieceModel::band_yarn(std::size_t band, std::size_t part, const technique::Strand& strand,
                               const Workshop& workshop, const UsualHabits& usual) const {
  const technique::Work& work = piece_.bands[band].work;
  const piece::Habits habits =
      piece_.bands[band].habits.or_else(piece_.habits).or_else(workshop.habits);

  BandYarn one;
  one.band = band;
  one.part = part;
  one.carrier = habits.carrier.value_or(usual_carrier(piece_.loom.kind));
  one.yarn = yarn_places_.at(strand.yarn);
  one.row_height = usual.row_height(work);
  one.holds = holds(work, part, one.yarn);
  one.knots_per_metre = all_yarns_[one.yarn]->knots_per_metre;

  const yarn::Yarn& weft = *all_yarns_[one.yarn];
  Lie<double>& lie = one.medians;
  lie.warp_diameter = end_diameter_;
  lie.warp_flatness = yarns_[warp_yarn()]->width_over_thickness;
  lie.weft_flatness = weft.width_over_thickness;
  lie.warp_spacing = warp_spacing_;
  lie.strand_diameter = diameters_[one.yarn] / std::sqrt(strand.split_into);
  lie.take = usual.take(work, part);
  lie.tail = habits.tail.value_or(usual.tail);
  lie.trim = habits.trim.value_or(usual.trim);
  lie.working_length = habits.working_length.value_or(usual.working_length(one.carrier));
  move_to_means(one, coefficients_.means);
  return one;
}

std::vector<piece::Carrier> PieceModel::carriers(std::size_t yarn) const {
  std::vector<piece::Carrier> all;
  for (std::size_t i = 0; i < band_yarns_.size(); ++i) {
    const piece::Carrier carrier = band_yarns_[i].carrier;
    if (band_yarns_[i].yarn != yarn || planned_[i].lengths == 0.0) continue;
    if (std::find(all.begin(), all.end(), carrier) == all.end()) all.push_back(carrier);
  }
  return all;
}

bool PieceModel::is_thrown(std::size_t band) const {
  if (piece_.loom.kind != piece::LoomKind::Beam) return false;
  const technique::Work& work = piece_.bands[band].work;
  const auto* woven = std::get_if<technique::Woven>(&work);
  const bool is_one_weft = woven != nullptr ? woven->areas.size() == 1
                                            : std::holds_alternative<technique::KnottedPile>(work);
  const auto& all = piece_.bands[band].comes_out ? lent_yarns_ : band_yarns_;
  const auto its = std::find_if(all.begin(), all.end(),
                                [band](const BandYarn& one) { return one.band == band; });
  return is_one_weft && its != all.end() && its->carrier == piece::Carrier::Shuttle;
}

std::vector<Hold> PieceModel::holds(const technique::Work& work, std::size_t part,
                                    std::size_t yarn) const {
  std::vector<Hold> all;
  all.reserve(kMostHolds);
  hold_thickness(Local::WarpDiameter, warp_yarn(), *all_yarns_[warp_yarn()], all);
  hold_thickness(Local::StrandDiameter, yarn, *all_yarns_[yarn], all);
  if (piece_.loom.kind == piece::LoomKind::Beam) {
    all.push_back({Local::WarpSpacing, index_of(Shared::DrawIn), -1.0 / (1.0 - draw_in_)});
  }
  hold_rows(work, part, all);
  hold_take(take_coefficient(work, part), yarn, all);
  all.push_back({Local::Tail, index_of(Shared::Tail), 1.0});
  all.push_back({Local::WorkingLength, index_of(Shared::WorkingLength), 1.0});
  all.push_back({Local::Trim, index_of(Shared::Trim), 1.0});
  return all;
}

const technique::Strand& PieceModel::strand(const BandYarn& one) const {
  const technique::Strand* found = nullptr;
  std::size_t part = 0;
  for_each_strand(piece_.bands[one.band].work, [&](const technique::Strand& strand) {
    if (part++ == one.part) found = &strand;
  });
  return *found;
}

/// Strips of a split roving are uneven each on its own: of n strips the mean is sqrt(n) times as
/// even.
void PieceModel::hold_strips(BandYarn& one, double strips) const {
  if (strand(one).split_into < 2) return;
  one.holds.push_back(
      {Local::Take, index_of(OfYarn::Split, one.yarn), 1.0 / std::sqrt(std::max(1.0, strips))});
}

namespace {
/// Where a band can be woven; otherwise its own complaint says so.
std::optional<Worked<double>> worked_if_it_can(const technique::Work& work, const BandYarn& one) {
  try {
    return work_band(work, one, one.medians);
  } catch (const OutOfRange&) {
    return std::nullopt;
  }
}
}  // namespace

/// The weft and the rows of the edge, and what those rows hang on. Where the band itself cannot be
/// woven, its rows are taken as thick as the weft, so that the stitch's own faults are found.
void PieceModel::set_edge(BandYarn& hem, const piece::SewnEdge& edge) const {
  const technique::Work& sewn = piece_.bands[edge.band].work;
  const auto first =
      std::lower_bound(band_yarns_.begin(), band_yarns_.end(), edge.band,
                       [](const BandYarn& one, std::size_t band) { return one.band < band; });
  const technique::Strand& weft = std::get<technique::Woven>(sewn).areas.at(0).strand;
  hem.edge.weft = yarn::side_by_side_diameter(first->medians.strand_diameter, weft.held);
  hem.edge.row_spacing = hem.edge.weft;
  hold_rows(sewn, 0, hem.holds);
  const std::optional<Worked<double>> worked = worked_if_it_can(sewn, *first);
  if (!worked) return;
  hem.edge.row_spacing = worked->row_spacing;
  const auto& stitch = std::get<technique::Hemstitch>(piece_.bands[hem.band].work);
  if (stitch.rows_deep > worked->rows) {
    throw OutOfRange(fmt::format("stitches {} rows deep, and band {} has {:.0f}; take fewer",
                                 stitch.rows_deep, edge.band + 1, worked->rows));
  }
}

void PieceModel::set_edges(std::vector<Complaint>& complaints) {
  for (BandYarn& one : band_yarns_) {
    const piece::Band& band = piece_.bands[one.band];
    if (!std::holds_alternative<technique::Hemstitch>(band.work)) continue;
    try {
      set_edge(one, piece::sewn_edge(piece_, one.band));
    } catch (const OutOfRange& refusal) {
      complaints.push_back({piece_.file, band.line, 0,
                            fmt::format("band {} (hemstitch, {}): {}", one.band + 1,
                                        yarns_[one.yarn]->id, refusal.told(shown_))});
    }
  }
}

namespace {

/// What she sets in place of ends that lie too close: notches left out, or a sett in the loom,
/// before the cloth draws in, down to what can be set.
std::string sett_to_set(const piece::Loom& loom, const ThreadDensity<>& in_cloth, double draw_in,
                        LengthShown shown) {
  if (loom.kind == piece::LoomKind::Notched) {
    const int every = static_cast<int>(std::ceil(1.0 / in_cloth / loom.pitch - 1e-9));
    return fmt::format("write every = {0} under [loom], an end in every {0} notches", every);
  }
  const bool metric = shown == LengthShown::Centimetres;
  const ThreadDensity<> in_loom = (1.0 - draw_in) * in_cloth;
  const double sett = metric ? in_per_cm(in_loom) : in_per_inch(in_loom);
  const double step = metric ? 0.1 : 0.5;
  return fmt::format("set no more than {:.1f} per {} in the loom",
                     std::max(step, step * std::floor(sett / step + 1e-9)), metric ? "cm" : "inch");
}

}  // namespace

void PieceModel::plan_bands(std::vector<BandYarn>& bands, std::vector<Worked<double>>& planned,
                            std::vector<Complaint>& complaints) const {
  planned.reserve(bands.size());
  for (BandYarn& one : bands) {
    const piece::Band& band = piece_.bands[one.band];
    try {
      planned.push_back(work_band(band.work, one, one.medians));
      one.medians.planned = technique::Planned{planned.back().row_spacing, one.medians.tail,
                                               one.medians.working_length};
      hold_strips(one, planned.back().lengths);
      sort_holds(one.holds);
    } catch (const OutOfRange& refusal) {
      const auto* too_close = dynamic_cast<const cloth::CannotBeWoven*>(&refusal);
      const std::string instead =
          too_close == nullptr
              ? ""
              : ": " + sett_to_set(piece_.loom, too_close->closest_sett(), draw_in_, shown_);
      complaints.push_back(
          {piece_.file, band.line, 0,
           fmt::format("band {} ({}, {}): {}{}", one.band + 1, technique::name_of(band.work),
                       all_yarns_[one.yarn]->id, refusal.told(shown_), instead)});
    }
  }
}

/// All ends are cut to one length, so that of parts side by side the one that takes most of an end
/// rules.
void PieceModel::settle_warp(std::vector<BandYarn>& bands,
                             const std::vector<Worked<double>>& planned) const {
  const auto end_length = [&](std::size_t i) {
    const BandYarn& one = bands[i];
    const auto end =
        std::visit(EndThrough<double>{planned[i], one.medians, one.part, piece_.warp.ends},
                   piece_.bands[one.band].work);
    return end.straight + end.crimp;
  };
  for (std::size_t first = 0, next = 0; first < bands.size(); first = next) {
    std::size_t longest = first;
    const bool is_stacked = technique::is_stacked(piece_.bands[bands[first].band].work);
    for (next = first; next < bands.size() && bands[next].band == bands[first].band; ++next) {
      bands[next].rules_warp = is_stacked;
      if (next > first && end_length(longest) < end_length(next)) longest = next;
    }
    bands[longest].rules_warp = true;
  }
}

void PieceModel::settle_bands(std::vector<BandYarn>& bands,
                              const std::vector<Worked<double>>& planned) const {
  settle_warp(bands, planned);
  for (std::size_t i = 0; i < bands.size(); ++i) settle_bending(bands[i], planned[i]);
}

/// Strands of twining turn about each other, so that their rows are as high as the thickest makes
/// them.
void PieceModel::level_twining() {
  for (std::size_t i = 1; i < band_yarns_.size(); ++i) {
    const std::size_t band = band_yarns_[i].band;
    if (!std::holds_alternative<technique::Twining>(piece_.bands[band].work)) continue;
    const std::size_t first = i - band_yarns_[i].part;
    const auto thickest = std::max_element(
        planned_.begin() + static_cast<std::ptrdiff_t>(first),
        planned_.begin() + static_cast<std::ptrdiff_t>(i) + 1,
        [](const auto& a, const auto& b) { return a.row_spacing < b.row_spacing; });
    const Length<> row = thickest->row_spacing;
    for (std::size_t part = first; part <= i; ++part) {
      planned_[part].row_spacing = row;
      planned_[part].height = row * planned_[part].rows;
    }
  }
}

void PieceModel::plan_heights() {
  level_twining();
  heights_.clear();
  heights_.reserve(piece_.bands.size());
  for (const piece::Band& band : piece_.bands) {
    const auto* gap = std::get_if<technique::Gap>(&band.work);
    heights_.push_back(gap != nullptr ? gap->height : Length<>());
  }
  add_heights(band_yarns_, planned_);
  add_heights(lent_yarns_, lent_planned_);
}

void PieceModel::add_heights(const std::vector<BandYarn>& bands,
                             const std::vector<Worked<double>>& planned) {
  for (std::size_t i = 0; i < bands.size(); ++i) {
    const std::size_t band = bands[i].band;
    const auto* wrapping = std::get_if<technique::Wrapping>(&piece_.bands[band].work);
    if (wrapping != nullptr && !technique::takes_up_warp(*wrapping, piece_.warp.ends)) continue;
    const bool stacked = technique::is_stacked(piece_.bands[band].work);
    const Length<> so_far = heights_[band];
    heights_[band] = stacked ? so_far + planned[i].height : std::max(so_far, planned[i].height);
  }
}

Length<> PieceModel::loom_width() const {
  Length<> thickest;
  for (const BandYarn& one : band_yarns_) {
    const auto woven = technique::woven_part(piece_.bands[one.band].work, one.part);
    if (woven.cloth == nullptr) continue;
    thickest =
        std::max(thickest, yarn::side_by_side_diameter(one.medians.strand_diameter,
                                                       woven.cloth->areas[woven.area].strand.held));
  }
  const double flatness = yarns_[warp_yarn()]->width_over_thickness;
  const Length<> end = cloth::lying_flat(end_diameter_, flatness).width;
  return technique::woven_width(piece_.warp.ends, warp_spacing_, end, thickest);
}

technique::KnottedEdge PieceModel::knotted_edge(const piece::EdgeKnots& knots) const {
  return {knots.tied, piece_.warp.ends, knots.ends_per_knot, piece_.warp.held};
}

/// The doubt is that of what she lays, of the knot and of how thick the warp lies.
PieceModel::EdgeKnot PieceModel::edge_knot(const piece::EdgeKnots& knots) const {
  constexpr double kNineteenIn20 = 1.6449;  // normal score
  Lie<double> lie;
  lie.warp_diameter = end_diameter_;
  lie.take = edge_knot_take_;
  const auto spread = [&](std::size_t coefficient) { return coefficients_.spreads[coefficient]; };
  double variance = edge_knot_log_sd_ * edge_knot_log_sd_;
  for (const std::size_t c :
       {index_of(Shared::Hand), index_of(Shared::Weaver), index_of(Shared::PieceTake),
        index_of(OfYarn::Thickness, warp_yarn())}) {
    variance += spread(c) * spread(c);
  }
  EdgeKnot knot;
  knot.plan = technique::room_to_tie(knotted_edge(knots), lie, Length<>());
  knot.high = std::exp(kNineteenIn20 * std::sqrt(variance)) * knot.plan;
  knot.needed = std::max(knot.plan + tie_hold_, knot.high);
  return knot;
}

/// A beam warp leaves half its fringe at each edge.
Length<> PieceModel::room_to_tie(const piece::EdgeKnots& knots) const {
  if (is_beam()) return 0.5 * piece_.warp.fringe;
  return knots.room.value_or(std::max(tie_room_, edge_knot(knots).needed));
}

/// Refuses room that a knot would use up; less than it wants is warned of elsewhere.
void PieceModel::require_room_to_tie(std::vector<Complaint>& complaints) const {
  if (is_beam()) return;
  const auto require = [&](const std::optional<piece::EdgeKnots>& knots, const char* edge) {
    if (!knots) return;
    const EdgeKnot knot = edge_knot(*knots);
    const Length<> room = room_to_tie(*knots);
    if (!(room < knot.plan)) return;
    const auto size = [&](const Length<>& length) { return in_unit(cloth_size(length), shown_); };
    complaints.push_back(
        {piece_.file, knots->line, 0,
         fmt::format("{}: a knot of {} ends takes {} of each, and {} are left to tie it: {} are "
                     "missing; leave {} or more, or take fewer ends in a knot",
                     edge, knots->ends_per_knot, size(knot.plan), size(room),
                     size(knot.plan - room), size(knot.needed))});
  };
  require(piece_.finish.bottom, "bottom");
  require(piece_.finish.top, "top");
}

void PieceModel::plan_cord(const Workshop& workshop, std::vector<Complaint>& complaints) {
  const piece::Finish& finish = piece_.finish;
  if (!finish.cord) return;
  const piece::Cord& said = *finish.cord;
  cord_yarn_.yarn = yarn_places_.at(said.strand.yarn);
  cord_yarn_.medians.strand_diameter = diameters_[cord_yarn_.yarn];
  cord_yarn_.medians.take = workshop.values.median("take.cord");
  hold_thickness(Local::StrandDiameter, cord_yarn_.yarn, *yarns_[cord_yarn_.yarn],
                 cord_yarn_.holds);
  hold_take(Shared::TakeCord, cord_yarn_.yarn, cord_yarn_.holds);
  sort_holds(cord_yarn_.holds);
  move_to_means(cord_yarn_, coefficients_.means);

  technique::HangingCord cord{said.strand,
                              said.plies,
                              said.twist,
                              Length<>(),
                              said.rise,
                              said.wraps_at_each_tie,
                              finish.rod.value_or(Length<>()),
                              Length<>()};
  const Length<> hold = metres(workshop.values.median("tie_hold"));
  try {
    const Length<> width =
        loom_width() * ((1.0 - relaxation_) * (1.0 - shrinkage_) * (1.0 + blocked()));
    cord.tie_distance = said.tie_distance.value_or(finish.rod_length.value_or(width));
    cord.knots = said.knots.value_or(
        technique::usual_cord_knots(cord, cord_yarn_.medians.strand_diameter, hold));
    technique::cord_cut(cord, cord_yarn_.medians);
  } catch (const OutOfRange& refusal) {
    complaints.push_back({piece_.file, said.line, 0,
                          fmt::format("cord of {}: {}", said.strand.yarn, refusal.told(shown_))});
    return;
  }
  cord_yarn_.medians.planned = technique::Planned{};
  cord_ = cord;
}

void PieceModel::set_allowances(const Workshop& workshop) {
  const piece::Habits habits = piece_.habits.or_else(workshop.habits);
  allowances_.spare_ends = habits.spare_warp_ends.value_or(0);
  allowances_.broken_ends = habits.broken_ends.value_or(0);
  if (habits.repair_length) allowances_.repair_length = *habits.repair_length;
  allowances_.unpicking = habits.unpicking.value_or(0.0);
  allowances_.sampling = habits.sampling.value_or(Length<>());
}

/// A sample strip over all that is worked and stays: what it takes of every weft.
double PieceModel::sampling_share() const {
  Length<> woven;
  for (std::size_t b = 0; b < heights_.size(); ++b) {
    const bool bare = std::holds_alternative<technique::Gap>(piece_.bands[b].work);
    if (!bare && !piece_.bands[b].comes_out) woven += heights_[b];
  }
  return woven.si() > 0.0 ? allowances_.sampling / woven : 0.0;
}

namespace {

void refuse_knotted_warp(const Length<>& whole, double knots_per_metre, YarnShown shown,
                         const std::string& file) {
  if (in_metres(whole) * knots_per_metre <= technique::kMostKnotsInACut) return;
  throw BadInput({{file, 0, 0,
                   fmt::format("the warp needs {} without a knot, and its put-ups have one "
                               "every {} (knots_per_100_m in yarns.csv); warp with another "
                               "yarn, or make the warp shorter",
                               yarn_told(whole, shown, 3),
                               yarn_told(metres(1.0 / knots_per_metre), shown, 3))}});
}

}  // namespace

/// Spare and mended ends, the warp of a sample on a beam loom (on a fixed span it is woven on the
/// same warp), and the knots its put-ups have: sure as the plan is.
void PieceModel::plan_warp_allowances() {
  const Length<> woven_warp = warp_through(band_yarns_, planned_);
  Length<> not_woven = warp_through(lent_yarns_, lent_planned_);
  const double strands = static_cast<double>(piece_.warp.ends) * piece_.warp.held;
  const double knots = yarns_[warp_yarn()]->knots_per_metre;
  Length<> knotted;
  if (is_beam()) {
    not_woven += technique::beam_warp_rest_yarn(beam_warp(piece_)).total();
    sampled_end_ = sampling_share() * woven_warp / strands;
    end_length_ = (woven_warp + not_woven) / strands + sampled_end_;
    knotted = technique::knots_in_cuts(strands, end_length_, knots);
    refuse_knotted_warp(end_length_, knots, amounts_shown_.yarn, piece_.file);
  } else {
    end_length_ = piece_.loom.span / (1.0 + stretch_) + 2.0 * tie_;
    const Length<> pass = (piece_.loom.span + warp_spacing_) / (1.0 + stretch_);
    knotted = technique::knots_in_wound_warp(strands, pass, tie_, knots);
    refuse_knotted_warp(pass, knots, amounts_shown_.yarn, piece_.file);
  }
  if (!(allowances_.repair_length.si() > 0.0)) allowances_.repair_length = end_length_;
  const auto add = [&](technique::Cause cause, const Length<>& length) {
    if (length.si() > 0.0) {
      warp_allowances_.push_back({0, warp_yarn(), cause, Portion::Allowance, length});
    }
  };
  const int held = piece_.warp.held;
  add(technique::Cause::SpareEnds, allowances_.spare_ends * held * end_length_);
  add(technique::Cause::BrokenEnds, allowances_.broken_ends * held * allowances_.repair_length);
  add(technique::Cause::Sampling, strands * sampled_end_);
  add(technique::Cause::Knots, knotted);
}

}  // namespace ellwand::estimate
