// ellwand weave-next: which swatch to weave next.

#include "data_folder.hpp"
#include "show.hpp"
#include "verbs.hpp"

#include "ellwand/studio/calibration_file.hpp"
#include "ellwand/studio/next_swatch_json.hpp"
#include "ellwand/studio/read_piece.hpp"
#include "ellwand/studio/read_starting_values.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <functional>
#include <ostream>
#include <set>
#include <sstream>
#include <stdexcept>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

using calibrate::Advised;
using calibrate::Candidate;
using calibrate::Measuring;
using studio::AdvisedSwatch;

/// There is nothing to advise; one sentence.
class NoAdvice : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

struct Asked {
  fs::path studio;
  std::vector<std::string> pieces;  ///< ids; all that are planned without
  std::size_t top = 5;
  calibrate::Limits limits;
};

double number_of(const Given& given, const std::string& option, double otherwise, double least,
                 double most, const char* accepted) {
  if (!given.has(option)) return otherwise;
  const std::string& text = given.value(option);
  try {
    const double number = read_decimal(text);
    if (number >= least && number <= most) return number;
  } catch (const UnreadableText&) {
    // told below, with what the option takes
  }
  throw WrongUsage(fmt::format("--{} was given '{}'; it takes {}", option, text, accepted));
}

std::vector<std::string> split_at_commas(const std::string& text) {
  std::vector<std::string> words;
  std::istringstream rest(text);
  for (std::string word; std::getline(rest, word, ',');) {
    const auto first = word.find_first_not_of(' ');
    if (first == std::string::npos) continue;
    words.push_back(word.substr(first, word.find_last_not_of(' ') - first + 1));
  }
  return words;
}

Asked asked_by(const Given& given) {
  if (given.words().size() != 1) {
    throw WrongUsage("weave-next takes one studio folder, as in: ellwand weave-next my-studio");
  }
  Asked asked;
  asked.studio = given.words().front();
  std::error_code unseen;
  if (!fs::exists(asked.studio / "studio.toml", unseen)) {
    throw BadInput({{asked.studio.string(), 0, 0,
                     "there is no studio.toml here, so it is no studio; name a studio's folder"}});
  }
  asked.pieces = split_at_commas(given.value("pieces"));
  if (given.has("pieces") && asked.pieces.empty()) {
    throw WrongUsage("--pieces names none; write --pieces saltmarsh,sedge");
  }
  const double top = number_of(given, "top", 5.0, 1.0, 1000.0, "a whole number from 1 to 1000");
  if (top != std::floor(top)) {
    throw WrongUsage(fmt::format("--top was given '{}'; it takes a whole number from 1 to 1000",
                                 given.value("top")));
  }
  asked.top = static_cast<std::size_t>(top);
  asked.limits.minutes = number_of(given, "minutes", asked.limits.minutes, 1.0, 1e6,
                                   "minutes from 1 to 1000000, without a unit");
  asked.limits.grams = number_of(given, "grams", asked.limits.grams, 0.0, 1e6,
                                 "grams from 0 to 1000000, without a unit");
  return asked;
}

/// The pieces that are looked at.
struct Chosen {
  std::vector<piece::Piece> pieces;
  bool any_planned = false;
  std::vector<Complaint> complaints;  ///< of those that cannot be used
};

std::vector<fs::path> piece_files(const fs::path& studio) {
  std::vector<fs::path> files;
  std::error_code missing;
  for (const auto& entry : fs::directory_iterator(studio / "pieces", missing)) {
    const fs::path& file = entry.path();
    if (file.extension() == ".toml" && file.filename().string().front() != '.') {
      files.push_back(file);
    }
  }
  std::sort(files.begin(), files.end());
  return files;
}

void require_known(const std::vector<std::string>& asked, const std::vector<fs::path>& files) {
  std::vector<std::string> known;
  for (const fs::path& file : files) known.push_back(file.stem().string());
  for (const std::string& id : asked) {
    if (std::find(known.begin(), known.end(), id) == known.end()) {
      throw WrongUsage(fmt::format("--pieces names '{}', and no piece file is called so{}", id,
                                   did_you_mean(id, known)));
    }
  }
}

