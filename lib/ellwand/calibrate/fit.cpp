#include "ellwand/calibrate/fit.hpp"

#include "ellwand/calibrate/found_shares.hpp"
#include "ellwand/calibrate/left_out.hpp"
#include "ellwand/calibrate/observe.hpp"
#include "ellwand/calibrate/reading.hpp"
#include "ellwand/calibrate/relinearise.hpp"
#include "ellwand/calibrate/spreads.hpp"
#include "ellwand/numeric/in_parallel.hpp"
#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <limits>
#include <map>
#include <numbers>
#include <set>
#include <unordered_map>

namespace ellwand::calibrate {

namespace {

using estimate::index_of;
using estimate::Shared;

/// Where a piece's coefficient goes in the fit.
struct Column {
  enum class Kind {
    Common,  ///< one of those that swatches share
    Own,     ///< the piece's alone
    Fresh,   ///< drawn anew each time: part of the error
    Held     ///< not told from another, and left to it
  };
  Kind kind = Kind::Held;
  std::size_t index = 0;
  double spread = 0.0;
};

/// What each piece has for itself.
constexpr std::size_t kTake = 0;
constexpr std::size_t kBeat = 1;
constexpr std::size_t kOwn = 2;
constexpr const char* kOwnRows[kOwn] = {"piece", "beat.piece"};

/// A common coefficient before anything is measured.
struct Common {
  std::string name;
  std::string meaning;
  double spread = 0.0;
  bool is_yarn = false;
  bool is_weaver = false;
};

/// A swatch with its coefficients found.
struct Prepared {
  std::size_t piece = 0;
  std::vector<Column> columns;
  estimate::Coefficients coefficients;  ///< all spreads 1, independent
};

class Fitting {
 public:
  Fitting(const std::vector<Swatch>& swatches, const estimate::Workshop& workshop,
          const FitOptions& options)
      : swatches_(swatches), workshop_(workshop), options_(options) {
    find_weavers();
    for (const Swatch& swatch : swatches) prepare(swatch);
    means_.common.assign(common_.size(), 0.0);
    means_.own.assign(pieces_.size() * kOwn, 0.0);
    for (std::size_t i = 0; i < kOwn; ++i) {
      own_spreads_[i] = workshop.values.at(kOwnRows[i]).spread;
    }
    for (std::size_t i = 0; i < kMeasured; ++i) {
      kind_sds_[i] = workshop.values.median(error_name(static_cast<Measured>(i)));
    }
    set_points();
  }

  Fit run();

 private:
  void find_weavers();
  void prepare(const Swatch& swatch);
  std::size_t common_index(const Common& one);
  Column column_of(const Prepared& prepared, const Common& one, std::size_t coefficient);
  void set_points();
  SpreadPoint point_at(const std::array<double, 3>& factors, double chance) const;
  /// What one swatch's measurements come to.
  struct SwatchRows {
    std::vector<LinearRow> rows;
    std::vector<double> row_sds;  ///< what each row's would be if it counted in full
    std::vector<FittedRow> fitted;
    std::vector<Complaint> complaints;
  };
  /// Of a few hundred swatches the start of a thread costs more than it saves.
  std::size_t threads() const { return swatches_.size() < 500 ? 1 : options_.threads; }
  void add_rows(std::size_t swatch, SwatchRows& its);
  void add_row(std::size_t swatch, std::size_t measurement, const Expected& expected,
               SwatchRows& its) const;
  double weight(double score) const;
  double prior_variance(const Prepared& prepared, const std::vector<double>& slopes) const;
  NormalRows rows_at(const Means& means);
  void average_factors(const Blend& blend);
  Proposal solve(const NormalRows& rows, double moved);
  void forget_points();
  bool settle();
  void begin_anew();
  using Figure = std::pair<std::size_t, std::size_t>;  ///< swatch and measurement
  struct Suspect {
    double chance = 1.0;
    std::size_t piece = 0;
  };
  std::vector<LeftOut> rows_left_out(bool doubts_spreads) const;
  double far_chance() const;
  std::vector<Suspect> suspects() const;
  std::map<Figure, LeftOut> far_figures_of(std::size_t piece) const;
  bool set_aside_far();
  std::vector<std::size_t> met_by_rows() const;
  std::map<std::string, int, std::less<>> pieces_by_work() const;
  Fit result(const Blend& blend, Verdict verdict, int rounds) const;

