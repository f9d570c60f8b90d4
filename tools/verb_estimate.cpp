// ellwand estimate: yarn, sizes, room, cuts and warnings of one or several pieces.

#include "estimated.hpp"
#include "planned_piece.hpp"
#include "print_estimate.hpp"
#include "result.hpp"
#include "verbs.hpp"
#include "workbench.hpp"

#include "ellwand/estimate/leftovers.hpp"
#include "ellwand/numeric/in_parallel.hpp"
#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/freeze.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <ostream>
#include <set>
#include <sstream>
#include <utility>
#include <vector>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

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

std::vector<PieceFile> files_of(const Given& given) {
  if (given.words().empty()) {
    throw WrongUsage(
        "estimate takes a studio folder or piece files, as in: ellwand estimate "
        "my-studio/pieces/saltmarsh.toml");
  }
  return named_pieces(given.words());
}

using SharedBench = std::shared_ptr<const Workbench>;

/// Each studio opened once.
class Benches {
 public:
  explicit Benches(Learning learning) : learning_(learning) {}

  /// @throws BadInput where it cannot be opened
  SharedBench of(const fs::path& studio) {
    SharedBench& bench = all_[studio];
    if (!bench) bench = std::make_shared<const Workbench>(studio, learning_);
    return bench;
  }

 private:
  Learning learning_;
  std::map<fs::path, SharedBench> all_;
};

/// Everything read and reckoned of one piece.
struct Estimated {
  SharedBench bench;
  estimate::PieceModel model;
  estimate::PieceEstimate estimate;
  bool is_woven;
};

Estimated estimate_piece(const fs::path& file, const SharedBench& bench, bool joint) {
  estimate::Options asked;
  asked.joint = joint;
  EstimatedPiece piece = estimated_piece(*bench, file, asked);
  return {bench, std::move(piece.model), std::move(piece.estimate), piece.is_woven};
}

