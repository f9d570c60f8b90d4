#include "ellwand/decide/farthest.hpp"

#include <algorithm>
#include <map>
#include <utility>

namespace ellwand::decide {

namespace {

class Search {
 public:
  Search(const std::function<Outcome(int)>& outcome, const Steps& steps)
      : outcome_(outcome), steps_(steps) {}

  std::optional<Farthest> run() {
    const auto begin = possible_between(steps_.start, steps_.least - 1, steps_.most + 1);
    if (begin && at(*begin) == Outcome::Suffices) {
      good_ = *begin;
    } else if (!step_down(begin.value_or(steps_.start))) {
      return std::nullopt;
    }
    do {
      halve(step_up());
    } while (find_farther());
    return Farthest{good_, nearest_beyond()};
  }

 private:
  Outcome at(int step) {
    const auto known = known_.find(step);
    if (known != known_.end()) return known->second;
    return known_.emplace(step, outcome_(step)).first->second;
  }

  /// The nearest step to this one that is not refused, first at or below it, then above it.
  /// @param above, below  it lies between them
  std::optional<int> possible_between(int step, int above, int below) {
    for (int i = step; i > std::max(above, step - kWidestHole); --i) {
      if (at(i) != Outcome::Refused) return i;
    }
    for (int i = step + 1; i < std::min(below, step + kWidestHole); ++i) {
      if (at(i) != Outcome::Refused) return i;
    }
    return std::nullopt;
  }

  /// Longer and longer steps down from one that does not suffice, to one that does.
  bool step_down(int from) {
    for (int stride = 1, step = from; step > steps_.least; stride *= 2) {
      step = std::max(step - stride, steps_.least);
      const auto possible = possible_between(step, steps_.least - 1, from);
      if (!possible || at(*possible) != Outcome::Suffices) continue;
      good_ = *possible;
      return true;
    }
    return false;
  }

  /// Longer and longer steps up from the last that suffices, to one that does not.
  int step_up() {
    for (int stride = 1; good_ < steps_.most; stride *= 2) {
      const int step = std::min(good_ + stride, steps_.most);
      const auto possible = possible_between(step, good_, steps_.most + 1);
      if (!possible) return step;
      if (at(*possible) != Outcome::Suffices) return *possible;
      good_ = *possible;
    }
    return steps_.most + 1;
  }

  void halve(int bad) {
    while (bad - good_ > 1) {
      const int middle = good_ + (bad - good_) / 2;
      const auto possible = possible_between(middle, good_, bad);
      if (!possible) {
        bad = middle;
      } else if (at(*possible) == Outcome::Suffices) {
        good_ = *possible;
      } else {
        bad = *possible;
      }
    }
  }

  /// Whether one of the next suffices after all.
  bool find_farther() {
    for (int i = std::min(good_ + kWidestHole, steps_.most); i > good_; --i) {
      if (at(i) != Outcome::Suffices) continue;
      good_ = i;
      return true;
    }
    return false;
  }

  std::optional<int> nearest_beyond() {
    std::optional<int> refused;
    for (int i = good_ + 1; i <= std::min(good_ + kWidestHole, steps_.most); ++i) {
      if (at(i) != Outcome::Refused) return i;
      if (!refused) refused = i;
    }
    return refused;
  }

  const std::function<Outcome(int)>& outcome_;
  Steps steps_;
  std::map<int, Outcome> known_;
  int good_ = 0;
};

}  // namespace

std::optional<Farthest> farthest(const std::function<Outcome(int)>& outcome, const Steps& steps) {
  return Search(outcome, steps).run();
}

}  // namespace ellwand::decide
