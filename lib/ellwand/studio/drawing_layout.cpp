#include "ellwand/studio/drawing_layout.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace ellwand::studio {

namespace {

using estimate::BandYarn;
using estimate::PieceEstimate;
using estimate::PieceModel;
using estimate::Worked;

double mm(const Length<>& length) { return in_millimetres(length); }

/// One yarn of the band at hand, with its plan.
struct Part {
  const BandYarn* yarn;
  const Worked<double>* plan;
};

std::vector<Part> parts_of(const PieceModel& model, std::size_t band) {
  const bool comes_out = model.piece().bands[band].comes_out;
  const auto& yarns = comes_out ? model.lent_yarns() : model.band_yarns();
  const auto& planned = comes_out ? model.lent_planned() : model.planned();
  std::vector<Part> parts;
  for (std::size_t i = 0; i < yarns.size(); ++i) {
    if (yarns[i].band == band) parts.push_back({&yarns[i], &planned[i]});
  }
  return parts;
}

/// Middles of `count` things with as much room each, side by side over a width.
std::vector<double> spread_over(double width_mm, int count) {
  std::vector<double> middles;
  for (int i = 0; i < count; ++i) middles.push_back(width_mm * (i + 0.5) / count);
  return middles;
}

/// Middles of so many groups of `each` ends from the end `first` on; the last takes in what is left
/// over of `count`, or what there is.
std::vector<double> middles_of_groups(const std::vector<double>& ends_mm, std::size_t first,
                                      int count, int each, int groups) {
  std::vector<double> middles;
  for (int g = 0; g < groups; ++g) {
    const std::size_t from = first + static_cast<std::size_t>(g * each);
    const int last = g + 1 == groups ? count - 1 : (g + 1) * each - 1;
    middles.push_back(0.5 * (ends_mm[from] + ends_mm[first + static_cast<std::size_t>(last)]));
  }
  return middles;
}

/// The rows of a band whose height they share evenly: their middles.
std::vector<double> row_middles(const DrawnBand& band, int rows) {
  std::vector<double> middles;
  for (int r = 0; r < rows; ++r) {
    middles.push_back(band.bottom_mm + band.height_mm * (r + 0.5) / rows);
  }
  return middles;
}

/// Fills a band by its work; a forgotten work does not compile.
class BandFiller {
 public:
  BandFiller(const PieceModel& model, const DrawingLayout& layout, std::size_t index,
             DrawnBand& band)
      : model_(model),
        layout_(layout),
        index_(index),
        parts_(parts_of(model, index)),
        band_(band) {}

  void operator()(const technique::Woven& woven) const {
    if (woven.is_drawn()) {
      drawn(woven);
      return;
    }
    std::size_t end = 0;
    for (std::size_t a = 0; a < woven.areas.size(); ++a) {
      const technique::ColourArea& area = woven.areas[a];
      const std::size_t covered =
          area.ends > 0 ? static_cast<std::size_t>(area.ends) : layout_.ends_mm.size();
      DrawnArea drawn{parts_[a].yarn->yarn, border(end), border(end + covered), area.join};
      band_.areas.push_back(drawn);
      end += covered;
    }
  }

  void operator()(const technique::KnottedFringe& fringe) const {
    hang(fringe, 0, parts_.front());
    cover(parts_.front().yarn->yarn);
  }

  void operator()(const technique::Soumak& soumak) const {
    cover(parts_.front().yarn->yarn);
    const int step = soumak.over > soumak.back ? soumak.over - soumak.back : soumak.over;
    surface(Surface::Soumak, step * spacing(), soumak.rows);
  }

  void operator()(const technique::Twining& twining) const {
    cover(parts_.front().yarn->yarn);
    surface(Surface::Twining, twining.over * spacing(), twining.rows);
  }

  void operator()(const technique::LoopedPile& pile) const {
    cover(parts_.front().yarn->yarn);
    int loops = 0;
    for (int end = 0; end < pile.row.ends(); ++end) {
      const bool begins = pile.row.over(0, end) && (end == 0 || !pile.row.over(0, end - 1));
      if (begins) ++loops;
    }
    surface(Surface::Loops, layout_.width_mm / std::max(loops, 1), pile.rows);
  }

