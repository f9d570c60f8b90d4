// ellwand calibrate: what the swatches of a studio teach.

#include "print_calibration.hpp"
#include "verbs.hpp"
#include "workbench.hpp"

#include "ellwand/studio/calibration_file.hpp"
#include "ellwand/studio/freeze.hpp"
#include "ellwand/studio/read_swatches.hpp"

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

void tell(const std::vector<Complaint>& warnings, const Streams& streams) {
  for (const Complaint& warning : warnings) streams.talk << warning.told() << '\n';
}

/// Nothing can be learned, and nothing is written.
int no_answer(const std::string& why, const Streams& streams) {
  streams.talk << why << '\n';
  return kNoAnswer;
}

void keep(const fs::path& folder, const studio::Calibrated& calibrated, const Streams& streams) {
  const std::string file = (folder / "calibration.json").string();
  const bool is_new = studio::keep_calibration(
      folder,
      studio::calibration_from(calibrated.fit, calibrated.date, studio::fingerprint_of(folder)));
  streams.talk << (is_new ? "Kept as " + file + "; estimates use it from now on.\n"
                          : file + " says the same already and is left as it is.\n");
}

int calibrate_studio(const fs::path& folder, const Given& given, const Streams& streams) {
  const Workbench bench(folder, Learning::LeftOut);
  const studio::Studio& studio = bench.studio();
  const estimate::StartingValues& values = bench.values();
  studio::SwatchTable table = studio::open_swatches(folder, studio, values);
  tell(studio.warnings, streams);
  tell(table.warnings, streams);
  const estimate::Workshop workshop = bench.workshop();

  studio::Calibrated all;
  all.swatches = std::move(table.swatches);
  all.date = studio::today();
  all.fit = calibrate::fit(all.swatches, workshop);
  if (all.fit.verdict == calibrate::Verdict::NoSwatches) {
    return no_answer("Nothing is measured in " + folder.string() +
                         " yet: weave a swatch, weigh what it took and write it into swatches.csv. "
                         "Estimates stay as for a stranger's hand.",
                     streams);
  }
  if (all.fit.verdict == calibrate::Verdict::NotSettled) {
    return no_answer(
        "These swatches lead to no settled result, and nothing is kept; look for a "
        "figure that is far off.",
        streams);
  }
  all.report = calibrate::report(all.fit, all.swatches, workshop);
  all.record = studio::frozen_record(folder, all.swatches);
  tell(all.record.warnings, streams);
  if (given.has("json")) {
    streams.results << studio::calibration_report_json(all, values);
  } else {
    print_calibration(all, values, Shower(studio.shown), streams.results);
  }
  if (!given.has("dry-run")) keep(folder, all, streams);
  return kDone;
}

int run(const Given& given, const Streams& streams) {
  const fs::path folder = named_studio(given.words(), "calibrate");
  if (!given.has("back")) return calibrate_studio(folder, given, streams);
  if (given.has("json") || given.has("dry-run")) {
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
          {"ellwand calibrate my-studio", "ellwand calibrate my-studio --dry-run",
           "ellwand calibrate my-studio --back"},
          {{"dry-run", "", "tell what would be found, and keep nothing"},
           {"back", "", "go back to the calibration before; once more, and the later one holds"},
           {"json", "", "for other programs"},
           {"help", "", "this text", 'h'}},
          "What it finds is kept in calibration.json, and estimates use it by themselves.\n",
          run};
}

}  // namespace ellwand::tools
