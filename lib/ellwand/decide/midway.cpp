#include "ellwand/decide/midway.hpp"

#include "ellwand/calibrate/design.hpp"
#include "ellwand/estimate/yarn_totals.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>

namespace ellwand::decide {

using estimate::Coefficients;
using estimate::index_of;
using estimate::OfYarn;
using estimate::PieceModel;
using technique::Portion;

namespace {

/// Rows that a work counts by itself; a weave's are planned.
struct CountedRows {
  int operator()(const technique::Woven&) const { return 0; }
  int operator()(const technique::KnottedFringe& fringe) const { return fringe.rows; }
  int operator()(const technique::Soumak& soumak) const { return soumak.rows; }
  int operator()(const technique::Twining& twining) const { return twining.rows; }
  int operator()(const technique::LoopedPile& pile) const { return pile.rows; }
  int operator()(const technique::Wrapping& wrapping) const { return wrapping.places; }
  int operator()(const technique::KnottedPile& pile) const { return pile.knots.rows; }
  int operator()(const technique::Gap&) const { return 0; }
  int operator()(const technique::Hemstitch&) const { return 1; }
};

bool is_cord(const estimate::Parts::Place& place) {
  return estimate::purpose_of(place.band, place.portion) == estimate::Purpose::Cord;
}

/// Of a part that is of a band.
double share_in_band(const estimate::Parts::Place& place, const Progress& progress) {
  const auto band = static_cast<std::size_t>(place.band - 1);
  if (band != progress.band) return band < progress.band ? 1.0 : 0.0;
  if (place.portion != Portion::HalfLength) return progress.share;
  const bool is_ended = progress.share >= 1.0 || (progress.stops && progress.share > 0.0);
  return is_ended ? 1.0 : 0.0;
}

/// Of what is worked of each yarn.
std::vector<double> worked_shares(const estimate::Parts& parts, std::span<const double> shares,
                                  std::size_t yarns) {
  std::vector<double> woven(yarns, 0.0);
  std::vector<double> all(yarns, 0.0);
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const estimate::Parts::Place& place = parts.places[i];
    if (!estimate::is_worked(place.band, place.portion)) continue;
    woven[place.yarn] += shares[i] * parts.medians_m[i];
    all[place.yarn] += parts.medians_m[i];
  }
  for (std::size_t y = 0; y < yarns; ++y) woven[y] = all[y] > 0.0 ? woven[y] / all[y] : 0.0;
  return woven;
}

}  // namespace

namespace {

/// A yarn of a band and the rows it is planned with.
struct PlannedRows {
  std::size_t yarn = 0;
  int rows = 0;
};

/// Of a woven band, area by area.
std::vector<PlannedRows> planned_rows(const PieceModel& model, std::size_t band) {
  std::vector<PlannedRows> areas;
  const auto take = [&](const std::vector<estimate::BandYarn>& bands,
                        const std::vector<estimate::Worked<double>>& planned) {
    for (std::size_t i = 0; i < bands.size(); ++i) {
      if (bands[i].band != band) continue;
      areas.push_back({bands[i].yarn, static_cast<int>(std::lround(planned[i].rows))});
    }
  };
  take(model.band_yarns(), model.planned());
  take(model.lent_yarns(), model.lent_planned());
  return areas;
}

bool is_woven(const PieceModel& model, std::size_t band) {
  return std::holds_alternative<technique::Woven>(model.piece().bands.at(band).work);
}

}  // namespace

int rows_of_band(const PieceModel& model, std::size_t band) {
  if (!is_woven(model, band)) return std::visit(CountedRows(), model.piece().bands[band].work);
  const std::vector<PlannedRows> areas = planned_rows(model, band);
  return areas.empty() ? 0 : areas.front().rows;
}

int rows_of_band(const PieceModel& model, std::size_t band, const std::string& yarn) {
  int most = 0;
  if (is_woven(model, band)) {
    for (const PlannedRows& area : planned_rows(model, band)) {
      if (model.all_yarns()[area.yarn]->id == yarn) most = std::max(most, area.rows);
    }
  }
  return most > 0 ? most : rows_of_band(model, band);
}

bool is_in_step(const PieceModel& model, std::size_t band) {
  if (!is_woven(model, band)) return true;
  const std::vector<PlannedRows> areas = planned_rows(model, band);
  return std::all_of(areas.begin(), areas.end(),
                     [&](const PlannedRows& area) { return area.rows == areas.front().rows; });
}

std::vector<double> woven_shares(const PieceModel& model, const estimate::Parts& parts,
                                 const Progress& progress) {
  std::vector<double> shares(parts.size(), 0.0);
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const estimate::Parts::Place& place = parts.places[i];
    if (place.band > 0) {
      shares[i] = share_in_band(place, progress);
    } else if (place.portion == Portion::Cut) {
      shares[i] = progress.warped ? 1.0 : 0.0;
    }
  }
  const std::vector<double> worked = worked_shares(parts, shares, model.yarns().size());
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const estimate::Parts::Place& place = parts.places[i];
    if (place.band > 0 || place.portion == Portion::Cut || is_cord(place)) continue;
    const bool with_warp = place.portion == Portion::Allowance && place.yarn == model.warp_yarn();
    shares[i] = with_warp ? (progress.warped ? 1.0 : 0.0) : worked[place.yarn];
  }
  return shares;
}

Measure measure_of(const PieceModel& model, std::size_t yarn, bool is_mass) {
  return {is_mass, yarn, model.grams_per_metre(yarn), index_of(OfYarn::Lot, yarn),
          index_of(OfYarn::Split, yarn)};
}

