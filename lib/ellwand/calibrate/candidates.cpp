#include "ellwand/calibrate/candidates.hpp"

#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <set>

namespace ellwand::calibrate {

namespace {

using estimate::StartingValues;
using technique::Work;

/// A piece's threads at what is known of them, one of each coefficient being its unit.
estimate::PieceModel model_at_means(const piece::Piece& piece, const estimate::Workshop& workshop) {
  const auto yarns = estimate::yarns_of(piece, workshop.yarns);
  estimate::Coefficients all =
      estimate::starting_coefficients(workshop.values, yarns, 0, piece.beginner);
  if (workshop.learned != nullptr) {
    all = estimate::learned_coefficients(all, *workshop.learned, piece, yarns, 0);
  }
  all.spreads.assign(all.size(), 1.0);
  all.correlation.clear();
  return {piece, workshop, all};
}

/// A band of a piece as a swatch of so many ends and rows; nothing where it makes none.
struct AsSwatch {
  std::size_t part;
  int ends;
  int rows;

  std::optional<Work> operator()(const technique::Woven& band) const {
    return woven(band, part, rows);
  }
  std::optional<Work> operator()(technique::KnottedFringe fringe) const {
    if (ends < fringe.ends_per_knot) return std::nullopt;
    fringe.ends = ends;
    fringe.rows = rows;
    fringe.wound_on_card = false;
    return fringe;
  }
  std::optional<Work> operator()(technique::Soumak soumak) const {
    soumak.ends = ends;
    soumak.rows = rows;
    return soumak;
  }
  std::optional<Work> operator()(technique::Twining twining) const {
    twining.ends = ends;
    twining.rows = rows;
    return twining;
  }
  std::optional<Work> operator()(technique::LoopedPile pile) const {
    pile.row = part_of(pile.row);
    pile.rows = rows;
    return pile;
  }
  std::optional<Work> operator()(technique::Wrapping wrapping) const {
    if (wrapping.ends > ends) return std::nullopt;
    if (wrapping.ends > 0) wrapping.places = ends / wrapping.ends;
    wrapping.turns = rows;
    wrapping.covered = {};
    return wrapping;
  }
  std::optional<Work> operator()(const technique::KnottedPile& pile) const {
    if (part != technique::KnottedPile::kKnots) return std::nullopt;  // woven alone it tells more
    const int picks = std::max(1, pile.ground.extent.count / pile.knots.rows);
    technique::KnottedFringe knots = pile.knots;
    knots.rows = rows;
    knots.wound_on_card = false;
    return technique::knotted_pile(knots, woven(pile.ground, 0, rows * picks), ends, 0, picks);
  }
  std::optional<Work> operator()(const technique::Gap&) const { return std::nullopt; }
  std::optional<Work> operator()(const technique::Hemstitch&) const { return std::nullopt; }

 private:
  technique::Woven woven(const technique::Woven& band, std::size_t area, int picks) const {
    technique::Woven swatch;
    swatch.grid = part_of(band.grid);
    swatch.areas = {{band.areas.at(area).strand, ends, technique::Join::None, std::nullopt}};
    swatch.beat = band.beat;
    swatch.beat.measured.reset();
    swatch.extent = {technique::Extent::By::Rows, picks, {}};
    return swatch;
  }
  cloth::Grid part_of(const cloth::Grid& grid) const {
    return cloth::spread(cloth::smallest_repeat(grid), ends, cloth::Remainder::Right);
  }
};

/// The yarn a part of a work lays, and the row of the table with the minutes of a row.
struct YarnOf {
  std::size_t part;

  std::string operator()(const technique::Woven& band) const {
    return band.areas.at(part).strand.yarn;
  }
  std::string operator()(const technique::Twining& band) const {
    return band.strands.at(part).yarn;
  }
  std::string operator()(const technique::KnottedPile& band) const {
    return band.knots.strand.yarn;
  }
  std::string operator()(const technique::Gap&) const { return {}; }
  template <class Other>
  std::string operator()(const Other& band) const {
    return band.strand.yarn;
  }
};

/// Minutes at the loom.
struct MinutesOf {
  const StartingValues& values;
  Length<> width;
  bool is_thrown;

  double operator()(const technique::Woven& band) const {
    return rows(is_thrown ? "minutes.thrown" : "minutes.weave", band.extent.count);
  }
  double operator()(const technique::KnottedFringe& band) const {
    return rows("minutes.knots", band.rows);
  }
  double operator()(const technique::Soumak& band) const {
    return rows("minutes.soumak", band.rows);
  }
  double operator()(const technique::Twining& band) const {
    return rows("minutes.twining", band.rows);
  }
  double operator()(const technique::LoopedPile& band) const {
    return rows("minutes.loops", band.rows);
  }
  double operator()(const technique::Wrapping& band) const {
    return values.median("minutes.wraps") * band.places * band.turns;
  }
  double operator()(const technique::KnottedPile& band) const {
    return (*this)(band.knots) + (*this)(band.ground);
  }
  double operator()(const technique::Gap&) const { return 0.0; }
  double operator()(const technique::Hemstitch&) const { return 0.0; }

