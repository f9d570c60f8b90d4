#include "ellwand/estimate/coefficients.hpp"

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

std::string stretch_name(const yarn::Yarn& warp) {
  for (const char* fibre : {"cotton", "linen", "wool"}) {
    if (share_of(warp, fibre) >= 0.5) return std::string("stretch.") + fibre;
  }
  return "stretch.other";
}

Coefficients starting_coefficients(const StartingValues& values,
                                   const std::vector<const yarn::Yarn*>& yarns, std::size_t warp,
                                   bool beginner) {
  Coefficients all;
  const auto add = [&](const std::string& name, const std::string& row) {
    all.names.push_back(name);
    all.spreads.push_back(values.at(row).spread);
  };
  const auto add_row = [&](const std::string& row) { add(row, row); };

  add_row("hand");
  add_row("take.weave");
  add_row("take.knots");
  add_row(beginner ? "weaver.beginner" : "weaver.experienced");
  add_row("piece");
  add_row("beat.weft_faced");
  add_row("beat.balanced");
  add_row("beat.warp_faced");
  add_row("beat.piece");
  add_row("row_height.knots");
  add_row("tail");
  add_row("trim");
  add("working_length", "working_length.needle");
  add_row(beginner ? "draw_in.beginner" : "draw_in");
  add_row(stretch_name(*yarns.at(warp)));
  add_row("waste.share");
  add_row("waste.per_colour");
  for (const yarn::Yarn* yarn : yarns) {
    add("yarn " + yarn->id, "yarn");
    add("lot " + yarn->id, lot_name(yarn->made));
    add("thickness " + yarn->id,
        yarn->kind == yarn::Kind::Roving ? "thickness.roving" : "thickness.spun");
  }
  return all;
}

}  // namespace ellwand::estimate
