#include "ellwand/decide/enough.hpp"

#include "ellwand/calibrate/reading.hpp"
#include "ellwand/decide/farthest.hpp"
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
constexpr double kStays = 1e-4;

/// So many standard deviations off is no piece of this kind.
constexpr double kTooFarOff = 6.0;

std::size_t yarn_in(const PieceModel& model, const std::string& id) {
  for (std::size_t y = 0; y < model.yarns().size(); ++y) {
    if (model.yarns()[y]->id == id) return y;
  }
  throw OutOfRange(fmt::format("the piece has no {}", id));
}

int counted_rows(const PieceModel& model, const MidwayQuestion& question) {
  const int rows = rows_of_band(model, question.band, question.yarn);
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

/// Of what was used, its own and its tool's.
double scatter_of_use(const MidwayQuestion& question) {
  return std::hypot(strays_by(question), question.used->sd / question.used->amount);
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

double most_moved(const Coefficients& a, const Coefficients& b, const Coefficients& prior) {
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
  const PieceModel model(piece, workshop);
  if (!is_in_step(model, band)) return counted;
  woven->extent.count = std::max(1, rows_of_band(model, band));
  woven->extent.by = technique::Extent::By::Rows;
  woven->extent.height = Length<>();
  return counted;
}

namespace {

bool takes_some(const estimate::Parts& parts, const std::vector<double>& shares, std::size_t yarn) {
  for (std::size_t i = 0; i < shares.size(); ++i) {
    if (shares[i] > 0.0 && parts.places[i].yarn == yarn) return true;
  }
  return false;
}

}  // namespace

bool is_begun(const MidwayQuestion& question) {
  const PieceModel model(rows_counted(question.piece, question.workshop, question.band),
                         question.workshop);
  const estimate::Parts parts = model.parts_by_coefficient(estimate::Line::AtTheMedians);
  return takes_some(parts, used_shares(model, parts, question, counted_rows(model, question)),
                    yarn_in(model, question.yarn));
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

UseTooFarOff::UseTooFarOff(const UseSoFar& use)
    : OutOfRange(
          fmt::format("{:.3g} were used where {:.2g} to {:.2g} were foretold: too far off to "
                      "reckon by",
                      use.used, use.foretold.low, use.foretold.high)),
      use_(use) {}

void Midway::learn() {
  if (!is_begun(question_)) {
    throw OutOfRange(fmt::format(
        "none of the {} is woven yet that would have been used, so nothing can be told from it",
        question_.yarn));
  }
  try {
    take_in_use();
    model_ = PieceModel(counted_, question_.workshop, coefficients_);
  } catch (const BadInput&) {
    throw UseTooFarOff(so_far_.value());
  } catch (const OutOfRange&) {
    throw UseTooFarOff(so_far_.value());
  }
}

/// What is used, as one state of knowledge has it: the straight line that it moves along, through
/// the middle of its distribution. Where bands bend within their doubt the middle is not what it
/// comes to at the middle of the coefficients.
struct Midway::ExpectedUse {
  LogAmount line;
  ShiftedLognormal amount;
};

Midway::ExpectedUse Midway::expected_use(const Coefficients& known,
                                         const Coefficients& prior) const {
  Coefficients unit = known;  // slopes by the prior's spreads
  unit.spreads = prior.spreads;
  const PieceModel sloping(counted_, question_.workshop, unit);
  const estimate::Parts lines = sloping.parts_by_coefficient(estimate::Line::AtTheMedians);
  const PieceModel model(counted_, question_.workshop, known);
  const estimate::Parts parts = model.parts_by_coefficient(estimate::Line::OverTheDoubt);
  const Measure measure = measure_of(model, yarn_, question_.is_mass);
  ExpectedUse use{
      log_amount(lines, measure, used_shares(sloping, lines, question_, of_rows_), prior.spreads),
      amount_to_come(parts, measure, used_shares(model, parts, question_, of_rows_), known,
                     scatter_of_use(question_))};
  use.line.value = std::log(use.amount.quantile(0.5));
  return use;
}

/// The tool's error is taken over what was foretold at first: a use that is too small would
/// otherwise count for more.
void Midway::take_in_use() {
  const Coefficients prior = model_.coefficients();
  const YarnReading& used = *question_.used;
  coefficients_ = prior;
  double sd = 0.0;
  for (int round = 0; round < kMostRounds; ++round) {
    const ExpectedUse use = expected_use(coefficients_, prior);
    const calibrate::LogReading read =
        calibrate::log_reading({used.amount, used.sd, used.is_coarse}, use.line.value,
                               std::hypot(strays_by(question_), std::sqrt(use.line.own_variance)));
    if (round == 0 || used.is_coarse) sd = read.sd;
    if (round == 0) {
      const double doubt = std::hypot(std::sqrt(use.line.variance(prior)), sd);
      so_far_ = UseSoFar{numeric::range_of(use.amount), used.amount, read.residual / doubt};
      if (std::abs(so_far_->surprise) > kTooFarOff) throw UseTooFarOff(*so_far_);
    }
    const Coefficients before = coefficients_;
    coefficients_ = conditioned(prior, use.line.slopes,
                                read.residual + moved_along(before, prior, use.line.slopes), sd);
    if (most_moved(coefficients_, before, prior) < kStays) break;
  }
}

namespace {

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
  const PieceModel model(rows_counted(piece, question_.workshop, question_.band),
                         question_.workshop, coefficients_);
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
      const int rows = rows_of_band(midway_.model(), band, question.yarn);
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
      const bool fine = suffices(midway_.until({band, share_of(middle, rows), true, true}));
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

namespace {

Outcome outcome_of(const Midway& midway, const Design& design, const Setting& setting) {
  const MidwayQuestion& question = midway.question();
  try {
    const auto to_come = midway.to_come(design({setting}));
    const bool fine = !to_come || to_come->quantile(question.confidence) <= question.left.amount;
    return fine ? Outcome::Suffices : Outcome::Short;
  } catch (const BadInput&) {
  } catch (const OutOfRange&) {
  }
  return Outcome::Refused;
}

bool is_woven_with(const PieceModel& model, std::size_t band, std::size_t yarn) {
  return std::any_of(
      model.band_yarns().begin(), model.band_yarns().end(),
      [&](const estimate::BandYarn& one) { return one.band == band && one.yarn == yarn; });
}

}  // namespace

std::vector<Change> changes_that_suffice(const Midway& midway, const Design& design,
                                         const std::vector<Setting>& now, LengthShown shown) {
  std::vector<Change> changes;
  for (const Setting& setting : now) {
    const KnobRange range = range_of(setting.knob, shown);
    const int most = step_at(setting.value, range);
    const bool in_work = setting.knob.band == midway.question().band;
    const int least = in_work && setting.knob.of == Knob::Of::Rows
                          ? std::max(range.least, midway.question().rows)
                          : range.least;
    const auto found = farthest(
        [&](int step) {
          return outcome_of(midway, design, {setting.knob, step * range.step});
        },
        {least, most, most});
    const bool is_smaller = found && found->step * range.step < setting.value * (1.0 - 1e-9);
    if (is_smaller) changes.push_back({{setting.knob, found->step * range.step}, setting.value});
  }
  return changes;
}

std::vector<Knob> knobs_to_come(const Midway& midway, const std::vector<Knob>& all) {
  const MidwayQuestion& question = midway.question();
  std::vector<Knob> chosen;
  for (const Knob& knob : all) {
    const bool is_one = knob.of == Knob::Of::Rows || knob.of == Knob::Of::Hang;
    const bool begun = question.rows > 0 && knob.of == Knob::Of::Hang;
    const std::size_t first = question.band + (begun ? 1 : 0);
    if (is_one && knob.band >= first && is_woven_with(midway.model(), knob.band, midway.yarn())) {
      chosen.push_back(knob);
    }
  }
  return chosen;
}

}  // namespace ellwand::decide
