#include "calibrating.hpp"

#include "progress.hpp"

#include "ellwand/studio/read_swatches.hpp"

#include <fmt/format.h>

#include <ostream>
#include <utility>

namespace ellwand::tools {

namespace {
void tell(const std::vector<Complaint>& warnings, const Streams& streams) {
  for (const Complaint& warning : warnings) streams.talk << warning.told() << '\n';
}
}  // namespace

Calibrating calibrating(const Workbench& bench, const std::string& date, const Streams& streams) {
  studio::SwatchTable table = studio::open_swatches(bench.folder(), bench.studio(), bench.values());
  tell(bench.studio().warnings, streams);
  tell(table.warnings, streams);
  const estimate::Workshop workshop = bench.workshop();

  Calibrating found;
  studio::Calibrated& all = found.calibrated;
  all.swatches = std::move(table.swatches);
  all.date = date;
  {
    const Progress fitting(fmt::format("Fitting {} swatches", all.swatches.size()));
    all.fit = calibrate::fit(all.swatches, workshop);
  }
  if (all.fit.verdict == calibrate::Verdict::NoSwatches) {
    found.no_answer = "Nothing is measured in " + bench.folder().string() +
                      " yet: weave a swatch, weigh what it took and write it into swatches.csv. "
                      "Estimates stay as for a stranger's hand.";
    return found;
  }
  if (all.fit.verdict == calibrate::Verdict::NotSettled) {
    found.no_answer =
        "These swatches lead to no settled result, and nothing is kept; look for a figure that is "
        "far off.";
    return found;
  }
  {
    const Progress telling("Foretelling each swatch by the others");
    all.report = calibrate::report(all.fit, all.swatches, workshop);
  }
  all.record = studio::frozen_record(bench.folder(), all.swatches);
  tell(all.record.warnings, streams);
  return found;
}

}  // namespace ellwand::tools
