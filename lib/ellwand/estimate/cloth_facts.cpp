#include "ellwand/estimate/cloth_facts.hpp"

#include "ellwand/cloth/areal.hpp"
#include "ellwand/cloth/setting.hpp"

#include <algorithm>

namespace ellwand::estimate {

namespace {

/// Extra yarn over the straight way in the laid part of a weft's plan, turns left out; none where
/// the take is so small that the weft is shorter than its way.
cloth::Crimp<> weft_crimp(const Worked<double>& worked) {
  double straight = 0.0;
  double bent = 0.0;
  double turns = 0.0;
  double take = 0.0;
  for (const auto& entry : worked.entries) {
    const double length_m = in_metres(entry.yarn);
    switch (entry.cause) {
      case technique::Cause::Straight:
      case technique::Cause::Floats:
        straight += length_m;
        break;
      case technique::Cause::Crimp:
        bent += length_m;
        break;
      case technique::Cause::Turns:
      case technique::Cause::Joins:
        turns += length_m;
        break;
      case technique::Cause::Take:
        take += length_m;
        break;
      default:
        break;
    }
  }
  const double laid = straight + bent;
  if (!(straight > 0.0)) return {0.0};
  return {std::max(0.0, (laid + take * laid / (laid + turns)) / straight - 1.0)};
}

}  // namespace

std::optional<ClothFacts> cloth_facts(const PieceModel& model, std::size_t band_yarn) {
  const BandYarn& one = model.band_yarns()[band_yarn];
  const auto* woven = std::get_if<technique::Woven>(&model.piece().bands[one.band].work);
  if (woven == nullptr) return std::nullopt;
  const Worked<double>& worked = model.planned()[band_yarn];
  const technique::Strand& strand = woven->areas[one.part].strand;
  const piece::Warp& warp = model.piece().warp;
  const LinearDensity<> end = model.yarns()[model.warp_yarn()]->linear_density * warp.held;
  const LinearDensity<> weft = model.yarns()[one.yarn]->linear_density * strand.yarn_per_laid();
  const Length<> weft_diameter =
      yarn::side_by_side_diameter(one.medians.strand_diameter, strand.held);

  ClothFacts facts;
  facts.ends = 1.0 / model.warp_spacing();
  facts.picks = 1.0 / worked.row_spacing;
  // Side by side, at right angles to themselves, where they are counted up the warp.
  const Length<> rows_apart = worked.row_spacing / woven->course_over_run();
  facts.greatest_sett =
      cloth::maximum_sett(cloth::ashenhurst_diameters(end), cloth::interlacing_of(woven->grid));
  facts.warp_cover = cloth::fractional_cover(model.end_diameter(), model.warp_spacing());
  facts.weft_cover = cloth::fractional_cover(weft_diameter, rows_apart);
  const cloth::ThreadSet<> ends{
      facts.ends, end, technique::warp_crimp(*woven, one.part, one.medians, worked.row_spacing)};
  const cloth::ThreadSet<> picks{1.0 / rows_apart, weft, weft_crimp(worked)};
  facts.mass = cloth::mass_per_area(ends, picks);
  return facts;
}

}  // namespace ellwand::estimate
