#include "ellwand/studio/drawing.hpp"

#include "ellwand/studio/drawing_layout.hpp"
#include "ellwand/studio/drawing_marks.hpp"
#include "ellwand/studio/markup.hpp"
#include "ellwand/studio/yarn_fills.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::studio {

namespace {

constexpr const char* kWarpLine = "#8d8a84";

/// Draws what is to scale. `unit` is one millimetre of paper.
class Drawer {
 public:
  Drawer(const DrawingLayout& layout, const std::vector<YarnFill>& fills, double unit)
      : layout_(layout), fills_(fills), unit_(unit) {}

  std::string drawn() {
    warp();
    edge_knots(layout_.knots_below_mm, 0.0, 1.0);
    edge_knots(layout_.knots_above_mm, layout_.height_mm, -1.0);
    if (layout_.cord) cord(*layout_.cord);
    if (layout_.rod) rod(*layout_.rod);
    for (const DrawnBand& band : layout_.bands) draw(band);
    for (const DrawnBand& band : layout_.bands) {
      if (band.hem) draw(*band.hem);  // into the band above it or below it
    }
    return out_;
  }

 private:
  std::string line_width(double paper_mm) const { return at(paper_mm * unit_); }
  /// Ink on light yarns, paper on dark ones.
  std::string stroke_on(std::size_t yarn) const {
    return yarn::luminance(fills_[yarn].base) > 0.22 ? "#26262a" : "#ffffff";
  }
  void path(const std::string& d, const std::string& stroke, const std::string& width,
            const char* more = "") {
    out_ += fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"{}/>\n", d,
                        stroke, width, more);
  }

  /// One in so many of what stands `spacing_mm` apart, for more would run together on paper.
  std::size_t one_in(double spacing_mm) const {
    constexpr double kApart = 0.5;  // mm of paper
    return static_cast<std::size_t>(
        std::max(1.0, std::ceil(kApart * unit_ / std::max(spacing_mm, 1e-6))));
  }

  void warp() {
    const double top = layout_.rod ? layout_.rod->middle_mm
                                   : layout_.height_mm + std::max(layout_.free_above_mm, stub());
    const double bottom = std::max(layout_.free_below_mm, stub());
    const auto& ends = layout_.ends_mm;
    const double spacing = ends.size() > 1 ? ends[1] - ends[0] : layout_.width_mm;
    std::string d;
    for (std::size_t e = 0; e < ends.size(); e += one_in(spacing)) {
      d += fmt::format("M{} {}V{}", at(ends[e]), at(-top), at(bottom));
    }
    path(d, kWarpLine, at(std::min(std::max(layout_.end_mm, 0.12 * unit_), 0.4 * unit_)));
  }

  double stub() const { return 3.0 * unit_; }

  /// @param side  1 below an edge, -1 above it
  void edge_knots(const std::vector<double>& middles, double edge_mm, double side) {
    const double radius = std::max(0.55 * unit_, layout_.end_mm);
    for (const double x : middles) {
      out_ += fmt::format(
          "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"#ffffff\" stroke=\"{}\" "
          "stroke-width=\"{}\"/>\n",
          at(x), at(-edge_mm + side * 1.6 * radius), at(radius), kInk, line_width(0.2));
    }
  }

  void cord(const DrawnCord& cord) {
    const double middle = 0.5 * layout_.width_mm;
    const double half = 0.5 * cord.tie_distance_mm;
    const std::string d =
        fmt::format("M{} {}L{} {}L{} {}", at(middle - half), at(-cord.from_mm), at(middle),
                    at(-cord.from_mm - cord.rise_mm), at(middle + half), at(-cord.from_mm));
    const double width = std::max(cord.thickness_mm, 0.5 * unit_);
    path(d, kInk, at(width + 0.3 * unit_), " stroke-linejoin=\"round\"");
    path(d, yarn::hex(fills_[cord.yarn].base), at(width), " stroke-linejoin=\"round\"");
  }

