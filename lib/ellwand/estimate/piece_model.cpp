#include "ellwand/estimate/piece_model.hpp"

#include "ellwand/cloth/jam.hpp"
#include "ellwand/cloth/racetrack.hpp"
#include "ellwand/estimate/doubt_points.hpp"
#include "ellwand/numeric/dual.hpp"
#include "ellwand/technique/put_up_knots.hpp"
#include "ellwand/technique/warp.hpp"
#include "ellwand/units/plain_digits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <unordered_set>
#include <utility>

namespace ellwand::estimate {

namespace {

using technique::Counting;
using technique::Entries;
using technique::for_each_strand;
using technique::Lie;
using technique::Portion;

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
void hold_rows(const technique::Work& work, std::size_t part, std::vector<Hold>& holds) {
  std::visit(HoldRows{part, holds}, work);
}

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

/// The local factors as numbers with slopes by their own logarithms.
std::array<Dual, kLocals> sloping_factors() {
  std::array<Dual, kLocals> factors;
  for (std::size_t i = 0; i < kLocals; ++i) factors[i] = Dual::variable(1.0, i);
  return factors;
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

/// One end of a beam warp through one band: of a woven band its crimp as well.
template <class Scalar>
struct EndThrough {
  const Worked<Scalar>& worked;
  const Lie<Scalar>& lie;
  std::size_t part;
  int warp_ends;

  technique::WovenEnd<Scalar> operator()(const technique::Woven& band) const {
    const auto crimp = technique::warp_crimp(band, lie, worked.row_spacing);
    return {worked.height, worked.height * crimp.over_cloth};
  }
  technique::WovenEnd<Scalar> operator()(const technique::KnottedFringe&) const {
    return straight();
  }
  technique::WovenEnd<Scalar> operator()(const technique::Soumak&) const { return straight(); }
  technique::WovenEnd<Scalar> operator()(const technique::Twining&) const { return straight(); }
  technique::WovenEnd<Scalar> operator()(const technique::LoopedPile&) const { return straight(); }
  technique::WovenEnd<Scalar> operator()(const technique::Wrapping& wrapping) const {
    if (technique::takes_up_warp(wrapping, warp_ends)) return straight();
    return {Length<Scalar>(), Length<Scalar>()};
  }
  technique::WovenEnd<Scalar> operator()(const technique::KnottedPile& pile) const {
    return part == technique::KnottedPile::kKnots ? straight() : (*this)(pile.ground);
  }
  technique::WovenEnd<Scalar> operator()(const technique::Gap&) const { return straight(); }
  technique::WovenEnd<Scalar> operator()(const technique::Hemstitch&) const { return straight(); }

  technique::WovenEnd<Scalar> straight() const { return {worked.height, Length<Scalar>()}; }
};

technique::SpannedWarp spanned_warp(const piece::Piece& piece, const Length<>& tie) {
  return {piece.warp.ends, piece.warp.held, piece.loom.span, tie};
}

/// Bands of bare warp, together.
Length<> bare_bands(const piece::Piece& piece) {
  Length<> all;
  for (const piece::Band& band : piece.bands) {
    if (const auto* gap = std::get_if<technique::Gap>(&band.work)) all += gap->height;
  }
  return all;
}

/// Of a beam warp what a band takes of it hangs on: not what it has beyond them.
technique::BeamWarp beam_warp_ends(const piece::Piece& piece) {
  return {piece.warp.ends, piece.warp.held, Length<>(), Length<>(), Length<>()};
}

technique::BeamWarp beam_warp(const piece::Piece& piece) {
  return {piece.warp.ends, piece.warp.held, piece.warp.gaps + bare_bands(piece), piece.warp.fringe,
          piece.warp.loom_waste.value_or(Length<>()) + piece.loom.header};
}

}  // namespace

namespace {

PieceYarns find_yarns(const piece::Piece& piece, const YarnTable& table) {
  PieceYarns found;
  std::vector<Complaint> complaints;
  std::unordered_set<std::string> met;
  const auto need = [&](const std::string& id, int line) {
    if (met.count(id) > 0) return;
    const auto row = table.find(id);
    if (row == table.end()) {
      complaints.push_back({piece.file, line, 0,
                            fmt::format("there is no yarn '{}' in the studio's yarn table; add it "
                                        "there or use the id of one that is",
                                        id)});
    } else {
      met.insert(id);
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
      yarns_(yarns.all.begin(), yarns.all.begin() + static_cast<std::ptrdiff_t>(yarns.staying)),
      all_yarns_(std::move(yarns.all)),
      coefficients_(coefficients != nullptr ? *coefficients
                                            : coefficients_of(piece, workshop, all_yarns_)) {
  for (std::size_t y = 0; y < all_yarns_.size(); ++y) yarn_places_.emplace(all_yarns_[y]->id, y);
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
  for (std::size_t i = 1; i < yarns_.size(); ++i) wool = wool || is_felting(*yarns_[i]);
  const double washing = values.median(wool ? row("washing.wool") : row("washing.other"));
  shrinkage_ = finish.washing == piece::Washing::None ? 0.0 : finish.shrinkage.value_or(washing);

  const piece::Habits habits = piece_.habits.or_else(workshop.habits);
  waste_share_ = habits.waste_share.value_or(values.median(row("waste.share"))) *
                 std::exp(mean(Shared::WasteShare));
  waste_per_colour_ =
      habits.waste_per_colour.value_or(metres(values.median(row("waste.per_colour")))) *
      std::exp(mean(Shared::WastePerColour));
}

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
    std::vector<BandYarn>& bands = band.comes_out ? lent_yarns_ : band_yarns_;
    std::size_t part = 0;
    for_each_strand(band.work, [&](const technique::Strand& strand) {
      bands.push_back(band_yarn(b, part++, strand, workshop, usual));
    });
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
  const piece::Carrier carrier = habits.carrier.value_or(usual_carrier(piece_.loom.kind));

  BandYarn one;
  one.band = band;
  one.part = part;
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
  lie.working_length = habits.working_length.value_or(usual.working_length(carrier));
  move_to_means(one, coefficients_.means);
  return one;
}

namespace {

/// What a band's yarn hangs on in all, its strips among it.
constexpr std::size_t kMostHolds = 18;

/// How thick a yarn lies: of itself and, unless that was measured, as its lot strays.
void hold_thickness(Local local, std::size_t which, const yarn::Yarn& yarn,
                    std::vector<Hold>& holds) {
  holds.push_back({local, index_of(OfYarn::Thickness, which), 1.0});
  if (!yarn.measured_diameter) holds.push_back({local, index_of(OfYarn::Lot, which), 0.5});
}

/// How much of a yarn a work takes.
void hold_take(Shared of_work, std::size_t yarn, std::vector<Hold>& holds) {
  for (const Shared which : {Shared::Hand, of_work, Shared::Weaver, Shared::PieceTake}) {
    holds.push_back({Local::Take, index_of(which), 1.0});
  }
  holds.push_back({Local::Take, index_of(OfYarn::Take, yarn), 1.0});
}

}  // namespace

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
  hold_take(std::visit(TakeOf{part}, work), yarn, all);
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

/// Rising by coefficient.
void sort_holds(std::vector<Hold>& holds) {
  std::sort(holds.begin(), holds.end(), [](const Hold& a, const Hold& b) {
    return a.coefficient != b.coefficient ? a.coefficient < b.coefficient : a.local < b.local;
  });
}

/// How near a work is to lying in another way, as technique::nearest_change has it.
struct NearestChange {
  const BandYarn& one;

  double operator()(const technique::Woven& band) const {
    return technique::nearest_change(band, one.part, one.medians);
  }
  double operator()(const technique::KnottedPile& pile) const {
    if (one.part == technique::KnottedPile::kKnots) return technique::kFar;
    return technique::nearest_change(pile.ground, 0, one.medians);
  }
  double operator()(const technique::Gap&) const { return technique::kFar; }
  double operator()(const technique::Hemstitch&) const { return technique::kFar; }
  double operator()(const technique::KnottedFringe&) const { return technique::kFar; }
  double operator()(const technique::Soumak& soumak) const {
    return technique::nearest_change(soumak, one.medians);
  }
  double operator()(const technique::Twining& twining) const {
    return technique::nearest_change(twining, one.medians);
  }
  double operator()(const technique::LoopedPile& pile) const {
    return technique::nearest_change(pile, one.medians, one.row_height);
  }
  double operator()(const technique::Wrapping&) const { return technique::kFar; }
};

/// Nearer than this many log-sds of its geometry, a change may bend a band's yarn.
constexpr double kNearChange = 1.0;
/// No doubt is as wide as this.
constexpr double kFarChange = 3.0;
/// @param log_sds  of the local factors it can bend in, taken as independent
bool is_near(double change, const std::array<double, kBending.size()>& log_sds) {
  const double all =
      std::sqrt(std::inner_product(log_sds.begin(), log_sds.end(), log_sds.begin(), 0.0));
  return change < kNearChange * all;
}

}  // namespace

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

/// Up to here a logarithm that leaves its straight line is taken for the line nearest to it: where
/// it turns sharply at its median, it then strays from that by a log-sd of 0.4 %.
constexpr double kNoticeably = 0.01;

/// What a band's yarn comes to where one of the local factors it can bend in lies so many log-sds
/// below or above its median, all others at theirs.
class Around {
 public:
  /// @param amounts_at  given local factors
  template <class AmountsAt>
  Around(const std::array<double, kBending.size()>& log_sds, const AmountsAt& amounts_at)
      : log_sds_(log_sds) {
    std::array<double, kLocals> factors;
    factors.fill(1.0);
    middle_ = logs_of(amounts_at(factors));
    for (std::size_t i = 0; i < kBending.size(); ++i) {
      if (log_sds[i] == 0.0) continue;
      double& factor = factors[static_cast<std::size_t>(kBending[i])];
      factor = std::exp(-kScore * log_sds[i]);
      below_[i] = logs_of(amounts_at(factors));
      factor = std::exp(kScore * log_sds[i]);
      above_[i] = logs_of(amounts_at(factors));
      factor = 1.0;
    }
  }

  /// By how much the logarithm of the yarn, or of the warp, leaves its straight line within nine
  /// tenths of the doubt about any one local factor.
  double most_off() const { return std::max(most_off(kWeft), most_off(kWarp)); }

  /// Of each portion and then of the warp.
  std::vector<NearestLine> lines() const {
    std::vector<NearestLine> all(technique::kPortions + 1);
    for (std::size_t p = 0; p < all.size(); ++p) all[p] = line(p);
    return all;
  }

 private:
  static constexpr double kScore = 1.645;
  /// A portion further from its line is hardly there at the medians, and little of the yarn.
  static constexpr double kMostShift = 0.1;
  static constexpr std::size_t kWarp = technique::kPortions;
  static constexpr std::size_t kWeft = kWarp + 1;  // all portions together
  using Logs = std::array<double, kWeft + 1>;      // -inf where there is nothing

  static Logs logs_of(const BandAmounts<double>& amounts) {
    const auto& portions_m = amounts.portions_m;
    Logs logs;
    std::transform(portions_m.begin(), portions_m.end(), logs.begin(),
                   [](double x) { return std::log(x); });
    logs[kWarp] = std::log(amounts.warp_m);
    logs[kWeft] = std::log(std::accumulate(portions_m.begin(), portions_m.end(), 0.0));
    return logs;
  }

  double off(std::size_t which, std::size_t local) const {
    return 0.5 * (below_[local][which] + above_[local][which]) - middle_[which];
  }
  double most_off(std::size_t which) const {
    double most = 0.0;
    for (std::size_t i = 0; i < kBending.size() && std::isfinite(middle_[which]); ++i) {
      if (log_sds_[i] > 0.0) most = std::max(most, std::abs(off(which, i)));
    }
    return most;
  }

  /// Through what lies around: exact for a parabola, whose mean over the doubt is off by off() /
  /// kScore^2 from its middle.
  NearestLine line(std::size_t which) const {
    NearestLine line;
    line.is_there = std::isfinite(middle_[which]);
    for (std::size_t i = 0; i < kBending.size() && line.is_there; ++i) {
      if (log_sds_[i] == 0.0) continue;
      line.shift += off(which, i) / (kScore * kScore);
      line.slopes[i] = (above_[i][which] - below_[i][which]) / (2.0 * kScore * log_sds_[i]);
      line.is_there = std::abs(line.shift) <= kMostShift && std::isfinite(line.slopes[i]);
    }
    return line;
  }

  std::array<double, kBending.size()> log_sds_;
  Logs middle_{};
  std::array<Logs, kBending.size()> below_{};
  std::array<Logs, kBending.size()> above_{};
};

}  // namespace

/// Looks around a band that lies near a change, or whose threads are pressed.
void PieceModel::settle_bending(BandYarn& one, const Worked<double>& worked) const {
  const bool pressed = worked.flattened || worked.rows_need_room;
  const double change = std::visit(NearestChange{one}, piece_.bands[one.band].work);
  if (!pressed && change >= kFarChange) return;
  const std::array<double, kBending.size()> log_sds = bending_log_sds(one, coefficients_);
  if (!pressed && !is_near(change, log_sds)) return;
  const Around around(log_sds, [&](const auto& factors) { return amounts_at(one, factors); });
  one.bends = around.most_off() > kNoticeably;
  if (!one.bends) one.lines = around.lines();
}

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
      settle_bending(one, planned.back());
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

void refuse_knotted_warp(const Length<>& whole, double knots_per_metre, const std::string& file) {
  if (in_metres(whole) * knots_per_metre <= technique::kMostKnotsInACut) return;
  throw BadInput(
      {{file, 0, 0,
        fmt::format("the warp needs {} m without a knot, and its put-ups have one "
                    "every {} m (knots_per_100_m in yarns.csv); warp with another "
                    "yarn, or make the warp shorter",
                    plain_digits(in_metres(whole)), plain_digits(1.0 / knots_per_metre))}});
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
    refuse_knotted_warp(end_length_, knots, piece_.file);
  } else {
    end_length_ = piece_.loom.span / (1.0 + stretch_) + 2.0 * tie_;
    const Length<> pass = (piece_.loom.span + warp_spacing_) / (1.0 + stretch_);
    knotted = technique::knots_in_wound_warp(strands, pass, tie_, knots);
    refuse_knotted_warp(pass, knots, piece_.file);
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

/// What of a yarn is spoilt when it is unpicked: of spun yarn, which is laid again, the tails of
/// its lengths; of roving, which falls apart, all.
bool PieceModel::is_unpicked(const Portion& portion, std::size_t yarn) const {
  const bool is_tail = portion == Portion::Tails || portion == Portion::HalfLength;
  return is_tail || yarns_[yarn]->kind == yarn::Kind::Roving;
}

void PieceModel::add_allowances(std::vector<LedgerLine>& lines) const {
  std::vector<Length<>> used(yarns_.size());
  std::vector<Length<>> unpicked(yarns_.size());
  for (const LedgerLine& line : lines) {
    if (line.band == 0) continue;
    used[line.yarn] += line.length;
    if (is_unpicked(line.portion, line.yarn)) unpicked[line.yarn] += line.length;
  }
  const auto add = [&](std::size_t yarn, technique::Cause cause, const Length<>& length) {
    if (length.si() > 0.0) lines.push_back({0, yarn, cause, Portion::Allowance, length});
  };
  const double sampled = sampling_share();
  for (std::size_t y = 0; y < yarns_.size(); ++y) {
    add(y, technique::Cause::Unpicking, allowances_.unpicking * unpicked[y]);
    add(y, technique::Cause::Sampling, sampled * used[y]);
  }
  lines.insert(lines.end(), warp_allowances_.begin(), warp_allowances_.end());
}

/// Those of the bands and of the cord.
std::vector<bool> PieceModel::waste_yarns() const {
  std::vector<bool> all(yarns_.size(), false);
  for (const BandYarn& one : band_yarns_) all[one.yarn] = true;
  if (cord_) all[cord_yarn_.yarn] = true;
  return all;
}

namespace {

void add_entries(int band, std::size_t yarn, const Entries<double>& entries,
                 std::vector<LedgerLine>& lines) {
  for (const auto& entry : entries) {
    lines.push_back({band, yarn, entry.cause, entry.portion, entry.yarn});
  }
}

void add_waste(std::size_t yarn, Portion portion, const Length<>& length,
               std::vector<LedgerLine>& lines) {
  if (length.si() > 0.0) lines.push_back({0, yarn, technique::Cause::Waste, portion, length});
}

}  // namespace

/// Whether a beam warp runs through this part of its band: parts side by side share one height.
bool PieceModel::takes_beam_warp(const BandYarn& one) const {
  return is_beam() && (one.part == 0 || technique::is_stacked(piece_.bands[one.band].work));
}

/// The band's own yarn, and of a beam warp what the band takes of it.
void PieceModel::add_band(const BandYarn& one, const Worked<double>& worked, const Lie<double>& lie,
                          std::vector<LedgerLine>& lines) const {
  add_entries(static_cast<int>(one.band) + 1, one.yarn, worked.entries, lines);
  add_warp_through(one, worked, lie, lines);
}

void PieceModel::add_warp_through(const BandYarn& one, const Worked<double>& worked,
                                  const Lie<double>& lie, std::vector<LedgerLine>& lines) const {
  if (!takes_beam_warp(one)) return;
  const auto end = std::visit(EndThrough<double>{worked, lie, one.part, piece_.warp.ends},
                              piece_.bands[one.band].work);
  add_entries(0, warp_yarn(), technique::beam_warp_band_yarn(beam_warp_ends(piece_), end), lines);
}

Length<> PieceModel::warp_through(const std::vector<BandYarn>& bands,
                                  const std::vector<Worked<double>>& planned) const {
  std::vector<LedgerLine> lines;
  for (std::size_t i = 0; i < bands.size(); ++i) {
    add_warp_through(bands[i], planned[i], bands[i].medians, lines);
  }
  Length<> all;
  for (const LedgerLine& line : lines) all += line.length;
  return all;
}

void PieceModel::add_cord(const std::vector<double>& deviations,
                          std::vector<LedgerLine>& lines) const {
  if (!cord_) return;
  const Lie<double> lie = lie_with(cord_yarn_.medians, local_factors(cord_yarn_, deviations));
  add_entries(0, cord_yarn_.yarn, technique::cord_yarn(*cord_, lie), lines);
}

/// What is not of one band: the cord, the rest of the warp, and waste on all that was worked.
void PieceModel::add_warp_and_waste(const std::vector<double>& deviations,
                                    std::vector<LedgerLine>& lines) const {
  if (is_beam()) {
    add_entries(0, warp_yarn(), technique::beam_warp_rest_yarn(beam_warp(piece_)), lines);
  } else {
    const double stretch = stretch_ + deviations[index_of(Shared::Stretch)];
    add_entries(0, warp_yarn(),
                technique::spanned_warp_yarn(spanned_warp(piece_, tie_), warp_spacing_, stretch),
                lines);
  }
  add_cord(deviations, lines);
  std::vector<Length<>> used(yarns_.size());
  for (const LedgerLine& line : lines) {
    if (is_worked(line.band, line.portion)) used[line.yarn] += line.length;
  }
  const double share = waste_share_ * std::exp(deviations[index_of(Shared::WasteShare)]);
  const double fixed = std::exp(deviations[index_of(Shared::WastePerColour)]);
  const std::vector<bool> wasted = waste_yarns();
  for (std::size_t y = 0; y < yarns_.size(); ++y) {
    if (!wasted[y]) continue;
    add_waste(y, Portion::WasteShare, share * used[y], lines);
    add_waste(y, Portion::WastePerColour, fixed * waste_per_colour_, lines);
  }
  add_allowances(lines);
}

std::vector<LedgerLine> PieceModel::plan() const {
  std::vector<LedgerLine> lines;
  lines.reserve(8 * (band_yarns_.size() + yarns_.size()));
  for (std::size_t i = 0; i < band_yarns_.size(); ++i) {
    add_band(band_yarns_[i], planned_[i], band_yarns_[i].medians, lines);
  }
  for (std::size_t i = 0; i < lent_yarns_.size(); ++i) {
    add_warp_through(lent_yarns_[i], lent_planned_[i], lent_yarns_[i].medians, lines);
  }
  add_warp_and_waste(std::vector<double>(coefficients_.size(), 0.0), lines);
  return lines;
}

std::vector<LedgerLine> PieceModel::ledger(const std::vector<double>& deviations,
                                           Counting counting) const {
  std::vector<LedgerLine> lines;
  lines.reserve(8 * (band_yarns_.size() + yarns_.size()));
  const auto at = [&](const BandYarn& one) {
    Lie<double> lie = lie_with(one.medians, local_factors(one, deviations));
    lie.counting = counting;
    return lie;
  };
  for (const BandYarn& one : band_yarns_) {
    const Lie<double> lie = at(one);
    add_band(one, work_band(piece_.bands[one.band].work, one, lie), lie, lines);
  }
  for (const BandYarn& one : lent_yarns_) {
    const Lie<double> lie = at(one);
    add_warp_through(one, work_band(piece_.bands[one.band].work, one, lie), lie, lines);
  }
  add_warp_and_waste(deviations, lines);
  return lines;
}

namespace {

/// States that stand for a doubt that bends a little, and those it takes where a part strays
/// further from its line than this variance of its logarithm.
constexpr std::size_t kFewStates = 32;
constexpr std::size_t kManyStates = 512;
constexpr double kLittleBent = 5e-4;

/// Up to this variance about its line, a log-sd of 0.3 %, a part is taken for the line alone: what
/// bends by b (z^2 - 1) / sqrt(2) moves the ends of its range by 1.2 b, 0.4 %.
constexpr double kAsGoodAsStraight = 1e-5;

/// Collects parts with slopes by the coefficients, from numbers with slopes by local factors.
class PartsBuilder {
 public:
  PartsBuilder(Parts& parts, const Coefficients& coefficients, const DoubtPoints* points,
               std::size_t most)
      : parts_(parts),
        spreads_(coefficients.spreads),
        points_(points),
        row_(coefficients.size(), 0.0) {
    parts_.coefficients = spreads_.size();
    parts_.places.reserve(most);
    parts_.medians_m.reserve(most);
    parts_.at_states_m.reserve(most);
    parts_.slopes.reserve(most, kUsualSlopes);
    met_.reserve(2 * kMostHolds);
    if (points != nullptr) set_states(*points);
  }

  /// One part per portion that is filled, and one of what a beam warp takes through the band.
  void add(const BandYarn& one, std::size_t warp_yarn, const BandParts& band) {
    add(static_cast<int>(one.band) + 1, one, band.portions);
    add_warp(one, warp_yarn, band);
  }
  void add_warp(const BandYarn& one, std::size_t warp_yarn, const BandParts& band) {
    add({0, warp_yarn, Portion::Cut}, one, band.warp);
  }

  /// One part per portion that is filled.
  void add(int band, const BandYarn& one,
           const std::array<UnsurePart, technique::kPortions>& sums) {
    for (std::size_t p = 0; p < sums.size(); ++p) {
      add({band, one.yarn, static_cast<Portion>(p), one.part}, one, sums[p]);
    }
  }

  /// A part whose slopes are still all zero.
  void open(const Parts::Place& place, double median_m) {
    close();
    parts_.places.push_back(place);
    parts_.medians_m.push_back(median_m);
    parts_.at_states_m.emplace_back();
    is_open_ = true;
  }

  /// Writes the slopes of the last part down; nothing is added to it any more.
  void close() {
    if (!is_open_) return;
    if (!std::is_sorted(met_.begin(), met_.end())) std::sort(met_.begin(), met_.end());
    columns_.clear();
    moves_.clear();
    for (const std::size_t c : met_) {
      const double move = std::exchange(row_[c], 0.0);  // met twice it is 0 by then
      if (move == 0.0) continue;
      columns_.push_back(static_cast<std::uint32_t>(c));
      moves_.push_back(move);
    }
    parts_.slopes.add({columns_, moves_});
    met_.clear();
    is_open_ = false;
  }

  /// Adds to the last part's slope by one coefficient.
  void add_slope(std::size_t coefficient, double slope) {
    add_move(coefficient, slope * spreads_[coefficient]);
  }
  /// The same for one spread of it.
  void add_move(std::size_t coefficient, double move) {
    if (row_[coefficient] == 0.0) met_.push_back(coefficient);
    row_[coefficient] += move;
  }

  /// The last part at each of the states, and the line nearest to it in the place of the one at
  /// the medians.
  void lay_line(std::vector<double> at_states_m) {
    std::vector<double> logs(at_states_m.size());
    std::transform(at_states_m.begin(), at_states_m.end(), logs.begin(),
                   [](double x) { return std::log(x); });
    const LogLine line = points_->nearest_line(logs);
    parts_.states.most_bent = std::max(parts_.states.most_bent, line.remainder);
    // Its mean is that of the states.
    parts_.medians_m.back() = std::exp(line.mean + 0.5 * line.remainder);
    for (std::size_t d = 0; d < line.slopes.size(); ++d) {
      const std::size_t c = points_->coefficients()[d];
      add_move(c, line.slopes[d] - row_[c]);
    }
    parts_.at_states_m.back() = std::move(at_states_m);
  }

 private:
  static constexpr std::size_t kUsualSlopes = 10;

  void add(const Parts::Place& place, const BandYarn& one, const UnsurePart& part) {
    if (!(part.amount.value > 0.0)) return;
    const bool bends =
        !part.at_states_m.empty() && std::all_of(part.at_states_m.begin(), part.at_states_m.end(),
                                                 [](double x) { return x > 0.0; });
    if (!bends) return add_straight(place, one, part.amount);
    open(place, part.amount.value);
    for (const Hold& hold : one.holds) {
      const double by_local = part.amount.slope[static_cast<std::size_t>(hold.local)];
      if (by_local != 0.0) add_slope(hold.coefficient, by_local / part.amount.value * hold.slope);
    }
    lay_line(part.at_states_m);
  }

  /// A band's holds are in the order of their coefficients, so that its row is written down at
  /// once.
  void add_straight(const Parts::Place& place, const BandYarn& one, const Dual& amount) {
    open(place, amount.value);
    parts_.slopes.open();
    const double per_metre = 1.0 / amount.value;
    for (std::size_t h = 0; h < one.holds.size();) {
      const std::size_t coefficient = one.holds[h].coefficient;
      double slope = 0.0;
      for (; h < one.holds.size() && one.holds[h].coefficient == coefficient; ++h) {
        const Hold& hold = one.holds[h];
        slope += amount.slope[static_cast<std::size_t>(hold.local)] * hold.slope;
      }
      parts_.slopes.put(coefficient, slope * per_metre * spreads_[coefficient]);
    }
    is_open_ = false;
  }

  void set_states(const DoubtPoints& points) {
    parts_.states.count = points.size();
    parts_.states.coefficients = points.coefficients();
    for (std::size_t k = 0; k < points.size(); ++k) {
      const auto scores = points.scores(k);
      parts_.states.scores.insert(parts_.states.scores.end(), scores.begin(), scores.end());
    }
  }

  Parts& parts_;
  const std::vector<double>& spreads_;
  const DoubtPoints* points_;           ///< none where no band bends
  std::vector<double> row_;             ///< of the part that is open, all 0 between parts
  std::vector<std::size_t> met_;        ///< where it is not 0
  std::vector<std::uint32_t> columns_;  ///< of the row that is written down
  std::vector<double> moves_;
  bool is_open_ = false;
};

/// A share of some of one yarn's parts: it moves as their sum does.
/// @param of_yarn   indices of its parts
/// @param is_share  of those places
/// @returns whether there is any
template <class IsShare>
bool add_share(std::size_t yarn, Portion portion, double share,
               std::span<const std::size_t> of_yarn, const IsShare& is_share, const Parts& used,
               PartsBuilder& builder) {
  if (!(share > 0.0)) return false;
  double used_m = 0.0;
  bool bends = false;
  for (const std::size_t i : of_yarn) {
    if (!is_share(used.places[i])) continue;
    used_m += used.medians_m[i];
    bends = bends || !used.at_states_m[i].empty();
  }
  if (!(share * used_m > 0.0)) return false;
  builder.open({0, yarn, portion}, share * used_m);
  for (const std::size_t i : of_yarn) {
    if (!is_share(used.places[i])) continue;
    const double part = used.medians_m[i] / used_m;
    const SlopeRows::Row row = used.slopes.row(i);
    for (std::size_t k = 0; k < row.columns.size(); ++k) {
      builder.add_move(row.columns[k], part * row.slopes[k]);
    }
  }
  if (bends) {
    std::vector<double> at_states_m(used.states.count, 0.0);
    for (const std::size_t i : of_yarn) {
      if (!is_share(used.places[i])) continue;
      const std::vector<double> one_m = used.at_each_state_m(i);
      for (std::size_t k = 0; k < at_states_m.size(); ++k) at_states_m[k] += share * one_m[k];
    }
    builder.lay_line(std::move(at_states_m));
  }
  return true;
}

}  // namespace

namespace {

/// The coefficients that bands bend in first, then the others.
std::vector<std::size_t> bending_first(const Parts& parts) {
  std::vector<std::size_t> order = parts.states.coefficients;
  std::vector<bool> is_first(parts.coefficients, false);
  for (const std::size_t c : order) is_first[c] = true;
  for (std::size_t c = 0; c < parts.coefficients; ++c) {
    if (!is_first[c]) order.push_back(c);
  }
  return order;
}

/// Row c, column k: how one spread of coefficient c moves with factor k.
std::vector<double> root_in(const std::vector<std::size_t>& order,
                            const std::vector<double>& correlation) {
  const std::size_t n = order.size();
  std::vector<double> ordered(n * n);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) ordered[i * n + j] = correlation[order[i] * n + order[j]];
  }
  const std::vector<double> triangle = triangular_root(ordered, n);
  std::vector<double> root(n * n);
  for (std::size_t i = 0; i < n; ++i) {
    std::copy_n(triangle.begin() + static_cast<std::ptrdiff_t>(i * n), n,
                root.begin() + static_cast<std::ptrdiff_t>(order[i] * n));
  }
  return root;
}

}  // namespace

void Parts::turn(const std::vector<double>& correlation) {
  if (correlation.empty()) return;
  const std::size_t n = coefficients;
  const std::size_t d = states.coefficients.size();
  root = root_in(bending_first(*this), correlation);
  SlopeRows all_turned;
  all_turned.reserve(size(), n);
  std::vector<double> row(n);
  for (std::size_t i = 0; i < size(); ++i) {
    std::fill(row.begin(), row.end(), 0.0);
    const SlopeRows::Row its = slopes.row(i);
    for (std::size_t k = 0; k < its.columns.size(); ++k) row[its.columns[k]] = its.slopes[k];
    // Of a part taken at states, slopes by what it bends in are by the first factors already.
    std::vector<double> turned(n, 0.0);
    const bool bends = !at_states_m[i].empty();
    std::vector<double> line(d, 0.0);
    for (std::size_t j = 0; bends && j < d; ++j) {
      std::swap(line[j], row[states.coefficients[j]]);
    }
    for (std::size_t c = 0; c < n; ++c) {
      if (row[c] == 0.0) continue;
      for (std::size_t k = 0; k < n; ++k) turned[k] += row[c] * root[c * n + k];
    }
    for (std::size_t k = 0; bends && k < states.count; ++k) {
      double log = 0.0;  // what the others move by with those it bends in
      for (std::size_t j = 0; j < d; ++j) log += turned[j] * states.scores[k * d + j];
      at_states_m[i][k] *= std::exp(log);
    }
    for (std::size_t j = 0; j < d; ++j) turned[j] += line[j];
    all_turned.add(turned);
  }
  slopes = std::move(all_turned);
  for (std::size_t j = 0; j < d; ++j) states.coefficients[j] = j;
}

namespace {

/// A matrix of rows of `n` numbers with one more column, of zeros.
std::vector<double> with_a_column(const std::vector<double>& rows, std::size_t n) {
  std::vector<double> wider;
  wider.reserve(rows.size() / n * (n + 1));
  for (std::size_t at = 0; at < rows.size(); at += n) {
    const auto row = rows.begin() + static_cast<std::ptrdiff_t>(at);
    wider.insert(wider.end(), row, row + static_cast<std::ptrdiff_t>(n));
    wider.push_back(0.0);
  }
  return wider;
}

}  // namespace

void Parts::add_cause(std::size_t yarn, double spread) {
  const std::size_t n = coefficients;
  SlopeRows wider;
  for (std::size_t i = 0; i < size(); ++i) {
    wider.add(slopes.row(i));
    if (places[i].yarn == yarn) wider.put(n, spread);
  }
  slopes = std::move(wider);
  if (!root.empty()) {
    root = with_a_column(root, n);
    root.resize((n + 1) * (n + 1), 0.0);
    root.back() = 1.0;
  }
  coefficients = n + 1;
}

Grouped parts_by_yarn(const Parts& parts, std::size_t yarns) {
  return Grouped(parts.size(), yarns, [&](std::size_t i) { return parts.places[i].yarn; });
}

SlopeRows Parts::factors_of(std::size_t coefficient, double spread) const {
  SlopeRows one;
  one.open();
  if (root.empty()) {
    one.put(coefficient, spread);
    return one;
  }
  for (std::size_t k = 0; k < coefficients; ++k) {
    one.put(k, spread * root[coefficient * coefficients + k]);
  }
  return one;
}

double Parts::covariance_with(std::size_t part, std::size_t coefficient, double spread) const {
  if (root.empty()) return spread * slopes.at(part, coefficient);
  const SlopeRows::Row row = slopes.row(part);
  const double* const moves = root.data() + coefficient * coefficients;
  double sum = 0.0;
  for (std::size_t k = 0; k < row.columns.size(); ++k) sum += row.slopes[k] * moves[row.columns[k]];
  return spread * sum;
}

std::vector<double> Parts::at_each_state_m(std::size_t part) const {
  if (!at_states_m[part].empty()) return at_states_m[part];
  const std::size_t d = states.coefficients.size();
  std::vector<double> line(d);
  for (std::size_t i = 0; i < d; ++i) line[i] = slopes.at(part, states.coefficients[i]);
  std::vector<double> all(states.count);
  for (std::size_t k = 0; k < all.size(); ++k) {
    double log = 0.0;
    for (std::size_t i = 0; i < d; ++i) log += line[i] * states.scores[k * d + i];
    all[k] = medians_m[part] * std::exp(log);
  }
  return all;
}

namespace {

std::array<UnsurePart, technique::kPortions> sums_by_portion(const Entries<Dual>& entries) {
  std::array<UnsurePart, technique::kPortions> sums;
  for (const auto& entry : entries) {
    sums[static_cast<std::size_t>(entry.portion)].amount += in_metres(entry.yarn);
  }
  return sums;
}

}  // namespace

/// What one band's yarn comes to where its local factors are these.
template <class Scalar>
BandAmounts<Scalar> PieceModel::amounts_at(const BandYarn& one,
                                           const std::array<Scalar, kLocals>& factors) const {
  const technique::Work& work = piece_.bands[one.band].work;
  Lie<Scalar> lie = lie_with(one.medians, factors);
  lie.counting = Counting::Smooth;
  const Worked<Scalar> worked = work_band(work, one, lie);
  BandAmounts<Scalar> amounts;
  for (const auto& entry : worked.entries) {
    amounts.portions_m[static_cast<std::size_t>(entry.portion)] += in_metres(entry.yarn);
  }
  if (takes_beam_warp(one)) {
    const auto end = std::visit(EndThrough<Scalar>{worked, lie, one.part, piece_.warp.ends}, work);
    amounts.warp_m = in_metres(technique::beam_warp_band_yarn(beam_warp_ends(piece_), end).total());
  }
  return amounts;
}

namespace {

void lay_nearest(const NearestLine& line, Dual& amount) {
  if (!line.is_there) return;
  amount = amount * std::exp(line.shift);
  for (std::size_t i = 0; i < kBending.size(); ++i) {
    amount.slope[static_cast<std::size_t>(kBending[i])] = line.slopes[i] * amount.value;
  }
}

void lay_nearest(const std::vector<NearestLine>& lines, BandAmounts<Dual>& amounts) {
  for (std::size_t p = 0; p < technique::kPortions; ++p) {
    lay_nearest(lines[p], amounts.portions_m[p]);
  }
  lay_nearest(lines.back(), amounts.warp_m);
}

}  // namespace

BandParts PieceModel::band_parts(const BandYarn& one, Line line, const DoubtPoints* points) const {
  BandAmounts<Dual> medians = amounts_at(one, sloping_factors());
  if (line == Line::OverTheDoubt && !one.lines.empty()) lay_nearest(one.lines, medians);
  BandParts parts;
  for (std::size_t p = 0; p < technique::kPortions; ++p) {
    parts.portions[p].amount = medians.portions_m[p];
  }
  parts.warp.amount = medians.warp_m;
  if (one.bends && points != nullptr) take_states(one, *points, parts);
  return parts;
}

void PieceModel::take_states(const BandYarn& one, const DoubtPoints& points,
                             BandParts& parts) const {
  for (std::size_t p = 0; p < technique::kPortions; ++p) {
    const bool may_come = static_cast<Portion>(p) == Portion::HalfLength;
    if (may_come || parts.portions[p].amount.value > 0.0) {
      parts.portions[p].at_states_m.resize(points.size());
    }
  }
  parts.warp.at_states_m.resize(parts.warp.amount.value > 0.0 ? points.size() : 0);
  for (std::size_t k = 0; k < points.size(); ++k) {
    const BandAmounts<double> amounts = amounts_at(one, points.factors(one, k));
    for (std::size_t p = 0; p < technique::kPortions; ++p) {
      if (!parts.portions[p].at_states_m.empty()) {
        parts.portions[p].at_states_m[k] = amounts.portions_m[p];
      }
    }
    if (!parts.warp.at_states_m.empty()) parts.warp.at_states_m[k] = amounts.warp_m;
  }
  join_half_length(parts);
}

/// Of rows so few that the half length is there in some states only, it is taken with the tails.
void PieceModel::join_half_length(BandParts& parts) {
  UnsurePart& tails = parts.portions[static_cast<std::size_t>(Portion::Tails)];
  UnsurePart& half = parts.portions[static_cast<std::size_t>(Portion::HalfLength)];
  const bool everywhere = std::all_of(half.at_states_m.begin(), half.at_states_m.end(),
                                      [](double x) { return x > 0.0; });
  if (everywhere || tails.at_states_m.empty()) return;
  tails.amount += half.amount;
  for (std::size_t k = 0; k < half.at_states_m.size(); ++k) {
    tails.at_states_m[k] += half.at_states_m[k];
  }
  half = {};
}

double PieceModel::grams_per_metre(std::size_t yarn) const {
  const double lot = coefficients_.means[index_of(OfYarn::Lot, yarn)];
  return in_grams(all_yarns_[yarn]->linear_density * metres(1.0)) * std::exp(lot);
}

PieceModel::SlopingLog PieceModel::log_height(std::size_t band) const {
  SlopingLog log;
  log.slopes.assign(coefficients_.size(), 0.0);
  Dual height;
  const BandYarn* tallest = nullptr;
  const std::vector<BandYarn>& all = piece_.bands[band].comes_out ? lent_yarns_ : band_yarns_;
  const auto first =
      std::lower_bound(all.begin(), all.end(), band,
                       [](const BandYarn& one, std::size_t at) { return one.band < at; });
  for (auto at = first; at != all.end() && at->band == band; ++at) {
    const BandYarn& one = *at;
    Lie<Dual> lie = lie_with(one.medians, sloping_factors());
    lie.counting = Counting::Smooth;
    const Dual its = in_metres(work_band(piece_.bands[band].work, one, lie).height);
    if (tallest == nullptr || height.value < its.value) {
      height = its;
      tallest = &one;
    }
  }
  if (tallest == nullptr || !(height.value > 0.0)) return log;
  log.value = std::log(height.value);
  for (const Hold& hold : tallest->holds) {
    log.slopes[hold.coefficient] +=
        height.slope[static_cast<std::size_t>(hold.local)] * hold.slope / height.value;
  }
  return log;
}

namespace {

void add_bending(const std::vector<BandYarn>& bands, std::vector<const BandYarn*>& bending) {
  for (const BandYarn& one : bands) {
    if (one.bends) bending.push_back(&one);
  }
}

/// Parts as they are at the medians, or over so many states of the bands that bend as they need.
template <class PartsWith>
Parts over_states(const std::vector<const BandYarn*>& bending, const Coefficients& coefficients,
                  Line line, const PartsWith& parts_with) {
  if (line == Line::AtTheMedians || bending.empty()) return parts_with(nullptr);
  const DoubtPoints few(bending, coefficients, kFewStates);
  Parts parts = parts_with(&few);
  if (parts.states.most_bent <= kLittleBent) return parts;
  const DoubtPoints many(bending, coefficients, kManyStates);
  return parts_with(&many);
}

}  // namespace

namespace {

/// Once the lines are by independent factors, states that say no more than they are left out.
void keep_lines(Parts& parts) {
  if (parts.states.most_bent > kAsGoodAsStraight) return;
  parts.states = {};
  for (std::vector<double>& at_states_m : parts.at_states_m) at_states_m.clear();
}

}  // namespace

Parts PieceModel::parts(Line line) const {
  Parts parts = parts_by_coefficient(line);
  parts.turn(coefficients_.correlation);
  keep_lines(parts);
  return parts;
}

Parts PieceModel::parts_by_coefficient(Line line) const {
  std::vector<const BandYarn*> bending;
  add_bending(band_yarns_, bending);
  if (is_beam()) add_bending(lent_yarns_, bending);
  return over_states(bending, coefficients_, line,
                     [&](const DoubtPoints* states) { return parts_with(line, states); });
}

Parts PieceModel::lent_parts(Line line) const {
  std::vector<const BandYarn*> bending;
  add_bending(lent_yarns_, bending);
  Parts parts = over_states(bending, coefficients_, line, [&](const DoubtPoints* states) {
    return lent_parts_with(line, states);
  });
  parts.turn(coefficients_.correlation);
  return parts;
}

Parts PieceModel::parts_with(Line line, const DoubtPoints* states) const {
  Parts parts;
  PartsBuilder builder(parts, coefficients_, states,
                       5 * band_yarns_.size() + 2 * yarns_.size() + 4);
  for (const BandYarn& one : band_yarns_) {
    builder.add(one, warp_yarn(), band_parts(one, line, states));
  }
  for (const BandYarn& one : lent_yarns_) {
    builder.add_warp(one, warp_yarn(), band_parts(one, line, states));
  }
  if (cord_) {
    const Lie<Dual> lie = lie_with(cord_yarn_.medians, sloping_factors());
    builder.add(0, cord_yarn_, sums_by_portion(technique::cord_yarn(*cord_, lie)));
  }
  builder.close();
  const Grouped by_yarn = parts_by_yarn(parts, yarns_.size());
  const std::vector<bool> wasted = waste_yarns();
  const double sampled = sampling_share();
  const auto is_wasted = [](const Parts::Place& place) {
    return is_worked(place.band, place.portion);
  };
  const auto is_in_a_band = [](const Parts::Place& place) { return place.band > 0; };
  for (std::size_t y = 0; y < yarns_.size(); ++y) {
    if (!wasted[y]) continue;
    const auto is_spoilt = [&](const Parts::Place& place) {
      return is_in_a_band(place) && is_unpicked(place.portion, y);
    };
    const auto add_some = [&](Portion portion, double share, const auto& is_share) {
      return add_share(y, portion, share, by_yarn[y], is_share, parts, builder);
    };
    if (add_some(Portion::WasteShare, waste_share_, is_wasted)) {
      builder.add_slope(index_of(Shared::WasteShare), 1.0);
    }
    add_some(Portion::Allowance, allowances_.unpicking, is_spoilt);
    add_some(Portion::Allowance, sampled, is_in_a_band);
    if (!(waste_per_colour_.si() > 0.0)) continue;
    builder.open({0, y, Portion::WastePerColour}, in_metres(waste_per_colour_));
    builder.add_slope(index_of(Shared::WastePerColour), 1.0);
  }
  if (is_beam()) {
    const double sure_m = in_metres(technique::beam_warp_rest_yarn(beam_warp(piece_)).total());
    if (sure_m > 0.0) builder.open({0, warp_yarn(), Portion::Cut}, sure_m);
  }
  for (const LedgerLine& sure : warp_allowances_) {
    builder.open({0, sure.yarn, sure.portion}, in_metres(sure.length));
  }
  if (is_beam()) {
    builder.close();
    return parts;
  }
  const Dual warp = in_metres(technique::spanned_warp_yarn(spanned_warp(piece_, tie_),
                                                           Length<Dual>(warp_spacing_),
                                                           Dual::variable(stretch_, 0))
                                  .total());
  builder.open({0, warp_yarn(), Portion::Cut}, warp.value);
  builder.add_slope(index_of(Shared::Stretch), warp.slope[0] / warp.value);
  builder.close();
  return parts;
}

Parts PieceModel::lent_parts_with(Line line, const DoubtPoints* states) const {
  Parts parts;
  PartsBuilder builder(parts, coefficients_, states, 4 * lent_yarns_.size());
  for (const BandYarn& one : lent_yarns_) {
    builder.add(static_cast<int>(one.band) + 1, one, band_parts(one, line, states).portions);
  }
  builder.close();
  return parts;
}

}  // namespace ellwand::estimate