  const std::vector<Swatch>& swatches_;
  estimate::Workshop workshop_;
  FitOptions options_;
  std::set<std::string> weavers_;
  std::unordered_map<std::string, std::size_t> pieces_;
  std::unordered_map<std::string, std::size_t> common_places_;
  std::vector<Common> common_;
  std::vector<Prepared> prepared_;
  Means means_;
  bool is_first_ = true;
  bool is_averaged_ = false;
  int rounds_ = 0;
  std::map<Figure, LeftOut> set_aside_;  ///< what counts for nothing, beside the others' forecast
  std::set<std::size_t> asked_;          ///< pieces that were held against a fit without them
  Blend last_;
  std::array<double, kOwn> own_spreads_{};
  std::array<double, kMeasured> kind_sds_{};
  std::vector<SpreadPoint> points_;
  std::vector<std::array<double, 3>> factors_;  ///< of each point: piece, yarn, weaver
  std::array<double, 3> factor_squares_ = {1.0, 1.0, 1.0};
  std::vector<LinearRow> rows_;
  std::vector<double> row_sds_;
  std::vector<FittedRow> fitted_;
  std::vector<Complaint> complaints_;
};

void Fitting::find_weavers() {
  for (const Swatch& swatch : swatches_) {
    const piece::Piece& piece = swatch.piece;
    weavers_.insert(piece.beginner && piece.weaver.empty() ? "(beginner)" : piece.weaver);
  }
}

std::size_t Fitting::common_index(const Common& one) {
  const auto [place, is_new] = common_places_.emplace(one.name, common_.size());
  if (is_new) common_.push_back(one);
  return place->second;
}

Column Fitting::column_of(const Prepared& prepared, const Common& one, std::size_t coefficient) {
  if (coefficient == index_of(Shared::PieceTake)) {
    return {Column::Kind::Own, prepared.piece * kOwn + kTake, one.spread};
  }
  if (coefficient == index_of(Shared::BeatPiece)) {
    return {Column::Kind::Own, prepared.piece * kOwn + kBeat, one.spread};
  }
  if (coefficient == index_of(Shared::Weaver) && weavers_.size() < 2) return {};
  if (one.name.empty()) return {Column::Kind::Fresh, 0, one.spread};
  return {Column::Kind::Common, common_index(one), one.spread};
}

/// What is known of one of a piece's coefficients beforehand; a weaver's meaning with her name.
Common common_of(const std::string& id, std::size_t coefficient, double spread,
                 std::string meaning) {
  const bool is_yarn =
      coefficient >= estimate::kShared && (coefficient - estimate::kShared) % estimate::kPerYarn ==
                                              static_cast<std::size_t>(estimate::OfYarn::Take);
  const bool is_weaver = coefficient == index_of(Shared::Weaver);
  if (is_weaver) meaning += fmt::format(": {}", id.substr(id.find(' ') + 1));
  return {id, std::move(meaning), spread, is_yarn, is_weaver};
}

void Fitting::prepare(const Swatch& swatch) {
  Prepared prepared;
  prepared.piece = pieces_.emplace(swatch.piece.id, pieces_.size()).first->second;
  const std::vector<const yarn::Yarn*> yarns = estimate::yarns_of(swatch.piece, workshop_.yarns);
  estimate::Coefficients starting =
      starting_coefficients(workshop_.values, yarns, 0, swatch.piece.beginner);
  const std::vector<std::string> ids = estimate::coefficient_ids(swatch.piece, yarns, 0);
  if (weavers_.size() < 2) {  // her own way is not told from the studio's hand, which has it in it
    double& hand = starting.spreads[index_of(Shared::Hand)];
    hand = std::hypot(hand, starting.spreads[index_of(Shared::Weaver)]);
  }
  for (std::size_t c = 0; c < starting.size(); ++c) {
    const Common one =
        common_of(ids[c], c, starting.spreads[c],
                  coefficient_meaning(workshop_.values, c, yarns, swatch.piece.beginner, {}));
    prepared.columns.push_back(column_of(prepared, one, c));
  }
  prepared.coefficients.spreads.assign(starting.size(), 1.0);
  prepared.coefficients.means.assign(starting.size(), 0.0);
  prepared_.push_back(std::move(prepared));
}

/// A spread is one of these with this chance, before anything is measured.
struct Node {
  double factor;  ///< on the spread it starts with
  double chance;
};

double half_normal_cdf(double x) { return std::erf(x / std::sqrt(2.0)); }

/// Second moment of a half-normal up to x.
double half_normal_square(double x) {
  if (std::isinf(x)) return 1.0;
  return half_normal_cdf(x) - x * std::sqrt(2.0 / std::numbers::pi) * std::exp(-0.5 * x * x);
}

/// A half-normal whose root mean square is the starting spread, cut at bounds of the table, each
/// piece of it drawn together at its root mean square: so that with nothing measured the variance
/// is exactly that of the starting spread.
std::vector<Node> spread_nodes(const estimate::StartingValues& values,
                               const std::vector<int>& bounds) {
  std::vector<Node> nodes;
  double below = 0.0;
  for (std::size_t k = 0; k <= bounds.size(); ++k) {
    const double upto = k == bounds.size()
                            ? std::numeric_limits<double>::infinity()
                            : values.median(fmt::format("spread_bound.{}", bounds[k]));
    const double chance = half_normal_cdf(upto) - half_normal_cdf(below);
    const double square = half_normal_square(upto) - half_normal_square(below);
    nodes.push_back({std::sqrt(square / chance), chance});
    below = upto;
  }
  return nodes;
}

const std::vector<Node>& one_node() {
  static const std::vector<Node> node = {{1.0, 1.0}};
  return node;
}

/// Every way of the spreads between pieces, yarns and weavers; those that cannot be told are held.
void Fitting::set_points() {
  const bool some_weavers = weavers_.size() > 1;
  const std::vector<int> bounds =
      some_weavers ? std::vector<int>{2, 4, 6, 8} : std::vector<int>{1, 2, 3, 4, 5, 6, 7, 8};
  std::vector<Node> nodes = one_node();
  std::vector<Node> weavers = one_node();
  if (options_.average_spreads) {
    nodes = spread_nodes(workshop_.values, bounds);
    if (some_weavers) weavers = spread_nodes(workshop_.values, {3, 5});
  }
  for (const Node& piece : nodes) {
    for (const Node& yarn : nodes) {
      for (const Node& weaver : weavers) {
        factors_.push_back({piece.factor, yarn.factor, weaver.factor});
        points_.push_back(point_at(factors_.back(), piece.chance * yarn.chance * weaver.chance));
      }
    }
  }
}

SpreadPoint Fitting::point_at(const std::array<double, 3>& factors, double chance) const {
  SpreadPoint point;
  point.weight = chance;
  for (const double spread : own_spreads_) {
    point.own.push_back(std::pow(factors[0] * spread, 2.0));
  }
  for (const Common& one : common_) {
    const double factor = one.is_yarn ? factors[1] : one.is_weaver ? factors[2] : 1.0;
    point.common.push_back(std::pow(factor * one.spread, 2.0));
  }
  return point;
}

/// Of a reading about the starting values, the coefficients being unsure.
double Fitting::prior_variance(const Prepared& prepared, const std::vector<double>& slopes) const {
  double variance = 0.0;
  for (std::size_t c = 0; c < slopes.size(); ++c) {
    variance += std::pow(slopes[c] * prepared.columns[c].spread, 2.0);
  }
  return variance;
}

/// How much a reading counts that lies so many sds from where it should: in full up to two, beyond
/// as Student's t has it.
double Fitting::weight(double score) const {
  constexpr double kInLine = 2.0;
  if (std::isinf(options_.robustness) || std::abs(score) <= kInLine) return 1.0;
  return (options_.robustness + kInLine * kInLine) / (options_.robustness + score * score);
}

void Fitting::add_row(std::size_t swatch, std::size_t measurement, const Expected& expected,
                      SwatchRows& its) const {
  const Prepared& prepared = prepared_[swatch];
  const Measurement& measured = swatches_[swatch].measurements[measurement];
  LinearRow row;
  row.piece = prepared.piece;
  double at_means = 0.0;
  double own_part = 0.0;
  double own_variance = 0.0;
  double fresh = std::pow(expected.extra_sd, 2.0);
  for (std::size_t c = 0; c < expected.slopes.size(); ++c) {
    const double slope = expected.slopes[c];
    const Column& column = prepared.columns[c];
    if (slope == 0.0 || column.kind == Column::Kind::Held) continue;
    if (column.kind == Column::Kind::Fresh) {
      fresh += std::pow(slope * column.spread, 2.0);
    } else if (column.kind == Column::Kind::Own) {
      row.own.push_back({column.index % kOwn, slope});
      own_part += slope * means_.own[column.index];
      own_variance += factor_squares_[0] * std::pow(slope * column.spread, 2.0);
    } else {
      row.common.push_back({column.index, slope});
      at_means += slope * means_.common[column.index];
    }
  }
  const double kind_sd = kind_sds_[static_cast<std::size_t>(measured.what)];
  const LogReading reading =
      log_reading({measured.value, measured.reading_sd, measured.value < 5.0 * measured.step},
                  expected.log_value, std::hypot(kind_sd, std::sqrt(fresh)));
  FittedRow fitted{swatch, measurement, reading.residual + own_part,
                   std::hypot(reading.sd, std::sqrt(own_variance)), 1.0};
  const double doubt = is_first_ ? prior_variance(prepared, expected.slopes) : 0.0;
  fitted.weight = weight(reading.residual / std::hypot(reading.sd, std::sqrt(doubt)));
  row.value = reading.residual + at_means + own_part;
  row.sd = reading.sd / std::sqrt(fitted.weight);
  const auto aside = set_aside_.find({swatch, measurement});
  if (aside != set_aside_.end()) {
    constexpr double kNextToNothing = 1e-4;
    fitted.weight = 0.0;
    fitted.is_set_aside = true;
    fitted.by_others = aside->second.residual;
    fitted.by_others_sd = aside->second.sd;
    row.sd = reading.sd / kNextToNothing;
  }
  its.row_sds.push_back(reading.sd);
  its.rows.push_back(std::move(row));
  its.fitted.push_back(fitted);
}

void Fitting::add_rows(std::size_t swatch, SwatchRows& its) {
  Prepared& prepared = prepared_[swatch];
  for (std::size_t c = 0; c < prepared.columns.size(); ++c) {
    const Column& column = prepared.columns[c];
    double& mean = prepared.coefficients.means[c];
    if (column.kind == Column::Kind::Common) mean = means_.common[column.index];
    if (column.kind == Column::Kind::Own) mean = means_.own[column.index];
  }
  try {
    const estimate::PieceModel model(swatches_[swatch].piece, workshop_, prepared.coefficients);
    const Observed observed(model, workshop_.values);
    for (std::size_t m = 0; m < swatches_[swatch].measurements.size(); ++m) {
      const Measurement& measured = swatches_[swatch].measurements[m];
      if (!is_fitted(measured)) continue;
      try {
        add_row(swatch, m, observed.expected(measured), its);
      } catch (const OutOfRange& refusal) {
        its.complaints.push_back({swatches_[swatch].file, measured.line, 0,
                                  fmt::format("{}: {}", measured.column, refusal.what())});
      }
    }
  } catch (const BadInput& bad) {
    its.complaints.insert(its.complaints.end(), bad.complaints().begin(), bad.complaints().end());
  }
}

/// Mean square of the spreads in starting spreads.
void Fitting::average_factors(const Blend& blend) {
  factor_squares_ = {0.0, 0.0, 0.0};
  for (std::size_t k = 0; k < points_.size(); ++k) {
    for (std::size_t i = 0; i < factor_squares_.size(); ++i) {
      factor_squares_[i] += blend.weights[k] * factors_[k][i] * factors_[k][i];
    }
  }
}

/// The rows at these means.
NormalRows Fitting::rows_at(const Means& means) {
  means_ = means;
  rows_.clear();
  row_sds_.clear();
  fitted_.clear();
  std::vector<SwatchRows> all(swatches_.size());
  constexpr std::size_t kAtATime = 64;  // some milliseconds
  numeric::in_parallel(all.size(), kAtATime, threads(),
                       [&](std::size_t s) { add_rows(s, all[s]); });
  for (SwatchRows& one : all) {
    std::move(one.rows.begin(), one.rows.end(), std::back_inserter(rows_));
    row_sds_.insert(row_sds_.end(), one.row_sds.begin(), one.row_sds.end());
    fitted_.insert(fitted_.end(), one.fitted.begin(), one.fitted.end());
    complaints_.insert(complaints_.end(), one.complaints.begin(), one.complaints.end());
  }
  if (!complaints_.empty()) throw BadInput(complaints_);
  is_first_ = false;
  return NormalRows(rows_, common_.size(), kOwn);
}

/// Points that do not count any more are not asked again.
void Fitting::forget_points() {
  for (std::size_t k = 0; k < points_.size(); ++k) {
    if (last_.weights[k] == 0.0) points_[k].weight = 0.0;
  }
}

/// First at one set of spreads until the means are near, then averaged over all.
Proposal Fitting::solve(const NormalRows& rows, double moved) {
  constexpr double kNear = 0.1;     // in starting spreads, as `moved` is
  constexpr double kNearer = 0.02;  // what does not count here does not a step farther on
  is_averaged_ = is_averaged_ || moved < kNear;
  last_ =
      blend(rows, is_averaged_ ? points_ : std::vector{point_at({1.0, 1.0, 1.0}, 1.0)}, threads());
  if (is_averaged_) average_factors(last_);
  if (is_averaged_ && moved < kNearer) forget_points();
  std::vector<double> own_variances;
  for (const double spread : own_spreads_) {
    own_variances.push_back(factor_squares_[0] * spread * spread);
  }
  return {{last_.posterior.means, rows.own_means(own_variances, last_.posterior.means)},
          is_averaged_};
}

/// To rest at what is set aside; whether it comes to rest.
bool Fitting::settle() {
  constexpr int kMostRounds = 100;
  constexpr double kStill = 1e-3;  // of a starting spread
  Means units;
  for (const Common& one : common_) units.common.push_back(one.spread);
  for (std::size_t p = 0; p < pieces_.size(); ++p) {
    units.own.insert(units.own.end(), own_spreads_.begin(), own_spreads_.end());
  }
  Means means = means_;
  const Relinearised ended = relinearise(
      means, units, [&](const Means& at) { return rows_at(at); },
      [&](const NormalRows& rows, double moved) { return solve(rows, moved); }, kStill,
      kMostRounds);
  rounds_ = ended.rounds;
  return ended.is_settled;
}

/// From the starting values, so that nothing is left of what has since been set aside.
void Fitting::begin_anew() {
  std::fill(means_.common.begin(), means_.common.end(), 0.0);
  std::fill(means_.own.begin(), means_.own.end(), 0.0);
  is_first_ = true;
  is_averaged_ = false;
  factor_squares_ = {1.0, 1.0, 1.0};
  factors_.clear();
  points_.clear();
  set_points();
}

/// Every row as all other pieces foretell it.
/// @param doubts_spreads  a wide spread is not believed, which one figure far off may have made
std::vector<LeftOut> Fitting::rows_left_out(bool doubts_spreads) const {
  std::array<double, 3> squares = factor_squares_;
  if (doubts_spreads) {
    for (double& one : squares) one = std::min(one, 1.0);
  }
  std::vector<double> own_variances;
  for (const double spread : own_spreads_) own_variances.push_back(squares[0] * spread * spread);
  const SpreadPoint point =
      point_at({std::sqrt(squares[0]), std::sqrt(squares[1]), std::sqrt(squares[2])}, 1.0);
  const Posterior posterior =
      NormalRows(rows_, common_.size(), kOwn).without_own(own_variances).posterior(point.common);
  return left_out(rows_, row_sds_, posterior, own_variances, options_.robustness);
}

/// An honest figure is as far off as this once in a thousand times; of more than twenty figures the
/// most honest one of all is once in fifty fits.
double Fitting::far_chance() const {
  return std::min(0.001, 0.02 / static_cast<double>(rows_.size()));
}

/// Pieces that may be far off by what all say together, the farthest first.
std::vector<Fitting::Suspect> Fitting::suspects() const {
  constexpr double kScreened = 10.0;
  const std::vector<LeftOut> rows = rows_left_out(true);
  std::map<std::size_t, double> chances;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (fitted_[i].is_set_aside || asked_.count(rows_[i].piece) > 0) continue;
    double& least = chances.emplace(rows_[i].piece, 1.0).first->second;
    least = std::min(least, tail_chance(rows[i]));
  }
  std::vector<Suspect> all;
  for (const auto& [piece, chance] : chances) {
    if (chance < kScreened * far_chance()) all.push_back({chance, piece});
  }
  std::sort(all.begin(), all.end(),
            [](const Suspect& one, const Suspect& other) { return one.chance < other.chance; });
  return all;
}

/// Its figures that a fit to all other pieces misses by far.
std::map<Fitting::Figure, LeftOut> Fitting::far_figures_of(std::size_t piece) const {
  Fitting others(*this);
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    if (rows_[i].piece == piece) {
      others.set_aside_[{fitted_[i].swatch, fitted_[i].measurement}] = {};
    }
  }
  others.begin_anew();
  std::map<Figure, LeftOut> far;
  if (!others.settle()) return far;
  const std::vector<LeftOut> rows = others.rows_left_out(false);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const Figure figure = {fitted_[i].swatch, fitted_[i].measurement};
    if (rows_[i].piece != piece || tail_chance(rows[i]) >= far_chance()) continue;
    far[figure] = rows[i];
  }
  return far;
}

