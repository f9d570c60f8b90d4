// ellwand estimate: yarn, sizes, room, cuts and warnings of one or several pieces.

#include "data_folder.hpp"
#include "print_estimate.hpp"
#include "verbs.hpp"

#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/freeze.hpp"
#include "ellwand/studio/read_piece.hpp"
#include "ellwand/studio/read_starting_values.hpp"
#include "ellwand/studio/read_studio.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
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

std::vector<Target> pieces_of(const fs::path& studio) {
  std::vector<Target> targets;
  std::error_code missing;
  for (const auto& entry : fs::directory_iterator(studio / "pieces", missing)) {
    if (entry.path().extension() == ".toml") targets.push_back({studio, entry.path()});
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
      throw BadInput({{word, 0, 0,
                       "there is no such file or folder; name a piece file or a "
                       "studio folder"}});
    } else {
      targets.push_back({studio::find_studio_of(word), word});
    }
  }
  return targets;
}

/// Everything read and reckoned of one piece.
struct Estimated {
  studio::Studio studio;
  estimate::PieceModel model;
  estimate::PieceEstimate estimate;
};

void add_reading_warnings(const std::vector<Complaint>& complaints,
                          estimate::PieceEstimate& estimate) {
  for (const Complaint& complaint : complaints) {
    estimate.warnings.push_back({"reading", complaint.told()});
  }
}

Estimated estimate_target(const Target& target, const estimate::StartingValues& values,
                          bool joint) {
  studio::Studio studio = studio::open_studio(target.studio, values);
  const studio::PieceReading reading = studio::open_piece(target.piece, studio, values);
  const estimate::Workshop workshop{studio.yarns, values, studio.habits};
  estimate::Options options;
  options.joint = joint;
  options.cut_step =
      studio.shown.length == studio::LengthShown::Inches ? inches(0.5) : centimetres(1.0);
  const estimate::PieceModel model(reading.piece, workshop);
  estimate::PieceEstimate estimate =
      estimate::estimate(model, studio::shelf_totals(studio.lots, studio.yarns), options);
  add_reading_warnings(studio.warnings, estimate);
  add_reading_warnings(reading.warnings, estimate);
  return {std::move(studio), model, std::move(estimate)};
}

std::string told(const std::vector<Estimated>& all, const estimate::StartingValues& values,
                 const Given& given) {
  std::ostringstream text;
  for (const Estimated& one : all) {
    if (&one != &all.front()) text << '\n';
    const Shower show(one.studio.shown);
    if (given.has("why")) {
      print_why(one.model, one.estimate, values, given.value("why"), show, text);
    } else {
      print_estimate(one.estimate, show, given.has("joint"), text);
    }
  }
  return text.str();
}

void freeze(const std::vector<Target>& targets, const std::vector<Estimated>& all,
            const Streams& streams) {
  for (std::size_t i = 0; i < all.size(); ++i) {
    const fs::path kept = studio::freeze_estimate(targets[i].studio, all[i].estimate);
    streams.talk << "Kept as " << kept.string() << '\n';
  }
}

int run(const Given& given, const Streams& streams) {
  const std::vector<Target> targets = targets_of(given.words());
  const estimate::StartingValues values =
      studio::open_starting_values(data_folder() / "starting-values.csv");
  std::vector<Estimated> all;
  std::vector<Complaint> complaints;
  for (const Target& target : targets) {
    try {
      all.push_back(estimate_target(target, values, given.has("joint")));
    } catch (const BadInput& bad) {
      complaints.insert(complaints.end(), bad.complaints().begin(), bad.complaints().end());
    }
  }
  if (!complaints.empty()) throw BadInput(complaints);

  std::string text;
  if (given.has("json")) {
    std::vector<estimate::PieceEstimate> estimates;
    for (const Estimated& one : all) estimates.push_back(one.estimate);
    text = studio::estimate_json(estimates);
  } else {
    text = told(all, values, given);
  }
  if (given.has("freeze")) freeze(targets, all, streams);
  if (given.has("output")) {
    studio::write_file(given.value("output"), text);
  } else {
    streams.results << text;
  }
  return kDone;
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
      {{"why", "FIGURE", "where a figure comes from: a yarn, 'band 3', warp, waste, size, room"},
       {"joint", "", "set aside so that all yarns together suffice 19 times in 20"},
       {"freeze", "", "keep this estimate in the studio, to hold against what is used"},
       {"json", "", "for other programs"},
       {"output", "FILE", "write the result to a file", 'o'},
       {"help", "", "this text", 'h'}},
      "The middle figure is as likely too high as too low; 9 times in 10 the yarn used lies in "
      "the range.\n",
      run};
}

}  // namespace ellwand::tools
