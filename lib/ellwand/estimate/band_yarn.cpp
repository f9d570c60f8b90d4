#include "ellwand/estimate/band_yarn.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/technique/put_up_knots.hpp"

#include <cmath>
#include <variant>

namespace ellwand::estimate {

std::array<double, kLocals> local_factors(const BandYarn& one,
                                          const std::vector<double>& deviations) {
  std::array<double, kLocals> logs{};
  for (const Hold& hold : one.holds) {
    logs[static_cast<std::size_t>(hold.local)] += hold.slope * deviations[hold.coefficient];
  }
  for (double& value : logs) value = value == 0.0 ? 1.0 : std::exp(value);
  return logs;
}

template <class Scalar>
technique::Lie<Scalar> lie_with(const technique::Lie<double>& medians,
                                const std::array<Scalar, kLocals>& factors) {
  const auto factor = [&](Local which) { return factors[static_cast<std::size_t>(which)]; };
  technique::Lie<Scalar> lie;
  lie.warp_diameter = medians.warp_diameter * factor(Local::WarpDiameter);
  lie.warp_spacing = medians.warp_spacing * factor(Local::WarpSpacing);
  lie.strand_diameter = medians.strand_diameter * factor(Local::StrandDiameter);
  lie.row_spacing = medians.row_spacing * factor(Local::RowSpacing);
  lie.take = medians.take * factor(Local::Take);
  lie.tail = medians.tail * factor(Local::Tail);
  lie.working_length = medians.working_length * factor(Local::WorkingLength);
  lie.trim = medians.trim * factor(Local::Trim);
  lie.warp_flatness = medians.warp_flatness;
  lie.weft_flatness = medians.weft_flatness;
  lie.weft_before = medians.weft_before;
  lie.weft_after = medians.weft_after;
  lie.counting = medians.counting;
  lie.planned = medians.planned;
  return lie;
}

namespace {

template <class Scalar>
struct WorkWith {
  const BandYarn& one;
  const technique::Lie<Scalar>& lie;

  Worked<Scalar> operator()(const technique::Woven& band) const { return woven(band, one.part); }

  Worked<Scalar> operator()(const technique::KnottedFringe& fringe) const {
    Worked<Scalar> worked;
    worked.entries = technique::fringe_yarn(fringe, lie);
    const auto cut = technique::fringe_cut(fringe, lie);
    worked.strands =
        static_cast<double>(cut.strands_each + cut.strands_last) / fringe.strand.split_into;
    worked.row_spacing = technique::fringe_row_height(fringe, lie, one.row_height);
    worked.rows = Scalar(fringe.rows);
    worked.height = worked.row_spacing * worked.rows;
    return worked;
  }

  Worked<Scalar> operator()(const technique::Soumak& soumak) const {
    const auto laid = technique::soumak_laid(soumak, lie, one.row_height);
    return rows_of(soumak.rows, technique::soumak_row_height(soumak, lie, one.row_height), laid);
  }

  Worked<Scalar> operator()(const technique::Twining& twining) const {
    const auto laid = technique::twined(twining, one.part, lie);
    return rows_of(twining.rows, technique::twining_row_height(twining, lie, one.row_height), laid);
  }

  Worked<Scalar> operator()(const technique::LoopedPile& pile) const {
    const auto area = technique::looped_pile(pile, lie, one.row_height);
    return {area.entries, area.row_spacing, area.rows,          area.height,
            area.lengths, area.flattened,   area.rows_need_room};
  }

  /// The turns of a wrap are its rows.
  Worked<Scalar> operator()(const technique::Wrapping& wrapping) const {
    technique::Lie<Scalar> wound = lie;
    wound.row_spacing = lie.row_spacing * one.row_height;
    const auto wraps = technique::wraps_of(wrapping, wound);
    Worked<Scalar> worked;
    worked.entries = technique::wrapping_yarn(wrapping, wound);
    worked.row_spacing = wraps.pitch;
    worked.rows = wraps.turns;
    worked.height = wraps.covered;
    return worked;
  }

  Worked<Scalar> operator()(const technique::KnottedPile& pile) const {
    if (one.part == technique::KnottedPile::kKnots) return (*this)(pile.knots);
    return woven(pile.ground, 0);
  }

  Worked<Scalar> operator()(const technique::Gap&) const { return {}; }

  /// The edge's own weft thickens as the thread does, which is the same yarn; another weft stays as
  /// planned, a difference of the second order. It adds no height.
  Worked<Scalar> operator()(const technique::Hemstitch& hem) const {
    const Scalar thicker =
        hem.sewn_with_weft ? lie.strand_diameter / one.medians.strand_diameter : Scalar(1.0);
    const Length<Scalar> weft = thicker * one.edge.weft;
    const Length<Scalar> rows = lie.row_spacing * one.edge.row_spacing;
    Worked<Scalar> worked;
    worked.entries = technique::hemstitch_yarn(hem, lie, weft, rows);
    worked.rows = Scalar(1.0);
    worked.lengths = Scalar(1.0);
    return worked;
  }

  Worked<Scalar> woven(const technique::Woven& band, std::size_t index) const {
    const auto area = technique::woven_area(band, index, lie);
    return {area.entries, area.row_spacing, area.rows,          area.height,
            area.lengths, area.flattened,   area.rows_need_room};
  }

  template <class Laid>
  Worked<Scalar> rows_of(int rows, const Length<Scalar>& row_height, const Laid& laid) const {
    Worked<Scalar> worked;
    worked.entries = laid.entries;
    worked.row_spacing = row_height;
    worked.rows = Scalar(rows);
    worked.height = row_height * worked.rows;
    worked.lengths = laid.lengths;
    worked.flattened = laid.flattened;
    return worked;
  }
};

/// What knots in the put-ups take beyond what is worked, of strands cut to a measure each its mean
/// length.
template <class Scalar>
void add_knots(const BandYarn& one, const technique::Lie<Scalar>& lie, Worked<Scalar>& worked) {
  const double knots = one.knots_per_metre;
  const Length<Scalar> yarn = worked.entries.total();
  if (!(knots > 0.0) || !(value_of(yarn.si()) > 0.0)) return;
  if (worked.strands > 0.0) {
    const Length<Scalar> extra =
        technique::knots_in_cuts(Scalar(worked.strands), yarn / Scalar(worked.strands), knots);
    worked.entries.add(technique::Cause::Knots, technique::Portion::Tails, extra);
  } else {
    worked.entries.add(technique::Cause::Knots, technique::Portion::Tails,
                       technique::knots_in_lengths(yarn, lie.tail, knots));
  }
}

}  // namespace

template <class Scalar>
Worked<Scalar> work_band(const technique::Work& work, const BandYarn& one,
                         const technique::Lie<Scalar>& lie) {
  Worked<Scalar> worked = std::visit(WorkWith<Scalar>{one, lie}, work);
  add_knots(one, lie, worked);
  return worked;
}

template technique::Lie<double> lie_with(const technique::Lie<double>&,
                                         const std::array<double, kLocals>&);
template technique::Lie<Dual> lie_with(const technique::Lie<double>&,
                                       const std::array<Dual, kLocals>&);
template Worked<double> work_band(const technique::Work&, const BandYarn&,
                                  const technique::Lie<double>&);
template Worked<Dual> work_band(const technique::Work&, const BandYarn&,
                                const technique::Lie<Dual>&);

}  // namespace ellwand::estimate
