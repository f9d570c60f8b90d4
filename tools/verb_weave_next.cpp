// ellwand weave-next: which swatch to weave next.

#include "option_values.hpp"
#include "show.hpp"
#include "verbs.hpp"
#include "workbench.hpp"

#include "ellwand/studio/next_swatch_json.hpp"
#include "ellwand/studio/read_swatches.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/units/plain_digits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <ostream>
#include <set>
#include <sstream>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

using calibrate::Advised;
using calibrate::Candidate;
using calibrate::Measuring;
using studio::AdvisedSwatch;

struct WeaveNextAsked {
  fs::path studio;
  std::vector<std::string> pieces;  ///< ids; all that are planned without
  std::size_t top = 5;
  calibrate::Limits limits;
};

WeaveNextAsked weave_next_asked_by(const Given& given) {
  WeaveNextAsked asked;
  asked.studio = named_studio(given.words(), "weave-next");
  asked.pieces = split_at_commas(given.value("pieces"));
  if (given.has("pieces") && asked.pieces.empty()) {
    throw WrongUsage("--pieces names none; write --pieces saltmarsh,sedge");
  }
  asked.top = static_cast<std::size_t>(
      whole_number_of(given, "top", 5, {1.0, 1000.0, "a whole number from 1 to 1000"}));
  asked.limits.minutes = number_of(given, "minutes", asked.limits.minutes,
                                   {1.0, 1e6, "minutes from 1 to 1000000, without a unit"});
  asked.limits.grams = number_of(given, "grams", asked.limits.grams,
                                 {0.0, 1e6, "grams from 0 to 1000000, without a unit"});
  return asked;
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
std::vector<studio::Narrowed> narrowed_by(const Advised& advised, const ChosenPieces& chosen,
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
    const estimate::YarnEstimate& later = after[target.piece].yarns[target.yarn];
    all.push_back({chosen.pieces[target.piece].id, chosen.pieces[target.piece].name, now.yarn,
                   now.length_m, later.length_m, now.mass_g, later.mass_g});
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

/// How few a scale can weigh, where she might be tempted to weave fewer.
std::string at_least(const Candidate& candidate, const Shower& show) {
  if (candidate.least_rows < 2 || candidate.work == "knotted fringe") return {};
  const double step_g = candidate.swatch.measurements.front().step;
  return fmt::format(" ({} at least, for a scale in steps of {} {})", candidate.least_rows,
                     plain_digits(show.mass(step_g)), show.mass_unit());
}

/// What to do, from "Weave" up to what is measured.
std::string doing(const Candidate& candidate, const estimate::StartingValues& values,
                  const Shower& show) {
  if (candidate.measuring == Measuring::WeighedLength) {
    const double length_m = values.median("swatch.length");
    return fmt::format("Run off {} of {} and weigh it", show.yarn_text(length_m, 0.1 * length_m),
                       candidate.yarn);
  }
  if (candidate.measuring == Measuring::WrapsCounted) {
    return fmt::format("Wrap {} round a rule, touching, and count the wraps", candidate.yarn);
  }
  std::string text = fmt::format(
      "Weave {} of {} as in band {} of {}, {} ends, {}{}; weigh the yarn before and after",
      swatch_of(candidate.work), candidate.yarn, candidate.like_band, candidate.like,
      candidate.ends, rows_text(candidate), at_least(candidate, show));
  const bool is_unpicked = candidate.measuring == Measuring::OneRowUnpicked;
  const bool has_height = candidate.expected.size() > (is_unpicked ? 2U : 1U);
  if (has_height) text += is_unpicked ? ", measure the height" : " and measure the height";
  if (is_unpicked) text += ", then pick out one row and measure its yarn";
  return text;
}

/// "7 to 23 g", as the estimate prints it.
std::string from_to(const numeric::Range& range, const Shower& show) {
  return fmt::format("{} {}", show.ends_text(range, show.mass(1.0)), show.mass_unit());
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
                  from_to(first.now_g, show), from_to(first.then_g, show));
  if (&first == &all.front()) return text;
  const studio::Narrowed& most = all.front();
  return text + fmt::format(", that of {}'s {} from {} to about {}", most.name, most.yarn,
                            from_to(most.now_g, show), from_to(most.then_g, show));
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
                        show.enough_mass_text(candidate.grams, Steps{0.5 * candidate.grams}));
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
               candidate.grams > 0.0 ? rounded_up_to(show.mass(candidate.grams),
                                                     Steps{show.mass(0.5 * candidate.grams)})
                                     : "",
               any_planned ? fmt::format("{:.0f} %", 100.0 * one.advised.narrower)
                           : fmt::format("{:.2f}", one.advised.gain.information_nats)});
  }
  table.print(out);
}

