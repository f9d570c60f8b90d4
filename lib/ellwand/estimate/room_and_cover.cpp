#include "ellwand/estimate/room_and_cover.hpp"

#include "ellwand/numeric/normal.hpp"

#include <cmath>

namespace ellwand::estimate {

namespace {

using SlopingLog = PieceModel::SlopingLog;

/// By the logarithms of the local factors.
using LocalLog = std::array<double, kLocals>;

/// The slopes by the coefficients, of slopes by the local factors.
SlopingLog by_coefficients(const PieceModel& model, const BandYarn& one, double value,
                           const LocalLog& slopes) {
  SlopingLog log;
  log.value = value;
  log.slopes.assign(model.coefficients().size(), 0.0);
  for (const Hold& hold : one.holds) {
    log.slopes[hold.coefficient] += slopes[static_cast<std::size_t>(hold.local)] * hold.slope;
  }
  return log;
}

/// ln(width of the ends a knot stands on / its bundle).
double log_knot_room(const technique::KnottedFringe& knots, const technique::Lie<>& lie) {
  return std::log(knots.ends_per_knot * lie.warp_spacing /
                  yarn::bundle_diameter(lie.strand_diameter, knots.strand.held));
}

struct LogRoom {
  const BandYarn& one;
  const technique::Lie<>& lie;

  double operator()(const technique::Woven& band) const {
    return technique::log_room(band, one.part, lie);
  }
  double operator()(const technique::KnottedPile& pile) const {
    if (one.part == technique::KnottedPile::kKnots) return log_knot_room(pile.knots, lie);
    return technique::log_room(pile.ground, 0, lie);
  }
  double operator()(const technique::KnottedFringe& fringe) const {
    return log_knot_room(fringe, lie);
  }
  double operator()(const technique::Soumak& soumak) const {
    return technique::log_room(soumak, lie);
  }
  double operator()(const technique::Twining& twining) const {
    return technique::log_room(twining, one.part, lie);
  }
  double operator()(const technique::LoopedPile& pile) const {
    return technique::log_room(pile, lie, one.row_height);
  }
  double operator()(const technique::Wrapping&) const { return technique::kFar; }
  double operator()(const technique::Gap&) const { return technique::kFar; }
  double operator()(const technique::Hemstitch&) const { return technique::kFar; }
};

/// Strands that make up the thickness of a part of a work; 0 of works that cover no cloth.
struct HeldInCloth {
  std::size_t part;

  int operator()(const technique::Woven& band) const { return band.areas[part].strand.held; }
  int operator()(const technique::KnottedPile& pile) const {
    return pile.ground.areas.at(0).strand.held;
  }
  int operator()(const technique::Soumak& soumak) const { return soumak.strand.held; }
  int operator()(const technique::Twining& twining) const { return twining.strands[part].held; }
  int operator()(const technique::LoopedPile& pile) const { return pile.strand.held; }
  int operator()(const technique::KnottedFringe&) const { return 0; }
  int operator()(const technique::Wrapping&) const { return 0; }
  int operator()(const technique::Gap&) const { return 0; }
  int operator()(const technique::Hemstitch&) const { return 0; }
};

/// What moves of two pieces together, coefficients of one name being one.
struct Difference {
  std::vector<std::string> names;
  std::vector<double> moves;  ///< of the logarithm, for one spread of each

  void add(const SlopingLog& log, const Coefficients& coefficients,
           const std::vector<std::string>& ids, double sign) {
    for (std::size_t c = 0; c < log.slopes.size(); ++c) {
      const double move = sign * log.slopes[c] * coefficients.spreads[c];
      if (move != 0.0) place(ids[c]) += move;
    }
  }
  double variance(const Learned* learned) const {
    const std::size_t n = names.size();
    const std::vector<double> correlation =
        learned != nullptr ? learned_correlation(*learned, names) : std::vector<double>();
    double sum = 0.0;
    for (std::size_t a = 0; a < n; ++a) {
      for (std::size_t b = 0; b < n; ++b) {
        const double together = correlation.empty() ? (a == b ? 1.0 : 0.0) : correlation[a * n + b];
        sum += moves[a] * moves[b] * together;
      }
    }
    return sum;
  }

