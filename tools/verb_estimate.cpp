// ellwand estimate: yarn, sizes, room, cuts and warnings of one or several pieces.

#include "data_folder.hpp"
#include "print_estimate.hpp"
#include "verbs.hpp"

#include "ellwand/estimate/leftovers.hpp"
#include "ellwand/studio/calibration_file.hpp"
#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/freeze.hpp"
#include "ellwand/studio/read_piece.hpp"
#include "ellwand/studio/read_starting_values.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <ostream>
#include <sstream>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

/// One piece to estimate, and whose it is.
struct Target {
  fs::path studio;
  fs::path piece;
};

/// Whether a file of the pieces' folder is a piece; what begins with a dot is some program's own.
bool is_piece(const fs::path& file) {
  return file.extension() == ".toml" && file.filename().string().front() != '.';
}

std::vector<Target> pieces_of(const fs::path& studio) {
  std::error_code missing;
  if (!fs::exists(studio / "studio.toml", missing)) {
    const fs::path above = (studio / ".").lexically_normal().parent_path().parent_path();
    const bool is_within = !above.empty() && fs::exists(above / "studio.toml", missing);
    throw BadInput({{studio.string(), 0, 0,
                     fmt::format("this folder has no studio.toml, so it is no studio; name {}, or "
                                 "the piece files themselves",
                                 is_within ? "its studio, " + as_typed(above.string())
                                           : "a studio's folder")}});
  }
  std::vector<Target> targets;
  for (const auto& entry : fs::directory_iterator(studio / "pieces", missing)) {
    if (is_piece(entry.path())) targets.push_back({studio, entry.path()});
  }
  std::sort(targets.begin(), targets.end(),
            [](const Target& a, const Target& b) { return a.piece < b.piece; });
  if (targets.empty()) {
    throw BadInput({{(studio / "pieces").string(), 0, 0,
                     "there is no piece here; write one as NAME.toml, or try "
                     "'ellwand start another-folder --demo' for examples"}});
  }
  return targets;
}

/// "; did you mean 'my-studio/pieces/saltmarsh.toml'?" for the nearest file beside it, or nothing.
std::string nearest_beside(const fs::path& word) {
  const fs::path folder = word.has_parent_path() ? word.parent_path() : fs::path(".");
  std::vector<std::string> pieces;
  std::error_code unseen;
  for (const auto& entry : fs::directory_iterator(folder, unseen)) {
    if (is_piece(entry.path())) pieces.push_back(entry.path().filename().string());
  }
  std::string near = word.filename().string();
  if (word.extension() != ".toml") near += ".toml";
  near = nearest_word(near, pieces);
  if (near.empty()) return near;
  return fmt::format("; did you mean '{}'?", (word.parent_path() / near).string());
}

[[noreturn]] void refuse_missing(const std::string& word) {
  const std::string nearest = nearest_beside(word);
  throw BadInput({{word, 0, 0,
                   "there is no such file or folder" +
                       (nearest.empty() ? "; name a piece file or a studio folder" : nearest)}});
}

/// The studio's own files are easily named in place of a piece.
void require_piece(const fs::path& file) {
  if (file.filename() != "studio.toml" && file.extension() != ".csv") return;
  throw BadInput({{file.string(), 0, 0,
                   "this is a file of the studio, not a piece; name the studio's folder, or a "
                   "file of its pieces, NAME.toml"}});
}

/// --why band 3 without quotes leaves the number among the files.
void require_quoted_band(const Given& given) {
  const std::vector<std::string>& words = given.words();
  if (given.value("why") != "band" || words.empty()) return;
  const std::string& number = words.back();
  const bool is_number =
      std::all_of(number.begin(), number.end(), [](char c) { return c >= '0' && c <= '9'; });
  if (!is_number || fs::exists(number)) return;
  throw WrongUsage(
      fmt::format("a figure of two words stands in quotes; write --why 'band {}'", number));
}

std::vector<Target> targets_of(const std::vector<std::string>& words) {
  if (words.empty()) {
    throw WrongUsage(
        "estimate takes a studio folder or piece files, as in: ellwand estimate "
        "my-studio/pieces/saltmarsh.toml");
  }
  std::vector<Target> targets;
  for (const std::string& word : words) {
    if (fs::is_directory(word)) {
      const std::vector<Target> all = pieces_of(word);
      targets.insert(targets.end(), all.begin(), all.end());
    } else if (!fs::exists(word)) {
      refuse_missing(word);
    } else {
      require_piece(word);
      targets.push_back({studio::find_studio_of(word), word});
    }
  }
  return targets;
}

/// What a studio's swatches taught, and whether they are still the same.
struct Taught {
  studio::Calibration calibration;
  bool is_current = true;
};