/// A piece that can be woven, or its complaints.
void read_into(const fs::path& file, const studio::Studio& studio,
               const estimate::Workshop& workshop, Chosen& all) {
  try {
    piece::Piece piece = studio::open_piece(file, studio, workshop.values).piece;
    const estimate::PieceModel can_be_woven(piece, workshop);
    all.pieces.push_back(std::move(piece));
  } catch (const BadInput& bad) {
    for (const Complaint& complaint : bad.complaints()) all.complaints.push_back(complaint);
  } catch (const OutOfRange& refusal) {
    all.complaints.push_back({file.string(), 0, 0, refusal.what()});
  }
}

/// Those named; or those planned; or, where none is, all there are.
Chosen choose(const Asked& asked, const studio::Studio& studio,
              const estimate::Workshop& workshop) {
  Chosen chosen;
  const std::vector<fs::path> files = piece_files(asked.studio);
  require_known(asked.pieces, files);
  for (const fs::path& file : files) {
    const bool is_named = std::find(asked.pieces.begin(), asked.pieces.end(),
                                    file.stem().string()) != asked.pieces.end();
    if (is_named || asked.pieces.empty()) read_into(file, studio, workshop, chosen);
  }
  const auto is_planned = [](const piece::Piece& piece) { return piece.planned; };
  chosen.any_planned =
      !asked.pieces.empty() || std::any_of(chosen.pieces.begin(), chosen.pieces.end(), is_planned);
  if (asked.pieces.empty() && chosen.any_planned) {
    chosen.pieces.erase(
        std::remove_if(chosen.pieces.begin(), chosen.pieces.end(), std::not_fn(is_planned)),
        chosen.pieces.end());
  }
  return chosen;
}

/// The best of each work and yarn, in order: three sizes of one swatch are no choice.
std::vector<Advised> best_of_each(std::vector<Advised> all, std::size_t top) {
  std::vector<Advised> best;
  std::set<std::pair<std::string, std::string>> met;
  for (Advised& one : all) {
    if (best.size() == top) break;
    if (met.emplace(one.candidate.work, one.candidate.yarn).second) best.push_back(std::move(one));
  }
  return best;
}

/// Ranges of the planned yarns with what would be known then, those that gain most grams first.
std::vector<studio::Narrowed> narrowed_by(const Advised& advised, const Chosen& chosen,
                                          const calibrate::Outlook& outlook,
                                          const estimate::Workshop& workshop) {
  const estimate::Learned then = outlook.learned_after(advised.candidate);
  estimate::Workshop taught = workshop;
  taught.learned = &then;
  estimate::Options options;
  options.chances = false;
  std::vector<estimate::PieceEstimate> before;
  std::vector<estimate::PieceEstimate> after;
  for (const piece::Piece& piece : chosen.pieces) {
    before.push_back(estimate::estimate(piece, workshop, {}, options));
    after.push_back(estimate::estimate(piece, taught, {}, options));
  }
  const std::vector<calibrate::Target>& targets = outlook.targets();
  std::vector<std::size_t> order(targets.size());
  for (std::size_t t = 0; t < order.size(); ++t) order[t] = t;
  const auto gained = [&](std::size_t t) {
    return targets[t].mean_g * (outlook.variance(targets[t]) - advised.gain.variances[t]);
  };
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return gained(a) > gained(b); });
  std::vector<studio::Narrowed> all;
  for (const std::size_t t : order) {
    const calibrate::Target& target = targets[t];
    const estimate::YarnEstimate& now = before[target.piece].yarns[target.yarn];
    all.push_back({chosen.pieces[target.piece].id, chosen.pieces[target.piece].name, now.yarn,
                   now.length_m, after[target.piece].yarns[target.yarn].length_m});
  }
  return all;
}

std::string swatch_of(const std::string& work) {
  const std::string done = work == "weave"      ? "woven"
                           : work == "twining"  ? "twined"
                           : work == "wrapping" ? "wrapped"
                                                : work;
  return fmt::format("a {} swatch", done);
}

std::string rows_text(const Candidate& candidate) {
  const char* unit = candidate.work == "wrapping" ? "turn" : "row";
  return fmt::format("{} {}{}", candidate.rows, unit, candidate.rows == 1 ? "" : "s");
}

