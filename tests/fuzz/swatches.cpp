// Measured swatches: read, turned into observations as a fit does, and now and then fitted.

#include "checks.hpp"

#include "ellwand/calibrate/fit.hpp"
#include "ellwand/calibrate/observe.hpp"
#include "ellwand/calibrate/reading.hpp"
#include "ellwand/studio/read_swatches.hpp"
#include "ellwand/studio/slips.hpp"
#include "ellwand/units/error.hpp"
#include "support/studios.hpp"

#include <optional>

namespace ellwand::fuzz {

namespace {

/// The demo's pieces that rows may name.
const std::map<std::string, piece::Piece>& pieces() {
  static const std::map<std::string, piece::Piece> all = {
      {"saltmarsh", test::demo_piece("saltmarsh")}, {"sedge", test::demo_piece("sedge")}};
  return all;
}

/// Whether the swatch can have been woven and measured so. One that nothing is measured of is only
/// woven here: its slips are those of its measures.
bool observe(const calibrate::Swatch& swatch) {
  std::optional<estimate::PieceModel> model;
  try {
    studio::slips_of(swatch, test::demo_studio(), test::starting_values());
    model.emplace(swatch.piece, test::demo_workshop());
  } catch (const BadInput&) {
    return false;
  }
  const calibrate::Observed observed(*model, test::starting_values());
  for (const calibrate::Measurement& one : swatch.measurements) {
    must_be_amount(one.value, "a reading");
    must_be_amount(one.reading_sd, "error of a reading");
    const calibrate::Expected expected = observed.expected(one);
    must(std::isfinite(expected.log_value), "what is expected is no number");
    for (const double slope : expected.slopes) must(std::isfinite(slope), "a slope is no number");
    const double error = test::starting_values().median(calibrate::error_name(one.what));
    const calibrate::LogReading reading = calibrate::log_reading(
        {one.value, one.reading_sd, one.step > 0.0 && one.value < 5.0 * one.step},
        expected.log_value, std::hypot(error, expected.extra_sd));
    must(std::isfinite(reading.residual), "a residual is no number");
    must_be_amount(reading.sd, "error of a logarithm");
  }
  return true;
}

void fit(const std::vector<calibrate::Swatch>& swatches) {
  const calibrate::Fit found = calibrate::fit(swatches, test::demo_workshop());
  if (found.verdict != calibrate::Verdict::Settled) return;
  for (const calibrate::FittedCoefficient& one : found.coefficients) {
    must(std::isfinite(one.mean), "a fitted coefficient is no number");
    must_be_amount(one.spread, "spread of a fitted coefficient");
  }
}

}  // namespace
}  // namespace ellwand::fuzz

namespace ellwand::fuzz {

namespace {

/// @returns none where they cannot be read, or not all be woven and measured so
std::vector<calibrate::Swatch> possible_swatches(const std::string& text) {
  const Within within(1);
  std::vector<calibrate::Swatch> swatches;
  try {
    swatches = studio::read_swatches(text, "swatches.csv", test::demo_studio(),
                                     test::starting_values(), pieces())
                   .swatches;
  } catch (const BadInput&) {
    return {};
  }
  bool all_are_possible = true;
  for (const calibrate::Swatch& swatch : swatches) {
    all_are_possible = observe(swatch) && all_are_possible;
  }
  return all_are_possible ? swatches : std::vector<calibrate::Swatch>();
}

}  // namespace
}  // namespace ellwand::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace ellwand;
  const std::string text(reinterpret_cast<const char*>(data), size);
  const std::vector<calibrate::Swatch> swatches = fuzz::possible_swatches(text);
  if (swatches.empty() || fuzz::drawn_from(text, 16) != 0) return 0;
  // A dozen with several far off are fitted in 0.2 s; the sanitizers make that fifteen times as
  // much.
  const fuzz::Within within(15);
  try {
    fuzz::fit(swatches);
  } catch (const BadInput&) {
  }
  return 0;
}
