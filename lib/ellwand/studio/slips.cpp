#include "ellwand/studio/slips.hpp"

#include "ellwand/calibrate/observe.hpp"
#include "ellwand/estimate/piece_model.hpp"
#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <cmath>

namespace ellwand::studio {

namespace {
/// Habits differ by a third, loops by a half: three times is beyond any of them.
constexpr double kSlip = 3.0;

/// A figure in the unit it is kept in, as a sentence tells it.
std::string told(const calibrate::Measurement& figure, double value) {
  using calibrate::Measured;
  switch (figure.what) {
    case Measured::Mass:
      return fmt::format("{:.3g} g", value);
    case Measured::Length:
      return fmt::format("{:.3g} m", value);
    case Measured::Height:
    case Measured::Width:
      return fmt::format("{:.3g} cm", value * 100.0);
    case Measured::Diameter:
      return fmt::format("{:.2g} mm", value * 1000.0);
    case Measured::Density:
      return fmt::format("{:.3g} g a metre", value);
  }
  return {};
}
}  // namespace

std::vector<Complaint> slips_of(const calibrate::Swatch& swatch, const Studio& studio,
                                const estimate::StartingValues& starting) {
  const estimate::Workshop workshop{studio.yarns, starting, studio.habits, studio.shown.length};
  const estimate::PieceModel model(swatch.piece, workshop);
  const calibrate::Observed observed(model, starting);
  std::vector<Complaint> warnings;
  std::vector<Complaint> complaints;
  for (const calibrate::Measurement& figure : swatch.measurements) {
    try {
      const double expected = std::exp(observed.expected(figure).log_value);
      const double ratio = figure.value / expected;
      if (ratio < kSlip && ratio > 1.0 / kSlip) continue;
      warnings.push_back(
          {swatch.file, figure.line, 0,
           fmt::format("{}: {} where about {} would be usual; has a decimal point "
                       "slipped, or is it of something else?",
                       figure.column, told(figure, figure.value), told(figure, expected))});
    } catch (const OutOfRange& refusal) {
      complaints.push_back(
          {swatch.file, figure.line, 0,
           fmt::format("{}: {}", figure.column, refusal.told(studio.shown.length))});
    }
  }
  if (!complaints.empty()) throw BadInput(std::move(complaints));
  return warnings;
}

}  // namespace ellwand::studio
