#include "ellwand/calibrate/next_swatch.hpp"

#include "ellwand/calibrate/reading.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>

namespace ellwand::calibrate {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using estimate::index_of;
using estimate::OfYarn;
using estimate::Shared;

/// What a piece's coefficients are called across pieces, and how unsure each is now.
struct NamedCoefficients {
  std::vector<std::string> ids;  ///< empty where the coefficient is of this piece alone
  std::vector<double> spreads;
};

NamedCoefficients coefficients_named(const piece::Piece& piece,
                                     const estimate::Workshop& workshop) {
  const auto yarns = estimate::yarns_of(piece, workshop.yarns);
  estimate::Coefficients all =
      estimate::starting_coefficients(workshop.values, yarns, 0, piece.beginner);
  if (workshop.learned != nullptr) {
    all = estimate::learned_coefficients(all, *workshop.learned, piece, yarns, 0);
  }
  NamedCoefficients result{estimate::coefficient_ids(piece, yarns, 0), all.spreads};
  result.ids[index_of(Shared::PieceTake)].clear();
  result.ids[index_of(Shared::BeatPiece)].clear();
  return result;
}

bool is_drawn_anew(std::size_t coefficient) {
  return coefficient >= estimate::kShared &&
         (coefficient - estimate::kShared) % estimate::kPerYarn ==
             static_cast<std::size_t>(OfYarn::Split);
}

/// Of the error of a reading, on the scale of logarithms. That of a coarse tool counts as any other
/// error as large: what one such reading says hangs on where in its step the figure lies, and only
/// what it says on the whole is known beforehand.
double error_sd(const Measurement& measurement, const Expected& expected, double fresh_variance,
                const estimate::StartingValues& values) {
  const double error = values.median(error_name(measurement.what));
  const double of_figure = error * error + expected.extra_sd * expected.extra_sd + fresh_variance;
  return log_reading({measurement.value, measurement.reading_sd}, expected.log_value,
                     std::sqrt(of_figure))
      .sd;
}

}  // namespace

Outlook::Outlook(const std::vector<piece::Piece>& pieces, const estimate::Workshop& workshop)
    : workshop_(workshop), belief_({}, 0) {
  if (workshop.learned != nullptr) take_in_learned(*workshop.learned);
  for (const piece::Piece& piece : pieces) take_in(piece);
  const std::size_t n = names_.size();
  std::vector<double> covariance(n * n, 0.0);
  for (std::size_t i = 0; i < n; ++i) covariance[i * (n + 1)] = variances_[i];
  if (workshop.learned != nullptr) {
    const std::size_t known = workshop.learned->names.size();
    for (std::size_t i = 0; i < known; ++i) {
      const auto row = workshop.learned->covariances.begin() + static_cast<long>(i * known);
      std::copy(row, row + static_cast<long>(known), covariance.begin() + static_cast<long>(i * n));
    }
  }
  belief_ = Belief(std::move(covariance), n);
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    add_targets(p, estimate::PieceModel(pieces[p], workshop));
  }
  std::vector<double> variances;
  for (const Target& target : targets_) variances.push_back(variance(target));
  variance_ = mean_variance(variances);
}

std::size_t Outlook::place_of(const std::string& name, double spread) {
  const auto [place, is_new] = places_.emplace(name, names_.size());
  if (is_new) {
    names_.push_back(name);
    variances_.push_back(spread * spread);
  }
  return place->second;
}

void Outlook::take_in_learned(const estimate::Learned& learned) {
  for (const std::string& name : learned.names) place_of(name, 0.0);
}

void Outlook::take_in(const piece::Piece& piece) {
  const NamedCoefficients coefficients = coefficients_named(piece, workshop_);
  for (std::size_t c = 0; c < coefficients.ids.size(); ++c) {
    if (!coefficients.ids[c].empty()) place_of(coefficients.ids[c], coefficients.spreads[c]);
  }
}

/// d ln(grams) of each of its yarns, over the doubt there is.
void Outlook::add_targets(std::size_t index, const estimate::PieceModel& model) {
  const NamedCoefficients coefficients = coefficients_named(model.piece(), workshop_);
  const estimate::Parts parts = model.parts_by_coefficient(estimate::Line::OverTheDoubt);
  const std::size_t n = parts.coefficients;
  for (std::size_t yarn = 0; yarn < model.yarns().size(); ++yarn) {
    std::vector<double> moved(n, 0.0);  // for one spread of each
    double sum_m = 0.0;
    for (std::size_t i = 0; i < parts.size(); ++i) {
      if (parts.places[i].yarn != yarn) continue;
      sum_m += parts.medians_m[i];
      const estimate::SlopeRows::Row row = parts.slopes.row(i);
      for (std::size_t k = 0; k < row.columns.size(); ++k) {
        moved[row.columns[k]] += parts.medians_m[i] * row.slopes[k];
      }
    }
    if (!(sum_m > 0.0)) continue;
    for (double& one : moved) one /= sum_m;
    moved[index_of(OfYarn::Lot, yarn)] += coefficients.spreads[index_of(OfYarn::Lot, yarn)];
    Target target{index, yarn, sum_m * model.grams_per_metre(yarn), {}, 0.0};
    target.row = {std::vector<double>(names_.size(), 0.0), target.mean_g};
    for (std::size_t c = 0; c < n; ++c) {
      if (coefficients.ids[c].empty()) {
        target.own_variance += moved[c] * moved[c];
      } else if (coefficients.spreads[c] > 0.0) {
        target.row.slopes[places_.at(coefficients.ids[c])] += moved[c] / coefficients.spreads[c];
      }
    }
    targets_.push_back(std::move(target));
  }
}

double Outlook::variance(const Target& target) const {
  return belief_.variance(target.row.slopes) + target.own_variance;
}

