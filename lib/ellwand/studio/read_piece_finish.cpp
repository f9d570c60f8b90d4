#include "ellwand/studio/read_piece_parts.hpp"

#include <fmt/format.h>

namespace ellwand::studio {

namespace {
std::optional<piece::EdgeKnots> read_edge(Section& finish, const std::string& edge,
                                          const PieceInProgress& progress) {
  auto section = finish.table(edge, edge);
  if (!section) return std::nullopt;
  section->require("knots", "knots = \"overhand\"");
  piece::EdgeKnots knots;
  knots.line = section->place().line;
  knots.ends_per_knot = section->whole("ends_per_knot", 1, 1000).value_or(knots.ends_per_knot);
  if (section->choice("knots", {"overhand", "tail to tail"}).value_or(0) == 1) {
    knots.tied = technique::Tied::TailToTail;
    if (knots.ends_per_knot != 2) {
      section->complain("ends_per_knot", "tails are tied two and two; write 2, or leave this out");
    }
  }
  knots.room = section->length("room", "5 mm", "5 m");
  const auto ends = progress.all_ends();
  if (ends && knots.ends_per_knot > *ends) {
    section->complain("ends_per_knot", fmt::format("{} in one knot, but the warp has {} ends",
                                                   knots.ends_per_knot, *ends));
  }
  section->warn_of_unknown_keys();
  return knots;
}

void read_rod(Section& finish, piece::Finish& read) {
  auto section = finish.table("rod", "rod");
  if (!section) return;
  section->require("diameter", "rod = { diameter = \"10 mm\" }");
  read.rod = section->length("diameter", "1 mm", "20 cm");
  read.rod_length = section->length("length", "1 cm", "20 m");
  section->warn_of_unknown_keys();
}

/// Plies are twisted, and only plies.
void read_plies(Section& section, piece::Cord& cord) {
  cord.plies = section.whole("plies", 1, 4).value_or(1);
  if (cord.plies > 1) {
    section.require("twist", "twist = \"1 /cm\" or the like, the turns the plies are twisted");
  } else if (section.has("twist")) {
    section.complain("twist",
                     "one ply has nothing to be twisted with; write plies = 2 or more, or "
                     "leave this out");
  }
  cord.twist = section.thread_density("twist", "0.01 /cm", "50 /cm").value_or(ThreadDensity<>());
}

std::optional<piece::Cord> read_cord(Section& finish, const piece::Finish& read,
                                     const Studio& studio) {
  auto section = finish.table("cord", "cord");
  if (!section) return std::nullopt;
  piece::Cord cord;
  cord.line = section->place().line;
  section->require("yarn", "the id of a yarn of yarns.csv");
  cord.strand.yarn = read_yarn_id(*section, studio, "yarn");
  cord.strand.held = section->whole("held", 1, 64).value_or(1);
  read_plies(*section, cord);
  section->require("rise", "rise = \"20 cm\" or the like, from the rod to the nail");
  cord.rise = section->length("rise", "1 mm", "20 m").value_or(Length<>());
  cord.tie_distance = section->length("tie_distance", "0 cm", "20 m");
  cord.wraps_at_each_tie = section->whole("wraps", 0, 1000).value_or(0);
  cord.knots = section->length("knots", "0 cm", "5 m");
  if (cord.wraps_at_each_tie > 0 && !finish.has("rod")) {
    section->complain("wraps",
                      "there is no rod to wrap it round; write rod = { diameter = \"10 mm\" "
                      "} in [finish], or leave this out");
  }
  if (cord.tie_distance && read.rod_length && *read.rod_length < *cord.tie_distance) {
    section->complain(
        "tie_distance",
        fmt::format("{} is wider than the rod is long, {}; tie closer, "
                    "or take a longer rod",
                    told(*cord.tie_distance, studio.shown), told(*read.rod_length, studio.shown)));
  }
  section->warn_of_unknown_keys();
  return cord;
}
}  // namespace

void read_finish(Section& file, PieceInProgress& progress) {
  auto section = file.table("finish", "[finish]");
  if (!section) return;
  piece::Finish& finish = progress.piece.finish;
  finish.bottom = read_edge(*section, "bottom", progress);
  finish.top = read_edge(*section, "top", progress);
  read_rod(*section, finish);
  finish.cord = read_cord(*section, finish, progress.studio);
  const bool washed = section->flag("washed").value_or(false);
  finish.washing = washed ? piece::Washing::Washed : piece::Washing::None;
  finish.relaxation = section->fraction("relaxation", "0 %", "50 %");
  finish.shrinkage = section->fraction("shrinkage", "0 %", "50 %");
  if (finish.shrinkage && !washed) {
    section->warn("shrinkage", "is lost in washing, and washed is not true; it is not used");
  }
  finish.blocked = section->fraction("blocked", "0 %", "20 %").value_or(0.0);
  section->warn_of_unknown_keys();
}

}  // namespace ellwand::studio
