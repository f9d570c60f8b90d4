#include "ellwand/decide/howfar.hpp"

#include "ellwand/estimate/sizes.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace ellwand::decide {

namespace {

/// A chance is what the confidence leaves when it differs by no more than rounding.
constexpr double kSlack = 1e-9;

Need need_of(const estimate::YarnEstimate& yarn) {
  Need need;
  need.yarn = yarn.yarn;
  need.grams_per_metre = yarn.plan_g / yarn.plan_m;
  need.stash_g = yarn.on_shelf_g.value_or(0.0);
  need.need_g = yarn.set_aside_g + (yarn.cut_rounding_m + yarn.spare_m) * need.grams_per_metre;
  need.chance_short = yarn.chance_short;
  return need;
}

void take_needs(const estimate::PieceEstimate& estimate, double most_short, Trial& trial) {
  trial.outcome = Outcome::Suffices;
  for (const estimate::YarnEstimate& yarn : estimate.yarns) {
    if (!yarn.on_shelf_g) {
      trial.not_in_stash.push_back(yarn.yarn);
      continue;
    }
    trial.needs.push_back(need_of(yarn));
    if (yarn.chance_short > most_short + kSlack) trial.outcome = Outcome::Short;
  }
  std::stable_sort(trial.needs.begin(), trial.needs.end(), [](const Need& a, const Need& b) {
    return a.over_g() / a.need_g < b.over_g() / b.need_g;
  });
}

}  // namespace

namespace {

/// @throws BeyondLoom where it does not fit on the span
estimate::PieceModel fitted(const piece::Piece& piece, const estimate::Workshop& workshop) {
  estimate::PieceModel model(piece, workshop);
  if (const auto budget = estimate::span_budget(model)) {
    if (const auto complaint = estimate::does_not_fit(model, *budget)) {
      throw BeyondLoom({*complaint});
    }
  }
  return model;
}

}  // namespace

Trial try_setting(const HowfarQuestion& question, const std::vector<Setting>& settings) {
  Trial trial;
  estimate::Options options;
  options.service = question.confidence;
  options.chances = false;
  options.cut_step = question.cut_step;
  try {
    const estimate::PieceModel model = fitted(question.design(settings), question.workshop);
    const estimate::PieceEstimate estimate = estimate::estimate(model, question.stash, options);
    trial.finished = estimate.finished;
    take_needs(estimate, 1.0 - question.confidence, trial);
  } catch (const BeyondLoom& beyond) {
    trial.refusal = beyond.complaints().front().text;
    trial.outcome = Outcome::TooLarge;
  } catch (const BadInput& bad) {
    trial.refusal = bad.complaints().front().text;
  } catch (const OutOfRange& refusal) {
    trial.refusal = refusal.told(question.workshop.shown);
  }
  return trial;
}

namespace {

/// Trials of one knob, each made once.
class Trials {
 public:
  Trials(const HowfarQuestion& question, const Knob& knob, double step,
         const std::vector<Setting>& fixed)
      : question_(question), knob_(knob), step_(step), fixed_(fixed) {}

  const Trial& at(int step) {
    const auto known = known_.find(step);
    if (known != known_.end()) return known->second;
    return known_.emplace(step, try_setting(question_, settings(step))).first->second;
  }
  std::vector<Setting> settings(int step) const {
    std::vector<Setting> all = {{knob_, step * step_}};
    all.insert(all.end(), fixed_.begin(), fixed_.end());
    return all;
  }

 private:
  const HowfarQuestion& question_;
  Knob knob_;
  double step_;
  const std::vector<Setting>& fixed_;
  std::map<int, Trial> known_;
};

Bound bound_by(Outcome outcome) {
  switch (outcome) {
    case Outcome::Short:
      return Bound::Yarn;
    case Outcome::TooLarge:
      return Bound::TheLoom;
    case Outcome::Refused:
      return Bound::ThePiece;
    case Outcome::Suffices:
      break;
  }
  return Bound::Nothing;
}

}  // namespace

std::optional<HowFar> how_far(const HowfarQuestion& question, const Knob& knob, double now,
                              const KnobRange& range, const std::vector<Setting>& fixed) {
  Trials trials(question, knob, range.step, fixed);
  const auto found = farthest([&](int step) { return trials.at(step).outcome; },
                              {range.least, step_at(now, range), range.most});
  if (!found) return std::nullopt;
  HowFar far;
  far.at = trials.settings(found->step);
  far.now = now;
  far.trial = trials.at(found->step);
  if (!found->too_far) return far;
  far.beyond = *found->too_far * range.step;
  far.at_beyond = trials.at(*found->too_far);
  far.bound = bound_by(far.at_beyond->outcome);
  return far;
}

std::optional<Smallest> smallest(const HowfarQuestion& question, const Knob& knob, double now,
                                 const KnobRange& range) {
  std::string below;
  for (int step = range.least; step <= step_at(now, range); ++step) {
    const Setting setting{knob, step * range.step};
    Trial trial = try_setting(question, {setting});
    if (trial.outcome != Outcome::Refused) return Smallest{setting, std::move(trial), below};
    below = trial.refusal;
  }
  return std::nullopt;
}

std::vector<double> usual_values(double now, const KnobRange& range) {
  std::vector<double> values;
  for (const double share : {0.5, 0.75, 1.0, 1.25, 1.5, 2.0}) {
    const double value = range.step * step_at(share * now, range);
    if (values.empty() || values.back() < value) values.push_back(value);
  }
  return values;
}

Frontier frontier(const HowfarQuestion& question, const Setting& first, const KnobRange& range,
                  const Knob& second, const std::vector<double>& values) {
  Frontier found;
  for (const double value : values) {
    const Setting beside{second, value};
    auto far = how_far(question, first.knob, first.value, range, {beside});
    if (far) {
      found.all.push_back(std::move(*far));
    } else {
      found.nothing_at.push_back(beside);
    }
  }
  return found;
}

}  // namespace ellwand::decide
