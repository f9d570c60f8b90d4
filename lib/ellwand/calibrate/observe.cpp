#include "ellwand/calibrate/observe.hpp"

#include "ellwand/units/error.hpp"

#include <fmt/format.h>

#include <cmath>

namespace ellwand::calibrate {

namespace {

using estimate::index_of;
using estimate::OfYarn;
using estimate::Shared;
using technique::Portion;

/// Whether a portion is in what was weighed or run off.
bool is_included(Portion portion, Includes includes) {
  switch (includes) {
    case Includes::LeftTheBall:
      return true;
    case Includes::InThePiece:
      return portion == Portion::Laid || portion == Portion::Cut;
    case Includes::InTheBand:
      return portion == Portion::Laid;
  }
  return false;
}

}  // namespace

const char* error_name(Measured what) {
  switch (what) {
    case Measured::Mass:
      return "error.mass";
    case Measured::Length:
    case Measured::EndLength:
      return "error.length";
    case Measured::Height:
    case Measured::Width:
      return "error.height";
    case Measured::Diameter:
      return "error.diameter";
    case Measured::Density:
      return "error.density";
  }
  return "";
}

Observed::Observed(const estimate::PieceModel& model, const estimate::StartingValues& values)
    : model_(model),
      parts_(model.parts_by_coefficient(estimate::Line::AtTheMedians)),
      relaxation_sd_(values.at("relaxation").spread),
      washing_sd_(values.at("washing.other").spread) {}

std::size_t Observed::yarn_of(const Measurement& measurement) const {
  for (std::size_t y = 0; y < model_.yarns().size(); ++y) {
    if (model_.yarns()[y]->id == measurement.yarn) return y;
  }
  throw OutOfRange(fmt::format("there is no {} in it", measurement.yarn));
}

Expected Observed::expected(const Measurement& measurement) const {
  switch (measurement.what) {
    case Measured::Mass:
    case Measured::Length:
      return amount(measurement);
    case Measured::Height:
      return height(measurement);
    case Measured::Width:
      return width(measurement);
    case Measured::Diameter:
    case Measured::Density:
      return thread(measurement);
    case Measured::EndLength:
      return end(measurement);
  }
  return {};
}

/// ln of the sum of the parts that were measured; its slope is the mean of theirs.
Expected Observed::amount(const Measurement& measurement) const {
  const std::size_t yarn = yarn_of(measurement);
  const std::size_t n = parts_.coefficients;
  Expected expected;
  expected.slopes.assign(n, 0.0);
  double sum_m = 0.0;
  for (std::size_t i = 0; i < parts_.size(); ++i) {
    const estimate::Parts::Place& place = parts_.places[i];
    const bool is_there =
        !measurement.band || place.band == static_cast<int>(*measurement.band) + 1;
    if (place.yarn != yarn || !is_there || !is_included(place.portion, measurement.includes)) {
      continue;
    }
    sum_m += parts_.medians_m[i];
    const estimate::SlopeRows::Row row = parts_.slopes.row(i);
    for (std::size_t k = 0; k < row.columns.size(); ++k) {
      expected.slopes[row.columns[k]] += parts_.medians_m[i] * row.slopes[k];
    }
  }
  if (!(sum_m > 0.0)) throw OutOfRange(fmt::format("no {} is laid there", measurement.yarn));
  for (double& slope : expected.slopes) slope /= sum_m;
  expected.log_value = std::log(sum_m * measurement.share);
  if (measurement.what == Measured::Mass) {
    expected.log_value += std::log(model_.grams_per_metre(yarn));
    expected.slopes[index_of(OfYarn::Lot, yarn)] += 1.0;
  }
  return expected;
}

Expected Observed::height(const Measurement& measurement) const {
  const std::size_t n = parts_.coefficients;
  Expected expected;
  expected.slopes.assign(n, 0.0);
  double sum_m = 0.0;
  for (std::size_t band = 0; band < model_.band_heights().size(); ++band) {
    if (measurement.band && *measurement.band != band) continue;
    const estimate::PieceModel::SlopingLog log = model_.log_height(band);
    const double its_m = in_metres(model_.band_heights()[band]);
    if (!(its_m > 0.0)) continue;
    sum_m += its_m;
    for (std::size_t c = 0; c < n; ++c) expected.slopes[c] += its_m * log.slopes[c];
  }
  if (!(sum_m > 0.0)) throw OutOfRange("it has no height");
  for (double& slope : expected.slopes) slope /= sum_m;
  expected.log_value = std::log(sum_m * measurement.share);
  put_in_state(measurement.state, expected);
  return expected;
}

/// How thick the threads at its two edges are, a hundredth of the width or two, is taken as sure.
Expected Observed::width(const Measurement& measurement) const {
  Expected expected;
  expected.slopes.assign(parts_.coefficients, 0.0);
  const double width_m = in_metres(model_.loom_width());
  expected.log_value = std::log(width_m);
  if (model_.piece().loom.kind == piece::LoomKind::Beam) {
    // The ends' spacing is (1 - draw-in) over the sett of the reed.
    const double ends_m = in_metres(model_.warp_spacing()) * (model_.piece().warp.ends - 1);
    expected.slopes[index_of(Shared::DrawIn)] = -ends_m / (width_m * (1.0 - model_.draw_in()));
  }
  put_in_state(measurement.state, expected);
  return expected;
}

void Observed::put_in_state(piece::State state, Expected& expected) const {
  if (state == piece::State::OnLoom) return;
  const double relaxed = 1.0 - model_.relaxation();
  expected.log_value += std::log(relaxed);
  double variance = relaxation_sd_ * relaxation_sd_ / (relaxed * relaxed);
  if (state == piece::State::Finished && model_.shrinkage() > 0.0) {
    const double washed = 1.0 - model_.shrinkage();
    expected.log_value += std::log(washed);
    variance += washing_sd_ * washing_sd_ / (washed * washed);
  }
  expected.extra_sd = std::sqrt(variance);
}

/// Drawn out and straightened it is slack, whatever the state of the cloth.
Expected Observed::end(const Measurement& measurement) const {
  const estimate::PieceModel::SlopingLog log = model_.log_end_length(measurement.band.value_or(0));
  if (log.slopes.empty()) throw OutOfRange("no warp is woven there");
  Expected expected{log.value, log.slopes, 0.0};
  put_in_state(piece::State::OffLoom, expected);
  return expected;
}

/// How thick a yarn lies, or how much a metre of it weighs.
Expected Observed::thread(const Measurement& measurement) const {
  const std::size_t yarn = yarn_of(measurement);
  Expected expected;
  expected.slopes.assign(parts_.coefficients, 0.0);
  if (measurement.what == Measured::Density) {
    expected.log_value = std::log(model_.grams_per_metre(yarn));
    expected.slopes[index_of(OfYarn::Lot, yarn)] = 1.0;
    return expected;
  }
  expected.log_value = std::log(in_metres(model_.strand_diameter(yarn)));
  expected.slopes[index_of(OfYarn::Thickness, yarn)] = 1.0;
  if (!model_.yarns()[yarn]->measured_diameter) {
    expected.slopes[index_of(OfYarn::Lot, yarn)] = 0.5;
  }
  return expected;
}

}  // namespace ellwand::calibrate