  void operator()(const technique::Wrapping& wrapping) const {
    if (wrapping.ends == 0) return;  // a core of its own stands nowhere on the warp
    const Part& part = parts_.front();
    technique::Lie<double> wound = part.yarn->medians;
    wound.row_spacing *= part.yarn->row_height;
    const auto wraps = technique::wraps_of(wrapping, wound);
    DrawnBundles bundles;
    bundles.yarn = part.yarn->yarn;
    bundles.thickness_mm = mm(wraps.core) + 2.0 * mm(wraps.wrap);
    bundles.covered_mm = mm(wraps.covered);
    bundles.turn_mm = mm(wraps.pitch);
    bundles.places_are_stated =
        technique::takes_up_warp(wrapping, static_cast<int>(layout_.ends_mm.size()));
    if (bundles.places_are_stated) {
      bundles.middles_mm =
          middles_of_groups(layout_.ends_mm, 0, static_cast<int>(layout_.ends_mm.size()),
                            wrapping.ends, wrapping.places);
    } else {
      bundles.middles_mm = spread_over(layout_.width_mm, wrapping.places);
    }
    band_.bundles = bundles;
  }

  void operator()(const technique::KnottedPile& pile) const {
    for (const Part& part : parts_) {
      if (part.yarn->part != technique::KnottedPile::kKnots) continue;
      const std::size_t edge =
          (layout_.ends_mm.size() - static_cast<std::size_t>(pile.knots.ends)) / 2;
      cover(part.yarn->yarn);
      hang(pile.knots, edge, part);
    }
    surface(Surface::Pile, pile.knots.ends_per_knot * spacing(), pile.knots.rows);
  }

  void operator()(const technique::Gap&) const { band_.is_bare = true; }

  void operator()(const technique::Hemstitch& hem) const {
    const BandYarn& yarn = *parts_.front().yarn;
    const piece::SewnEdge sewn = piece::sewn_edge(model_.piece(), index_);
    const double depth = hem.rows_deep * mm(yarn.edge.row_spacing);
    band_.hem = DrawnHem{yarn.yarn, band_.bottom_mm, sewn.is_bottom ? depth : -depth,
                         hem.ends_per_stitch * spacing()};
  }

 private:
  double spacing() const { return mm(model_.warp_spacing()); }

  /// Left of the end of this number, halfway from the one before it; at the edges those of the
  /// cloth.
  double border(std::size_t end) const {
    if (end == 0) return 0.0;
    if (end >= layout_.ends_mm.size()) return layout_.width_mm;
    return 0.5 * (layout_.ends_mm[end - 1] + layout_.ends_mm[end]);
  }

  void cover(std::size_t yarn) const {
    band_.areas.push_back({yarn, 0.0, layout_.width_mm, technique::Join::None});
  }

  void surface(Surface surface, double wrap_mm, int rows) const {
    band_.surface = surface;
    band_.wrap_mm = wrap_mm;
    band_.row_mm = band_.height_mm / std::max(rows, 1);
  }

  void hang(const technique::KnottedFringe& fringe, std::size_t first, const Part& part) const {
    DrawnStrands strands;
    strands.yarn = part.yarn->yarn;
    strands.knots_mm = middles_of_groups(layout_.ends_mm, first, fringe.ends, fringe.ends_per_knot,
                                         fringe.knots_per_row());
    strands.rows_mm = row_middles(band_, fringe.rows);
    strands.hang_mm = mm(fringe.hang);
    strands.bundle_mm = mm(technique::fringe_cut(fringe, part.yarn->medians).bundle);
    strands.knot_mm = (fringe.ends_per_knot - 1) * spacing();
    band_.strands = strands;
  }

