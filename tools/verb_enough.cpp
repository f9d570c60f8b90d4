// ellwand enough: midway, whether what is left of a yarn is enough.

#include "option_values.hpp"
#include "print_enough.hpp"
#include "result.hpp"
#include "verbs.hpp"
#include "workbench.hpp"

#include "ellwand/decide/enough.hpp"
#include "ellwand/studio/changed_piece.hpp"
#include "ellwand/studio/enough_json.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <ostream>
#include <sstream>

namespace ellwand::tools {

namespace {

void require_options(const Given& given) {
  for (const char* option : {"band", "rows", "left"}) {
    if (given.has(option)) continue;
    throw WrongUsage(fmt::format(
        "enough wants --{} as well, as in: ellwand enough my-studio/pieces/saltmarsh.toml --band 3 "
        "--rows 24 --left '26 g'",
        option));
  }
}

int whole_up_to(const Given& given, const std::string& option, int least, int most,
                const std::string& told) {
  return whole_number_of(given, option, least,
                         {static_cast<double>(least), static_cast<double>(most), told.c_str()});
}

/// A band by its number, from the bottom.
std::size_t band_of(const Given& given, const std::string& option, std::size_t most) {
  const std::string told =
      fmt::format("a band by its number from the bottom, 1 to {} in this piece", most);
  return static_cast<std::size_t>(whole_up_to(given, option, 1, static_cast<int>(most), told)) - 1;
}

std::vector<std::string> yarns_in_band(const estimate::PieceModel& model, std::size_t band) {
  std::vector<std::string> ids;
  for (const estimate::BandYarn& one : model.band_yarns()) {
    const std::string& id = model.yarns()[one.yarn]->id;
    if (one.band == band && std::find(ids.begin(), ids.end(), id) == ids.end()) ids.push_back(id);
  }
  return ids;
}

/// The yarn that is asked about: the band's, unless it is named or the band has several or none.
std::string yarn_of(const Given& given, const estimate::PieceModel& model, std::size_t band) {
  if (given.has("yarn")) {
    std::vector<std::string> ids;
    for (const yarn::Yarn* yarn : model.yarns()) ids.push_back(yarn->id);
    const std::string& id = given.value("yarn");
    if (std::find(ids.begin(), ids.end(), id) != ids.end()) return id;
    throw WrongUsage(fmt::format("--yarn names '{}', which this piece does not have{}", id,
                                 name_one_of(id, ids)));
  }
  const std::vector<std::string> ids = yarns_in_band(model, band);
  if (ids.size() == 1) return ids.front();
  throw WrongUsage(
      ids.empty()
          ? fmt::format("no yarn is woven in band {}; say with --yarn which is meant", band + 1)
          : fmt::format("band {} has {}; say with --yarn which is meant", band + 1, listed(ids)));
}

/// What the shelf had of a yarn when the piece was begun: the lot that is named, or the piece's, or
/// the only one there is.
const studio::Lot* lot_of(const Given& given, const Workbench& bench, const piece::Piece& piece,
                          const std::string& yarn) {
  std::string name = given.value("lot");
  const auto stated = piece.lots.find(yarn);
  if (!given.has("lot") && stated != piece.lots.end()) name = stated->second;
  const studio::Lot* only = nullptr;
  int lots = 0;
  std::vector<std::string> names;
  for (const studio::Lot& lot : bench.studio().lots) {
    if (lot.yarn != yarn) continue;
    names.push_back(lot.lot);
    if (!name.empty() && lot.lot == name) return &lot;
    only = &lot;
    ++lots;
  }
  if (given.has("lot")) {
    throw WrongUsage(fmt::format("--lot names '{}', and lots.csv has no such lot of {}{}", name,
                                 yarn, name_one_of(name, names)));
  }
  return name.empty() && lots == 1 ? only : nullptr;
}

std::optional<YarnAmount> amount_of(const studio::Lot& lot, bool is_mass) {
  if (is_mass && lot.net_mass) return YarnAmount{in_grams(*lot.net_mass), true};
  if (!is_mass && lot.net_length) return YarnAmount{in_metres(*lot.net_length), false};
  return std::nullopt;
}

std::string told(const YarnAmount& amount) {
  return fmt::format("{:.6g} {}", amount.amount, amount.is_mass ? "g" : "m");
}

/// An amount that has to be read as what is left is: both off the scale or both run off.
YarnAmount same_kind(const Given& given, const std::string& option, const YarnAmount& left) {
  const YarnAmount amount = yarn_amount_of(given, option);
  if (amount.is_mass == left.is_mass && amount.amount > 0.0) return amount;
  if (!(amount.amount > 0.0)) {
    throw WrongUsage(fmt::format("--{} was given '{}'; it takes more than nothing", option,
                                 given.value(option)));
  }
  throw WrongUsage(fmt::format(
      "--{} is given as '{}' and --left as '{}'; give both as a mass or both as a length", option,
      given.value(option), given.value("left")));
}

YarnAmount used_since(const YarnAmount& start, const YarnAmount& left, const std::string& where) {
  if (start.amount > left.amount) return {start.amount - left.amount, left.is_mass};
  throw WrongUsage(fmt::format(
      "--left is {}, and {} {}: then nothing was used; weigh again, or state --start or --used",
      told(left), where, told(start)));
}

/// What the woven part has taken; nothing where nobody says.
std::optional<YarnAmount> used_of(const Given& given, const Workbench& bench,
                                  const piece::Piece& piece, const std::string& yarn,
                                  const YarnAmount& left) {
  if (given.has("used") + given.has("start") + given.has("lot") > 1) {
    throw WrongUsage("--used, --start and --lot say the same in three ways; give one of them");
  }
  if (given.has("used")) return same_kind(given, "used", left);
  if (given.has("start")) return used_since(same_kind(given, "start", left), left, "--start is");
  if (given.has("since-band")) return std::nullopt;
  const studio::Lot* const lot = lot_of(given, bench, piece, yarn);
  if (lot == nullptr) return std::nullopt;
  const auto start = amount_of(*lot, left.is_mass);
  if (!start) return std::nullopt;
  if (!given.has("lot") && start->amount == left.amount) return std::nullopt;
  return used_since(*start, left,
                    lot->lot.empty() ? "lots.csv says" : "lots.csv says of lot " + lot->lot);
}

/// The step of the scale or of the rule.
double step_of(const Given& given, const Workbench& bench, const YarnAmount& left) {
  if (given.has("step")) return same_kind(given, "step", left).amount;
  const estimate::StartingValues& values = bench.values();
  return left.is_mass ? values.median("tool.scale")
                      : in_metres(millimetres(values.median("tool.rule")));
}

/// What was used is said on the command line, not only by the shelf.
bool is_stated_use(const Given& given) {
  return given.has("used") || given.has("start") || given.has("lot");
}

constexpr double kCoarseSteps = 5.0;

decide::MidwayQuestion question_of(const Given& given, const Workbench& bench,
                                   const piece::Piece& piece, const estimate::Workshop& workshop) {
  const estimate::PieceModel model(piece, workshop);
  decide::MidwayQuestion question{piece, workshop};
  question.band = band_of(given, "band", piece.bands.size());
  question.yarn = yarn_of(given, model, question.band);
  const int rows = decide::rows_of_band(model, question.band, question.yarn);
  const std::string whose = decide::is_in_step(model, question.band) ? "" : question.yarn + " in ";
  question.rows = whole_up_to(given, "rows", 0, rows,
                              fmt::format("whole rows of {}band {} that are woven, 0 to {}", whose,
                                          question.band + 1, rows));
  const YarnAmount left = yarn_amount_of(given, "left");
  const double step = step_of(given, bench, left);
  question.is_mass = left.is_mass;
  question.left = {left.amount, step / std::sqrt(12.0), false};
  if (given.has("since-band")) {
    question.since_band = band_of(given, "since-band", question.band + 1);
  }
  const auto used = used_of(given, bench, piece, question.yarn, left);
  const bool is_begun = decide::is_begun(question);
  if (used && !is_begun && is_stated_use(given)) {
    throw WrongUsage(fmt::format(
        "none of {} is woven yet that could have been used; leave out what was used, and --rows 0 "
        "is reckoned as it was foretold",
        question.yarn));
  }
  if (used && is_begun) {
    question.used = {used->amount, step / std::sqrt(6.0), used->amount < kCoarseSteps * step};
  }
  question.confidence = confidence_of(given, "confidence", 0.95);
  return question;
}

/// So many standard deviations from what was foretold are asked about.
constexpr double kSurprising = 3.0;

bool is_surprising(const decide::Enough& answer) {
  return answer.so_far && std::abs(answer.so_far->surprise) > kSurprising;
}

/// @throws BadInput where the use is too far off to reckon by
decide::Midway midway_of(const decide::MidwayQuestion& question, const Shower& show) {
  try {
    return decide::Midway(question);
  } catch (const decide::UseTooFarOff& off) {
    throw BadInput(
        {{question.piece.file, 0, 0,
          doubt_of_use(off.use(), question.yarn, question.is_mass, show) +
              " It is too far off to reckon the rest by; give --start with what there was "
              "of it, or --used with what this piece has taken."}});
  }
}

/// What would make it enough, where it is not.
std::vector<decide::Change> changes_of(const decide::Midway& midway, const decide::Enough& answer,
                                       const studio::ChangeablePiece& piece,
                                       const estimate::Workshop& workshop) {
  if (answer.safe.is_everything) return {};
  std::vector<decide::Setting> now;
  for (const decide::Knob& knob : decide::knobs_to_come(midway, piece.knobs())) {
    now.push_back({knob, piece.value(knob, workshop)});
  }
  const decide::Design design = [&](const std::vector<decide::Setting>& settings) {
    return piece.with(settings);
  };
  return decide::changes_that_suffice(midway, design, now, workshop.shown);
}

int run_enough(const Given& given, const Streams& streams) {
  const PieceFile file = named_piece(given.words(), "enough");
  require_options(given);
  const Workbench bench(file.studio);
  for (const std::string& warning : bench.warnings()) streams.talk << warning << '\n';
  const studio::PieceReading reading = bench.open(file.piece);
  for (const Complaint& warning : reading.warnings) streams.talk << warning.told() << '\n';
  const estimate::Workshop workshop = bench.workshop();
  const Shower show(bench.studio().shown);
  const decide::Midway midway = midway_of(question_of(given, bench, reading.piece, workshop), show);
  const decide::Enough answer = decide::enough(midway);
  if (is_surprising(answer)) {
    streams.talk << doubt_of_use(*answer.so_far, answer.yarn, answer.is_mass, show) << '\n';
  }
  const studio::ChangeablePiece changeable(studio::read_file(file.piece), file.piece.string(),
                                           bench.studio(), bench.values());
  const auto changes = changes_of(midway, answer, changeable, workshop);
  std::ostringstream text;
  if (given.has("json")) {
    text << studio::enough_json(reading.piece.id, answer, changes);
  } else {
    print_enough(reading.piece.name, answer, changes, show, text);
  }
  put_result(text.str(), given, {file}, streams);
  return kDone;
}

}  // namespace

Verb enough_verb() {
  return {
      "enough",
      "midway: whether what is left of a yarn is enough",
      "PIECE --band N --rows N --left AMOUNT [options]",
      {"ellwand enough my-studio/pieces/saltmarsh.toml --band 5 --rows 12 --left '26 g'",
       "ellwand enough my-studio/pieces/saltmarsh.toml --band 5 --rows 12 --left '26 g' --start "
       "'43 g'"},
      {{"band", "N", "the band in work, counted from the bottom; all below it are woven"},
       {"rows", "N",
        "rows of it that are woven, of an area of colour its own; places of a wrapping"},
       {"left", "AMOUNT", "what is left, with what is on the needle: '26 g' or '50 m'"},
       {"yarn", "ID", "which yarn, where the band has several"},
       {"start", "AMOUNT", "what there was before the piece was begun"},
       {"used", "AMOUNT", "or what was used of it"},
       {"lot", "NAME", "or the lot of lots.csv that says so; the only one there is unless said"},
       {"since-band", "N", "start or used are counted from this band on, not from the warp"},
       {"step", "AMOUNT", "step of the scale; 1 g unless said"},
       {"confidence", "SHARE", "of what is called safe; 95 % unless said"},
       {"json", "", "for other programs"},
       output_option(),
       {"help", "", "this text", 'h'}},
      "What was used so far tells how this piece goes, and the rest is reckoned by that.\n",
      run_enough};
}

}  // namespace ellwand::tools