 private:
  double rows(const char* row, int count) const {
    return values.median(row) * count * (in_centimetres(width) / 10.0);
  }
};

/// Counts of rows a weaver would choose.
constexpr std::array<int, 18> kRows = {1,  2,  3,  4,  6,  8,  10, 12,  16,
                                       20, 24, 30, 40, 50, 60, 80, 100, 120};

int nearest_rows(double rows) {
  int nearest = kRows[0];
  for (const int one : kRows) {
    if (std::abs(std::log(one / rows)) < std::abs(std::log(nearest / rows))) nearest = one;
  }
  return nearest;
}

/// Whether a row picked out of it has an end to begin at and is all of one yarn.
bool can_be_unpicked(const Work& work) {
  return std::holds_alternative<technique::Woven>(work) ||
         std::holds_alternative<technique::Soumak>(work) ||
         std::holds_alternative<technique::Twining>(work) ||
         std::holds_alternative<technique::LoopedPile>(work);
}

class Gathering {
 public:
  Gathering(const estimate::Workshop& workshop, const Weaver& weaver)
      : workshop_(workshop), values_(workshop.values), weaver_(weaver) {}

  std::vector<Candidate> from(const std::vector<piece::Piece>& pieces) {
    for (const piece::Piece& piece : pieces) {
      const estimate::PieceModel model = model_at_means(piece, workshop_);
      for (const estimate::BandYarn& one : model.band_yarns()) add_sizes(model, one);
      add_lengths(model);
    }
    return std::move(candidates_);
  }

 private:
  void add_lengths(const estimate::PieceModel& model);
  void add_of_yarn(const estimate::PieceModel& model, const yarn::Yarn& yarn,
                   const Observed& observed, Measuring measuring);
  double scale_step() const;
  int least_rows(double grams, int rows) const;
  void add_sizes(const estimate::PieceModel& model, const estimate::BandYarn& one);
  void add_size(const piece::Piece& like, const estimate::BandYarn& one, int ends, int rows);
  void add_woven(const piece::Piece& piece, Candidate candidate);
  std::vector<int> widths(const estimate::PieceModel& model) const;
  std::vector<int> heights(const piece::Piece& like, const estimate::BandYarn& one, int ends) const;
  std::optional<piece::Piece> swatch_of(const piece::Piece& like, const estimate::BandYarn& one,
                                        int ends, int rows) const;
  bool has_room(const estimate::PieceModel& model) const;
  void measure(const Observed& observed, Measurement measurement, Candidate& candidate) const;
  Measurement weighing(const std::string& yarn) const;
  Measurement height() const;
  Measurement one_row(const std::string& yarn, int rows) const;