/// The calibration of each studio, read once; none where there is none or it is left out.
class Calibrations {
 public:
  explicit Calibrations(bool are_left_out) : are_left_out_(are_left_out) {}

  /// @throws BadInput for one that cannot be read
  std::shared_ptr<const Taught> of(const fs::path& studio) {
    if (are_left_out_) return nullptr;
    const auto found = all_.find(studio);
    if (found != all_.end()) return found->second;
    const auto calibration = studio::open_calibration(studio);
    std::shared_ptr<const Taught> taught;
    if (calibration) {
      const bool is_current = calibration->fingerprint == studio::fingerprint_of(studio);
      taught = std::make_shared<const Taught>(Taught{*calibration, is_current});
    }
    return all_[studio] = taught;
  }

 private:
  bool are_left_out_;
  std::map<fs::path, std::shared_ptr<const Taught>> all_;
};

/// Everything read and reckoned of one piece.
struct Estimated {
  fs::path folder;  ///< of the studio
  studio::Studio studio;
  std::shared_ptr<const Taught> taught;  ///< null where nothing is learned
  estimate::PieceModel model;
  estimate::PieceEstimate estimate;
};

void add_reading_warnings(const std::vector<Complaint>& complaints,
                          estimate::PieceEstimate& estimate) {
  for (const Complaint& complaint : complaints) {
    estimate.warnings.push_back({"reading", complaint.told()});
  }
}

const estimate::Learned* learned_by(const std::shared_ptr<const Taught>& taught) {
  return taught ? &taught->calibration.learned : nullptr;
}

/// What every piece is estimated by.
struct Common {
  const estimate::StartingValues& values;
  Calibrations& calibrations;
  bool joint = false;
};

Estimated estimate_target(const Target& target, const Common& common) {
  const estimate::StartingValues& values = common.values;
  studio::Studio studio = studio::open_studio(target.studio, values);
  const studio::PieceReading reading = studio::open_piece(target.piece, studio, values);
  const std::shared_ptr<const Taught> taught = common.calibrations.of(target.studio);
  const estimate::Workshop workshop{studio.yarns, values, studio.habits, studio.shown.length,
                                    learned_by(taught)};
  estimate::Options options;
  options.joint = common.joint;
  options.order = true;
  options.cut_step =
      studio.shown.length == studio::LengthShown::Inches ? inches(0.5) : centimetres(1.0);
  const estimate::PieceModel model(reading.piece, workshop);
  estimate::PieceEstimate estimate =
      estimate::estimate(model, studio::shelf_totals(studio.lots, studio.yarns), options);
  add_reading_warnings(studio.warnings, estimate);
  add_reading_warnings(reading.warnings, estimate);
  if (taught) {
    estimate.taught = estimate::taught(model, taught->calibration.learned, values);
    estimate.taught->is_current = taught->is_current;
  }
  return {target.studio, std::move(studio), taught, model, std::move(estimate)};
}

/// The pieces of each studio, where there are several.
std::vector<std::vector<const Estimated*>> by_studio(const std::vector<Estimated>& all) {
  std::vector<std::vector<const Estimated*>> studios;
  for (const Estimated& one : all) {
    const auto same = std::find_if(studios.begin(), studios.end(), [&](const auto& studio) {
      std::error_code unseen;
      return studio.front()->folder == one.folder ||
             fs::equivalent(studio.front()->folder, one.folder, unseen);
    });
    if (same == studios.end()) {
      studios.push_back({&one});
    } else {
      same->push_back(&one);
    }
  }
  studios.erase(std::remove_if(studios.begin(), studios.end(),
                               [](const auto& studio) { return studio.size() < 2; }),
                studios.end());
  return studios;
}

estimate::Totals totals_of(const std::vector<const Estimated*>& pieces, bool joint) {
  const studio::Studio& studio = pieces.front()->studio;
  std::vector<estimate::Estimated> estimated;
  for (const Estimated* piece : pieces) estimated.push_back({&piece->model, &piece->estimate});
  estimate::Options options;
  options.joint = joint;
  return estimate::totals_of(estimated, studio::shelf_totals(studio.lots, studio.yarns), options,
                             learned_by(pieces.front()->taught));
}

/// @param complete  no piece is missing, so that a sum over them is one over all
std::string told(const std::vector<Estimated>& all, bool joint, bool complete) {
  std::ostringstream text;
  for (const Estimated& one : all) {
    if (&one != &all.front()) text << '\n';
    print_estimate(one.estimate, Shower(one.studio.shown), joint, text);
  }
  if (!complete) return text.str();
  for (const auto& pieces : by_studio(all)) {
    text << '\n';
    print_totals(totals_of(pieces, joint), Shower(pieces.front()->studio.shown), joint, text);
  }
  return text.str();
}

