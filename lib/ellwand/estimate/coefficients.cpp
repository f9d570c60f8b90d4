#include "ellwand/estimate/coefficients.hpp"

#include <array>

namespace ellwand::estimate {

namespace {

double share_of(const yarn::Yarn& yarn, const std::string& fibre) {
  double share = 0.0;
  for (const yarn::FibreShare& part : yarn.fibre) {
    if (part.fibre.name == fibre) share += part.by_mass;
  }
  return share;
}

const char* lot_name(yarn::Made made) {
  switch (made) {
    case yarn::Made::Mill:
      return "lot.mill";
    case yarn::Made::HandDyed:
      return "lot.hand_dyed";
    case yarn::Made::Handspun:
      return "lot.handspun";
  }
  return "";
}

}  // namespace

bool is_felting(const yarn::Yarn& yarn) {
  double share = 0.0;
  for (const yarn::FibreShare& part : yarn.fibre) {
    if (part.fibre.felts) share += part.by_mass;
  }
  return share >= 0.5;
}

bool is_spoilt_by_steam(const yarn::Yarn& yarn) {
  double share = 0.0;
  for (const yarn::FibreShare& part : yarn.fibre) {
    if (part.fibre.felts || part.fibre.softens) share += part.by_mass;
  }
  return share >= 0.5;
}

const char* stretch_name(const yarn::Yarn& warp) {
  if (share_of(warp, "cotton") >= 0.5) return "stretch.cotton";
  if (share_of(warp, "linen") >= 0.5) return "stretch.linen";
  if (share_of(warp, "wool") >= 0.5) return "stretch.wool";
  return "stretch.other";
}

namespace {

/// In the order of Shared; where the spread depends on the piece, the first of its rows.
constexpr std::array<const char*, kShared> kSharedNames = {"hand",
                                                           "take.weave",
                                                           "take.knots",
                                                           "take.soumak",
                                                           "take.twining",
                                                           "take.loops",
                                                           "take.wraps",
                                                           "take.hemstitch",
                                                           "take.cord",
                                                           "weaver.experienced",
                                                           "piece",
                                                           "beat.weft_faced",
                                                           "beat.balanced",
                                                           "beat.warp_faced",
                                                           "beat.piece",
                                                           "row_height.knots",
                                                           "row_height.soumak",
                                                           "row_height.twining",
                                                           "row_height.loops",
                                                           "row_height.wraps",
                                                           "tail",
                                                           "trim",
                                                           "working_length.needle",
                                                           "draw_in",
                                                           "stretch.cotton",
                                                           "waste.share",
                                                           "waste.per_colour"};
constexpr std::array<const char*, kPerYarn> kYarnNames = {"yarn", "lot", "thickness", "split"};

/// The rows of the table that a yarn's own coefficients have their spreads from.
std::array<const char*, kPerYarn> yarn_rows(const yarn::Yarn& yarn) {
  const bool roving = yarn.kind == yarn::Kind::Roving;
  return {"yarn", lot_name(yarn.made), roving ? "thickness.roving" : "thickness.spun",
          "split.roving"};
}

/// The row of the table a shared coefficient has its spread and its meaning from.
const char* shared_row(std::size_t coefficient, bool beginner) {
  if (beginner && coefficient == index_of(Shared::Weaver)) return "weaver.beginner";
  if (beginner && coefficient == index_of(Shared::DrawIn)) return "draw_in.beginner";
  return kSharedNames.at(coefficient);
}

}  // namespace

std::string coefficient_meaning(const StartingValues& values, std::size_t coefficient,
                                const std::vector<const yarn::Yarn*>& yarns, bool beginner) {
  if (coefficient < kShared) return values.at(shared_row(coefficient, beginner)).meaning;
  const std::size_t place = coefficient - kShared;
  const yarn::Yarn& yarn = *yarns.at(place / kPerYarn);
  return values.at(yarn_rows(yarn).at(place % kPerYarn)).meaning + " (" + yarn.id + ")";
}

std::string coefficient_name(std::size_t coefficient, const std::vector<const yarn::Yarn*>& yarns) {
  if (coefficient < kShared) return kSharedNames.at(coefficient);
  const std::size_t place = coefficient - kShared;
  return std::string(kYarnNames.at(place % kPerYarn)) + " " + yarns.at(place / kPerYarn)->id;
}

std::string lot_coefficient_name(const yarn::Yarn& yarn) {
  return std::string(kYarnNames[static_cast<std::size_t>(OfYarn::Lot)]) + " " + yarn.id;
}

std::string shared_name(std::size_t coefficient, const std::vector<const yarn::Yarn*>& yarns,
                        std::size_t warp, bool beginner, const std::string& piece) {
  std::string name = coefficient_name(coefficient, yarns);
  const bool is_split = coefficient >= kShared && (coefficient - kShared) % kPerYarn ==
                                                      static_cast<std::size_t>(OfYarn::Split);
  const auto is = [&](Shared which) { return coefficient == index_of(which); };
  if (is_split || is(Shared::PieceTake) || is(Shared::BeatPiece)) return name + " of " + piece;
  if (is(Shared::Weaver) || is(Shared::DrawIn)) return name + (beginner ? " of a beginner" : "");
  if (is(Shared::Stretch)) return stretch_name(*yarns.at(warp));
  return name;
}

Coefficients starting_coefficients(const StartingValues& values,
                                   const std::vector<const yarn::Yarn*>& yarns, std::size_t warp,
                                   bool beginner) {
  Coefficients all;
  all.spreads.reserve(index_of(OfYarn::Take, yarns.size()));
  for (std::size_t i = 0; i < kShared; ++i) {
    all.spreads.push_back(values.at(shared_row(i, beginner)).spread);
  }
  all.spreads[index_of(Shared::Stretch)] = values.at(stretch_name(*yarns.at(warp))).spread;
  for (const yarn::Yarn* yarn : yarns) {
    for (const char* row : yarn_rows(*yarn)) all.spreads.push_back(values.at(row).spread);
  }
  return all;
}

}  // namespace ellwand::estimate
