#include "ellwand/studio/read_common.hpp"
#include "ellwand/studio/read_piece_parts.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>

namespace ellwand::studio {

namespace {
const std::vector<std::string> kWorks = {"weave",       "knotted fringe", "soumak",       "twining",
                                         "looped pile", "wrapping",       "knotted pile", "gap",
                                         "hemstitch"};
/// In the order of technique::Work, whose first, weaving, is read for what is not named here.
constexpr std::size_t kKnottedFringe = 1;
constexpr std::size_t kSoumak = 2;
constexpr std::size_t kTwining = 3;
constexpr std::size_t kLoopedPile = 4;
constexpr std::size_t kWrapping = 5;
constexpr std::size_t kKnottedPile = 6;
constexpr std::size_t kGap = 7;
constexpr std::size_t kHemstitch = 8;

constexpr int kMostBandEnds = 10'000;
constexpr int kMostBandRows = 100'000;

/// Ends between those left without knots at both edges, or a complaint.
int read_knotted_ends(Section& band, const PieceInProgress& progress, int edge_ends,
                      int ends_per_knot) {
  const int all = progress.all_ends().value_or(kMostBandEnds);
  try {
    return technique::knotted_ends(all, edge_ends, ends_per_knot);
  } catch (const OutOfRange& refusal) {
    band.complain(edge_ends > 0 ? "edge_ends" : "ends_per_knot", refusal.what());
  }
  return ends_per_knot;
}

/// What rows of knots have in common, whatever hangs or stands from them.
technique::KnottedFringe read_knots(Section& band, const PieceInProgress& progress, int edge_ends) {
  technique::KnottedFringe knots;
  knots.strand = read_strand(band, progress.studio);
  knots.ends_per_knot = band.whole("ends_per_knot", 2, 12).value_or(knots.ends_per_knot);
  knots.ends = read_knotted_ends(band, progress, edge_ends, knots.ends_per_knot);
  knots.rows = band.whole("rows", 1, kMostBandRows).value_or(1);
  knots.pulled_tight = band.flag("pulled_tight").value_or(false);
  const auto card = band.length("card", "0.1 mm", "5 cm");
  knots.wound_on_card = card.has_value();
  knots.card_thickness = card.value_or(Length<>());
  return knots;
}

technique::KnottedFringe read_fringe(Section& band, const PieceInProgress& progress) {
  technique::KnottedFringe fringe = read_knots(band, progress, 0);
  band.require("hang", "how long it hangs from the middle of the knot, such as hang = \"14 cm\"");
  fringe.hang = band.length("hang", "5 mm", "5 m").value_or(Length<>());
  return fringe;
}

technique::Work read_pile(Section& band, const PieceInProgress& progress) {
  const std::size_t complaints_before = band.findings().complaint_count();
  const int edge_ends = band.whole("edge_ends", 0, kMostBandEnds).value_or(0);
  technique::KnottedFringe knots = read_knots(band, progress, edge_ends);
  band.require("pile_height",
               "pile_height = \"15 mm\" or the like, from the middle of the knot to the tip");
  knots.hang = band.length("pile_height", "2 mm", "1 m").value_or(millimetres(10.0));
  band.require("ground", "ground = { yarn = \"...\", picks_between = 2 }, what holds each row");
  auto section = band.table("ground", "ground");
  if (!section) return knots;
  const int picks = section->whole("picks_between", 1, 1000).value_or(2);
  const technique::Woven ground = read_ground(*section, progress);
  section->warn_of_unknown_keys();
  const bool is_whole = band.findings().complaint_count() == complaints_before;
  const auto ends = progress.all_ends();
  if (!ends || !is_whole) return knots;  // the piece is not read to its end
  return technique::knotted_pile(knots, ground, *ends, edge_ends, picks);
}

/// Its yarn, where none is named, is settled when the band beside it is known: `settle_hems`.
technique::Hemstitch read_hemstitch(Section& band, const PieceInProgress& progress) {
  technique::Hemstitch hem;
  if (band.has("yarn")) hem.strand = read_strand(band, progress.studio);
  hem.ends = progress.all_ends().value_or(kMostBandEnds);
  band.require("ends_per_stitch", "ends_per_stitch = 4 or the like, the ends a stitch takes in");
  hem.ends_per_stitch = band.whole("ends_per_stitch", 1, kMostBandEnds).value_or(1);
  hem.rows_deep = band.whole("rows_deep", 1, 1000).value_or(2);
  hem.drawn_together = band.flag("drawn_together").value_or(true);
  return hem;
}

technique::Gap read_gap(Section& band, piece::State& height_state) {
  band.require("height", "how much warp stays bare, such as height = \"3 cm\"");
  const technique::Gap gap{band.length("height", "1 mm", "20 m").value_or(millimetres(1.0))};
  height_state = read_height_state(band, true);
  return gap;
}

technique::Soumak read_soumak(Section& band, const PieceInProgress& progress) {
  technique::Soumak soumak;
  soumak.strand = read_strand(band, progress.studio);
  soumak.ends = progress.all_ends().value_or(kMostBandEnds);
  band.require("over", "over = 4 or the like, the ends it passes over");
  band.require("back", "back = 2 or the like, the ends it comes back behind");
  soumak.over = band.whole("over", 1, kMostBandEnds).value_or(soumak.over);
  soumak.back = band.whole("back", 1, kMostBandEnds).value_or(soumak.back);
  soumak.rows = band.whole("rows", 1, kMostBandRows).value_or(1);
  return soumak;
}

/// All strands of one yarn, or one of `yarn` and the others of `second_yarn`.
std::vector<technique::Strand> read_twined_strands(Section& band, const PieceInProgress& progress) {
  const technique::Strand first = read_strand(band, progress.studio);
  const int strands = band.whole("strands", 2, 12).value_or(2);
  std::vector<technique::Strand> all(static_cast<std::size_t>(strands), first);
  const std::string second = read_yarn_id(band, progress.studio, "second_yarn");
  if (second.empty()) return all;
  for (std::size_t i = 1; i < all.size(); ++i) all[i].yarn = second;
  return all;
}

technique::Twining read_twining(Section& band, const PieceInProgress& progress) {
  technique::Twining twining;
  twining.strands = read_twined_strands(band, progress);
  twining.ends = progress.all_ends().value_or(kMostBandEnds);
  twining.over = band.whole("over", 1, kMostBandEnds).value_or(1);
  twining.rows = band.whole("rows", 1, kMostBandRows).value_or(1);
  twining.folded_start = band.flag("folded_start").value_or(false);
  if (twining.folded_start && twining.strands[0].yarn != twining.strands[1].yarn) {
    band.complain("folded_start",
                  "one length folded in the middle makes the first two strands, which cannot be of "
                  "two yarns; leave out folded_start or second_yarn");
  }
  return twining;
}

technique::LoopedPile read_loops(Section& band, const PieceInProgress& progress) {
  technique::LoopedPile pile;
  pile.strand = read_strand(band, progress.studio);
  band.require("over", "over = 3 or the like, the ends a loop passes over");
  band.require("loop_height",
               "loop_height = \"15 mm\" or the like, from the cloth to the top of a loop");
  const int over = band.whole("over", 1, kMostBandEnds).value_or(1);
  const int under = band.whole("under", 1, kMostBandEnds).value_or(1);
  const int first_under = band.whole("first_under", 0, kMostBandEnds).value_or(0);
  if (const auto ends = progress.all_ends()) {
    try {
      pile.row = technique::loop_row(over, under, *ends, first_under);
    } catch (const OutOfRange& refusal) {
      band.complain(first_under >= *ends ? "first_under" : "over", refusal.what());
    }
  }
  pile.rows = band.whole("rows", 1, kMostBandRows).value_or(1);
  pile.loop_height = band.length("loop_height", "1 mm", "30 cm").value_or(millimetres(10.0));
  const auto raised =
      band.choice("raised", {"by hand", "over a gauge", "over a rod along the pick"});
  pile.raised = static_cast<technique::Raised>(raised.value_or(0));
  pile.overlap = band.length("overlap", "0 mm", "50 cm").value_or(Length<>());
  return pile;
}

/// The ends gathered at all places must be there.
void refuse_too_many_places(Section& band, const technique::Wrapping& wrapping,
                            const PieceInProgress& progress) {
  const auto all = progress.all_ends();
  if (!all) return;
  if (wrapping.ends > *all) {
    band.complain("ends", fmt::format("the warp has {}; gather as many or fewer", *all));
  } else if (std::int64_t{wrapping.ends} * wrapping.places > *all) {
    band.complain(
        "places",
        fmt::format("{} places of {} ends each need {} ends, and the warp has {}; "
                    "wrap at {} places or gather fewer ends",
                    wrapping.places, wrapping.ends, std::int64_t{wrapping.ends} * wrapping.places,
                    *all, *all / wrapping.ends));
  }
}

technique::Wrapping read_wrapping(Section& band, const PieceInProgress& progress) {
  technique::Wrapping wrapping;
  wrapping.strand = read_strand(band, progress.studio);
  const std::string core = band.only_one_of({"ends", "core"}, true);
  const auto ends = band.whole("ends", 1, kMostBandEnds);
  const auto diameter = band.length("core", "0.1 mm", "50 cm");
  if (core == "core") {
    wrapping.core = diameter.value_or(millimetres(1.0));
  } else {
    wrapping.ends = ends.value_or(1);
  }
  const std::string extent = band.only_one_of({"turns", "covered"}, true);
  const auto turns = band.whole("turns", 1, kMostBandRows);
  const auto covered = band.length("covered", "1 mm", "10 m");
  if (extent == "covered") {
    wrapping.covered = covered.value_or(millimetres(1.0));
  } else {
    wrapping.turns = turns.value_or(1);
  }
  wrapping.places = band.whole("places", 1, kMostBandEnds).value_or(1);
  refuse_too_many_places(band, wrapping, progress);
  return wrapping;
}

technique::Work read_the_work(std::size_t work, Section& section, piece::Band& band,
                              PieceInProgress& progress) {
  switch (work) {
    case kKnottedFringe:
      return read_fringe(section, progress);
    case kSoumak:
      return read_soumak(section, progress);
    case kTwining:
      return read_twining(section, progress);
    case kLoopedPile:
      return read_loops(section, progress);
    case kWrapping:
      return read_wrapping(section, progress);
    case kKnottedPile:
      return read_pile(section, progress);
    case kGap:
      return read_gap(section, band.height_state);
    case kHemstitch:
      return read_hemstitch(section, progress);
    default:
      return read_woven(section, band.height_state, progress);
  }
}

/// What a woven band's weave is called.
std::string weave_called(Section& band) {
  if (band.has("threading")) return "draft";
  if (band.has("grid")) return "grid";
  const Value* name = band.value("weave");
  return name != nullptr && name->kind == Value::Kind::Text ? folded(name->text) : "plain";
}
}  // namespace

piece::Band read_band(Section& section, PieceInProgress& progress) {
  piece::Band band;
  band.line = section.place().line;
  section.require("work", "work = \"weave\" or \"soumak\"");
  const auto work = section.choice("work", kWorks);
  if (!work) return band;  // which keys it may have is not to be told
  band.work = read_the_work(*work, section, band, progress);
  if (std::holds_alternative<technique::Woven>(band.work)) {
    band.weave = weave_called(section);
    band.comes_out = section.flag("comes_out").value_or(false);
  } else if (section.has("comes_out")) {
    section.leave({"comes_out"});
    section.complain("comes_out", "only woven rows are drawn out again; leave this out");
  }
  const bool lays_yarn = !std::holds_alternative<technique::Gap>(band.work);
  if (lays_yarn) {
    band.habits = read_length_habits(section);
    ask_about_habits(section, band.habits, progress.starting, progress.studio.shown);
  }
  section.warn_of_unknown_keys();
  return band;
}

void settle_hems(piece::Piece& piece, Findings& findings) {
  for (std::size_t b = 0; b < piece.bands.size(); ++b) {
    auto* hem = std::get_if<technique::Hemstitch>(&piece.bands[b].work);
    if (hem == nullptr) continue;
    try {
      const piece::SewnEdge edge = piece::sewn_edge(piece, b);
      const auto& woven = std::get<technique::Woven>(piece.bands[edge.band].work);
      const technique::Strand& weft = woven.areas.at(0).strand;
      if (hem->strand.yarn.empty()) hem->strand = weft;
      hem->sewn_with_weft = hem->strand.yarn == weft.yarn && hem->strand.held == weft.held &&
                            hem->strand.split_into == weft.split_into;
    } catch (const OutOfRange& refusal) {
      findings.complain({piece.bands[b].line, 1}, "hemstitch: " + std::string(refusal.what()));
    }
  }
}

}  // namespace ellwand::studio
