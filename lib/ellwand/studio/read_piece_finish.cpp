#include "ellwand/studio/read_piece_parts.hpp"

#include <fmt/format.h>

namespace ellwand::studio {

namespace {
std::optional<piece::EdgeKnots> read_edge(Section& finish, const std::string& edge,
                                          const PieceInProgress& progress) {
  auto section = finish.table(edge, edge);
  if (!section) return std::nullopt;
  section->require("knots", "knots = \"overhand\"");
  section->choice("knots", {"overhand"});
  piece::EdgeKnots knots;
  knots.ends_per_knot = section->whole("ends_per_knot", 1, 1000).value_or(knots.ends_per_knot);
  knots.room = section->length("room", "5 mm", "5 m");
  const auto ends = progress.all_ends();
  if (ends && knots.ends_per_knot > *ends) {
    section->complain("ends_per_knot", fmt::format("{} in one knot, but the warp has {} ends",
                                                   knots.ends_per_knot, *ends));
  }
  section->warn_of_unknown_keys();
  return knots;
}

std::optional<Length<>> read_rod(Section& finish) {
  auto section = finish.table("rod", "rod");
  if (!section) return std::nullopt;
  section->require("diameter", "rod = { diameter = \"10 mm\" }");
  const auto diameter = section->length("diameter", "1 mm", "20 cm");
  section->warn_of_unknown_keys();
  return diameter;
}
}  // namespace

void read_finish(Section& file, PieceInProgress& progress) {
  auto section = file.table("finish", "[finish]");
  if (!section) return;
  piece::Finish& finish = progress.piece.finish;
  finish.bottom = read_edge(*section, "bottom", progress);
  finish.top = read_edge(*section, "top", progress);
  finish.rod = read_rod(*section);
  const bool washed = section->flag("washed").value_or(false);
  finish.washing = washed ? piece::Washing::Washed : piece::Washing::None;
  finish.relaxation = section->fraction("relaxation", "0 %", "50 %");
  finish.shrinkage = section->fraction("shrinkage", "0 %", "50 %");
  if (finish.shrinkage && !washed) {
    section->warn("shrinkage", "is lost in washing, and washed is not true; it is not used");
  }
  section->leave({"cord"});
  if (section->has("cord")) {
    section->warn("cord", "this version does not count the yarn of the cord yet; add it by hand");
  }
  section->warn_of_unknown_keys();
}

}  // namespace ellwand::studio
