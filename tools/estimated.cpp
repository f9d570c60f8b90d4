#include "estimated.hpp"

#include "ellwand/estimate/cuts.hpp"

#include <utility>

namespace ellwand::tools {

namespace {

void add_reading_warnings(const std::vector<Complaint>& complaints,
                          estimate::PieceEstimate& estimate) {
  for (const Complaint& complaint : complaints) {
    estimate.warnings.push_back({"reading", complaint.told()});
  }
}

}  // namespace

EstimatedPiece estimated_piece(const Workbench& bench, const std::filesystem::path& file,
                               const estimate::Options& asked) {
  const studio::Studio& studio = bench.studio();
  const studio::PieceReading reading = bench.open(file);
  estimate::Options options = asked;
  options.order = true;
  options.cut_step = estimate::usual_cut_step(studio.shown.length);
  estimate::PieceModel model(reading.piece, bench.workshop());
  estimate::PieceEstimate estimate = estimate::estimate(model, bench.shelf(), options);
  add_reading_warnings(studio.warnings, estimate);
  add_reading_warnings(reading.warnings, estimate);
  if (const KeptCalibration* kept = bench.calibration()) {
    estimate.taught = estimate::taught(model, kept->calibration.learned, bench.values());
    estimate.taught->is_current = kept->is_current;
  }
  const bool is_woven = reading.is_woven && !reading.piece.planned;
  return {std::move(model), std::move(estimate), is_woven};
}

}  // namespace ellwand::tools