  void rod(const DrawnRod& rod) {
    out_ += fmt::format(
        "<rect class=\"rod\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{}\" "
        "fill=\"#efede8\" stroke=\"{}\" stroke-width=\"{}\"{}/>\n",
        at(0.5 * (layout_.width_mm - rod.length_mm)), at(-rod.middle_mm - 0.5 * rod.thickness_mm),
        at(rod.length_mm), at(rod.thickness_mm), at(0.3 * rod.thickness_mm), kInk, line_width(0.25),
        rod.length_is_stated ? "" : fmt::format(" stroke-dasharray=\"{}\"", line_width(1.0)));
  }

  void rect(const char* kind, int band, double x, double y, double width, double height,
            const std::string& fill, const std::string& more = "") {
    out_ += fmt::format(
        "<rect class=\"{}\" data-band=\"{}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" "
        "fill=\"{}\"{}/>\n",
        kind, band, at(x), at(y), at(width), at(height), fill, more);
  }
  /// In the colour and pattern of a yarn.
  void fill(const char* kind, int band, const Box& box, std::size_t yarn,
            const std::string& more = "") {
    rect(kind, band, box.x, box.y, box.width, box.height, yarn::hex(fills_[yarn].base), more);
    out_ += pattern_lines(fills_[yarn], box, unit_);
  }
  std::string outline(const std::string& more = "") const {
    return fmt::format(" stroke=\"{}\" stroke-width=\"{}\"{}", kInk, line_width(0.15), more);
  }
  std::string dashes() const {
    return fmt::format(" stroke-dasharray=\"{} {}\"", line_width(0.9), line_width(0.6));
  }

  void draw(const DrawnBand& band) {
    const double top = -band.bottom_mm - band.height_mm;
    if (band.comes_out) {
      rect("out", band.band, 0.0, top, layout_.width_mm, band.height_mm, "#ffffff",
           outline(dashes()));
      return;
    }
    for (const DrawnArea& area : band.areas) {
      fill("area", band.band, {area.from_mm, top, area.to_mm - area.from_mm, band.height_mm},
           area.yarn, outline());
    }
    for (const DrawnArea& area : band.areas) join(area, top, band.height_mm);
    surface(band, top);
    for (const DrawnShapes& shapes : band.shapes) draw(shapes, band);
    if (band.bundles) draw(*band.bundles, band);
    if (band.strands) draw(*band.strands, band.band, band.surface == Surface::Pile);
  }

  /// How an area holds the one to its left: an open line, a line of teeth, a line of stitches.
  void join(const DrawnArea& area, double top, double height) {
    const std::string line = fmt::format("M{} {}v{}", at(area.from_mm), at(top), at(height));
    switch (area.join) {
      case technique::Join::None:
        return;
      case technique::Join::Slit:
        path(line, kInk, line_width(0.9));
        path(line, "#ffffff", line_width(0.5));
        return;
      case technique::Join::Interlocked:
        path(line, "#ffffff", line_width(0.7));
        path(line, kInk, line_width(0.7),
             fmt::format(" stroke-dasharray=\"{}\"", line_width(0.7)).c_str());
        return;
      case technique::Join::Dovetailed:
        path(teeth(area.from_mm, top, height), kInk, line_width(0.3));
        return;
    }
  }
  std::string teeth(double x, double top, double height) const {
    const double tooth = 0.8 * unit_;
    std::string d = fmt::format("M{} {}", at(x), at(top));
    const int count = std::max(1, static_cast<int>(height / tooth));
    for (int t = 1; t <= count; ++t) {
      d += fmt::format("L{} {}", at(x + (t % 2 == 1 ? tooth : 0.0)), at(top + height * t / count));
    }
    return d;
  }

  /// Lines of one wrap of a row in a tile `w` wide and `h` high, from its upper left corner on; of
  /// soumak, whose rows lean to and fro, of two rows.
  static std::string lines_of(Surface surface, double w, double h) {
    switch (surface) {
      case Surface::Plain:
        return "";
      case Surface::Soumak:
        return fmt::format("l{0} {1}l{2} {1}", at(w), at(h), at(-w));
      case Surface::Twining:
        return fmt::format("m{} {}l{} {}", at(0.2 * w), at(0.75 * h), at(0.6 * w), at(-0.5 * h));
      case Surface::Loops:
        return fmt::format("m{} {}c0 {} {} {} {} 0", at(0.12 * w), at(0.2 * h), at(0.9 * h),
                           at(0.76 * w), at(0.9 * h), at(0.76 * w));
      case Surface::Pile:
        return fmt::format("m{} {}v{}m{} {}v{}", at(0.34 * w), at(0.08 * h), at(0.72 * h),
                           at(0.32 * w), at(-0.72 * h), at(0.72 * h));
    }
    return "";
  }

