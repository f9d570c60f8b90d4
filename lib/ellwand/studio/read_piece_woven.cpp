#include "ellwand/studio/read_piece_parts.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace ellwand::studio {

namespace {
using technique::Extent;
using WeftPoint = std::pair<Length<>, Length<>>;

constexpr int kMostWovenRows = 1'000'000;
constexpr int kMostRepeats = 100'000;

Extent read_extent(Section& band) {
  Extent extent;
  const std::string given = band.only_one_of({"rows", "height", "repeats"}, true);
  const auto rows = band.whole("rows", 1, kMostWovenRows);
  const auto height = band.length("height", "1 mm", "100 m");
  const auto repeats = band.whole("repeats", 1, kMostRepeats);
  if (given == "height") {
    extent.by = Extent::By::Height;
    extent.height = height.value_or(Length<>());
  } else if (given == "repeats") {
    extent.by = Extent::By::Repeats;
    extent.count = repeats.value_or(1);
  } else {
    extent.count = rows.value_or(1);
  }
  return extent;
}

double starting_ratio(cloth::Face face, const estimate::StartingValues& starting) {
  switch (face) {
    case cloth::Face::Weft:
      return starting.median("beat.weft_faced");
    case cloth::Face::Balanced:
      return starting.median("beat.balanced");
    case cloth::Face::Warp:
      return starting.median("beat.warp_faced");
  }
  return 1.0;
}

std::optional<technique::MeasuredRows> read_measured(Section& band) {
  auto section = band.table("measured", "measured");
  if (!section) return std::nullopt;
  const std::string example = "measured = { rows = 20, height = \"25 mm\" }";
  section->require("rows", example);
  section->require("height", example);
  const auto rows = section->whole("rows", 1, kMostWovenRows);
  const auto height = section->length("height", "1 mm", "100 m");
  section->warn_of_unknown_keys();
  if (!rows || !height) return std::nullopt;
  return technique::MeasuredRows{*rows, *height};
}

technique::Beat read_beat(Section& band, const PieceInProgress& progress) {
  technique::Beat beat;
  const bool is_beam = progress.piece.loom.kind == piece::LoomKind::Beam;
  beat.face = is_beam ? cloth::Face::Balanced : cloth::Face::Weft;
  if (const auto face = band.choice("beat", {"weft-faced", "balanced", "warp-faced"})) {
    constexpr cloth::Face kFaces[] = {cloth::Face::Weft, cloth::Face::Balanced, cloth::Face::Warp};
    beat.face = kFaces[*face];
  }
  band.only_one_of({"beat_ratio", "picks", "measured"}, false);
  beat.ratio =
      band.number("beat_ratio", 0.05, 20.0).value_or(starting_ratio(beat.face, progress.starting));
  beat.ratio_is_stated = band.has("beat_ratio");
  beat.picks = band.thread_density("picks", "0.1 /cm", "200 /cm");
  beat.measured = read_measured(band);
  return beat;
}

std::vector<WeftPoint> slanted_line(double degrees) {
  const double angle = degrees * std::numbers::pi / 180.0;
  return {{metres(0.0), metres(0.0)}, {metres(std::cos(angle)), metres(std::sin(angle))}};
}

/// One ["6 cm", "2 cm"] of a weft line, or a complaint.
std::optional<WeftPoint> read_point(const Value& point, Findings& findings) {
  const bool is_pair = point.kind == Value::Kind::Array && point.items.size() == 2 &&
                       point.items[0].kind == Value::Kind::Text &&
                       point.items[1].kind == Value::Kind::Text;
  if (!is_pair) {
    findings.complain(point.place, "weft_line: " + kind_and_text(point) +
                                       " is no point; write each as two lengths, along the weft "
                                       "and up the warp, such as [\"6 cm\", \"2 cm\"]");
    return std::nullopt;
  }
  try {
    return WeftPoint{read_length(point.items[0].text), read_length(point.items[1].text)};
  } catch (const UnreadableText& unreadable) {
    findings.complain(point.place, std::string("weft_line: ") + unreadable.what());
    return std::nullopt;
  }
}

std::vector<WeftPoint> read_line(Section& band) {
  std::vector<WeftPoint> line;
  const Value* points = band.array("weft_line");
  if (points == nullptr) return line;
  for (const Value& item : points->items) {
    const auto point = read_point(item, band.findings());
    if (!point) continue;
    if (!line.empty() && point->first <= line.back().first) {
      band.findings().complain(item.place,
                               "weft_line: each point must lie further along the weft "
                               "than the one before it");
    }
    line.push_back(*point);
  }
  if (points->items.size() < 2) band.complain("weft_line", "two points or more are needed");
  return line;
}

std::vector<WeftPoint> read_weft_line(Section& band) {
  band.only_one_of({"weft_angle", "weft_line"}, false);
  const double degrees = band.angle_degrees("weft_angle", "0 deg", "75 deg").value_or(0.0);
  std::vector<WeftPoint> line = read_line(band);
  return degrees > 0.0 ? slanted_line(degrees) : line;
}
}  // namespace

piece::State read_height_state(Section& band, bool has_height) {
  const auto state = band.choice("height_state", {"on the loom", "off the loom", "finished"});
  if (state && !has_height) band.warn("height_state", "says nothing without a height");
  return state ? static_cast<piece::State>(*state) : piece::State::OnLoom;
}

technique::Woven read_ground(Section& ground, const PieceInProgress& progress) {
  technique::Woven woven;
  woven.grid = read_weave_grid(ground, progress, woven.repeat_picks);
  technique::ColourArea area;
  area.strand = read_strand(ground, progress.studio);
  area.ends = progress.all_ends().value_or(0);
  woven.areas = {area};
  woven.beat = read_beat(ground, progress);
  return woven;
}

technique::Woven read_woven(Section& band, piece::State& height_state, PieceInProgress& progress) {
  technique::Woven woven;
  woven.grid = read_weave_grid(band, progress, woven.repeat_picks);
  woven.areas = read_areas(band, progress);
  woven.extent = read_extent(band);
  height_state = read_height_state(band, woven.extent.by == Extent::By::Height);
  woven.beat = read_beat(band, progress);
  woven.weft_line = read_weft_line(band);
  return woven;
}

}  // namespace ellwand::studio
