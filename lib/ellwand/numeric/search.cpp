#include "ellwand/numeric/search.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include "ellwand/numeric/normal.hpp"

namespace ellwand::numeric {

namespace {

constexpr double kEqualCost = 1e-9;  // the last steps settle a sum of squares closer than this
constexpr double kSamePlace = 1e-4;  // of the length of the point, in units of D
constexpr int kFirstShare = 2;       // the first descent may use this part of all evaluations
constexpr int kShare = 6;            // each later one this
constexpr std::array kSpreads = {0.25, 0.5, 1.0, 2.0};

/// Settings that go other ways: steeper and shorter steps, a longer memory, no acceleration.
DescentSettings varied(const DescentSettings& settings, int variant) {
  DescentSettings other = settings;
  if (variant % 3 == 1) other.damping = 1.0;
  if (variant % 3 == 2) {
    other.memory = 1.0;
    other.accelerate = !settings.accelerate;
    other.damping = 1e-3;
  }
  return other;
}

class Search {
 public:
  Search(const ResidualProblem& problem, std::span<const double> start,
         const SearchSettings& settings)
      : problem_(problem),
        settings_(settings),
        start_(start.begin(), start.end()),
        draws_(settings.seed) {}

  Found go() {
    descend_from(start_, settings_.descent, settings_.most_evaluations / kFirstShare);
    for (int variant = 1; variant <= 2 && stuck() && more(); ++variant) {
      descend_from(start_, varied(settings_.descent, variant), share());
    }
    for (int i = 0; more() && !believed(); ++i) {
      if (unfinished_is_lowest()) go_on();
      if (more()) descend_from(other_start(i), varied(settings_.descent, i / 2), share());
    }
    tell_others();
    return found_;
  }

 private:
  int left() const { return settings_.most_evaluations - found_.evaluations; }
  int share() const { return std::min(left(), settings_.most_evaluations / kShare); }
  bool more() const { return left() > 2 && found_.starts < settings_.most_starts; }
  bool in_doubt() const { return found_.ending != Ending::Stationary; }
  bool believed() const { return !in_doubt() && found_.reached >= settings_.agreeing; }
  bool stuck() const { return in_doubt() && !unfinished_is_lowest(); }
  bool unfinished_is_lowest() const { return found_.ending == Ending::OutOfEvaluations; }

  void descend_from(const std::vector<double>& start, const DescentSettings& settings, int most) {
    ++found_.starts;
    Descent descent = descend(problem_, start, settings, std::min(most, left()));
    found_.evaluations += descent.evaluations;
    if (descent.ending == Ending::Stationary && problem_.at_boundary(descent.at)) {
      descent.ending = Ending::AtBoundary;
    }
    take(descent);
  }

  /// An unfinished descent goes on with what is left, D begun anew.
  void go_on() { descend_from(found_.lowest.at, settings_.descent, left()); }

  void take(const Descent& descent) {
    if (descent.ending == Ending::NoFiniteStart) {
      if (found_.lowest.at.empty()) found_.lowest = {descent.at, descent.cost};
      return;
    }
    if (descent.ending == Ending::Stationary) minima_.push_back({descent.at, descent.cost});
    if (found_.ending == Ending::NoFiniteStart) return lead(descent, 1);
    const double margin = std::max(kEqualCost * found_.lowest.cost, noise_);
    const bool equal = std::abs(descent.cost - found_.lowest.cost) <= margin;
    const bool better_known = in_doubt() && descent.ending == Ending::Stationary;
    if (equal && !better_known) {
      ++found_.reached;
      if (descent.cost < found_.lowest.cost && same_place(descent.at, found_.lowest.at)) {
        lead(descent, found_.reached);
      }
    } else if (equal || descent.cost < found_.lowest.cost) {
      lead(descent, 1);
    }
  }

  void lead(const Descent& descent, int reached) {
    found_.lowest = {descent.at, descent.cost};
    found_.ending = descent.ending;
    found_.scale = descent.scale;
    found_.reached = reached;
    noise_ = descent.cost_noise;
  }

  bool same_place(const std::vector<double>& a, const std::vector<double>& b) const {
    double apart = 0.0;
    double length = 0.0;
    for (std::size_t j = 0; j < a.size(); ++j) {
      apart = std::hypot(apart, found_.scale[j] * (a[j] - b[j]));
      length = std::hypot(length, found_.scale[j] * b[j]);
    }
    return apart <= kSamePlace * length;
  }

  double normal_draw() {
    const double uniform = (static_cast<double>(draws_() >> 11) + 0.5) * 0x1.0p-53;
    return normal_quantile(uniform);
  }

  /// The i-th start: about the start twice, then about the lowest twice; mirrored every second.
  std::vector<double> other_start(int i) {
    const auto turn = static_cast<std::size_t>(i / 2);
    if (i % 2 == 0) {
      drawn_.resize(start_.size());
      for (double& z : drawn_) z = normal_draw();
    } else {
      for (double& z : drawn_) z = -z;
    }
    const bool about_lowest = turn % 2 == 1 && found_.ending != Ending::NoFiniteStart;
    std::vector<double> other = about_lowest ? found_.lowest.at : start_;
    const double spread = kSpreads[(turn / 2) % kSpreads.size()];
    for (std::size_t j = 0; j < other.size(); ++j) {
      other[j] = problem_.moved(j, other[j], spread * drawn_[j]);
    }
    return other;
  }

  double variance() const {
    if (settings_.variance > 0.0) return settings_.variance;
    const std::size_t unknowns = problem_.unknowns();
    const std::size_t free = problem_.rows() > unknowns ? problem_.rows() - unknowns : 1;
    return found_.lowest.cost / static_cast<double>(free);
  }

  /// Minima elsewhere whose sum of squares is nearly the lowest, each once.
  void tell_others() {
    const double most = found_.lowest.cost + settings_.nearly_equal * variance() + noise_;
    for (const Minimum& minimum : minima_) {
      if (minimum.cost > most || same_place(minimum.at, found_.lowest.at)) continue;
      const bool told = std::any_of(found_.others.begin(), found_.others.end(),
                                    [&](const Minimum& m) { return same_place(minimum.at, m.at); });
      if (!told) found_.others.push_back(minimum);
    }
  }

  const ResidualProblem& problem_;
  const SearchSettings& settings_;
  std::vector<double> start_;
  std::mt19937_64 draws_;
  std::vector<double> drawn_;
  std::vector<Minimum> minima_;
  double noise_ = 0.0;
  Found found_;
};

}  // namespace

Found search(const ResidualProblem& problem, std::span<const double> start,
             const SearchSettings& settings) {
  return Search(problem, start, settings).go();
}

}  // namespace ellwand::numeric