  void surface(const DrawnBand& band, double top) {
    if (band.surface == Surface::Plain || band.areas.empty()) return;
    constexpr double kLeast = 1.4;  // mm of paper: smaller ones run together
    const double wide = band.wrap_mm * std::ceil(kLeast * unit_ / band.wrap_mm);
    const double high = band.row_mm * std::ceil(0.8 * kLeast * unit_ / band.row_mm);
    const int rows = band.surface == Surface::Soumak ? 2 : 1;
    const std::string lines = lines_of(band.surface, wide, high);
    std::string d;
    for (double y = 0.0; y < band.height_mm; y += rows * high) {
      for (double x = 0.0; x < layout_.width_mm; x += wide) {
        d += fmt::format("M{} {}{}", at(x), at(y), lines);
      }
    }
    out_ += fmt::format(
        "<svg x=\"0\" y=\"{0}\" width=\"{1}\" height=\"{2}\" viewBox=\"0 0 {1} {2}\"><path "
        "class=\"surface\" d=\"{3}\" fill=\"none\" stroke=\"{4}\" stroke-width=\"{5}\" "
        "stroke-linecap=\"round\"/></svg>\n",
        at(top), at(layout_.width_mm), at(band.height_mm), d, stroke_on(band.areas.front().yarn),
        line_width(band.surface == Surface::Twining ? 0.6 : 0.35));
  }

  void draw(const DrawnShapes& shapes, const DrawnBand& band) {
    const double y = -band.bottom_mm - 0.5 * (band.height_mm + shapes.height_mm);
    for (const double middle : shapes.middles_mm) {
      const double round = 0.3 * std::min(shapes.width_mm, shapes.height_mm);
      const double left = middle - 0.5 * shapes.width_mm;
      rect("shape", band.band, left, y, shapes.width_mm, shapes.height_mm,
           yarn::hex(fills_[shapes.yarn].base),
           fmt::format(" rx=\"{}\"", at(round)) + outline(dashes()));
      const double in = 0.3 * round;  // within the round corners
      out_ += pattern_lines(
          fills_[shapes.yarn],
          {left + in, y + in, shapes.width_mm - 2.0 * in, shapes.height_mm - 2.0 * in}, unit_);
    }
  }

  void draw(const DrawnBundles& bundles, const DrawnBand& band) {
    const double top = -band.bottom_mm - bundles.covered_mm;
    std::string turns;
    const double turn = bundles.turn_mm * std::ceil(0.6 * unit_ / bundles.turn_mm);
    for (const double middle : bundles.middles_mm) {
      const double left = middle - 0.5 * bundles.thickness_mm;
      rect("bundle", band.band, left, top, bundles.thickness_mm, bundles.covered_mm,
           yarn::hex(fills_[bundles.yarn].base), outline());
      for (double y = turn; y < bundles.covered_mm; y += turn) {
        turns += fmt::format("M{} {}h{}", at(left), at(top + y), at(bundles.thickness_mm));
      }
    }
    path(turns, stroke_on(bundles.yarn), line_width(0.15));
  }

  void draw(const DrawnHem& hem) {
    const double edge = -hem.edge_mm;
    const double least = 0.9 * unit_;
    const double depth =
        std::max(std::abs(hem.depth_mm), least) * (hem.depth_mm < 0.0 ? 1.0 : -1.0);
    std::string d = fmt::format("M0 {}", at(edge));
    for (double x = hem.stitch_mm; x < layout_.width_mm; x += hem.stitch_mm) {
      d += fmt::format("H{}v{}V{}", at(x), at(depth), at(edge));
    }
    d += fmt::format("H{}", at(layout_.width_mm));
    path(d, "#ffffff", line_width(0.9));
    path(d, kInk, line_width(0.4));
  }