/// What to do, from "Weave" up to what is measured.
std::string doing(const Candidate& candidate, const estimate::StartingValues& values,
                  const Shower& show) {
  if (candidate.measuring == Measuring::WeighedLength) {
    const double length_m = values.median("swatch.length");
    return fmt::format("Run off {} of {} and weigh it", show.yarn_text(length_m, 0.1 * length_m),
                       candidate.yarn);
  }
  std::string text = fmt::format(
      "Weave {} of {} as in band {} of {}, {} ends, {}; weigh the yarn before and after",
      swatch_of(candidate.work), candidate.yarn, candidate.like_band, candidate.like,
      candidate.ends, rows_text(candidate));
  const bool is_unpicked = candidate.measuring == Measuring::OneRowUnpicked;
  const bool has_height = candidate.expected.size() > (is_unpicked ? 2U : 1U);
  if (has_height) text += is_unpicked ? ", measure the height" : " and measure the height";
  if (is_unpicked) text += ", then pick out one row and measure its yarn";
  return text;
}

/// "17 to 44 m", as the estimate prints it.
std::string from_to(const numeric::Range& range, const Shower& show) {
  return fmt::format("{} {}", show.ends_text(range, show.yarn(1.0)), show.yarn_unit());
}

/// What becomes of the range of the swatch's own yarn, and of another where that gains more grams.
std::string narrowing(const AdvisedSwatch& best, const Shower& show) {
  const std::vector<studio::Narrowed>& all = best.narrowed;
  const auto own = std::find_if(all.begin(), all.end(), [&](const studio::Narrowed& one) {
    return one.yarn == best.advised.candidate.yarn;
  });
  const studio::Narrowed& first = own == all.end() ? all.front() : *own;
  std::string text =
      fmt::format(": the range of {}'s {} narrows from {} to about {}", first.name, first.yarn,
                  from_to(first.now_m, show), from_to(first.then_m, show));
  if (&first == &all.front()) return text;
  const studio::Narrowed& most = all.front();
  return text + fmt::format(", that of {}'s {} from {} to about {}", most.name, most.yarn,
                            from_to(most.now_m, show), from_to(most.then_m, show));
}

/// The plain sentence.
std::string sentence(const AdvisedSwatch& best, const estimate::StartingValues& values,
                     const Shower& show) {
  const Candidate& candidate = best.advised.candidate;
  std::string text = doing(candidate, values, show);
  if (!best.narrowed.empty()) {
    text += narrowing(best, show);
  } else {
    text += ": of what is open about your habits it settles most for its time";
  }
  text += fmt::format("; about {:.0f} minutes", std::ceil(candidate.minutes / 5.0) * 5.0);
  if (candidate.grams > 0.0) {
    text += fmt::format(" and {}, warp included",
                        show.enough_mass_text(candidate.grams, 0.5 * candidate.grams));
  } else {
    text += "; the yarn stays good for use";
  }
  return text + ".\n";
}

void print_table(const std::vector<AdvisedSwatch>& swatches, bool any_planned, const Shower& show,
                 std::ostream& out) {
  TextTable table({"swatch", "yarn", "ends", "rows", "measure", "minutes", show.mass_unit(),
                   any_planned ? "narrower" : "nats"},
                  {1, 4});
  for (const AdvisedSwatch& one : swatches) {
    const Candidate& candidate = one.advised.candidate;
    const bool is_woven = !candidate.work.empty();
    table.add({is_woven ? candidate.work : "-", candidate.yarn,
               is_woven ? std::to_string(candidate.ends) : "",
               is_woven ? std::to_string(candidate.rows) : "", studio::name_of(candidate.measuring),
               fmt::format("{:.0f}", candidate.minutes),
               candidate.grams > 0.0
                   ? rounded_up_to(show.mass(candidate.grams), show.mass(0.5 * candidate.grams))
                   : "",
               any_planned ? fmt::format("{:.0f} %", 100.0 * one.advised.narrower)
                           : fmt::format("{:.2f}", one.advised.gain.information_nats)});
  }
  table.print(out);
}

std::string told(const std::vector<AdvisedSwatch>& swatches, const Chosen& chosen,
                 const estimate::Workshop& workshop, const Shower& show) {
  std::ostringstream out;
  out << sentence(swatches.front(), workshop.values, show) << '\n';
  print_table(swatches, chosen.any_planned, show, out);
  if (chosen.any_planned) {
    out << "\nNarrower: the ranges of the planned pieces, each yarn by its mass. Best first, for "
           "your minutes and grams.\n";
  } else {
    out << "\nNo piece is planned, so that the swatch is advised that tells most about your "
           "habits. Best first, for your minutes and grams.\n";
  }
  if (workshop.learned == nullptr) {
    out << "Nothing woven here has been measured yet; these are from starting values, minutes "
           "too.\n";
  } else {
    out << fmt::format("By the calibration of {}, {} {}; minutes are starting values.\n",
                       workshop.learned->date, workshop.learned->swatches,
                       workshop.learned->swatches == 1 ? "swatch" : "swatches");
  }
  return out.str();
}