/// The figures of one piece more; whether there was one.
bool Fitting::set_aside_far() {
  constexpr std::size_t kMostAsked = 12;  // each costs a fit
  for (const Suspect& suspect : suspects()) {
    if (asked_.size() >= kMostAsked) return false;
    asked_.insert(suspect.piece);
    const std::map<Figure, LeftOut> far = far_figures_of(suspect.piece);
    if (far.empty()) continue;
    set_aside_.insert(far.begin(), far.end());
    return true;
  }
  return false;
}

Fit Fitting::run() {
  bool is_settled = settle();
  const bool sets_aside = options_.sets_aside && std::isfinite(options_.robustness);
  while (is_settled && sets_aside && set_aside_far()) {
    begin_anew();
    is_settled = settle();
  }
  return result(last_, is_settled ? Verdict::Settled : Verdict::NotSettled, rounds_);
}

/// The common coefficients that some measurement moves with; the others are as they started. The
/// hand always, which has a lone weaver's own way in it.
std::vector<std::size_t> Fitting::met_by_rows() const {
  std::set<std::size_t> met;
  const auto hand = common_places_.find("hand");
  if (hand != common_places_.end()) met.insert(hand->second);
  for (const LinearRow& row : rows_) {
    for (const Slope& slope : row.common) met.insert(slope.coefficient);
  }
  return {met.begin(), met.end()};
}