  const estimate::Workshop& workshop_;
  const StartingValues& values_;
  const Weaver& weaver_;
  std::vector<Candidate> candidates_;
  std::set<std::string> made_;
};

double Gathering::scale_step() const {
  return weaver_.scale_step_g > 0.0 ? weaver_.scale_step_g : values_.median("tool.scale");
}

/// How many rows her scale can weigh, of a swatch that weighs so much with so many.
int Gathering::least_rows(double grams, int rows) const {
  return static_cast<int>(std::ceil(kLeastSteps * scale_step() * rows / grams));
}

Measurement Gathering::weighing(const std::string& yarn) const {
  Measurement mass;
  mass.step = scale_step();
  mass.reading_sd = mass.step / std::sqrt(6.0);  // before and after
  mass.yarn = yarn;
  return mass;
}

Measurement Gathering::height() const {
  Measurement height;
  height.what = Measured::Height;
  height.step = values_.median("tool.rule");
  height.reading_sd = height.step / std::sqrt(12.0);
  return height;
}

Measurement Gathering::one_row(const std::string& yarn, int rows) const {
  Measurement length = height();
  length.what = Measured::Length;
  length.includes = Includes::InTheBand;
  length.band = 0;
  length.yarn = yarn;
  length.share = 1.0 / rows;
  return length;
}

/// Adds a measurement that reads what is expected.
/// @throws OutOfRange where there is nothing to be measured
void Gathering::measure(const Observed& observed, Measurement measurement,
                        Candidate& candidate) const {
  candidate.expected.push_back(observed.expected(measurement));
  measurement.value = std::exp(candidate.expected.back().log_value);
  candidate.swatch.measurements.push_back(std::move(measurement));
}

/// What is measured of a yarn alone.
void Gathering::add_of_yarn(const estimate::PieceModel& model, const yarn::Yarn& yarn,
                            const Observed& observed, Measuring measuring) {
  const bool is_length = measuring == Measuring::WeighedLength;
  Candidate candidate;
  candidate.measuring = measuring;
  candidate.yarn = yarn.id;
  candidate.like = model.piece().name;
  candidate.minutes = values_.median(is_length ? "minutes.weigh_length" : "minutes.measure");
  candidate.swatch.id = (is_length ? "length of " : "wraps of ") + yarn.id;
  candidate.swatch.piece = model.piece();
  candidate.swatch.piece.id = candidate.swatch.id;
  Measurement one = weighing(yarn.id);
  one.what = is_length ? Measured::Density : Measured::Diameter;
  const double length_m = values_.median("swatch.length");
  one.step = is_length ? one.step / length_m : 0.0;
  one.reading_sd = is_length ? one.reading_sd / length_m : 0.0;  // wraps: by their kind alone
  measure(observed, one, candidate);
  candidates_.push_back(std::move(candidate));
}

void Gathering::add_lengths(const estimate::PieceModel& model) {
  const Observed observed(model, values_);
  for (const yarn::Yarn* yarn : model.yarns()) {
    const auto lot = model.piece().lots.find(yarn->id);
    const std::string of_lot = lot == model.piece().lots.end() ? "" : lot->second;
    if (made_.insert(fmt::format("length|{}|{}", yarn->id, of_lot)).second) {
      add_of_yarn(model, *yarn, observed, Measuring::WeighedLength);
    }
    // Roving is drawn out thinner as it is wrapped: what is counted then says nothing.
    const bool is_wrapped = yarn->kind != yarn::Kind::Roving;
    if (is_wrapped && made_.insert(fmt::format("wraps|{}", yarn->id)).second) {
      add_of_yarn(model, *yarn, observed, Measuring::WrapsCounted);
    }
  }
}

/// Ends of each width, no more than the piece has.
std::vector<int> Gathering::widths(const estimate::PieceModel& model) const {
  std::set<int> ends;
  for (const char* row : {"swatch.width.1", "swatch.width.2", "swatch.width.3"}) {
    const double fits = metres(values_.median(row)) / model.warp_spacing();
    ends.insert(std::clamp(static_cast<int>(std::lround(fits)), 2, model.piece().warp.ends));
  }
  return {ends.begin(), ends.end()};
}

std::optional<piece::Piece> Gathering::swatch_of(const piece::Piece& like,
                                                 const estimate::BandYarn& one, int ends,
                                                 int rows) const {
  const piece::Band& band = like.bands[one.band];
  const std::optional<Work> work = std::visit(AsSwatch{one.part, ends, rows}, band.work);
  if (!work) return std::nullopt;
  piece::Piece swatch;
  swatch.name = "Swatch";
  swatch.beginner = weaver_.beginner;
  swatch.weaver = weaver_.name;
  swatch.lots = like.lots;
  swatch.loom = like.loom;
  swatch.warp = like.warp;
  swatch.warp.ends = ends;
  swatch.warp.floating_selvedges = false;
  swatch.warp.fringe = {};
  swatch.warp.gaps = {};
  swatch.habits = like.habits;
  swatch.habits.spare_warp_ends = 0;
  swatch.habits.broken_ends = 0;
  swatch.habits.unpicking = 0.0;
  swatch.habits.sampling = Length<>();
  swatch.bands = {{*work, band.habits, piece::State::OnLoom, band.weave, false, 0}};
  return swatch;
}

/// On a fixed span some of the warp is left for hands and needle.
bool Gathering::has_room(const estimate::PieceModel& model) const {
  if (model.piece().loom.kind == piece::LoomKind::Beam) return true;
  return model.band_heights().front() < 0.7 * model.piece().loom.span;
}

/// Rows of each height; of a fringe, whose height is in its hang, one to three.
std::vector<int> Gathering::heights(const piece::Piece& like, const estimate::BandYarn& one,
                                    int ends) const {
  if (std::holds_alternative<technique::KnottedFringe>(like.bands[one.band].work)) {
    return {1, 2, 3};
  }
  constexpr int kTried = 12;
  const std::optional<piece::Piece> tried = swatch_of(like, one, ends, kTried);
  if (!tried) return {};
  const estimate::PieceModel model = model_at_means(*tried, workshop_);
  const Length<> row = model.band_heights().front() / static_cast<double>(kTried);
  if (!(row.si() > 0.0)) return {kTried};
  std::set<int> rows;
  for (const char* name : {"swatch.height.1", "swatch.height.2", "swatch.height.3"}) {
    rows.insert(nearest_rows(metres(values_.median(name)) / row));
  }
  const std::string yarn = std::visit(YarnOf{one.part}, like.bands[one.band].work);
  const double grams = std::exp(Observed(model, values_).expected(weighing(yarn)).log_value);
  const int least = least_rows(grams, kTried);
  const auto* enough = std::find_if(kRows.begin(), kRows.end(), [&](int n) { return n >= least; });
  if (enough != kRows.end() && *rows.rbegin() < least) rows.insert(*enough);
  return {rows.begin(), rows.end()};
}

void Gathering::add_sizes(const estimate::PieceModel& model, const estimate::BandYarn& one) {
  const piece::Piece& like = model.piece();
  for (const int ends : widths(model)) {
    try {
      for (const int rows : heights(like, one, ends)) add_size(like, one, ends, rows);
    } catch (const BadInput&) {
      continue;  // it cannot be woven so
    } catch (const OutOfRange&) {
      continue;
    } catch (const cloth::UnreadableWeave&) {
      continue;
    }
  }
}

/// What tells a swatch from another: the same work, yarn, size and warp in two pieces is one.
std::string told_apart(const piece::Piece& piece, const technique::Strand& strand,
                       const Length<>& spacing, int rows) {
  const Work& work = piece.bands.front().work;
  std::string key = fmt::format("{}|{}|{}|{}|{}|{}|{}|{}|{:.3g}", technique::name_of(work),
                                strand.yarn, strand.held, strand.split_into, piece.warp.ends, rows,
                                piece.warp.yarn, piece.warp.held, in_millimetres(spacing));
  const technique::Woven* cloth = technique::woven_part(work, 0).cloth;
  if (cloth != nullptr) {
    key += fmt::format("|{}|{:.3g}|{:.3g}", static_cast<int>(cloth->beat.face), cloth->beat.ratio,
                       cloth::average_weft_float(cloth->grid));
  }
  const auto lot = piece.lots.find(strand.yarn);
  return lot == piece.lots.end() ? key : key + "|" + lot->second;
}

void Gathering::add_size(const piece::Piece& like, const estimate::BandYarn& one, int ends,
                         int rows) {
  std::optional<piece::Piece> piece = swatch_of(like, one, ends, rows);
  if (!piece) return;
  Candidate candidate;
  candidate.work = technique::name_of(piece->bands.front().work);
  candidate.yarn = std::visit(YarnOf{one.part}, like.bands[one.band].work);
  candidate.like = like.name;
  candidate.like_band = static_cast<int>(one.band) + 1;
  candidate.ends = ends;
  candidate.rows = rows;
  piece->id = fmt::format("swatch {} {} {} {}", candidate.work, candidate.yarn, ends, rows);
  add_woven(*piece, std::move(candidate));
}

void Gathering::add_woven(const piece::Piece& piece, Candidate candidate) {
  const estimate::PieceModel model = model_at_means(piece, workshop_);
  const std::string key = told_apart(piece, model.strand(model.band_yarns().front()),
                                     model.warp_spacing(), candidate.rows);
  if (!has_room(model) || !made_.insert(key).second) return;
  const Work& work = piece.bands.front().work;
  candidate.swatch.id = piece.id;
  candidate.swatch.weaver = piece.weaver;
  candidate.swatch.lots = piece.lots;
  candidate.swatch.piece = piece;
  candidate.minutes = values_.median("minutes.set_up") + values_.median("minutes.measure") +
                      std::visit(MinutesOf{values_, model.loom_width(), model.is_thrown(0)}, work);
  for (const estimate::LedgerLine& line : model.plan()) {
    candidate.grams += in_metres(line.length) * model.grams_per_metre(line.yarn);
  }
  const Observed observed(model, values_);
  measure(observed, weighing(candidate.yarn), candidate);
  const double weighed = candidate.swatch.measurements.back().value;
  candidate.least_rows = least_rows(weighed, candidate.rows);
  candidate.is_too_light = weighed < kLeastSteps * scale_step();
  if (model.band_heights().front().si() > 0.0) measure(observed, height(), candidate);
  candidates_.push_back(candidate);
  if (!can_be_unpicked(work)) return;
  candidate.measuring = Measuring::OneRowUnpicked;
  candidate.minutes += values_.median("minutes.unpick");
  measure(observed, one_row(candidate.yarn, candidate.rows), candidate);
  candidates_.push_back(std::move(candidate));
}

}  // namespace

std::vector<Candidate> candidates_for(const std::vector<piece::Piece>& pieces,
                                      const estimate::Workshop& workshop, const Weaver& weaver) {
  return Gathering(workshop, weaver).from(pieces);
}

}  // namespace ellwand::calibrate