  /// A tassel from every knot, as wide as its strands held together where they have room. Of a pile
  /// only the lowest row hangs in front of another band.
  void draw(const DrawnStrands& strands, int band, bool lowest_row_only) {
    const auto& knots = strands.knots_mm;
    const double pitch = knots.size() > 1 ? knots[1] - knots[0] : layout_.width_mm;
    const double wide = std::max(std::min(strands.bundle_mm, 0.6 * pitch), 0.6 * unit_);
    const std::size_t rows = lowest_row_only ? 1 : strands.rows_mm.size();
    for (std::size_t r = 0; r < rows; ++r) {
      std::string tassels;
      std::string bars;
      for (std::size_t k = 0; k < knots.size(); k += one_in(pitch)) {
        const double left = knots[k] - 0.5 * wide;
        tassels += fmt::format("M{} {}h{}v{}h{}z", at(left), at(-strands.rows_mm[r]), at(wide),
                               at(strands.hang_mm), at(-wide));
        const double bar = std::min(1.5 * wide, 0.9 * pitch);
        bars += fmt::format("M{} {}h{}v{}h{}z", at(knots[k] - 0.5 * bar),
                            at(-strands.rows_mm[r] - 0.5 * wide), at(bar), at(wide), at(-bar));
      }
      if (lowest_row_only) bars.clear();
      out_ += fmt::format(
          "<path class=\"strands\" data-band=\"{}\" d=\"{}\" fill=\"{}\" stroke=\"{}\" "
          "stroke-width=\"{}\"/>\n",
          band, tassels + bars, yarn::hex(fills_[strands.yarn].base), kInk, line_width(0.12));
    }
  }

  const DrawingLayout& layout_;
  const std::vector<YarnFill>& fills_;
  double unit_;
  std::string out_;
};

}  // namespace

Drawing piece_drawing(const estimate::PieceModel& model, const estimate::PieceEstimate& estimate,
                      const DrawingOptions& options) {
  const DrawingLayout layout = layout_of(model, estimate);
  const std::vector<YarnFill> fills = fills_of(model.all_yarns());
  const DrawingMarks marks(model, layout, options);
  const double unit = marks.times_smaller();
  const DrawingMarks::Frame frame = marks.frame();
  const std::string told = marks.told();
  Drawing drawing;
  drawing.times_smaller = unit;
  drawing.width = millimetres(frame.width_mm / unit);
  drawing.svg = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-labelledby=\"{0}-title "
      "{0}-told\" width=\"{1}mm\" height=\"{2}mm\" viewBox=\"{3} {4} {5} {6}\" "
      "font-family=\"system-ui, 'DejaVu Sans', Arial, sans-serif\" fill=\"{7}\">\n"
      "<title id=\"{0}-title\">{8}, drawn to scale</title>\n<desc id=\"{0}-told\">{9}</desc>\n",
      options.ids, at(frame.width_mm / unit), at(frame.height_mm / unit), at(frame.left_mm),
      at(frame.top_mm), at(frame.width_mm), at(frame.height_mm), kInk, escaped(estimate.name),
      escaped(told));
  drawing.svg += Drawer(layout, fills, unit).drawn();
  drawing.svg += marks.drawn();
  drawing.svg += "</svg>\n";
  return drawing;
}

std::string yarn_colour(const estimate::PieceModel& model, std::size_t yarn) {
  return yarn::hex(fills_of(model.all_yarns())[yarn].base);
}

std::string yarn_patch(const estimate::PieceModel& model, std::size_t yarn) {
  const YarnFill fill = fills_of(model.all_yarns())[yarn];
  return "<svg xmlns=\"http://www.w3.org/2000/svg\" aria-hidden=\"true\" width=\"7mm\" "
         "height=\"4mm\" viewBox=\"0 0 7 4\">" +
         filled_box(fill, {0.15, 0.15, 6.7, 3.7}, 1.0,
                    fmt::format(" stroke=\"{}\" stroke-width=\"0.3\"", kInk)) +
         "</svg>";
}

}  // namespace ellwand::studio