std::string told_order(const std::vector<Estimated>& all) {
  std::ostringstream text;
  for (const Estimated& one : all) {
    if (&one != &all.front()) text << '\n';
    print_order(one.estimate, Shower(one.studio.shown), text);
  }
  return text.str();
}

/// A figure of every piece that has it.
std::string told_why(const std::vector<Estimated>& all, const estimate::StartingValues& values,
                     const std::string& figure) {
  std::ostringstream text;
  std::optional<WrongUsage> refusal;
  for (const Estimated& one : all) {
    std::ostringstream why;
    try {
      print_why(one.model, one.estimate, values, figure, Shower(one.studio.shown), why);
    } catch (const WrongUsage& has_none) {
      if (!refusal) refusal = has_none;
      continue;
    }
    if (!text.str().empty()) text << '\n';
    if (all.size() > 1) text << one.estimate.name << "\n\n";
    text << why.str();
  }
  if (text.str().empty() && refusal) throw WrongUsage(*refusal);
  return text.str();
}

/// The result as it was asked for.
std::string result_of(const std::vector<Estimated>& all, const estimate::StartingValues& values,
                      const Given& given, bool complete) {
  if (given.has("why")) return told_why(all, values, given.value("why"));
  if (given.has("order") && !given.has("json")) return told_order(all);
  if (!given.has("json")) return told(all, given.has("joint"), complete);
  std::vector<estimate::PieceEstimate> estimates;
  for (const Estimated& one : all) estimates.push_back(one.estimate);
  std::vector<estimate::Totals> totals;
  for (const auto& pieces : by_studio(all)) {
    totals.push_back(totals_of(pieces, given.has("joint")));
  }
  return studio::estimate_json(estimates, std::nullopt, totals);
}

bool is_same_file(const fs::path& one, const fs::path& other) {
  std::error_code unseen;
  return fs::equivalent(one, other, unseen) && !unseen;
}

/// Whether this is a file that the studio's estimates are made from, or would be read as one.
bool is_input_of(const fs::path& studio, const fs::path& file) {
  for (const char* name : {"studio.toml", "yarns.csv", "lots.csv", "swatches.csv",
                           "calibration.json", "calibration-before.json"}) {
    if (is_same_file(file, studio / name)) return true;
  }
  const fs::path folder = file.has_parent_path() ? file.parent_path() : fs::path(".");
  return is_piece(file) && is_same_file(folder, studio / "pieces");
}

/// What keeps a result from being put in a file of this name, or nothing.
std::string why_not_into(const fs::path& file, const std::vector<Target>& targets) {
  std::error_code unseen;
  const bool is_input = std::any_of(targets.begin(), targets.end(), [&](const Target& target) {
    return is_same_file(file, target.piece) || is_input_of(target.studio, file);
  });
  if (is_input) {
    return "this is one of the studio's own files, which a result would take the place of; name "
           "another";
  }
  const fs::path folder = file.parent_path();
  if (!folder.empty() && !fs::is_directory(folder, unseen)) {
    return "there is no folder " + folder.string() + "; make it, or name another file";
  }
  if (fs::is_directory(file, unseen)) return "this is a folder; name a file in it";
  if (fs::exists(file, unseen) && !fs::is_regular_file(file, unseen)) {
    return "this is no plain file and is left as it is; name another, or leave -o out to have the "
           "result printed";
  }
  return {};
}

void put_into(const fs::path& file, const std::vector<Target>& targets, const std::string& text) {
  const std::string reason = why_not_into(file, targets);
  if (!reason.empty()) throw BadInput({{file.string(), 0, 0, reason}});
  studio::write_file(file, text);
}

void freeze(const std::vector<Target>& targets, const std::vector<Estimated>& all,
            const Streams& streams) {
  for (std::size_t i = 0; i < all.size(); ++i) {
    const fs::path kept = studio::freeze_estimate(targets[i].studio, all[i].estimate);
    streams.talk << "Kept as " << kept.string() << '\n';
  }
}

/// Two pieces of one studio complain of its tables in the same words; once is enough.
void add_new(const std::vector<Complaint>& more, std::vector<Complaint>& all) {
  for (const Complaint& complaint : more) {
    const bool is_told = std::any_of(all.begin(), all.end(), [&](const Complaint& told_before) {
      return told_before.told() == complaint.told();
    });
    if (!is_told) all.push_back(complaint);
  }
}