[[noreturn]] void refuse_for_want_of_gain(const Asked& asked) {
  const bool is_limited = asked.limits.minutes < 1e9 || asked.limits.grams < 1e9;
  throw NoAdvice(is_limited ? "no swatch within these minutes and grams would narrow a range that "
                              "one would notice; allow more"
                            : "no swatch would narrow the ranges so that one would notice");
}

/// What was measured since is not in the advice.
void tell_if_old(const studio::Calibration& calibration, const fs::path& folder,
                 const Streams& streams) {
  if (calibration.fingerprint == studio::fingerprint_of(folder)) return;
  streams.talk << fmt::format(
      "What was measured has changed since the calibration of {}; ellwand calibrate {} takes it "
      "in.\n",
      calibration.learned.date, as_typed(folder.string()));
}

int advise(const Asked& asked, bool as_json, const Streams& streams) {
  const estimate::StartingValues values =
      studio::open_starting_values(data_folder() / "starting-values.csv");
  const studio::Studio studio = studio::open_studio(asked.studio, values);
  const auto calibration = studio::open_calibration(asked.studio);
  estimate::Workshop workshop{studio.yarns, values, studio.habits, studio.shown.length};
  if (calibration) {
    workshop.learned = &calibration->learned;
    tell_if_old(*calibration, asked.studio, streams);
  }
  const Chosen chosen = choose(asked, studio, workshop);
  const BadInput refusal(chosen.complaints);
  if (!chosen.complaints.empty() && (chosen.pieces.empty() || as_json)) throw refusal;
  if (chosen.pieces.empty()) {
    throw NoAdvice("there is no piece in " + (asked.studio / "pieces").string() +
                   ", so that there is nothing a swatch could be for; write one as NAME.toml with "
                   "planned = true");
  }
  const calibrate::Outlook outlook(chosen.pieces, workshop);
  const std::vector<Advised> best = best_of_each(
      calibrate::advise(outlook,
                        calibrate::candidates_for(chosen.pieces, workshop,
                                                  {studio.weaver.name, studio.weaver.beginner}),
                        values, asked.limits, chosen.any_planned),
      asked.top);
  if (best.empty()) refuse_for_want_of_gain(asked);
  std::vector<AdvisedSwatch> swatches;
  for (const Advised& one : best) {
    swatches.push_back({one, {}});
    const bool is_told = as_json || swatches.size() == 1;
    if (chosen.any_planned && is_told) {
      swatches.back().narrowed = narrowed_by(one, chosen, outlook, workshop);
    }
  }
  std::vector<std::string> ids;
  for (const piece::Piece& piece : chosen.pieces) ids.push_back(piece.id);
  streams.results << (as_json ? studio::next_swatch_json(swatches, ids, chosen.any_planned,
                                                         workshop.learned)
                              : told(swatches, chosen, workshop, Shower(studio.shown)));
  if (chosen.complaints.empty()) return kDone;
  streams.results.flush();
  streams.talk << refusal.what() << '\n';
  return kBadInput;
}

int run(const Given& given, const Streams& streams) {
  try {
    return advise(asked_by(given), given.has("json"), streams);
  } catch (const NoAdvice& none) {
    streams.talk << "ellwand: " << none.what() << '\n';
    return kNoAnswer;
  }
}

}  // namespace

Verb weave_next_verb() {
  return {
      "weave-next",
      "which swatch to weave next, so that estimates get surer",
      "STUDIO [options]",
      {"ellwand weave-next my-studio", "ellwand weave-next my-studio --minutes 30",
       "ellwand weave-next my-studio --pieces saltmarsh,sedge --top 10"},
      {{"pieces", "IDS", "for these pieces only, by their file names, commas between"},
       {"top", "N", "how many to show; 5 unless said"},
       {"minutes", "N", "no swatch that takes longer"},
       {"grams", "N", "no swatch that takes more yarn"},
       {"json", "", "for other programs"},
       {"help", "", "this text", 'h'}},
      "For the pieces with planned = true; where none is, for what is open about your habits.\n",
      run};
}

}  // namespace ellwand::tools
