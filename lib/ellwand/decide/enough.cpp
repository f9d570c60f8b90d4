#include "ellwand/decide/enough.hpp"

#include "ellwand/calibrate/reading.hpp"
#include "ellwand/numeric/normal.hpp"
#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::decide {

using estimate::Coefficients;
using estimate::PieceModel;
using numeric::ShiftedLognormal;

namespace {

/// Taken again about the new means so often at most, or until they stay within this many spreads.
constexpr int kMostRounds = 8;
constexpr double kStays = 1e-6;

std::size_t yarn_in(const PieceModel& model, const std::string& id) {
  for (std::size_t y = 0; y < model.yarns().size(); ++y) {
    if (model.yarns()[y]->id == id) return y;
  }
  throw OutOfRange(fmt::format("the piece has no {}", id));
}

int counted_rows(const PieceModel& model, const MidwayQuestion& question) {
  const int rows = rows_of_band(model, question.band);
  if (question.rows >= 0 && question.rows <= rows) return rows;
  throw OutOfRange(fmt::format("band {} has {} rows", question.band + 1, rows));
}

double share_of(int rows, int of_rows) {
  return of_rows > 0 ? static_cast<double>(rows) / of_rows : 0.0;
}

std::vector<double> between(const std::vector<double>& from, const std::vector<double>& to) {
  std::vector<double> shares(from.size());
  for (std::size_t i = 0; i < shares.size(); ++i) shares[i] = std::max(0.0, to[i] - from[i]);
  return shares;
}

/// The shares that the used yarn was laid in.
std::vector<double> used_shares(const PieceModel& model, const estimate::Parts& parts,
                                const MidwayQuestion& question, int of_rows) {
  const std::vector<double> now =
      woven_shares(model, parts, {question.band, share_of(question.rows, of_rows), true});
  const Progress start =
      question.since_band ? Progress{*question.since_band, 0.0, true} : Progress{0, 0.0, false};
  return between(woven_shares(model, parts, start), now);
}

/// How far an amount strays from what its parts come to, beside the tool.
double strays_by(const MidwayQuestion& question) {
  return question.workshop.values.median(question.is_mass ? "error.mass" : "error.length");
}

/// By how much the means lie from the prior's, along a line.
double moved_along(const Coefficients& now, const Coefficients& prior,
                   const std::vector<double>& slopes) {
  double sum = 0.0;
  for (std::size_t c = 0; c < slopes.size(); ++c) {
    if (prior.spreads[c] > 0.0) {
      sum += slopes[c] * (now.means[c] - prior.means[c]) / prior.spreads[c];
    }
  }
  return sum;
}

double farthest(const Coefficients& a, const Coefficients& b, const Coefficients& prior) {
  double most = 0.0;
  for (std::size_t c = 0; c < a.size(); ++c) {
    if (!(prior.spreads[c] > 0.0)) continue;
    most = std::max(most, std::abs(a.means[c] - b.means[c]) / prior.spreads[c]);
  }
  return most;
}

}  // namespace

piece::Piece rows_counted(const piece::Piece& piece, const estimate::Workshop& workshop,
                          std::size_t band) {
  piece::Piece counted = piece;
  auto* const woven = std::get_if<technique::Woven>(&counted.bands.at(band).work);
  if (woven == nullptr || woven->extent.by != technique::Extent::By::Height) return counted;
  woven->extent.count = std::max(1, rows_of_band(PieceModel(piece, workshop), band));
  woven->extent.by = technique::Extent::By::Rows;
  woven->extent.height = Length<>();
  return counted;
}

Midway::Midway(const MidwayQuestion& question)
    : question_(question),
      counted_(rows_counted(question.piece, question.workshop, question.band)),
      model_(counted_, question.workshop) {
  yarn_ = yarn_in(model_, question_.yarn);
  of_rows_ = counted_rows(model_, question_);
  coefficients_ = model_.coefficients();
  if (question_.used) learn();
  parts_ = model_.parts_by_coefficient(estimate::Line::OverTheDoubt);
}

/// What would have been foretold of the use before it was weighed.
UseSoFar Midway::foretold(const PieceModel& model, const Measure& measure,
                          const std::vector<double>& shares, const LogAmount& log,
                          const calibrate::LogReading& read) const {
  const double of_tool = question_.used->sd / std::exp(log.value);
  const auto all =
      amount_to_come(model.parts_by_coefficient(estimate::Line::OverTheDoubt), measure, shares,
                     model.coefficients(), std::hypot(strays_by(question_), of_tool));
  const double doubt = std::sqrt(log.variance(model.coefficients()) + read.sd * read.sd);
  return {numeric::range_of(all), question_.used->amount, read.residual / doubt};
}

std::string doubt_of_use(const UseSoFar& use, const std::string& yarn, bool is_mass) {
  const char* const unit = is_mass ? "g" : "m";
  return fmt::format(
      "{:.3g} {} of {} were used where {:.2g} to {:.2g} {} were foretold; has a decimal point "
      "slipped, or was some of it used for something else?",
      use.used, unit, yarn, use.foretold.low, use.foretold.high, unit);
}

void Midway::learn() {
  try {
    take_in_use();
    model_ = PieceModel(counted_, question_.workshop, coefficients_);
  } catch (const BadInput&) {
    throw OutOfRange(doubt_of_use(*so_far_, question_.yarn, question_.is_mass) +
                     " It is too far off to reckon the rest by.");
  }
}

