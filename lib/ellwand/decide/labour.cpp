#include "ellwand/decide/labour.hpp"

#include "ellwand/units/plain_digits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <variant>

namespace ellwand::decide {

namespace {

using estimate::StartingValues;

/// The row of the starting values with the minutes of a row 10 cm wide, or of a turn; none where
/// nothing is done.
struct RowOfMinutes {
  const char* weft;

  const char* operator()(const technique::Woven&) const { return weft; }
  const char* operator()(const technique::KnottedFringe&) const { return "minutes.knots"; }
  const char* operator()(const technique::Soumak&) const { return "minutes.soumak"; }
  const char* operator()(const technique::Twining&) const { return "minutes.twining"; }
  const char* operator()(const technique::LoopedPile&) const { return "minutes.loops"; }
  const char* operator()(const technique::Wrapping&) const { return "minutes.wraps"; }
  const char* operator()(const technique::KnottedPile&) const { return "minutes.knots"; }
  const char* operator()(const technique::Hemstitch&) const { return "minutes.hemstitch"; }
  const char* operator()(const technique::Gap&) const { return nullptr; }
};

double in_hands(const Length<>& width) { return in_centimetres(width) / 10.0; }

/// Rows of one band as the estimate counts them: most of any of its yarns.
struct Rows {
  int rows = 0;
  int ground = 0;
};

Rows rows_of(int band, const technique::Work& work, const estimate::PieceEstimate& estimate) {
  Rows all;
  const auto* pile = std::get_if<technique::KnottedPile>(&work);
  const auto* wrapping = std::get_if<technique::Wrapping>(&work);
  for (const estimate::BandEstimate& one : estimate.bands) {
    if (one.band != band || one.purpose != estimate::Purpose::Band) continue;
    all.rows = std::max(all.rows, wrapping != nullptr ? one.turns * wrapping->places : one.rows);
  }
  if (pile != nullptr) {
    all.ground = all.rows;
    all.rows = pile->knots.rows;
  }
  return all;
}

}  // namespace

const std::vector<std::string>& works_with_minutes() {
  static const std::vector<std::string> names = {
      "weave",       kThrownWeave, "knotted fringe", "soumak",    "twining",
      "looped pile", "wrapping",   "knotted pile",   "hemstitch", kBesides};
  return names;
}

Task task_of(int band, const technique::Work& work, int rows, int ground_rows, Passes passes,
             const Length<>& width, const StartingValues& values) {
  const bool is_wrapping = std::holds_alternative<technique::Wrapping>(work);
  const bool is_thrown = passes == Passes::Thrown;
  const char* const weft = is_thrown ? "minutes.thrown" : "minutes.weave";
  const char* const row = std::visit(RowOfMinutes{weft}, work);
  Task task{band, technique::name_of(work), rows * (is_wrapping ? 1.0 : in_hands(width)), 0.0};
  if (is_thrown && std::holds_alternative<technique::Woven>(work)) task.work = kThrownWeave;
  if (row == nullptr) return task;
  task.starting_minutes = values.median(row) * task.units;
  if (ground_rows > 0) {
    task.starting_minutes += values.median(weft) * ground_rows * in_hands(width);
  }
  return task;
}

std::vector<Task> tasks_of(const estimate::PieceModel& model,
                           const estimate::PieceEstimate& estimate, const StartingValues& values) {
  std::vector<Task> tasks;
  const std::vector<piece::Band>& bands = model.piece().bands;
  for (std::size_t b = 0; b < bands.size(); ++b) {
    const technique::Work& work = bands[b].work;
    if (std::holds_alternative<technique::Gap>(work)) continue;
    const int band = static_cast<int>(b) + 1;
    const Rows rows = rows_of(band, work, estimate);
    const Passes passes = model.is_thrown(b) ? Passes::Thrown : Passes::ByHand;
    tasks.push_back(
        task_of(band, work, rows.rows, rows.ground, passes, model.loom_width(), values));
  }
  tasks.push_back({0, kBesides, 1.0, values.median("minutes.besides")});
  return tasks;
}

std::map<std::string, Pace> paces_of(const std::vector<Logged>& log, const StartingValues& values) {
  const double s0 =
      std::hypot(values.at("minutes.work").spread, values.at("minutes.common").spread);
  std::map<std::string, std::vector<Logged>> by_work;
  for (const Logged& one : log) by_work[one.work].push_back(one);
  std::map<std::string, Pace> paces;
  for (const auto& [work, entries] : by_work) {
    const auto k = static_cast<double>(entries.size());
    double units = 0.0;
    double minutes = 0.0;
    double mean_log = 0.0;
    for (const Logged& one : entries) {
      units += one.units;
      minutes += one.minutes;
      mean_log += std::log(one.minutes / one.units) / k;
    }
    double squares = s0 * s0;
    for (const Logged& one : entries) {
      squares += std::pow(std::log(one.minutes / one.units) - mean_log, 2);
    }
    const bool tells = entries.size() > 1;
    paces[work] = {minutes / units, tells ? std::sqrt(squares / k * (1.0 + 1.0 / k)) : s0,
                   static_cast<int>(entries.size())};
  }
  return paces;
}

namespace {

Labour unlogged(const Task& task, double minutes, Basis basis, const StartingValues& values) {
  return {task.band,
          task.work,
          minutes,
          basis,
          values.at("minutes.work").spread,
          values.at("minutes.common").spread};
}

Labour line_of(const Task& task, const Minutes& known, const StartingValues& values) {
  if (const auto logged = known.logged.find(task.work); logged != known.logged.end()) {
    const Pace& pace = logged->second;
    return {task.band, task.work, pace.minutes * task.units, Basis::Log, pace.log_sd, 0.0};
  }
  if (const auto stated = known.stated.find(task.work); stated != known.stated.end()) {
    return unlogged(task, stated->second * task.units, Basis::Stated, values);
  }
  return unlogged(task, task.starting_minutes, Basis::Starting, values);
}

}  // namespace

std::vector<Labour> labour_of(const std::vector<Task>& tasks, const Minutes& known,
                              const StartingValues& values) {
  if (known.given) {
    return {unlogged({0, "the whole piece", 1.0, 0.0}, *known.given, Basis::Given, values)};
  }
  std::vector<Labour> lines;
  for (const Task& task : tasks) lines.push_back(line_of(task, known, values));
  lines.erase(std::remove_if(lines.begin(), lines.end(),
                             [](const Labour& line) { return line.minutes <= 0.0; }),
              lines.end());
  return lines;
}

std::string doubt_of_minutes(double minutes, double usual) {
  const double halfway = std::sqrt(60.0);
  if (!(usual > 0.0)) return {};
  if (minutes > usual / halfway && minutes < usual * halfway) return {};
  return fmt::format(
      "{} min where about {} would be usual; {}", plain_digits(minutes), plain_digits(usual, 2),
      minutes < usual ? "are these hours?" : "are these seconds, or of more than this?");
}

double log_covariance(const Labour& a, const Labour& b) {
  const double own = a.work == b.work ? a.own_log_sd * b.own_log_sd : 0.0;
  return own + a.common_log_sd * b.common_log_sd;
}

}  // namespace ellwand::decide