/// How many pieces have a measurement that moves with each work's take and counts.
std::map<std::string, int, std::less<>> Fitting::pieces_by_work() const {
  std::map<std::string, std::set<std::size_t>> pieces;
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    if (fitted_[i].is_set_aside) continue;
    for (const Slope& slope : rows_[i].common) {
      const std::string& name = common_[slope.coefficient].name;
      if (name.rfind("take.", 0) == 0) pieces[name].insert(rows_[i].piece);
    }
  }
  std::map<std::string, int, std::less<>> counts;
  for (const auto& [name, these] : pieces) counts[name] = static_cast<int>(these.size());
  return counts;
}

/// A yarn in several lots has one meaning for each: then the lot's name tells which, the one not
/// named being the one there is.
void tell_lots_apart(std::vector<FittedCoefficient>& all) {
  std::map<std::string, int> times;
  for (const FittedCoefficient& one : all) ++times[one.meaning];
  for (FittedCoefficient& one : all) {
    const bool is_lot = one.name.rfind("lot ", 0) == 0;
    if (!is_lot || times[one.meaning] < 2 || one.meaning.back() != ')') continue;
    const std::size_t blank = one.name.find(' ', 4);  // after the yarn's id, which has none
    one.meaning.pop_back();
    one.meaning += blank == std::string::npos ? ", lot not named)"
                                              : ", lot " + one.name.substr(blank + 1) + ")";
  }
}

