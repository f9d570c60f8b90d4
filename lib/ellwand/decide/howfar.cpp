#include "ellwand/decide/howfar.hpp"

#include "ellwand/estimate/sizes.hpp"
#include "ellwand/numeric/normal.hpp"
#include "ellwand/numeric/range.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace ellwand::decide {

namespace {

/// A chance is what the confidence leaves when it differs by no more than rounding.
constexpr double kSlack = 1e-9;

/// Grams in a metre where the stash is stated by length: the label's, by which it is counted.
std::optional<double> label_metre_g(const HowfarQuestion& question, const std::string& yarn) {
  const auto stock = question.stash.find(yarn);
  if (stock == question.stash.end() || !stock->second.length) return std::nullopt;
  return in_grams(question.workshop.yarns.at(yarn).linear_density * metres(1.0));
}

estimate::Spread times(double factor, const estimate::Spread& spread) {
  return {factor * spread.low, factor * spread.mid, factor * spread.high};
}

/// What stays of a yarn, in grams as the stash counts them.
struct Stays {
  Stays(const HowfarQuestion& question, const estimate::YarnEstimate& yarn)
      : mass_g(yarn.mass_g), set_aside_g(yarn.set_aside_g) {
    const auto label_g = label_metre_g(question, yarn.yarn);
    const double metre_g = label_g.value_or(yarn.plan_g / yarn.plan_m);
    beyond_plan_g = estimate::beyond_plan_m(yarn) * metre_g;
    if (!label_g) return;
    mass_g = times(metre_g, yarn.length_m);
    set_aside_g = metre_g * yarn.set_aside_m;
  }

  estimate::Spread mass_g;
  double set_aside_g;
  double beyond_plan_g = 0.0;
};

Need need_of(const HowfarQuestion& question, const estimate::YarnEstimate& yarn) {
  const Stays stays(question, yarn);
  return {yarn.yarn, yarn.on_shelf_g.value_or(0.0), stays.set_aside_g + stays.beyond_plan_g, 0.0,
          yarn.chance_short};
}

/// What comes out again, yarn by yarn in the order of the bands, in grams as the stash counts them.
/// Bands of one yarn are lent on the same loom by the same hand: their ends add up.
std::vector<std::pair<std::string, estimate::Spread>> lent_of(
    const HowfarQuestion& question, const std::vector<estimate::Lent>& lent) {
  std::vector<std::pair<std::string, estimate::Spread>> all;
  for (const estimate::Lent& one : lent) {
    const auto label_g = label_metre_g(question, one.yarn);
    const estimate::Spread mass_g = label_g ? times(*label_g, one.length_m) : one.mass_g();
    const auto known = std::find_if(all.begin(), all.end(),
                                    [&](const auto& its) { return its.first == one.yarn; });
    if (known == all.end()) {
      all.emplace_back(one.yarn, mass_g);
    } else {
      known->second.low += mass_g.low;
      known->second.mid += mass_g.mid;
      known->second.high += mass_g.high;
    }
  }
  return all;
}

double chance_above(const estimate::Spread& mass_g, double there_g) {
  return 1.0 - numeric::normal_cdf(numeric::ShiftedLognormal(mass_g).score(there_g));
}

/// Adds what is lent to what stays of the same yarn: it is put by before the rest is looked at.
void add_lent(double lent_g, const Stays& stays, Need& need) {
  need.chance_short = chance_above(stays.mass_g, need.stash_g - lent_g - stays.beyond_plan_g);
  need.need_g += lent_g;
  need.lent_g = lent_g;
}

void add_lent(const HowfarQuestion& question, const estimate::PieceEstimate& estimate,
              Trial& trial) {
  const double z = numeric::normal_quantile(question.confidence);
  for (const auto& lent : lent_of(question, estimate.lent)) {
    const std::string& id = lent.first;
    const estimate::Spread& mass_g = lent.second;
    const auto is_its = [&](const auto& one) { return one.yarn == id; };
    const double lent_g = numeric::ShiftedLognormal(mass_g).at_score(z);
    const auto stays = std::find_if(estimate.yarns.begin(), estimate.yarns.end(), is_its);
    const auto stock = question.stash.find(id);
    if (stays != estimate.yarns.end()) {
      const auto need = std::find_if(trial.needs.begin(), trial.needs.end(), is_its);
      if (need != trial.needs.end()) add_lent(lent_g, Stays(question, *stays), *need);
    } else if (stock != question.stash.end()) {
      const double there_g = in_grams(stock->second.mass);
      trial.needs.push_back({id, there_g, lent_g, lent_g, chance_above(mass_g, there_g)});
    } else {
      trial.not_in_stash.push_back(id);
    }
  }
}

/// Whether all lots together have what no one of them has; amounts of no lot may be of one.
bool takes_several_lots(const HowfarQuestion& question, const Need& need) {
  const auto stock = question.stash.find(need.yarn);
  if (stock == question.stash.end()) return false;
  const auto& lots = stock->second.each;
  const bool are_named = std::any_of(lots.begin(), lots.end(),
                                     [&](const auto& one) { return one.lot != lots[0].lot; });
  return are_named && need.need_g > in_grams(stock->second.largest_lot) &&
         need.need_g <= need.stash_g;
}

void take_needs(const HowfarQuestion& question, const estimate::PieceEstimate& estimate,
                Trial& trial) {
  for (const estimate::YarnEstimate& yarn : estimate.yarns) {
    if (yarn.on_shelf_g) {
      trial.needs.push_back(need_of(question, yarn));
    } else {
      trial.not_in_stash.push_back(yarn.yarn);
    }
  }
  add_lent(question, estimate, trial);
  for (Need& need : trial.needs) need.is_of_several_lots = takes_several_lots(question, need);
  const double most_short = 1.0 - question.confidence;
  const bool is_short = std::any_of(trial.needs.begin(), trial.needs.end(), [&](const Need& need) {
    return need.chance_short > most_short + kSlack;
  });
  trial.outcome = is_short ? Outcome::Short : Outcome::Suffices;
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
    take_needs(question, estimate, trial);
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