  /// Shapes on a ground. Those too wide to stand side by side are made narrower and higher, of the
  /// same area; those too high then reach from edge to edge as one stripe of the same area.
  void drawn(const technique::Woven& woven) const {
    int all = 0;
    for (std::size_t a = 0; a < woven.areas.size(); ++a) {
      if (woven.areas[a].drawn) all += woven.areas[a].drawn->shapes;
      if (!woven.areas[a].drawn) cover(parts_[a].yarn->yarn);
    }
    const std::vector<double> places = spread_over(layout_.width_mm, all);
    std::size_t next = 0;
    for (std::size_t a = 0; a < woven.areas.size(); ++a) {
      if (!woven.areas[a].drawn) continue;
      const technique::Drawn& drawn = *woven.areas[a].drawn;
      constexpr double kMostOfItsRoom = 0.9;
      DrawnShapes shapes;
      shapes.yarn = parts_[a].yarn->yarn;
      const double area_mm2 = drawn.area.si() * 1e6;
      shapes.width_mm = std::min(mm(drawn.width), kMostOfItsRoom * layout_.width_mm / all);
      shapes.height_mm = area_mm2 / (drawn.shapes * shapes.width_mm);
      for (int s = 0; s < drawn.shapes; ++s) shapes.middles_mm.push_back(places[next++]);
      if (shapes.height_mm > band_.height_mm) {
        shapes.width_mm = layout_.width_mm;
        shapes.height_mm = std::min(area_mm2 / layout_.width_mm, band_.height_mm);
        shapes.middles_mm = {0.5 * layout_.width_mm};
      }
      band_.shapes.push_back(shapes);
    }
  }

