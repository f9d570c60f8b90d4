#include "print_calibration.hpp"

#include "ellwand/calibrate/advice.hpp"
#include "ellwand/numeric/normal.hpp"
#include "ellwand/numeric/student.hpp"
#include "ellwand/studio/slips.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <ostream>
#include <set>

namespace ellwand::tools {

namespace {

using calibrate::Comparison;
using calibrate::Conflict;
using calibrate::Direction;
using calibrate::Fit;
using calibrate::FittedCoefficient;
using calibrate::Influence;
using calibrate::is_added;
using calibrate::kSettledShare;
using calibrate::Measurement;
using calibrate::OutOfLine;
using calibrate::Pair;
using calibrate::Score;
using calibrate::Settled;
using calibrate::Swatch;
using calibrate::told_pairs;
using calibrate::what_settles;
using studio::Calibrated;

/// A figure less known than this is not shown line by line.
constexpr double kLeastShown = 0.05;
constexpr std::size_t kMostAdvice = 6;

std::string swatches_text(int count) {
  return count == 1 ? "1 swatch" : fmt::format("{} swatches", count);
}

std::string whole_percent(double share) { return fmt::format("{:.0f} %", 100.0 * share); }

/// Of a single piece nothing is left when it is left out.
bool is_tried(const Calibrated& all) {
  std::set<std::string> pieces;
  for (const Swatch& swatch : all.swatches) pieces.insert(swatch.piece.id);
  return pieces.size() > 1 && !all.report.comparisons.empty();
}

/// What the swatches are worth, in one sentence.
std::string what_improved(const Calibrated& all) {
  const std::string with = "With your " + swatches_text(all.fit.learned.swatches);
  if (all.report.comparisons.empty()) {
    return with + " no yarn was weighed or run off, so nothing can be tried on them.";
  }
  if (!is_tried(all)) {
    return with +
           " estimates lean towards your hand; how much better they are shows from a second one "
           "on.";
  }
  const Comparison& one = all.report.comparisons.front();
  const std::string what = one.work.empty() || one.work == "several"
                               ? "an estimate"
                               : fmt::format("a {} estimate", one.work);
  const std::string now = whole_percent(one.now.typical_off);
  const std::string start = whole_percent(one.start.typical_off);
  if (now == start) {
    return fmt::format(
        "{} {} is typically {} off, no more and no less than by the starting values.", with, what,
        now);
  }
  if (one.now.typical_off < one.start.typical_off) {
    return fmt::format("{} {} is typically {} off instead of {}.", with, what, now, start);
  }
  if (!calibrate::is_worse_beyond_chance(all.report.trials, all.swatches)) {
    return fmt::format(
        "{} it cannot be told yet whether {} is nearer than by the starting values: of {} {} left "
        "out the difference may be chance; more swatches will tell.",
        with, what, one.now.amounts, one.now.amounts == 1 ? "amount" : "amounts");
  }
  return fmt::format(
      "{} {} is typically {} off, and by the starting values only {}. Look up what was measured, "
      "what "
      "stands out below first; until then the starting values are nearer.",
      with, what, now, start);
}

/// What a single sentence on all would hide: " In weave (12 % instead of 10 %) it is
/// further off than by the starting values."
std::string what_grew_worse(const Calibrated& all) {
  std::vector<std::string> works;
  for (const Comparison& one : calibrate::grown_worse(all.report.comparisons)) {
    const std::string now = whole_percent(one.now.typical_off);
    const std::string start = whole_percent(one.start.typical_off);
    if (now == start) continue;
    const std::string where = one.work == "several" ? "pieces measured as a whole"
                              : one.work.empty()    ? "yarn alone"
                                                    : one.work;
    works.push_back(fmt::format("{} ({} instead of {})", where, now, start));
  }
  if (works.empty() || !is_tried(all)) return {};
  return fmt::format(" In {} it is further off than by the starting values.", listed(works));
}

std::string figure_text(const std::string& name, double mean, double spread) {
  const double reach = numeric::normal_quantile(0.95) * spread;
  if (is_added(name)) {
    return fmt::format("{:+.1f} % ({:+.1f} to {:+.1f})", 100.0 * mean, 100.0 * (mean - reach),
                       100.0 * (mean + reach));
  }
  return fmt::format("x {:.2f} ({:.2f} to {:.2f})", std::exp(mean), std::exp(mean - reach),
                     std::exp(mean + reach));
}

/// One of her ways as she meets it.
struct Way {
  std::string name;
  std::string meaning;
  double start_spread = 0.0;
  double mean = 0.0;
  double spread = 0.0;