/// Every target that can be estimated; `complaints` gets those of all others.
std::vector<Estimated> estimate_all(const std::vector<Target>& targets, const Common& common,
                                    std::vector<Complaint>& complaints) {
  std::vector<Estimated> all;
  for (const Target& target : targets) {
    try {
      all.push_back(estimate_target(target, common));
    } catch (const BadInput& bad) {
      add_new(bad.complaints(), complaints);
    } catch (const OutOfRange& refusal) {
      add_new({{target.piece.string(), 0, 0, refusal.what()}}, complaints);
    }
  }
  return all;
}

/// The planned pieces of a studio; those that cannot be used are passed over, their own estimate
/// says why.
std::vector<estimate::PieceEstimate> planned_pieces(const Estimated& one,
                                                    const estimate::StartingValues& values) {
  std::vector<estimate::PieceEstimate> planned;
  std::error_code unseen;
  if (!fs::exists(one.folder / "pieces", unseen)) return planned;
  estimate::Options options;
  options.chances = false;
  for (const Target& other : pieces_of(one.folder)) {
    try {
      const auto reading = studio::open_piece(other.piece, one.studio, values);
      if (!reading.piece.planned) continue;
      const estimate::Workshop workshop{one.studio.yarns, values, one.studio.habits,
                                        one.studio.shown.length, learned_by(one.taught)};
      planned.push_back(estimate::estimate(reading.piece, workshop, {}, options));
    } catch (const BadInput&) {
      continue;
    } catch (const OutOfRange&) {
      continue;
    }
  }
  return planned;
}

/// For every piece, which of the studio's other planned pieces its left over would do for.
void suggest_uses_of_left_over(const estimate::StartingValues& values,
                               std::vector<Estimated>& all) {
  std::map<fs::path, std::vector<estimate::PieceEstimate>> planned;
  for (Estimated& one : all) {
    if (planned.find(one.folder) == planned.end()) {
      planned[one.folder] = planned_pieces(one, values);
    }
    for (const auto& use : uses_of_left_over(one.estimate.yarns, planned[one.folder])) {
      if (use.piece != one.estimate.piece) one.estimate.left_over_uses.push_back(use);
    }
  }
}

/// What is kept or read by a program is whole or is not there; what is only printed shows the
/// pieces that can be estimated.
bool is_whole_or_nothing(const Given& given) {
  return given.has("json") || given.has("output") || given.has("freeze");
}

int run(const Given& given, const Streams& streams) {
  if (given.has("why") && given.has("json")) {
    throw WrongUsage("--why and --json do not go together; --json has the causes of every figure");
  }
  if (given.has("why") && given.has("order")) {
    throw WrongUsage("--why and --order do not go together; ask for one after the other");
  }
  require_quoted_band(given);
  const std::vector<Target> targets = targets_of(given.words());
  const estimate::StartingValues values =
      studio::open_starting_values(data_folder() / "starting-values.csv");
  std::vector<Complaint> complaints;
  Calibrations calibrations(given.has("starting"));
  std::vector<Estimated> all =
      estimate_all(targets, {values, calibrations, given.has("joint")}, complaints);
  const BadInput refusal(complaints);
  if (!complaints.empty() && (all.empty() || is_whole_or_nothing(given))) throw refusal;
  suggest_uses_of_left_over(values, all);
  const std::string text = result_of(all, values, given, complaints.empty());
  if (given.has("output")) {
    put_into(given.value("output"), targets, text);
  } else {
    streams.results << text;
  }
  if (given.has("freeze")) freeze(targets, all, streams);
  if (complaints.empty()) return kDone;
  streams.results.flush();
  streams.talk << refusal.what() << '\n';
  return kBadInput;
}

}  // namespace

Verb estimate_verb() {
  return {
      "estimate",
      "how much yarn one or several pieces take",
      "STUDIO or PIECE.toml ... [options]",
      {"ellwand estimate my-studio/pieces/saltmarsh.toml",
       "ellwand estimate my-studio/pieces/saltmarsh.toml --why rug-wool-ash",
       "ellwand estimate my-studio --json"},
      {{"why", "FIGURE",
        "where a figure comes from: a yarn, 'band 3', warp, cord, waste, size, room"},
       {"order", "", "the order of work: what to lay out, cut and leave, band by band, and after"},
       {"joint", "", "set aside so that all yarns together suffice 19 times in 20"},
       {"starting", "", "by the starting values, as if nothing had been calibrated"},
       {"freeze", "", "keep this estimate in the studio, to hold against what is used"},
       {"json", "", "for other programs"},
       {"output", "FILE", "write the result to a file", 'o'},
       {"help", "", "this text", 'h'}},
      "The middle figure is as likely too high as too low; 9 times in 10 the yarn used lies in "
      "the range.\n",
      run};
}

}  // namespace ellwand::tools
