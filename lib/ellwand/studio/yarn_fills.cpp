#include "ellwand/studio/yarn_fills.hpp"

#include "ellwand/studio/markup.hpp"

#include <fmt/format.h>

#include <array>

namespace ellwand::studio {

namespace {

using yarn::Colour;

/// Lines of one tile of four by four, from its upper left corner on.
struct TileLines {
  const char* path;
  bool is_solid;  ///< filled, where they close round something
};

constexpr double kTile = 4.0;
constexpr double kTileOnPaper = 2.4;  // mm
constexpr const char* kLineWidth = ".4";

constexpr std::array<TileLines, kFillPatterns> kLines{{
    {"", false},
    {"m1 1h.9v.9h-.9zm2 2h.9v.9h-.9z", true},  // specks
    {"m0 4l4-4", false},                       // slanting up
    {"m.5 1h2m-.5 2h2", false},                // dashes, staggered
    {"l4 4", false},                           // slanting down
    {"m2 .8v2.4m-1.2-1.2h2.4", false},         // crosses
    {"m1 0v4m2-4v4", false},                   // upright
    {"m0 3l1-2l1 2l1-2l1 2", false},           // zigzag
    {"m2 .9a1.1 1.1 0 1 0 .01 0z", false},     // rings
    {"h4m-4 2h4m-3-2v2m2 0v2", false},         // bricks
    {"m2 .6l1.3 2.4h-2.6z", true},             // wedges
    {"l4 4m-4 0l4-4", false},                  // crossed
}};

constexpr std::array<Colour, 4> kGreys{
    {{226, 226, 224}, {204, 204, 202}, {238, 238, 236}, {186, 186, 184}}};

int mixed(int part, int other, double share) {
  return static_cast<int>(part + share * (other - part) + 0.5);
}

Colour mixed(const Colour& colour, const Colour& other, double share) {
  return {mixed(colour.red, other.red, share), mixed(colour.green, other.green, share),
          mixed(colour.blue, other.blue, share)};
}

}  // namespace

Colour mark_on(const Colour& base) {
  constexpr double kMiddle = 0.22;  // half way from black to white, as the eye has it
  constexpr Colour kNearBlack{20, 20, 22};
  constexpr Colour kWhite{255, 255, 255};
  const bool is_light = yarn::luminance(base) > kMiddle;
  return is_light ? mixed(base, kNearBlack, 0.55) : mixed(base, kWhite, 0.55);
}

std::vector<YarnFill> fills_of(const std::vector<const yarn::Yarn*>& yarns) {
  std::vector<YarnFill> fills;
  std::size_t greys = 0;
  for (const yarn::Yarn* yarn : yarns) {
    YarnFill fill;
    fill.base = yarn->colour ? *yarn->colour : kGreys[greys++ % kGreys.size()];
    fill.mark = mark_on(fill.base);
    fill.pattern = static_cast<int>(fills.size()) % kFillPatterns;
    fills.push_back(fill);
  }
  return fills;
}

std::string pattern_lines(const YarnFill& fill, const Box& box, double unit) {
  const TileLines& lines = kLines[static_cast<std::size_t>(fill.pattern)];
  if (lines.path[0] == '\0' || !(box.width > 0.0) || !(box.height > 0.0)) return {};
  const double scale = unit * kTileOnPaper / kTile;
  const double width = box.width / scale;
  const double height = box.height / scale;
  std::string d;
  for (double y = 0.0; y < height; y += kTile) {
    for (double x = 0.0; x < width; x += kTile) d += fmt::format("M{} {}{}", x, y, lines.path);
  }
  const std::string mark = yarn::hex(fill.mark);
  return fmt::format(
      "<svg x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" viewBox=\"0 0 {} {}\" "
      "preserveAspectRatio=\"none\"><path d=\"{}\" fill=\"{}\" stroke=\"{}\" "
      "stroke-width=\"{}\"/></svg>\n",
      short_number(box.x), short_number(box.y), short_number(box.width), short_number(box.height),
      short_number(width), short_number(height), d, lines.is_solid ? mark : "none",
      lines.is_solid ? "none" : mark, kLineWidth);
}

std::string filled_box(const YarnFill& fill, const Box& box, double unit,
                       const std::string& attributes) {
  return fmt::format("<rect{} x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{}\"/>\n",
                     attributes, short_number(box.x), short_number(box.y), short_number(box.width),
                     short_number(box.height), yarn::hex(fill.base)) +
         pattern_lines(fill, box, unit);
}

}  // namespace ellwand::studio