Fit Fitting::result(const Blend& blend, Verdict verdict, int rounds) const {
  Fit fit;
  fit.verdict = verdict;
  fit.rounds = rounds;
  fit.rows = fitted_;
  estimate::Learned& learned = fit.learned;
  const std::vector<std::size_t> met = met_by_rows();
  const std::size_t n = common_.size();
  for (const std::size_t j : met) {
    const double mean = blend.posterior.means[j];
    learned.names.push_back(common_[j].name);
    learned.means.push_back(mean);
    for (const std::size_t k : met) {
      learned.covariances.push_back(blend.posterior.covariances[j * n + k]);
    }
    fit.coefficients.push_back({common_[j].name, common_[j].meaning, common_[j].spread, mean,
                                std::sqrt(blend.posterior.covariances[j * (n + 1)])});
  }
  tell_lots_apart(fit.coefficients);
  const auto spread = [&](const char* row, double square) {
    learned.spreads[row] = workshop_.values.at(row).spread * std::sqrt(square);
  };
  spread("piece", factor_squares_[0]);
  spread("beat.piece", factor_squares_[0]);
  spread("yarn", factor_squares_[1]);
  spread("weaver.experienced", factor_squares_[2]);
  spread("weaver.beginner", factor_squares_[2]);
  learned.pieces_by_work = pieces_by_work();
  learned.one_weaver = weavers_.size() < 2;
  learned.swatches = static_cast<int>(swatches_.size());
  return fit;
}