/// The pieces of each studio that are still to be woven, where there are several.
std::vector<std::vector<const Estimated*>> by_studio(const std::vector<Estimated>& all) {
  std::vector<std::vector<const Estimated*>> studios;
  for (const Estimated& one : all) {
    if (one.is_woven) continue;
    const auto same = std::find_if(studios.begin(), studios.end(), [&](const auto& studio) {
      std::error_code unseen;
      return studio.front()->bench == one.bench ||
             fs::equivalent(studio.front()->bench->folder(), one.bench->folder(), unseen);
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
  const Workbench& bench = *pieces.front()->bench;
  std::vector<estimate::Estimated> estimated;
  for (const Estimated* piece : pieces) estimated.push_back({&piece->model, &piece->estimate});
  estimate::Options options;
  options.joint = joint;
  return estimate::totals_of(estimated, bench.shelf(), options, bench.learned());
}

std::string names_of_woven(const std::vector<Estimated>& all) {
  std::string names;
  for (const Estimated& one : all) {
    if (one.is_woven) names += (names.empty() ? "" : ", ") + one.estimate.name;
  }
  return names;
}

/// @param complete  no piece is missing, so that a sum over them is one over all
std::string told(const std::vector<Estimated>& all, bool joint, bool complete) {
  std::ostringstream text;
  for (const Estimated& one : all) {
    if (&one != &all.front()) text << '\n';
    print_estimate(one.estimate, Shower(one.bench->studio().shown), joint, text);
  }
  if (!complete) return text.str();
  for (const auto& pieces : by_studio(all)) {
    text << '\n';
    print_totals(totals_of(pieces, joint), Shower(pieces.front()->bench->studio().shown), joint,
                 text);
  }
  const std::string woven = names_of_woven(all);
  if (all.size() > 1 && !woven.empty()) {
    text << "\nIn no such sum, being woven and measured: " << woven << ".\n";
  }
  return text.str();
}

/// Piece by piece.
std::string told_by(void (*print)(const estimate::PieceEstimate&, const Shower&, std::ostream&),
                    const std::vector<Estimated>& all) {
  std::ostringstream text;
  for (const Estimated& one : all) {
    if (&one != &all.front()) text << '\n';
    print(one.estimate, Shower(one.bench->studio().shown), text);
  }
  return text.str();
}

/// A figure of every piece that has it.
std::string told_why(const std::vector<Estimated>& all, const std::string& figure) {
  std::ostringstream text;
  std::optional<WrongUsage> refusal;
  for (const Estimated& one : all) {
    std::ostringstream why;
    try {
      print_why(one.model, one.estimate, one.bench->values(), figure,
                Shower(one.bench->studio().shown), why);
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
std::string result_of(const std::vector<Estimated>& all, const Given& given, bool complete) {
  if (given.has("why")) return told_why(all, given.value("why"));
  if (given.has("order") && !given.has("json")) return told_by(print_order, all);
  if (given.has("plot")) return told_by(print_plot, all);
  if (!given.has("json")) return told(all, given.has("joint"), complete);
  std::vector<estimate::PieceEstimate> estimates;
  for (const Estimated& one : all) estimates.push_back(one.estimate);
  std::vector<estimate::Totals> totals;
  for (const auto& pieces : by_studio(all)) {
    totals.push_back(totals_of(pieces, given.has("joint")));
  }
  return studio::estimate_json(estimates, std::nullopt, totals);
}

void freeze(const std::vector<Estimated>& all, const Streams& streams) {
  for (const Estimated& one : all) {
    const fs::path kept = studio::freeze_estimate(one.bench->folder(), one.estimate);
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

/// A piece estimated, or why it is not.
struct Outcome {
  std::optional<Estimated> estimated;
  std::vector<Complaint> complaints;
};

Outcome outcome_of(const fs::path& file, const SharedBench& bench, bool joint) {
  try {
    return {estimate_piece(file, bench, joint), {}};
  } catch (const BadInput& bad) {
    return {std::nullopt, bad.complaints()};
  } catch (const OutOfRange& refusal) {
    return {std::nullopt, {{file.string(), 0, 0, refusal.what()}}};
  }
}

/// The studio's workbench, or nothing and why.
SharedBench bench_of(const PieceFile& file, Benches& benches, std::vector<Complaint>& complaints) {
  try {
    return benches.of(file.studio);
  } catch (const BadInput& bad) {
    add_new(bad.complaints(), complaints);
  } catch (const OutOfRange& refusal) {
    add_new({{file.piece.string(), 0, 0, refusal.what()}}, complaints);
  }
  return nullptr;
}

/// The pieces asked for, and beside them the planned ones of their studios.
struct Reckoned {
  std::vector<Estimated> pieces;
  std::map<SharedBench, std::vector<estimate::PieceEstimate>> planned;
};

/// Every piece that can be estimated, on all cores; `complaints` gets those of all others.
Reckoned reckon_all(const std::vector<PieceFile>& files, Benches& benches, bool joint,
                    std::vector<Complaint>& complaints) {
  std::vector<SharedBench> bench;
  std::vector<Outcome> outcomes(files.size());
  for (std::size_t i = 0; i < files.size(); ++i) {
    bench.push_back(bench_of(files[i], benches, outcomes[i].complaints));
  }
  std::vector<PlannedPiece> planned;
  for (const SharedBench& one : std::set<SharedBench>(bench.begin(), bench.end())) {
    if (one) add_pieces_of(one, planned);
  }
  numeric::in_parallel(files.size() + planned.size(), 1, 0, [&](std::size_t i) {
    if (i >= files.size()) {
      planned[i - files.size()].reckon();
    } else if (bench[i]) {
      outcomes[i] = outcome_of(files[i].piece, bench[i], joint);
    }
  });
  Reckoned all;
  for (Outcome& one : outcomes) {
    add_new(one.complaints, complaints);
    if (one.estimated) all.pieces.push_back(std::move(*one.estimated));
  }
  for (PlannedPiece& one : planned) {
    if (one.estimate) all.planned[one.bench].push_back(std::move(*one.estimate));
  }
  return all;
}

/// For every piece, which of the studio's other planned pieces its left over would do for.
void suggest_uses_of_left_over(Reckoned& all) {
  for (Estimated& one : all.pieces) {
    for (const auto& use : uses_of_left_over(one.estimate.yarns, all.planned[one.bench])) {
      if (use.piece != one.estimate.piece) one.estimate.left_over_uses.push_back(use);
    }
  }
}

/// What is kept or read by a program is whole or is not there; what is only printed shows the
/// pieces that can be estimated.
bool is_whole_or_nothing(const Given& given) {
  return given.has("json") || given.has("output") || given.has("freeze");
}

int run_estimate(const Given& given, const Streams& streams) {
  if (given.has("why") && given.has("json")) {
    throw WrongUsage("--why and --json do not go together; --json has the causes of every figure");
  }
  const std::vector<std::string> views = {"why", "order", "plot"};
  std::vector<std::string> asked;
  for (const std::string& view : views) {
    if (given.has(view)) asked.push_back("--" + view);
  }
  if (asked.size() > 1) {
    throw WrongUsage(fmt::format("{} and {} do not go together; ask for one after the other",
                                 asked[0], asked[1]));
  }
  if (given.has("plot") && given.has("json")) {
    throw WrongUsage("--plot and --json do not go together; --json has the figures that are drawn");
  }
  require_quoted_band(given);
  const std::vector<PieceFile> files = files_of(given);
  std::vector<Complaint> complaints;
  Benches benches(given.has("starting") ? Learning::LeftOut : Learning::Used);
  Reckoned reckoned = reckon_all(files, benches, given.has("joint"), complaints);
  const BadInput refusal(complaints);
  const std::vector<Estimated>& all = reckoned.pieces;
  if (!complaints.empty() && (all.empty() || is_whole_or_nothing(given))) throw refusal;
  suggest_uses_of_left_over(reckoned);
  put_result(result_of(all, given, complaints.empty()), given, files, streams);
  if (given.has("freeze")) freeze(all, streams);
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
       {"plot", "", "how sure each yarn is, drawn, and where the shelf stands in its range"},
       {"joint", "", "set aside so that all yarns together suffice 19 times in 20"},
       {"starting", "", "by the starting values, as if nothing had been calibrated"},
       {"freeze", "", "keep this estimate in the studio, to hold against what is used"},
       {"json", "", "for other programs"},
       output_option(),
       {"help", "", "this text", 'h'}},
      "The middle figure is as likely too high as too low; 9 times in 10 the yarn used lies in "
      "the range.\n",
      run_estimate};
}

}  // namespace ellwand::tools