double Outlook::mean_variance(const std::vector<double>& variances) const {
  double sum = 0.0;
  double weights = 0.0;
  for (std::size_t t = 0; t < targets_.size(); ++t) {
    sum += targets_[t].mean_g * variances[t];
    weights += targets_[t].mean_g;
  }
  return weights > 0.0 ? sum / weights : 0.0;
}

/// Rows of one swatch hang together by what is of that swatch alone; they are turned into rows that
/// do not, by the root of the covariance of what they do not share with others.
Belief Outlook::after(const Candidate& candidate, double& information) const {
  const NamedCoefficients coefficients = coefficients_named(candidate.swatch.piece, workshop_);
  const auto m = static_cast<Index>(candidate.expected.size());
  const std::size_t size = coefficients.ids.size();
  MatrixXd shared = MatrixXd::Zero(m, static_cast<Index>(names_.size()));
  MatrixXd own = MatrixXd::Zero(m, static_cast<Index>(size));
  MatrixXd noise = MatrixXd::Zero(m, m);
  for (Index i = 0; i < m; ++i) {
    const auto r = static_cast<std::size_t>(i);
    double fresh = 0.0;
    for (std::size_t c = 0; c < size; ++c) {
      const double slope = candidate.expected[r].slopes[c];
      const auto place = places_.find(coefficients.ids[c]);
      if (place != places_.end()) {
        shared(i, static_cast<Index>(place->second)) += slope;
      } else if (is_drawn_anew(c)) {
        fresh += std::pow(slope * coefficients.spreads[c], 2.0);
      } else {
        own(i, static_cast<Index>(c)) = slope * coefficients.spreads[c];
      }
    }
    const double sd =
        error_sd(candidate.swatch.measurements[r], candidate.expected[r], fresh, workshop_.values);
    noise(i, i) = sd * sd;
  }
  noise += own * own.transpose();
  const MatrixXd white = Eigen::LLT<MatrixXd>(noise).matrixL().solve(shared);
  Belief belief = belief_;
  information = 0.0;
  for (Index i = 0; i < m; ++i) {
    const Eigen::VectorXd row = white.row(i);
    const std::span<const double> slopes(row.data(), names_.size());
    information += belief.expected_information(slopes, 1.0);
    belief.learn(slopes, 1.0);
  }
  return belief;
}

Gain Outlook::gain(const Candidate& candidate) const {
  Gain gain;
  const Belief belief = after(candidate, gain.information_nats);
  for (const Target& target : targets_) {
    gain.variances.push_back(belief.variance(target.row.slopes) + target.own_variance);
  }
  gain.variance = mean_variance(gain.variances);
  return gain;
}

estimate::Learned Outlook::learned_after(const Candidate& candidate) const {
  estimate::Learned learned;
  if (workshop_.learned != nullptr) learned = *workshop_.learned;
  double information = 0.0;
  learned.covariances = after(candidate, information).covariance();
  learned.names = names_;
  learned.means.resize(names_.size(), 0.0);
  return learned;
}

namespace {
/// Of the target that narrows most, of those whose range of 9 times in 10 narrows by so many grams.
double most_narrower(const Outlook& outlook, const Gain& gain, double least_g) {
  constexpr double kEndToEnd = 2.0 * 1.6448536269514722;
  double most = 0.0;
  for (std::size_t t = 0; t < gain.variances.size(); ++t) {
    const Target& target = outlook.targets()[t];
    const double before = std::sqrt(outlook.variance(target));
    const double after = std::sqrt(gain.variances[t]);
    if (!(before > 0.0) || kEndToEnd * target.mean_g * (before - after) < least_g) continue;
    most = std::max(most, 1.0 - after / before);
  }
  return most;
}

/// Whether she would see it.
bool is_visible(const Advised& one, bool any_planned) {
  if (any_planned) return one.most_narrower >= kLeastNarrower;
  return one.gain.information_nats >= -std::log1p(-kLeastNarrower);
}
}  // namespace

std::vector<Advised> advise(const Outlook& outlook, std::vector<Candidate> candidates,
                            const estimate::StartingValues& values, const Limits& limits,
                            bool any_planned) {
  std::vector<Advised> all;
  for (Candidate& candidate : candidates) {
    if (candidate.minutes > limits.minutes || candidate.grams > limits.grams) continue;
    if (candidate.is_too_light) continue;
    Advised one;
    one.gain = outlook.gain(candidate);
    if (any_planned && outlook.variance() > 0.0) {
      one.narrower = 1.0 - std::sqrt(one.gain.variance / outlook.variance());
      one.most_narrower = most_narrower(outlook, one.gain, limits.narrower_g);
    }
    const double gained =
        any_planned ? outlook.variance() - one.gain.variance : one.gain.information_nats;
    if (!is_visible(one, any_planned)) continue;
    one.effort_minutes = candidate.minutes + values.median("minutes.per_gram") * candidate.grams;
    one.worth = gained / one.effort_minutes;
    one.candidate = std::move(candidate);
    all.push_back(std::move(one));
  }
  std::stable_sort(all.begin(), all.end(),
                   [](const Advised& a, const Advised& b) { return a.worth > b.worth; });
  return all;
}

std::vector<Advised> told_over_all(std::vector<Advised> all) {
  constexpr double kToldAsNothing = 0.005;  // in whole percent
  const auto is_told = [](const Advised& one) { return one.narrower > kToldAsNothing; };
  if (std::none_of(all.begin(), all.end(), is_told)) {
    all.erase(all.begin() + std::min<std::ptrdiff_t>(1, std::ssize(all)), all.end());
    return all;
  }
  all.erase(std::remove_if(all.begin(), all.end(), std::not_fn(is_told)), all.end());
  return all;
}

}  // namespace ellwand::calibrate
