#include "ellwand/estimate/sizes.hpp"

#include "ellwand/numeric/range.hpp"
#include "ellwand/technique/warp.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::estimate {

namespace {

/// The weft as it goes round; nothing for what is not woven.
Length<> weft_diameter(const PieceModel& model, const BandYarn& one) {
  const auto woven = technique::woven_part(model.piece().bands[one.band].work, one.part);
  if (woven.cloth == nullptr) return Length<>();
  return yarn::side_by_side_diameter(one.medians.strand_diameter,
                                     woven.cloth->areas[woven.area].strand.held);
}

/// The weft of the topmost woven band; of several side by side the thickest, so that all loops
/// pass.
Length<> last_weft(const PieceModel& model) {
  Length<> last;
  std::size_t band = 0;
  for (const BandYarn& one : model.band_yarns()) {
    const Length<> weft = weft_diameter(model, one);
    if (!(weft.si() > 0.0)) continue;
    last = one.band == band ? std::max(last, weft) : weft;
    band = one.band;
  }
  return last;
}

Length<> sum(const std::vector<Length<>>& lengths) {
  Length<> total;
  for (const Length<>& length : lengths) total += length;
  return total;
}

Size scaled(const Size& size, double factor) { return {size.width * factor, size.height * factor}; }

/// Adds a row of slopes by one spread of each coefficient, in independent factors.
/// @param root  of their correlation, row by row; empty when they are independent
void add_factors(const std::vector<double>& row, const std::vector<double>& root,
                 std::vector<double>& rows) {
  if (root.empty()) {
    rows.insert(rows.end(), row.begin(), row.end());
    return;
  }
  const std::size_t n = row.size();
  for (std::size_t k = 0; k < n; ++k) {
    double sum = 0.0;
    for (std::size_t c = k; c < n; ++c) sum += row[c] * root[c * n + k];
    rows.push_back(sum);
  }
}

}  // namespace

std::optional<Spread> finished_height(const PieceModel& model, const PieceEstimate& estimate) {
  const Coefficients& coefficients = model.coefficients();
  const std::size_t n = coefficients.size();
  std::vector<double> root;
  if (!coefficients.correlation.empty()) root = triangular_root(coefficients.correlation, n);
  std::vector<double> medians_m;
  std::vector<double> slopes;
  for (std::size_t b = 0; b < model.band_heights().size(); ++b) {
    const double height_m = in_metres(model.band_heights()[b]);
    if (!piece::stays_in_height(model.piece(), b) || !(height_m > 0.0)) continue;
    std::vector<double> row = model.log_height(b).slopes;
    for (std::size_t c = 0; c < n; ++c) row[c] *= coefficients.spreads[c];
    medians_m.push_back(height_m);
    add_factors(row, root, slopes);
  }
  if (medians_m.empty()) return std::nullopt;
  const double factor = estimate.finished.height / estimate.loom.height;
  const Spread on_loom = numeric::range_of_sum(medians_m, slopes, n);
  constexpr double kPlain = 1e-3;
  if (on_loom.high - on_loom.low < kPlain) return std::nullopt;
  return Spread{factor * on_loom.low, factor * on_loom.mid, factor * on_loom.high};
}

void reckon_sizes(const PieceModel& model, PieceEstimate& estimate) {
  estimate.loom.width = model.loom_width();
  for (std::size_t b = 0; b < model.band_heights().size(); ++b) {
    if (piece::stays_in_height(model.piece(), b)) estimate.loom.height += model.band_heights()[b];
  }
  estimate.off_loom = scaled(estimate.loom, 1.0 - model.relaxation());
  estimate.washed = scaled(estimate.off_loom, 1.0 - model.shrinkage());
  estimate.finished = scaled(estimate.washed, 1.0 + model.blocked());
  for (const piece::Band& band : model.piece().bands) {
    const auto* fringe = std::get_if<technique::KnottedFringe>(&band.work);
    if (fringe != nullptr && estimate.hang < fringe->hang) estimate.hang = fringe->hang;
  }
}

Length<> round_the_rod(const PieceModel& model) {
  const std::optional<Length<>>& rod = model.piece().finish.rod;
  if (!rod) return Length<>();
  return technique::rod_loop(*rod, model.end_diameter(), last_weft(model));
}

std::optional<Budget> span_budget(const PieceModel& model) {
  const piece::Loom& loom = model.piece().loom;
  const piece::Finish& finish = model.piece().finish;
  if (loom.kind == piece::LoomKind::Beam) return std::nullopt;
  const auto room = [&](const std::optional<piece::EdgeKnots>& knots) {
    return knots ? model.room_to_tie(*knots) : Length<>();
  };

  Budget budget;
  budget.span = loom.span;
  budget.header = loom.header;
  budget.tie_room = room(finish.bottom) + room(finish.top);
  budget.needle_room = loom.needle_room.value_or(model.needle_room());
  budget.rod_loops = round_the_rod(model);
  budget.sample = model.allowances().sampling;
  budget.bands = sum(model.band_heights());
  return budget;
}

Length<> rod_that_passes(const PieceModel& model, const Budget& budget) {
  return technique::thickest_rod(budget.left() + budget.rod_loops, model.end_diameter(),
                                 last_weft(model));
}

namespace {

/// What to do about a rod that is all that does not fit; empty where it is not.
std::string thinner_rod(const PieceModel& model, const Budget& budget) {
  if (!model.piece().finish.rod || !((budget.rod_loops + budget.left()).si() > 0.0)) return {};
  const double thickest_mm = in_millimetres(rod_that_passes(model, budget));
  if (thickest_mm < 1.0) return {};
  const auto told = [&](const Length<>& length) {
    return in_unit(thread_size(length), model.shown());
  };
  return fmt::format(", or a rod of up to {} in place of {}",
                     told(millimetres(std::floor(10.0 * thickest_mm) / 10.0)),
                     told(*model.piece().finish.rod));
}

}  // namespace

std::optional<Complaint> does_not_fit(const PieceModel& model, const Budget& budget) {
  if (!(budget.left().si() < 0.0)) return std::nullopt;
  const Length<> room = budget.left() + budget.bands;
  const auto size = [&](const Length<>& length) {
    return in_unit(cloth_size(length), model.shown());
  };
  if (!(room.si() > 0.0)) {
    return Complaint{
        model.piece().file, 0, 0,
        fmt::format("nothing can be woven on a span of {}: header, {}room to tie, room "
                    "for the needle and rod loops take {}; use a longer span or leave "
                    "less",
                    size(budget.span), budget.sample.si() > 0.0 ? "sample strip, " : "",
                    size(budget.span - room))};
  }
  std::size_t band = 0;
  Length<> woven;
  while (band + 1 < model.band_heights().size()) {
    woven += model.band_heights()[band];
    if (room < woven) break;
    ++band;
  }
  const piece::Band& first = model.piece().bands[band];
  // Sizes are told in tenths, and what does not fit is never told as 0.0.
  const Length<> least = model.shown() == LengthShown::Centimetres ? centimetres(0.1) : inches(0.1);
  return Complaint{
      model.piece().file, first.line, 0,
      fmt::format("band {} ({}) does not fit: the bands come to {} and the span of {} leaves {} to "
                  "weave in; {} too long. Take that much out of the bands, or use a longer span{}",
                  band + 1, technique::name_of(first.work), size(budget.bands), size(budget.span),
                  size(room), size(std::max(-budget.left(), least)), thinner_rod(model, budget))};
}

}  // namespace ellwand::estimate