estimate::Learned learned_of(const std::vector<FittedCoefficient>& shares) {
  estimate::Learned learned;
  for (const FittedCoefficient& one : shares) {
    learned.names.push_back(one.name);
    learned.means.push_back(one.mean);
  }
  return learned;
}

/// Beside what was fitted, and independent of it.
void append(const std::vector<FittedCoefficient>& shares, Fit& fit) {
  estimate::Learned& learned = fit.learned;
  const std::size_t before = learned.names.size();
  const std::size_t n = before + shares.size();
  std::vector<double> covariances(n * n, 0.0);
  for (std::size_t a = 0; a < before; ++a) {
    for (std::size_t b = 0; b < before; ++b) {
      covariances[a * n + b] = learned.covariances[a * before + b];
    }
  }
  for (std::size_t i = 0; i < shares.size(); ++i) {
    learned.names.push_back(shares[i].name);
    learned.means.push_back(shares[i].mean);
    covariances[(before + i) * (n + 1)] = shares[i].spread * shares[i].spread;
    fit.coefficients.push_back(shares[i]);
  }
  learned.covariances = std::move(covariances);
}

}  // namespace

Fit fit(const std::vector<Swatch>& swatches, const estimate::Workshop& workshop,
        const FitOptions& options) {
  const bool any = std::any_of(swatches.begin(), swatches.end(), [&](const Swatch& one) {
    return std::any_of(one.measurements.begin(), one.measurements.end(), is_fitted);
  });
  if (!any) return {};
  const std::vector<FittedCoefficient> shares = found_shares(swatches, workshop);
  const estimate::Learned found = learned_of(shares);
  estimate::Workshop with_shares = workshop;
  with_shares.learned = &found;
  Fit result = Fitting(swatches, with_shares, options).run();
  append(shares, result);
  return result;
}

}  // namespace ellwand::calibrate