 private:
  double& place(const std::string& name) {
    for (std::size_t i = 0; i < names.size(); ++i) {
      if (!name.empty() && names[i] == name) return moves[i];
    }
    names.push_back(name);
    return moves.emplace_back(0.0);
  }
};

/// Of a normal variable; a sure one lies below or does not.
double normal_below(double value, double variance, double limit) {
  if (!(variance > 1e-18)) return value < limit ? 1.0 : 0.0;
  return numeric::normal_cdf((limit - value) / std::sqrt(variance));
}

}  // namespace

PieceModel::SlopingLog log_room(const PieceModel& model, const BandYarn& one) {
  const technique::Work& work = model.piece().bands[one.band].work;
  const auto at = [&](const std::array<double, kLocals>& factors) {
    return std::visit(LogRoom{one, lie_with(one.medians, factors)}, work);
  };
  std::array<double, kLocals> factors;
  factors.fill(1.0);
  const double value = at(factors);
  LocalLog slopes{};
  if (value == technique::kFar) return by_coefficients(model, one, value, slopes);
  constexpr double kStep = 1e-4;
  for (const Local local : {Local::WarpDiameter, Local::StrandDiameter, Local::WarpSpacing}) {
    double& factor = factors[static_cast<std::size_t>(local)];
    factor = std::exp(kStep);
    const double above = at(factors);
    factor = std::exp(-kStep);
    slopes[static_cast<std::size_t>(local)] = (above - at(factors)) / (2.0 * kStep);
    factor = 1.0;
  }
  return by_coefficients(model, one, value, slopes);
}

std::optional<PieceModel::SlopingLog> log_cover(const PieceModel& model, const BandYarn& one) {
  const technique::Work& work = model.piece().bands[one.band].work;
  if (const auto* knots = technique::knots_of(work, one.part)) {
    LocalLog slopes{};
    slopes[static_cast<std::size_t>(Local::StrandDiameter)] = 1.0;
    slopes[static_cast<std::size_t>(Local::WarpSpacing)] = -1.0;
    return by_coefficients(model, one, -log_knot_room(*knots, one.medians), slopes);
  }
  const int held = std::visit(HeldInCloth{one.part}, work);
  if (held == 0) return std::nullopt;
  std::array<Dual, kLocals> factors;
  for (std::size_t i = 0; i < kLocals; ++i) factors[i] = Dual::variable(1.0, i);
  const technique::Lie<Dual> lie = lie_with(one.medians, factors);
  const Length<Dual> thickness = yarn::side_by_side_diameter(lie.strand_diameter, held);
  const auto part = technique::woven_part(work, one.part);
  const double course = part.cloth != nullptr ? part.cloth->course_over_run() : 1.0;
  const Dual cover = thickness * course / work_band(work, one, lie).row_spacing;
  LocalLog slopes{};
  for (std::size_t i = 0; i < kLocals; ++i) slopes[i] = cover.slope[i] / cover.value;
  return by_coefficients(model, one, std::log(cover.value), slopes);
}

PieceModel::SlopingLog log_warp_cover(const PieceModel& model) {
  SlopingLog log;
  log.value = std::log(model.end_diameter() / model.warp_spacing());
  log.slopes.assign(model.coefficients().size(), 0.0);
  log.slopes[index_of(OfYarn::Thickness, model.warp_yarn())] = 1.0;
  if (!model.yarns()[model.warp_yarn()]->measured_diameter) {
    log.slopes[index_of(OfYarn::Lot, model.warp_yarn())] = 0.5;
  }
  if (model.piece().loom.kind == piece::LoomKind::Beam) {
    log.slopes[index_of(Shared::DrawIn)] = 1.0 / (1.0 - model.draw_in());
  }
  return log;
}

double chance_below(const PieceModel::SlopingLog& log, double limit,
                    const Coefficients& coefficients) {
  double variance = 0.0;
  for (std::size_t a = 0; a < log.slopes.size(); ++a) {
    if (log.slopes[a] == 0.0) continue;
    for (std::size_t b = 0; b < log.slopes.size(); ++b) {
      if (log.slopes[b] == 0.0) continue;
      variance += log.slopes[a] * log.slopes[b] * coefficients.covariance(a, b);
    }
  }
  return normal_below(log.value, variance, limit);
}

double chance_below(const PieceModel::SlopingLog& log, const Coefficients& coefficients,
                    const std::vector<std::string>& names, const PieceModel::SlopingLog& other,
                    const Coefficients& other_coefficients,
                    const std::vector<std::string>& other_names, double limit,
                    const Learned* learned) {
  Difference difference;
  difference.add(log, coefficients, names, 1.0);
  difference.add(other, other_coefficients, other_names, -1.0);
  return normal_below(log.value - other.value, difference.variance(learned), limit);
}

}  // namespace ellwand::estimate