/// The tool's error is taken over what was foretold at first: a use that is too small would
/// otherwise count for more.
void Midway::take_in_use() {
  const Coefficients prior = model_.coefficients();
  const YarnReading& used = *question_.used;
  Coefficients at = prior;
  double sd = 0.0;
  for (int round = 0; round < kMostRounds; ++round) {
    const PieceModel model(counted_, question_.workshop, at);
    const estimate::Parts parts = model.parts_by_coefficient(estimate::Line::AtTheMedians);
    const Measure measure = measure_of(model, yarn_, question_.is_mass);
    const std::vector<double> shares = used_shares(model, parts, question_, of_rows_);
    const LogAmount log = log_amount(parts, measure, shares, prior.spreads);
    const calibrate::LogReading read =
        calibrate::log_reading({used.amount, used.sd, used.is_coarse}, log.value,
                               std::hypot(strays_by(question_), std::sqrt(log.own_variance)));
    if (round == 0 || used.is_coarse) sd = read.sd;
    if (round == 0) so_far_ = foretold(model, measure, shares, log, read);
    const Coefficients next =
        conditioned(prior, log.slopes, read.residual + moved_along(at, prior, log.slopes), sd);
    const bool stays = farthest(next, at, prior) < kStays;
    at.means = next.means;
    coefficients_ = next;
    if (stays) break;
  }
}

namespace {

bool takes_some(const estimate::Parts& parts, const std::vector<double>& shares, std::size_t yarn) {
  for (std::size_t i = 0; i < shares.size(); ++i) {
    if (shares[i] > 0.0 && parts.places[i].yarn == yarn) return true;
  }
  return false;
}

/// What is left is unsure by its own tool as well.
double scatter_of(const MidwayQuestion& question) {
  const double left = question.left.amount;
  return std::hypot(strays_by(question), left > 0.0 ? question.left.sd / left : 0.0);
}

}  // namespace

std::optional<ShiftedLognormal> Midway::amount(const PieceModel& model,
                                               const estimate::Parts& parts,
                                               const std::vector<double>& shares) const {
  if (!takes_some(parts, shares, yarn_)) return std::nullopt;
  return amount_to_come(parts, measure_of(model, yarn_, question_.is_mass), shares,
                        model.coefficients(), scatter_of(question_));
}

Progress Midway::now(int of_rows) const {
  return {question_.band, share_of(question_.rows, of_rows), true};
}

std::optional<ShiftedLognormal> Midway::until(const Progress& later) const {
  return amount(
      model_, parts_,
      between(woven_shares(model_, parts_, now(of_rows_)), woven_shares(model_, parts_, later)));
}

std::optional<ShiftedLognormal> Midway::rest_of(const PieceModel& model,
                                                const estimate::Parts& parts, int of_rows) const {
  const std::vector<double> woven = woven_shares(model, parts, now(of_rows));
  return amount(model, parts, between(woven, std::vector<double>(woven.size(), 1.0)));
}

std::optional<ShiftedLognormal> Midway::to_come() const {
  return rest_of(model_, parts_, of_rows_);
}

std::optional<ShiftedLognormal> Midway::to_come(const piece::Piece& piece) const {
  const PieceModel model(piece, question_.workshop, coefficients_);
  const int of_rows = counted_rows(model, question_);
  return rest_of(model, model.parts_by_coefficient(estimate::Line::OverTheDoubt), of_rows);
}

std::optional<ShiftedLognormal> Midway::foretold_to_come() const {
  const PieceModel model(counted_, question_.workshop);
  return rest_of(model, model.parts_by_coefficient(estimate::Line::OverTheDoubt), of_rows_);
}

namespace {

/// How far what is left reaches, along the order of the bands.
class Walk {
 public:
  explicit Walk(const Midway& midway) : midway_(midway) {}

  Reach reach() const {
    if (suffices(midway_.to_come())) return {true, 0, 0, 0};
    const MidwayQuestion& question = midway_.question();
    const std::size_t bands = midway_.model().piece().bands.size();
    for (std::size_t band = question.band; band < bands; ++band) {
      const int woven = band == question.band ? question.rows : 0;
      const int rows = rows_of_band(midway_.model(), band);
      if (suffices(midway_.until({band, 1.0, true}))) continue;
      return {false, band, most_rows(band, woven, rows) - woven, rows - woven};
    }
    return {false, bands, 0, 0};
  }

 private:
  bool suffices(const std::optional<ShiftedLognormal>& amount) const {
    const MidwayQuestion& question = midway_.question();
    return !amount || amount->quantile(question.confidence) <= question.left.amount;
  }

  /// The last row that what is left suffices for: more rows never take less.
  int most_rows(std::size_t band, int woven, int rows) const {
    int most = woven;
    int too_many = rows;
    while (too_many - most > 1) {
      const int middle = most + (too_many - most) / 2;
      const bool fine = suffices(midway_.until({band, share_of(middle, rows), true}));
      (fine ? most : too_many) = middle;
    }
    return most;
  }

  const Midway& midway_;
};

numeric::Range range_or_none(const std::optional<ShiftedLognormal>& amount) {
  return amount ? numeric::range_of(*amount) : numeric::Range{};
}

}  // namespace

Enough enough(const Midway& midway) {
  const MidwayQuestion& question = midway.question();
  Enough answer;
  answer.yarn = question.yarn;
  answer.is_mass = question.is_mass;
  answer.grams_per_metre = midway.grams_per_metre();
  answer.band = question.band;
  answer.rows = question.rows;
  answer.of_rows = midway.of_rows();
  answer.so_far = midway.so_far();
  answer.foretold_to_come = range_or_none(midway.foretold_to_come());
  const auto to_come = midway.to_come();
  answer.to_come = range_or_none(to_come);
  answer.needed = to_come ? to_come->quantile(question.confidence) : 0.0;
  answer.left = question.left.amount;
  answer.confidence = question.confidence;
  answer.chance = to_come ? to_come->cdf(question.left.amount) : 1.0;
  answer.safe = Walk(midway).reach();
  return answer;
}

}  // namespace ellwand::decide
