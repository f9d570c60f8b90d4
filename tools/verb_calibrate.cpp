// ellwand calibrate: what the swatches of a studio teach.

#include "calibrating.hpp"
#include "print_calibration.hpp"
#include "verbs.hpp"

#include "ellwand/studio/calibration_file.hpp"
#include "ellwand/studio/freeze.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <ostream>

namespace ellwand::tools {

namespace fs = std::filesystem;

namespace {

int go_back(const fs::path& folder, const Streams& streams) {
  const studio::Calibration now = studio::go_back(folder);
  streams.talk << fmt::format(
      "The calibration of {} by {} {} holds again; the one it takes the place of is kept as {}.\n",
      now.learned.date, now.learned.swatches, now.learned.swatches == 1 ? "swatch" : "swatches",
      (folder / "calibration-before.json").string());
  return kDone;
}

void keep(const fs::path& folder, const studio::Calibrated& calibrated, const Streams& streams) {
  const std::string file = (folder / "calibration.json").string();
  const bool is_new = studio::keep_calibration(
      folder,
      studio::calibration_from(calibrated.fit, calibrated.date, studio::fingerprint_of(folder)));
  streams.talk << (is_new ? "Kept as " + file + "; estimates use it from now on.\n"
                          : file + " says the same already and is left as it is.\n");
}

void tell_of_why(const fs::path& folder, const Streams& streams) {
  streams.results << fmt::format(
      "\nellwand calibrate {} --dry-run --why tells every figure and what it rests on.\n",
      as_typed(folder));
}

int calibrate_studio(const fs::path& folder, const Given& given, const Streams& streams) {
  const Workbench bench(folder, Learning::LeftOut);
  const Calibrating found = calibrating(bench, studio::today(), streams);
  if (!found.no_answer.empty()) {
    streams.talk << found.no_answer << '\n';
    return kNoAnswer;
  }
  const studio::Calibrated& all = found.calibrated;
  if (given.has("json")) {
    streams.results << studio::calibration_report_json(all, bench.values());
  } else {
    print_calibration(all, bench.values(), bench.studio().shown, given.has("why"), streams.results);
    if (!given.has("why")) tell_of_why(folder, streams);
  }
  if (!given.has("dry-run")) keep(folder, all, streams);
  return kDone;
}

int run_calibrate(const Given& given, const Streams& streams) {
  const fs::path folder = named_studio(given.words(), "calibrate");
  if (!given.has("back")) return calibrate_studio(folder, given, streams);
  if (given.has("json") || given.has("dry-run") || given.has("why")) {
    throw WrongUsage(
        "--back goes alone: it puts the calibration before in place, and fits nothing");
  }
  return go_back(folder, streams);
}

}  // namespace

Verb calibrate_verb() {
  return {"calibrate",
          "learns your hand from measured swatches and pieces",
          "STUDIO [options]",
          {"ellwand calibrate my-studio", "ellwand calibrate my-studio --dry-run --why",
           "ellwand calibrate my-studio --back"},
          {{"dry-run", "", "tell what would be found, and keep nothing"},
           {"why", "", "every figure as well, and what it rests on"},
           {"back", "", "go back to the calibration before; once more, and the later one holds"},
           {"json", "", "for other programs"},
           {"help", "", "this text", 'h'}},
          "What it finds is kept in calibration.json, and estimates use it by themselves.\n",
          run_calibrate};
}

}  // namespace ellwand::tools
