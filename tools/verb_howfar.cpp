// ellwand howfar: the largest a piece can be with the yarn there is.

#include "option_values.hpp"
#include "print_enough.hpp"
#include "print_howfar.hpp"
#include "result.hpp"
#include "verbs.hpp"
#include "workbench.hpp"

#include "ellwand/decide/howfar.hpp"
#include "ellwand/estimate/cuts.hpp"
#include "ellwand/studio/changed_piece.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/howfar_json.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <ostream>
#include <sstream>

namespace ellwand::tools {

namespace {

using decide::Knob;
using decide::Setting;

/// The one or two knobs that are to be turned.
std::vector<Knob> knobs_of(const Given& given) {
  const std::vector<std::string> words = split_at_commas(given.value("change"));
  if (words.empty() || words.size() > 2) {
    throw WrongUsage(
        "howfar wants one or two measures to change, as in: ellwand howfar "
        "my-studio/pieces/saltmarsh.toml --change 'rows of band 2'");
  }
  std::vector<Knob> knobs;
  for (const std::string& word : words) {
    try {
      knobs.push_back(studio::read_knob(word));
    } catch (const UnreadableText& unreadable) {
      throw WrongUsage(fmt::format("--change: {}", unreadable.what()));
    }
  }
  if (knobs.size() == 2 && knobs[0] == knobs[1]) {
    throw WrongUsage("--change names the same measure twice; name two that differ, or one");
  }
  return knobs;
}

studio::AreaRule area_rule_of(const Given& given) {
  const std::string& rule = given.value("areas");
  if (!given.has("areas") || rule == "widest") return studio::AreaRule::Widest;
  if (rule == "in proportion") return studio::AreaRule::InProportion;
  throw WrongUsage(
      fmt::format("--areas was given '{}'; it takes 'widest' or 'in proportion'", rule));
}

/// "rug-wool-ash 150 g": a yarn and how much of it there is.
void add_to_stash(const std::string& word, const studio::Studio& studio, estimate::Shelf& stash) {
  const std::size_t blank = word.find(' ');
  const std::string id = word.substr(0, blank);
  const auto yarn = studio.yarns.find(id);
  if (yarn == studio.yarns.end()) {
    std::vector<std::string> ids;
    for (const auto& [known, unused] : studio.yarns) ids.push_back(known);
    throw WrongUsage(
        fmt::format("--stash names '{}', and no yarn is called so{}", id, name_one_of(id, ids)));
  }
  if (blank == std::string::npos) {
    throw WrongUsage(fmt::format(
        "--stash has '{0}' without an amount; write how much there is, as in '{0} 150 g'", word));
  }
  const YarnAmount amount = read_yarn_amount(word.substr(blank + 1), "stash");
  estimate::StockLot lot;
  if (amount.is_mass) {
    lot.mass = grams(amount.amount);
  } else {
    lot.length = metres(amount.amount);
    lot.mass = yarn->second.linear_density * *lot.length;
  }
  stash[id].add(lot);
}

estimate::Shelf stash_of(const Given& given, const Workbench& bench) {
  if (!given.has("stash")) return bench.shelf();
  estimate::Shelf stash;
  for (const std::string& word : split_at_commas(given.value("stash"))) {
    add_to_stash(word, bench.studio(), stash);
  }
  if (stash.empty()) {
    throw WrongUsage("--stash is empty; write what there is, as in 'rug-wool-ash 150 g'");
  }
  return stash;
}

/// At least one yarn of the piece has to be in the stash for anything to bind.
void require_some(const piece::Piece& piece, const estimate::Workshop& workshop,
                  const estimate::Shelf& stash) {
  for (const yarn::Yarn* yarn : estimate::yarns_of(piece, workshop.yarns)) {
    if (stash.count(yarn->id) > 0) return;
  }
  throw NoAnswer(
      fmt::format("Nothing of the yarns of {} is in the stash, so nothing can run short; "
                  "write what there is in lots.csv, or say it with --stash.",
                  piece.name));
}

double stated(const studio::ChangeablePiece& piece, const Knob& knob,
              const estimate::Workshop& workshop) {
  try {
    return piece.value(knob, workshop);
  } catch (const OutOfRange& refusal) {
    throw WrongUsage(std::string("--change: ") + refusal.what());
  }
}

/// What is asked, and with what.
struct Asking {
  const Workbench& bench;
  const PieceFile& file;
  const estimate::Workshop& workshop;
  const estimate::Shelf& stash;
  double confidence;
};

/// "23 g of rug-wool-rust, and there is 10.0 g": every yarn that is short.
std::string shortages(const decide::Trial& trial, const Shower& show) {
  std::vector<std::string> all;
  for (const decide::Need& need : trial.needs) {
    if (need.over_g() >= 0.0) continue;
    const Steps step_g{std::clamp(-0.3 * need.over_g(), 0.01, 1.0)};
    all.push_back(fmt::format("{} of {} where there is {}",
                              show.enough_mass_text(need.need_g, step_g), need.yarn,
                              show.mass_text(need.stash_g, Steps{std::min(step_g.size, 0.1)})));
  }
  return listed(all);
}

/// The same piece, all areas of colour giving and taking ends.
std::optional<decide::HowFar> in_proportion(const Asking& asking, const Knob& knob, double now,
                                            const decide::KnobRange& range, Length<> cut_step) {
  const studio::ChangeablePiece piece(studio::read_file(asking.file.piece),
                                      asking.file.piece.string(), asking.bench.studio(),
                                      asking.bench.values(), studio::AreaRule::InProportion);
  const decide::Design design = [&](const std::vector<Setting>& settings) {
    return piece.with(settings);
  };
  return decide::how_far({design, asking.workshop, asking.stash, asking.confidence, cut_step}, knob,
                         now, range);
}

/// Why not even the least of a knob suffices.
[[noreturn]] void refuse_least(const Asking& asking, const decide::HowfarQuestion& question,
                               const std::string& name, const Knob& knob, double now,
                               const Shower& show) {
  const decide::KnobRange range = decide::range_of(knob, question.workshop.shown);
  const auto least = decide::smallest(question, knob, now, range);
  if (!least || least->trial.needs.empty()) {
    const decide::Trial trial = least ? least->trial : decide::try_setting(question, {{knob, now}});
    throw NoAnswer(fmt::format("{}: no {} can be woven: {}", name, told(knob), trial.refusal));
  }
  std::string told =
      fmt::format("{}: the stash does not suffice even for {}: to be safe at {} that takes {}.",
                  name, setting_text(least->at, show), percent_text(asking.confidence),
                  shortages(least->trial, show));
  const bool by_width = knob.of == Knob::Of::Ends || knob.of == Knob::Of::Size;
  const auto other = by_width && !least->below.empty()
                         ? in_proportion(asking, knob, now, range, question.cut_step)
                         : std::nullopt;
  told += other ? fmt::format(
                      " All areas of colour but the widest keep their ends; give --areas 'in "
                      "proportion' to let every one give, and the stash suffices for {}.",
                      setting_text(other->at.front(), show))
                : " Have more of that, or change what else takes it.";
  throw NoAnswer(told);
}

/// One answer, or one for each value of the second knob.
decide::Frontier answers_to(const Asking& asking, const decide::HowfarQuestion& question,
                            const std::vector<Knob>& knobs, const studio::ChangeablePiece& piece,
                            const Shower& show) {
  const LengthShown shown = question.workshop.shown;
  const double now = stated(piece, knobs[0], question.workshop);
  const decide::KnobRange range = decide::range_of(knobs[0], shown);
  decide::Frontier found;
  if (knobs.size() == 1) {
    if (auto far = decide::how_far(question, knobs[0], now, range))
      found.all.push_back(std::move(*far));
  } else {
    const double second = stated(piece, knobs[1], question.workshop);
    found = decide::frontier(question, {knobs[0], now}, range, knobs[1],
                             decide::usual_values(second, decide::range_of(knobs[1], shown)));
  }
  if (found.all.empty())
    refuse_least(asking, question, piece.as_stated().name, knobs[0], now, show);
  return found;
}

std::string result_of(const Given& given, const piece::Piece& piece,
                      const decide::Frontier& answers, double confidence, const Shower& show) {
  if (given.has("json")) return studio::howfar_json(piece.id, confidence, answers);
  std::ostringstream text;
  if (answers.all.front().at.size() == 1) {
    print_how_far(piece.name, answers.all.front(), confidence, show, text);
  } else {
    print_frontier(piece.name, answers, confidence, show, text);
  }
  return text.str();
}

int run_howfar(const Given& given, const Streams& streams) {
  const PieceFile file = named_piece(given.words(), "howfar");
  const std::vector<Knob> knobs = knobs_of(given);
  const studio::AreaRule rule = area_rule_of(given);
  const double confidence = confidence_of(given, "confidence", 0.95);
  const Workbench bench(file.studio);
  for (const std::string& warning : bench.warnings()) streams.talk << warning << '\n';
  for (const Complaint& warning : bench.open(file.piece).warnings) {
    streams.talk << warning.told() << '\n';
  }
  const studio::ChangeablePiece piece(studio::read_file(file.piece), file.piece.string(),
                                      bench.studio(), bench.values(), rule);
  const estimate::Workshop workshop = bench.workshop();
  const estimate::Shelf stash = stash_of(given, bench);
  require_some(piece.as_stated(), workshop, stash);
  const decide::Design design = [&](const std::vector<Setting>& settings) {
    return piece.with(settings);
  };
  const decide::HowfarQuestion question{design, workshop, stash, confidence,
                                        estimate::usual_cut_step(bench.studio().shown.length)};
  const Shower show(bench.studio().shown);
  const auto answers =
      answers_to({bench, file, workshop, stash, confidence}, question, knobs, piece, show);
  put_result(result_of(given, piece.as_stated(), answers, confidence, show), given, {file},
             streams);
  return kDone;
}

}  // namespace

Verb howfar_verb() {
  return {"howfar",
          "how far the yarn there is goes: the most rows, repeats, hang, width or size",
          "PIECE --change MEASURE[,MEASURE] [options]",
          {"ellwand howfar my-studio/pieces/saltmarsh.toml --change 'rows of band 2'",
           "ellwand howfar my-studio/pieces/saltmarsh.toml --change size --stash 'rug-wool-ash 150 "
           "g, linen-fringe 80 m'",
           "ellwand howfar my-studio/pieces/saltmarsh.toml --change 'ends, hang of band 1'"},
          {{"change", "MEASURES",
            "one or two of: rows, repeats, height or hang of a band; ends or width; size"},
           {"stash", "LIST", "yarns and what there is of them; the shelf (lots.csv) unless said"},
           {"confidence", "SHARE", "that each yarn suffices; 95 % unless said"},
           {"areas", "RULE",
            "which area of colour takes ends: 'widest' (unless said) or 'in proportion'"},
           {"json", "", "for other programs"},
           output_option(),
           {"help", "", "this text", 'h'}},
          "The piece file stays as it is. Yarn that is not in the stash is taken to be had.\n",
          run_howfar};
}

}  // namespace ellwand::tools
