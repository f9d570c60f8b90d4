#include "ellwand/studio/yarn_fills.hpp"

#include "ellwand/studio/markup.hpp"

#include <fmt/format.h>

#include <array>

namespace ellwand::studio {

namespace {

using yarn::Colour;

/// Lines of one tile, four by four; `fill` where they close round something solid.
struct TileLines {
  const char* path;
  bool is_solid;
};

constexpr std::array<TileLines, kFillPatterns> kLines{{
    {"", false},
    {"M1 1h.9v.9h-.9zM3 3h.9v.9h-.9z", true},                         // specks
    {"M-1 1L1 -1M0 4L4 0M3 5L5 3", false},                            // slanting up
    {"M.5 1h2M2.5 3h2M-1.5 3h2", false},                              // dashes, staggered
    {"M3 -1L5 1M0 0L4 4M-1 3L1 5", false},                            // slanting down
    {"M2 .8v2.4M.8 2h2.4", false},                                    // crosses
    {"M1 0v4M3 0v4", false},                                          // upright
    {"M0 3L1 1L2 3L3 1L4 3", false},                                  // zigzag
    {"M2 .9a1.1 1.1 0 1 0 .01 0z", false},                            // rings
    {"M0 0h4M0 2h4M1 0v2M3 2v2", false},                              // bricks
    {"M2 .6L3.3 3L.7 3z", true},                                      // wedges
    {"M-1 1L1 -1M0 4L4 0M3 5L5 3M3 -1L5 1M0 0L4 4M-1 3L1 5", false},  // crossed
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
  constexpr Colour kInk{20, 20, 22};
  constexpr Colour kPaper{255, 255, 255};
  const bool is_light = yarn::luminance(base) > kMiddle;
  return is_light ? mixed(base, kInk, 0.55) : mixed(base, kPaper, 0.55);
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

std::string pattern_element(const YarnFill& fill, const std::string& id, double unit) {
  constexpr double kTile = 4.0;         // as the lines are drawn
  constexpr double kTileOnPaper = 2.4;  // mm
  const std::string base = yarn::hex(fill.base);
  const std::string mark = yarn::hex(fill.mark);
  const TileLines& lines = kLines[static_cast<std::size_t>(fill.pattern)];
  std::string element = fmt::format(
      "<pattern id=\"{}\" patternUnits=\"userSpaceOnUse\" width=\"4\" height=\"4\" "
      "patternTransform=\"scale({})\"><rect width=\"4\" height=\"4\" fill=\"{}\"/>",
      id, short_number(unit * kTileOnPaper / kTile, 4), base);
  if (lines.path[0] != '\0') {
    element +=
        fmt::format("<path d=\"{}\" fill=\"{}\" stroke=\"{}\" stroke-width=\"{}\"/>", lines.path,
                    lines.is_solid ? mark : "none", lines.is_solid ? "none" : mark, "0.42");
  }
  return element + "</pattern>";
}

}  // namespace ellwand::studio
