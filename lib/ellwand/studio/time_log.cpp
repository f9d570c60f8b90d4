#include "ellwand/studio/time_log.hpp"

#include "ellwand/studio/files.hpp"
#include "ellwand/studio/read_piece.hpp"
#include "ellwand/studio/read_swatches.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

namespace ellwand::studio {

namespace fs = std::filesystem;

namespace {

using decide::Task;

/// Something woven, with what was to be done in each of its bands.
struct Woven {
  piece::Piece piece;
  Length<> width;
  std::vector<Task> tasks;
  std::string why_not;  ///< where it cannot be used
};

Woven woven(piece::Piece piece, const estimate::Workshop& workshop) {
  try {
    const estimate::PieceModel model(piece, workshop);
    estimate::Options options;
    options.chances = false;
    const estimate::PieceEstimate estimate = estimate::estimate(model, {}, options);
    return {std::move(piece), model.loom_width(),
            decide::tasks_of(model, estimate, workshop.values), ""};
  } catch (const BadInput&) {
    return {{}, {}, {}, "cannot be estimated"};
  } catch (const OutOfRange&) {
    return {{}, {}, {}, "cannot be estimated"};
  }
}

/// The pieces and swatches that rows name, each made ready once.
class Named {
 public:
  Named(fs::path folder, const Studio& studio, const estimate::Workshop& workshop)
      : folder_(std::move(folder)), studio_(studio), workshop_(workshop) {}

  const Woven& of(const TimeSpent& row) {
    const bool is_piece = !row.piece.empty();
    const auto key = std::make_pair(is_piece, is_piece ? row.piece : row.swatch);
    const auto known = all_.find(key);
    if (known != all_.end()) return known->second;
    return all_.emplace(key, is_piece ? piece_of(key.second) : swatch_of(key.second)).first->second;
  }

 private:
  Woven piece_of(const std::string& id) const {
    const fs::path file = folder_ / "pieces" / (id + ".toml");
    std::error_code unseen;
    if (!fs::is_regular_file(file, unseen)) {
      const std::string nearest = nearest_word(id, pieces_there());
      return {{},
              {},
              {},
              "is no file of pieces" +
                  (nearest.empty() ? "" : fmt::format(" (is {} meant?)", nearest))};
    }
    try {
      return woven(open_piece(file, studio_, workshop_.values).piece, workshop_);
    } catch (const BadInput&) {
      return {{}, {}, {}, "cannot be read"};
    }
  }

  std::vector<std::string> pieces_there() const {
    std::vector<std::string> ids;
    std::error_code unseen;
    for (fs::directory_iterator at(folder_ / "pieces", unseen), end; !unseen && at != end;
         at.increment(unseen)) {
      if (at->path().extension() == ".toml") ids.push_back(at->path().stem().string());
    }
    std::sort(ids.begin(), ids.end());
    return ids;
  }

  Woven swatch_of(const std::string& id) {
    if (!swatches_) swatches_ = open_swatches(folder_, studio_, workshop_.values).swatches;
    const auto found = std::find_if(swatches_->begin(), swatches_->end(),
                                    [&](const calibrate::Swatch& one) { return one.id == id; });
    if (found == swatches_->end()) return {{}, {}, {}, "is not in swatches.csv"};
    return woven(found->piece, workshop_);
  }

  fs::path folder_;
  const Studio& studio_;
  const estimate::Workshop& workshop_;
  std::map<std::pair<bool, std::string>, Woven> all_;
  std::optional<std::vector<calibrate::Swatch>> swatches_;
};

/// The band a row is about: the one it names, or the only one there is; 0 for none of them.
int band_of(const TimeSpent& row, const Woven& woven) {
  if (row.band) return *row.band;
  const bool has_one = woven.tasks.size() == 2;  // and what is besides
  const bool is_woven = row.rows || !row.swatch.empty();
  return has_one && is_woven ? woven.tasks.front().band : 0;
}

const Task* task_in(const Woven& woven, int band) {
  const auto found = std::find_if(woven.tasks.begin(), woven.tasks.end(),
                                  [band](const Task& task) { return task.band == band; });
  return found == woven.tasks.end() ? nullptr : &*found;
}

/// Why a row tells nothing, or nothing.
std::string why_not(const TimeSpent& row, const Woven& woven, int band) {
  const std::string what = row.piece.empty() ? "swatch " + row.swatch : "piece " + row.piece;
  if (!woven.why_not.empty()) return what + " " + woven.why_not;
  if (band == 0 && row.rows) return "of which band are these rows? Write it in band";
  if (band == 0 && row.piece.empty())
    return "of which rows? Write them in rows, so that setting up "
           "is not taken for weaving";
  const Task* task = task_in(woven, band);
  if (task == nullptr) return fmt::format("{} has no band {} to be woven", what, band);
  if (!row.swatch.empty() && !row.rows) {
    return "of how many rows? Write them in rows, so that setting up is not taken for weaving";
  }
  if (task->units <= 0.0 && !row.rows) return "of how many rows? Write them in rows";
  return {};
}

}  // namespace

TimeLog read_time_log(const std::string& text, const fs::path& folder, const Studio& studio,
                      const estimate::Workshop& workshop, const std::string& weaver) {
  TimeLog log;
  const fs::path file = folder / "time.csv";
  const TimeTable table = read_times(text, file.string(), studio);
  log.warnings = table.warnings;
  Named named(folder, studio, workshop);
  std::map<std::pair<std::string, int>, decide::Logged> wholes;  // by piece and band
  for (const TimeSpent& row : table.spent) {
    if (row.weaver.name != weaver) continue;
    const Woven& woven = named.of(row);
    const int band = band_of(row, woven);
    const std::string reason = why_not(row, woven, band);
    if (!reason.empty()) {
      log.warnings.push_back({file.string(), row.line, 0, reason + "; these minutes are not used"});
      continue;
    }
    const Task& task = *task_in(woven, band);
    if (row.rows) {
      const technique::Work& work = woven.piece.bands[static_cast<std::size_t>(band) - 1].work;
      const decide::Passes passes =
          task.work == decide::kThrownWeave ? decide::Passes::Thrown : decide::Passes::ByHand;
      const Task part =
          decide::task_of(band, work, *row.rows, 0, passes, woven.width, workshop.values);
      constexpr double kAllOfThem = 1.001;
      if (task.units > 0.0 && part.units > kAllOfThem * task.units) {
        log.warnings.push_back(
            {file.string(), row.line, 0,
             fmt::format("rows: band {} of {} has fewer than {}; is it another "
                         "band, or a row there and back counted as two?",
                         band, row.piece.empty() ? row.swatch : row.piece, *row.rows)});
      }
      const std::string doubt = decide::doubt_of_minutes(row.minutes, part.starting_minutes);
      if (!doubt.empty()) log.warnings.push_back({file.string(), row.line, 0, "minutes: " + doubt});
      log.works.push_back({part.work, part.units, row.minutes});
    } else {
      decide::Logged& whole = wholes[{row.piece, band}];
      whole = {task.work, task.units, whole.minutes + row.minutes};
    }
  }
  for (const auto& [where, whole] : wholes) log.works.push_back(whole);
  return log;
}

TimeLog open_time_log(const fs::path& folder, const Studio& studio,
                      const estimate::Workshop& workshop, const std::string& weaver) {
  const fs::path file = folder / "time.csv";
  std::error_code unseen;
  if (!fs::exists(file, unseen)) return {};
  return read_time_log(read_file(file), folder, studio, workshop, weaver);
}

}  // namespace ellwand::studio