  bool is_known() const {
    return spread * spread <= (1.0 - kSettledShare) * start_spread * start_spread;
  }
};

/// What she lays in a work, her hand and the work's own way together: the two are often known
/// together long before they are told apart.
Way laid_in(const FittedCoefficient& work, const Calibrated& all,
            const estimate::StartingValues& values) {
  const estimate::Learned& learned = all.fit.learned;
  const std::string& called = values.at(work.name).shared_by;
  Way way{work.name, "yarn laid in " + called, work.start_spread, work.mean, work.spread};
  const std::size_t hand = learned.find("hand");
  if (hand == estimate::Learned::kNone) return way;
  const FittedCoefficient& its = all.fit.coefficients[hand];
  const std::size_t place = learned.find(work.name) * learned.names.size() + hand;
  way.start_spread = std::hypot(work.start_spread, its.start_spread);
  way.mean += its.mean;
  way.spread = std::sqrt(std::max(
      work.spread * work.spread + its.spread * its.spread + 2.0 * learned.covariances[place], 0.0));
  return way;
}

/// Works first, with the hand in them; then all else.
std::vector<Way> ways_of(const Calibrated& all, const estimate::StartingValues& values) {
  const auto is_take = [](const FittedCoefficient& one) { return one.name.rfind("take.", 0) == 0; };
  std::vector<Way> ways;
  for (const FittedCoefficient& one : all.fit.coefficients) {
    if (is_take(one)) ways.push_back(laid_in(one, all, values));
  }
  const bool has_works = !ways.empty();
  for (const FittedCoefficient& one : all.fit.coefficients) {
    if (is_take(one) || (has_works && one.name == "hand")) continue;
    ways.push_back({one.name, one.meaning, one.start_spread, one.mean, one.spread});
  }
  return ways;
}

void print_open(std::vector<Way> open, std::ostream& out) {
  if (open.empty()) return;
  constexpr std::size_t kMostShown = 4;
  std::stable_sort(open.begin(), open.end(), [](const Way& one, const Way& other) {
    return one.start_spread > other.start_spread;
  });
  out << "\nStill the starting value, what is widest open first\n";
  for (std::size_t i = 0; i < std::min(kMostShown, open.size()); ++i) {
    out << "  " << open[i].meaning << '\n';
  }
  if (open.size() > kMostShown) out << fmt::format("  and {} more\n", open.size() - kMostShown);
}

/// What the swatches have found out of her ways, and what of them they have not.
void print_known(const Calibrated& all, const estimate::StartingValues& values, std::ostream& out) {
  TextTable table({"known by your swatches", "times the starting value (9 times in 10)"});
  std::vector<Way> open;
  for (const Way& way : ways_of(all, values)) {
    if (way.is_known()) {
      table.add({way.meaning, figure_text(way.name, way.mean, way.spread)});
    } else {
      open.push_back(way);
    }
  }
  if (!table.empty()) {
    out << '\n';
    table.print(out);
  }
  print_open(std::move(open), out);
}

void print_coefficients(const Calibrated& all, std::ostream& out) {
  TextTable table({"your ways, against the starting values", "at the start (9 times in 10)", "now",
                   "settled", ""},
                  {4});
  int hidden = 0;
  for (const Settled& settled : all.report.settled) {
    const FittedCoefficient& one = all.fit.coefficients[settled.coefficient];
    if (settled.share < kLeastShown) {
      ++hidden;
      continue;
    }
    table.add({one.meaning, figure_text(one.name, 0.0, one.start_spread),
               figure_text(one.name, one.mean, one.spread), whole_percent(settled.share),
               settled.share < kSettledShare ? "still the starting value" : ""});
  }
  out << '\n';
  if (!table.empty()) table.print(out);
  if (hidden > 0) {
    out << fmt::format("Of {} more the swatches say next to nothing.\n", hidden);
  }
  const auto known = std::count_if(all.report.directions.begin(), all.report.directions.end(),
                                   [](const Direction& one) { return one.share >= kSettledShare; });
  out << fmt::format("Of the {} ways in which these can stray together, {} {} settled.\n",
                     all.report.directions.size(), known, known == 1 ? "is" : "are");
}

std::vector<std::string> advice_of(const Calibrated& all, const estimate::StartingValues& values) {
  std::vector<std::string> advice = told_pairs(all.report, all.fit, values);
  std::set<std::size_t> in_pairs;
  for (const Pair& pair : all.report.pairs) in_pairs.insert({pair.first, pair.second});
  for (const Settled& settled : all.report.settled) {
    const bool is_open = settled.share >= kLeastShown && settled.share < kSettledShare;
    if (!is_open || in_pairs.count(settled.coefficient) > 0) continue;
    const FittedCoefficient& one = all.fit.coefficients[settled.coefficient];
    advice.push_back(fmt::format("{}: {}.", one.meaning, what_settles(one.name, values)));
  }
  if (advice.size() > kMostAdvice) advice.resize(kMostAdvice);
  return advice;
}

void print_lines(const std::string& head, const std::vector<std::string>& lines,
                 std::ostream& out) {
  if (lines.empty()) return;
  out << '\n' << head << '\n';
  for (const std::string& line : lines) out << "  " << line << '\n';
}

std::string reading_text(const Swatch& swatch, const Measurement& measurement) {
  return measurement.line > 0 ? fmt::format("{}:{}", swatch.file, measurement.line) : swatch.file;
}

/// Which, by how much, and what to look at.
std::vector<std::string> out_of_line_lines(const Calibrated& all, LengthShown shown) {
  std::vector<std::string> lines;
  for (const OutOfLine& one : all.report.out_of_line) {
    const Swatch& swatch = all.swatches[one.swatch];
    const Measurement& measurement = swatch.measurements[one.measurement];
    const char* by = !one.is_set_aside               ? "all of them together"
                     : all.fit.learned.swatches == 1 ? "the starting values"
                                                     : "your other swatches";
    lines.push_back(fmt::format(
        "{} ({}): {} {}", swatch.id, reading_text(swatch, measurement),
        studio::told_out_of_line(measurement, measurement.value / one.times, one.log_sd, by, shown),
        one.is_set_aside ? "It counts for nothing until it is put right, or another swatch says "
                           "the same."
                         : "It counts for little."));
  }
  return lines;
}

const FittedCoefficient& named(const Fit& fit, const std::string& name) {
  return fit.coefficients[fit.learned.find(name)];
}

/// Pieces that everything hangs on, and ways far from where they began.
std::vector<std::string> standing_apart(const Calibrated& all) {
  std::vector<std::string> lines;
  for (const Influence& one : all.report.influences) {
    if (std::abs(one.shift) <= 1.0 || lines.size() >= 3) continue;
    lines.push_back(fmt::format("{} alone moves this by {:.1f} of its spreads: {}.", one.piece,
                                std::abs(one.shift), named(all.fit, one.coefficient).meaning));
  }
  for (const Conflict& one : all.report.conflicts) {
    lines.push_back(fmt::format(
        "{:.1f} starting spreads from where it began, which is unlikely: {}. Look up what was "
        "measured, and what yarns.csv says.",
        std::abs(one.starting_spreads), all.fit.coefficients[one.coefficient].meaning));
  }
  return lines;
}

std::string inside_text(const Score& score, bool with_chance) {
  const std::string counted = fmt::format("{} of {}", score.inside, score.amounts);
  if (!with_chance) return counted;
  const numeric::ChanceRange chance = numeric::clopper_pearson(score.inside, score.amounts, 0.9);
  return fmt::format("{} ({:.0f} to {:.0f} %)", counted, 100.0 * chance.low, 100.0 * chance.high);
}

void print_trials(const Calibrated& all, std::ostream& out) {
  if (!is_tried(all)) return;
  TextTable table({"each foretold by the others", "amounts", "off, at the start", "now",
                   "in the range, at the start", "now (of 90 % meant)"});
  for (const Comparison& one : all.report.comparisons) {
    table.add({one.work.empty() ? "all" : one.work, std::to_string(one.now.amounts),
               whole_percent(one.start.typical_off), whole_percent(one.now.typical_off),
               inside_text(one.start, false), inside_text(one.now, true)});
  }
  out << '\n';
  table.print(out);
  out << "Off: half of the amounts are nearer.\n";
}

void print_scores(const Calibrated& all, std::ostream& out) {
  if (!is_tried(all)) return;
  const Comparison& one = all.report.comparisons.front();
  out << fmt::format(
      "\nScores of the ranges, less is better: interval {:.2f} now, {:.2f} at the start; CRPS "
      "{:.3f} and {:.3f}.\n",
      one.now.interval_score, one.start.interval_score, one.now.crps, one.start.crps);
}

/// "9 of your last 10 inside, the other 3 g over."
void print_record(const Calibrated& all, const Shower& show, std::ostream& out) {
  constexpr std::size_t kLast = 10;
  const auto& outcomes = all.record.outcomes;
  if (outcomes.empty()) return;
  const std::size_t shown = std::min(kLast, outcomes.size());
  std::vector<std::string> outside;
  for (std::size_t i = outcomes.size() - shown; i < outcomes.size(); ++i) {
    const double by = outcomes[i].outside_g();
    if (by == 0.0) continue;
    outside.push_back(fmt::format("{} of {} {} {}", outcomes[i].yarn, outcomes[i].piece,
                                  show.mass_text(std::abs(by), 0.05 * std::abs(by)),
                                  by > 0.0 ? "over" : "under"));
  }
  const std::string last = shown == 1 ? "your last one" : fmt::format("your last {}", shown);
  out << fmt::format("\nKept estimates against what was used: {} of {} inside",
                     shown - outside.size(), last);
  if (!outside.empty()) out << "; " << listed(outside);
  out << ".\n";
}

}  // namespace

void print_calibration(const Calibrated& all, const estimate::StartingValues& values,
                       const studio::Shown& shown, bool with_why, std::ostream& out) {
  constexpr std::size_t kMostWithout = 3;
  out << what_improved(all) << what_grew_worse(all) << '\n';
  print_lines("Out of line", out_of_line_lines(all, shown.length), out);
  print_trials(all, out);
  with_why ? print_coefficients(all, out) : print_known(all, values, out);
  std::vector<std::string> advice = advice_of(all, values);
  if (!with_why && advice.size() > kMostWithout) advice.resize(kMostWithout);
  print_lines("To know more", advice, out);
  if (with_why) {
    print_lines("Standing apart", standing_apart(all), out);
    print_scores(all, out);
  }
  print_record(all, Shower(shown), out);
}

}  // namespace ellwand::tools