double LogAmount::variance(const Coefficients& coefficients) const {
  double sum = 0.0;
  for (std::size_t a = 0; a < slopes.size(); ++a) {
    for (std::size_t b = 0; b < slopes.size(); ++b) {
      sum += slopes[a] * slopes[b] * coefficients.correlated(a, b);
    }
  }
  return sum;
}

LogAmount log_amount(const estimate::Parts& parts, const Measure& measure,
                     std::span<const double> shares, std::span<const double> spreads) {
  const std::size_t n = parts.coefficients;
  LogAmount log;
  log.slopes.assign(n, 0.0);
  double sum_m = 0.0;
  double strips = 0.0;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts.places[i].yarn != measure.yarn || !(shares[i] > 0.0)) continue;
    const double part_m = shares[i] * parts.medians_m[i];
    const estimate::SlopeRows::Row row = parts.slopes.row(i);
    sum_m += part_m;
    for (std::size_t k = 0; k < row.columns.size(); ++k) {
      log.slopes[row.columns[k]] += part_m * row.slopes[k];
    }
    strips += part_m * parts.slopes.at(i, measure.split) / std::sqrt(shares[i]);
  }
  if (!(sum_m > 0.0)) throw OutOfRange("there is none of that yarn in it");
  for (double& slope : log.slopes) slope /= sum_m;
  log.slopes[measure.split] = 0.0;
  log.own_variance = strips * strips / (sum_m * sum_m);
  log.value = std::log(sum_m);
  if (measure.is_mass) {
    log.value += std::log(measure.grams_per_metre);
    log.slopes[measure.lot] += spreads[measure.lot];
  }
  return log;
}

namespace {

std::vector<double> correlations_of(const Coefficients& all) {
  const std::size_t n = all.size();
  std::vector<double> correlation(n * n);
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = 0; b < n; ++b) correlation[a * n + b] = all.correlated(a, b);
  }
  return correlation;
}

/// Spreads and correlations from covariances in units of the spreads before.
void take_covariance(const std::vector<double>& covariance, Coefficients& all) {
  const std::size_t n = all.size();
  std::vector<double> shrunk(n);
  for (std::size_t c = 0; c < n; ++c) shrunk[c] = std::sqrt(covariance[c * (n + 1)]);
  all.correlation.assign(n * n, 0.0);
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = 0; b < n; ++b) {
      const double both = shrunk[a] * shrunk[b];
      const double r = both > 0.0 ? covariance[a * n + b] / both : 0.0;
      all.correlation[a * n + b] = a == b ? 1.0 : std::clamp(r, -1.0, 1.0);
    }
  }
  for (std::size_t c = 0; c < n; ++c) all.spreads[c] *= shrunk[c];
}

}  // namespace

Coefficients conditioned(const Coefficients& prior, std::span<const double> slopes, double residual,
                         double sd) {
  Coefficients posterior = prior;
  calibrate::Belief belief(correlations_of(prior), prior.size());
  const std::vector<double> gain = belief.gain(slopes, sd);
  for (std::size_t c = 0; c < prior.size(); ++c) {
    posterior.means[c] += prior.spreads[c] * gain[c] * residual;
  }
  belief.learn(slopes, sd);
  take_covariance(belief.covariance(), posterior);
  return posterior;
}

namespace {

/// The chosen shares of one yarn's parts, on the coefficients and a last one, its own scatter.
estimate::Parts parts_to_come(const estimate::Parts& parts, const Measure& measure,
                              std::span<const double> shares, double scatter) {
  const std::size_t n = parts.coefficients;
  estimate::Parts chosen;
  chosen.coefficients = n + 1;
  chosen.states = parts.states;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts.places[i].yarn != measure.yarn || !(shares[i] > 0.0)) continue;
    chosen.places.push_back(parts.places[i]);
    chosen.medians_m.push_back(shares[i] * parts.medians_m[i]);
    const estimate::SlopeRows::Row row = parts.slopes.row(i);
    chosen.slopes.open();
    for (std::size_t k = 0; k < row.columns.size(); ++k) {
      // Of fewer strips the mean is less even.
      const double fewer = row.columns[k] == measure.split ? std::sqrt(shares[i]) : 1.0;
      chosen.slopes.put(row.columns[k], row.slopes[k] / fewer);
    }
    chosen.slopes.put(n, scatter);
    chosen.at_states_m.push_back(parts.at_states_m[i]);
    for (double& amount_m : chosen.at_states_m.back()) amount_m *= shares[i];
  }
  return chosen;
}

/// A correlation with one more variable that hangs together with none.
std::vector<double> with_one_more(const Coefficients& coefficients) {
  const std::size_t n = coefficients.size();
  std::vector<double> all((n + 1) * (n + 1), 0.0);
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = 0; b < n; ++b) all[a * (n + 1) + b] = coefficients.correlated(a, b);
  }
  all.back() = 1.0;
  return all;
}

}  // namespace

numeric::ShiftedLognormal amount_to_come(const estimate::Parts& parts, const Measure& measure,
                                         std::span<const double> shares,
                                         const Coefficients& coefficients, double scatter) {
  estimate::Parts chosen = parts_to_come(parts, measure, shares, scatter);
  if (chosen.size() == 0) throw OutOfRange("there is none of that yarn in it");
  if (!coefficients.correlation.empty()) chosen.turn(with_one_more(coefficients));
  std::vector<std::size_t> every(chosen.size());
  for (std::size_t i = 0; i < every.size(); ++i) every[i] = i;
  const estimate::Sum sum(chosen, every);
  if (!measure.is_mass) return sum.length_m();
  return sum.mass_g(measure.grams_per_metre, measure.lot, coefficients.spreads[measure.lot]);
}

}  // namespace ellwand::decide
