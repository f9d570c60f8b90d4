#include "ellwand/studio/read_piece_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::studio {

namespace {
using technique::ColourArea;
using technique::Join;

constexpr int kMostAreaEnds = 20002;

bool is_ground(const Section& section) { return section.has("ground"); }
bool is_drawn(const Section& section) { return section.has("area"); }

Length<> side_of_square(const Area<>& area, int shapes) {
  return metres(std::sqrt(area.si() / shapes));
}

technique::Drawn read_drawn(Section& section) {
  technique::Drawn drawn;
  drawn.area = section.area("area", "0.1 cm2", "100 m2").value_or(square_centimetres(1.0));
  drawn.shapes = section.whole("shapes", 1, 10000).value_or(1);
  drawn.width =
      section.length("width", "1 mm", "20 m").value_or(side_of_square(drawn.area, drawn.shapes));
  return drawn;
}

void refuse_keys(Section& section, const std::vector<std::string>& keys, const char* sentence) {
  for (const std::string& key : keys) {
    if (section.has(key)) section.complain(key, sentence);
  }
  section.leave(keys);
}

ColourArea read_drawn_area(Section& section, const Studio& studio) {
  ColourArea area;
  area.strand = read_strand(section, studio);
  refuse_keys(section, {"ends", "join"}, "areas of a drawing lie on the ground and have none");
  const bool ground = section.flag("ground").value_or(false);
  if (ground) {
    refuse_keys(section, {"area", "shapes", "width"}, "the ground takes what the shapes leave");
  } else {
    section.require("area", "area = \"24 cm2\" or the like, or ground = true");
    area.drawn = read_drawn(section);
  }
  section.warn_of_unknown_keys();
  return area;
}

std::vector<ColourArea> read_drawn_areas(Section& band, std::vector<Section>& sections,
                                         const Studio& studio) {
  std::vector<ColourArea> areas;
  for (Section& section : sections) areas.push_back(read_drawn_area(section, studio));
  const auto grounds =
      std::count_if(areas.begin(), areas.end(), [](const ColourArea& area) { return !area.drawn; });
  if (grounds != 1) {
    band.complain("areas", fmt::format("{} areas are the ground; one of them, with ground = true, "
                                       "lies behind the drawn shapes",
                                       grounds));
  }
  return areas;
}

ColourArea read_side_by_side(Section& section, bool is_first, const Studio& studio) {
  ColourArea area;
  area.strand = read_strand(section, studio);
  section.require("ends", "ends = the warp ends it covers");
  area.ends = section.whole("ends", 1, kMostAreaEnds).value_or(0);
  const auto join = section.choice("join", {"slit", "interlocked", "dovetailed"});
  if (is_first && join) {
    section.complain("join", "the first area has none on its left to join; leave this out");
  }
  constexpr Join kJoins[] = {Join::Slit, Join::Interlocked, Join::Dovetailed};
  if (!is_first) area.join = kJoins[join.value_or(0)];
  section.leave({"area", "shapes", "width", "ground"});
  section.warn_of_unknown_keys();
  return area;
}

/// The ends of the areas must be those of the warp; floating selvedges go to the outer areas.
void fit_to_warp(Section& band, std::vector<ColourArea>& areas, const PieceInProgress& progress) {
  const auto all_ends = progress.all_ends();
  const bool every_end_is_read =
      std::all_of(areas.begin(), areas.end(), [](const ColourArea& area) { return area.ends > 0; });
  if (!all_ends || !every_end_is_read) return;
  int covered = 0;
  for (const ColourArea& area : areas) covered += area.ends;
  if (covered == *all_ends) return;
  if (covered == *progress.woven_ends) {
    ++areas.front().ends;
    ++areas.back().ends;
    return;
  }
  band.complain(
      "areas",
      fmt::format(
          "their ends sum to {}, but the warp has {}; change the ends of an area or of the warp",
          covered, *progress.woven_ends));
}

std::vector<ColourArea> read_area_list(Section& band, const PieceInProgress& progress) {
  std::vector<Section> sections = band.tables("areas", "areas");
  const bool is_drawing = std::any_of(sections.begin(), sections.end(), is_ground) ||
                          std::any_of(sections.begin(), sections.end(), is_drawn);
  if (is_drawing) return read_drawn_areas(band, sections, progress.studio);
  std::vector<ColourArea> areas;
  for (Section& section : sections) {
    areas.push_back(read_side_by_side(section, areas.empty(), progress.studio));
  }
  if (areas.empty()) {
    band.complain("areas", "no area is listed; list one or more, or write yarn in their place");
  } else {
    fit_to_warp(band, areas, progress);
  }
  return areas;
}
}  // namespace

std::vector<technique::ColourArea> read_areas(Section& band, const PieceInProgress& progress) {
  const std::string given = band.only_one_of({"yarn", "areas"}, true);
  if (given == "areas") {
    refuse_keys(band, {"held", "split_into"}, "write this in each of the areas");
    return read_area_list(band, progress);
  }
  ColourArea area;
  if (given == "yarn") area.strand = read_strand(band, progress.studio);
  band.leave({"held", "split_into"});
  area.ends = progress.all_ends().value_or(0);
  return {area};
}

}  // namespace ellwand::studio