std::string told(const std::vector<AdvisedSwatch>& swatches, const ChosenPieces& chosen,
                 const estimate::Workshop& workshop, const Shower& show) {
  std::ostringstream out;
  out << sentence(swatches.front(), workshop.values, show) << '\n';
  print_table(swatches, chosen.are_planned, show, out);
  if (chosen.are_planned) {
    out << "\nNarrower: the ranges of the planned pieces, each yarn by its mass. Best first, for "
           "your minutes and grams; what narrows no yarn's range by a tenth and by a step "
           "of your scale is left out, and so is what would show as 0 %.\n";
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

[[noreturn]] void refuse_for_want_of_gain(const WeaveNextAsked& asked) {
  const bool is_limited = asked.limits.minutes < 1e9 || asked.limits.grams < 1e9;
  const std::string seen = fmt::format(
      "would narrow the range of any planned yarn by a tenth and a step of the scale, {:g} g, and "
      "less cannot be seen",
      asked.limits.narrower_g);
  throw NoAnswer(is_limited
                     ? "no swatch within these minutes and grams " + seen + "; allow more"
                     : "nothing worth weaving is left: no swatch " + seen +
                           ". Weave the pieces, and weigh what they take; a larger swatch, or "
                           "one on a finer scale (its step in tool_step), may tell more");
}

/// The step of the scale she last weighed a swatch on; the starting value where none is said.
double scale_step_g(const Workbench& bench) {
  double step_g = bench.values().median("tool.scale");
  try {
    for (const calibrate::Swatch& swatch :
         studio::open_swatches(bench.folder(), bench.studio(), bench.values()).swatches) {
      for (const calibrate::Measurement& one : swatch.measurements) {
        if (one.what == calibrate::Measured::Mass && one.step > 0.0) step_g = one.step;
      }
    }
  } catch (const BadInput&) {
    return step_g;  // calibrate tells what cannot be read
  }
  return step_g;
}

int run_weave_next(const Given& given, const Streams& streams) {
  WeaveNextAsked asked = weave_next_asked_by(given);
  const bool as_json = given.has("json");
  const Workbench bench(asked.studio);
  const studio::Studio& studio = bench.studio();
  const estimate::StartingValues& values = bench.values();
  const estimate::Workshop workshop = bench.workshop();
  for (const std::string& warning : bench.warnings()) streams.talk << warning << '\n';
  const ChosenPieces chosen = choose_pieces(bench, asked.pieces);
  const BadInput refusal(chosen.complaints);
  if (!chosen.complaints.empty() && (chosen.pieces.empty() || as_json)) throw refusal;
  if (chosen.pieces.empty()) {
    throw NoAnswer("there is no piece in " + (asked.studio / "pieces").string() +
                   ", so that there is nothing a swatch could be for; write one as NAME.toml with "
                   "planned = true");
  }
  asked.limits.narrower_g = scale_step_g(bench);
  const calibrate::Outlook outlook(chosen.pieces, workshop);
  std::vector<Advised> all =
      calibrate::advise(outlook,
                        calibrate::candidates_for(
                            chosen.pieces, workshop,
                            {studio.weaver.name, studio.weaver.beginner, asked.limits.narrower_g}),
                        values, asked.limits, chosen.are_planned);
  if (chosen.are_planned) all = calibrate::told_over_all(std::move(all));
  const std::vector<Advised> best = best_of_each(std::move(all), asked.top);
  if (best.empty()) refuse_for_want_of_gain(asked);
  std::vector<AdvisedSwatch> swatches;
  for (const Advised& one : best) {
    swatches.push_back({one, {}});
    const bool is_told = as_json || swatches.size() == 1;
    if (chosen.are_planned && is_told) {
      swatches.back().narrowed = narrowed_by(one, chosen, outlook, workshop);
    }
  }
  std::vector<std::string> ids;
  for (const piece::Piece& piece : chosen.pieces) ids.push_back(piece.id);
  streams.results << (as_json ? studio::next_swatch_json(swatches, ids, chosen.are_planned,
                                                         workshop.learned)
                              : told(swatches, chosen, workshop, Shower(studio.shown)));
  if (chosen.complaints.empty()) return kDone;
  streams.results.flush();
  streams.talk << refusal.what() << '\n';
  return kBadInput;
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
      run_weave_next};
}

}  // namespace ellwand::tools
