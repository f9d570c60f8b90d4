#include "ellwand/estimate/sizes.hpp"

#include "ellwand/technique/warp.hpp"

#include <fmt/format.h>

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

/// The weft of the topmost woven band.
Length<> last_weft(const PieceModel& model) {
  Length<> last;
  for (const BandYarn& one : model.band_yarns()) {
    const Length<> weft = weft_diameter(model, one);
    if (weft.si() > 0.0) last = weft;
  }
  return last;
}

Length<> sum(const std::vector<Length<>>& lengths) {
  Length<> total;
  for (const Length<>& length : lengths) total += length;
  return total;
}

Size scaled(const Size& size, double factor) { return {size.width * factor, size.height * factor}; }

}  // namespace

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
  if (finish.rod) {
    budget.rod_loops = technique::rod_loop(*finish.rod, model.end_diameter(), last_weft(model));
  }
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
  return Complaint{
      model.piece().file, first.line, 0,
      fmt::format("band {} ({}) does not fit: the bands come to {} and the span of {} leaves {} to "
                  "weave in; {} too long. Take that much out of the bands, or use a longer span{}",
                  band + 1, technique::name_of(first.work), size(budget.bands), size(budget.span),
                  size(room), size(-budget.left()), thinner_rod(model, budget))};
}

}  // namespace ellwand::estimate