  const PieceModel& model_;
  const DrawingLayout& layout_;
  std::size_t index_;
  std::vector<Part> parts_;
  DrawnBand& band_;
};

/// "36 rows", "98 to 120 rows", "12 turns".
std::string rows_of(const PieceEstimate& estimate, int band, bool is_stacked) {
  int least = 0;
  int most = 0;
  int turns = 0;
  for (const estimate::BandEstimate& one : estimate.bands) {
    if (one.band != band || one.yarn.empty()) continue;
    if (is_stacked && most > 0) break;  // its first part is what she counts
    least = least == 0 ? one.rows : std::min(least, one.rows);
    most = std::max(most, one.rows);
    turns = std::max(turns, one.turns);
  }
  if (turns > 0) return fmt::format("{} {}", turns, turns == 1 ? "turn" : "turns");
  if (most == 0) return {};
  if (least != most) return fmt::format("{} to {} rows", least, most);
  return fmt::format("{} {}", most, most == 1 ? "row" : "rows");
}

DrawnBand band_of(const PieceModel& model, const PieceEstimate& estimate,
                  const DrawingLayout& layout, std::size_t index) {
  const piece::Band& stated = model.piece().bands[index];
  DrawnBand band;
  band.band = static_cast<int>(index) + 1;
  band.work = technique::name_of(stated.work);
  band.bottom_mm = layout.height_mm;
  band.height_mm = mm(model.band_heights()[index]);
  band.comes_out = stated.comes_out;
  const bool is_hem = std::holds_alternative<technique::Hemstitch>(stated.work);
  if (!is_hem) band.rows = rows_of(estimate, band.band, technique::is_stacked(stated.work));
  for (const Part& part : parts_of(model, index)) {
    const std::size_t yarn = part.yarn->yarn;
    const bool is_new = std::find(band.yarns.begin(), band.yarns.end(), yarn) == band.yarns.end();
    if (is_new) band.yarns.push_back(yarn);
  }
  std::visit(BandFiller(model, layout, index, band), stated.work);
  return band;
}

/// Ends from left to right, the outermost as far in as the weft has to go round them.
void set_ends(const PieceModel& model, DrawingLayout& layout) {
  const int ends = model.piece().warp.ends;
  const double spacing_mm = mm(model.warp_spacing());
  layout.width_mm = mm(model.loom_width());
  layout.end_mm = mm(model.end_diameter());
  const double first_mm = 0.5 * (layout.width_mm - (ends - 1) * spacing_mm);
  for (int e = 0; e < ends; ++e) layout.ends_mm.push_back(first_mm + e * spacing_mm);
}

std::vector<double> edge_groups(const PieceModel& model, const DrawingLayout& layout,
                                const std::optional<piece::EdgeKnots>& knots) {
  if (!knots) return {};
  const technique::KnottedEdge edge = model.knotted_edge(*knots);
  return middles_of_groups(layout.ends_mm, 0, edge.ends, edge.ends_per_knot,
                           technique::edge_knots(edge));
}

void set_edges(const PieceModel& model, DrawingLayout& layout) {
  const piece::Finish& finish = model.piece().finish;
  const double fringe_mm = 0.5 * mm(model.piece().warp.fringe);
  layout.free_below_mm = finish.bottom ? mm(model.room_to_tie(*finish.bottom)) : fringe_mm;
  layout.free_above_mm = finish.top ? mm(model.room_to_tie(*finish.top)) : fringe_mm;
  layout.knots_below_mm = edge_groups(model, layout, finish.bottom);
  layout.knots_above_mm = edge_groups(model, layout, finish.top);
}

void set_bands(const PieceModel& model, const PieceEstimate& estimate, DrawingLayout& layout) {
  bool is_first = true;
  for (std::size_t b = 0; b < model.piece().bands.size(); ++b) {
    layout.bands.push_back(band_of(model, estimate, layout, b));
    const double from_mm = layout.height_mm;
    layout.height_mm += mm(model.band_heights()[b]);
    if (!piece::stays_in_height(model.piece(), b)) continue;
    if (is_first) layout.stays_from_mm = from_mm;
    is_first = false;
    layout.stays_to_mm = layout.height_mm;
  }
}

/// A rod in the top loops of a fixed span; off a beam loom the ends are tied over it.
void set_rod(const PieceModel& model, const PieceEstimate& estimate, DrawingLayout& layout) {
  const piece::Finish& finish = model.piece().finish;
  if (!finish.rod) return;
  DrawnRod rod;
  rod.thickness_mm = mm(*finish.rod);
  const double loops_mm = estimate.budget ? mm(estimate.budget->rod_loops) : 0.0;
  rod.middle_mm = layout.height_mm + std::max({loops_mm, layout.free_above_mm, rod.thickness_mm}) -
                  0.5 * rod.thickness_mm;
  rod.length_is_stated = finish.rod_length.has_value();
  rod.length_mm = finish.rod_length ? mm(*finish.rod_length) : layout.width_mm;
  layout.rod = rod;
}

void set_cord(const PieceModel& model, const PieceEstimate& estimate, DrawingLayout& layout) {
  if (!estimate.cord) return;
  const technique::HangingCord& hung = estimate.cord->cord;
  DrawnCord cord;
  cord.yarn = model.cord_yarn().yarn;
  cord.tie_distance_mm = mm(hung.tie_distance);
  cord.rise_mm = mm(hung.rise);
  cord.from_mm = layout.rod ? layout.rod->middle_mm : layout.height_mm;
  cord.thickness_mm = mm(estimate.cord->thickness);
  layout.cord = cord;
}

}  // namespace

double DrawingLayout::lowest_mm() const {
  double lowest = -free_below_mm;
  for (const DrawnBand& band : bands) {
    if (!band.strands || band.strands->rows_mm.empty()) continue;
    lowest = std::min(lowest, band.strands->rows_mm.front() - band.strands->hang_mm);
  }
  return lowest;
}

double DrawingLayout::highest_mm() const {
  double highest = height_mm + free_above_mm;
  if (rod) highest = std::max(highest, rod->middle_mm + 0.5 * rod->thickness_mm);
  if (cord) highest = std::max(highest, cord->from_mm + cord->rise_mm);
  return highest;
}

DrawingLayout layout_of(const PieceModel& model, const PieceEstimate& estimate) {
  DrawingLayout layout;
  set_ends(model, layout);
  set_edges(model, layout);
  set_bands(model, estimate, layout);
  set_rod(model, estimate, layout);
  set_cord(model, estimate, layout);
  return layout;
}

}  // namespace ellwand::studio
