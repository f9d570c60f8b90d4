#pragma once
/// The order of work: what is laid out, cut and left before the first pick, each band in turn, and
/// what comes after the loom. Steps are told in words and units elsewhere.

#include "ellwand/piece/piece.hpp"
#include "ellwand/units/quantity.hpp"

#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace ellwand::estimate {

class PieceModel;
struct PieceEstimate;

/// A yarn laid out: its set-aside, and what is cut beyond the plan.
struct LayOut {
  std::string yarn;
  double to_have_m = 0.0;
  double to_have_g = 0.0;
  double doubt_m = 0.0;  ///< half the width of its range
  double doubt_g = 0.0;
  std::optional<int> put_ups;
  int lent_for = 0;  ///< the band that comes out again with it; 0 where it stays in the piece
};

/// Strands cut to one length before the weaving; one turn round a card makes one strand.
struct CutStrands {
  std::string what;  ///< "fringe", "warp"
  std::string yarn;
  int band = 0;  ///< from 1; 0 for the warp
  int count = 0;
  int spare = 0;  ///< beyond those, where they are wound on a card
  int split_into = 1;
  Length<> length;
  std::optional<Length<>> card_height;
  bool is_safe = false;  ///< longer than by plan, so that it suffices 19 times in 20
};

/// A warp wound to and fro across a fixed span.
struct WindWarp {
  std::string yarn;
  int ends = 0;
  int held = 1;
  double length_m = 0.0;  ///< ties included
  Length<> tie;           ///< left at each of its two free ends
  bool ties_at_one_edge = false;
};

/// Warp ends cut to spare, hung beside the warp.
struct HangSpares {
  std::string yarn;
  int ends = 0;
  int held = 1;
  Length<> length;
};

/// What is left before the first pick, for later.
struct LeaveFree {
  enum class What {
    Header,       ///< card or scrap rows, which come out again
    RoomToTie,    ///< unwoven warp below the first band, for its knots
    WarpFringe,   ///< unwoven warp of a beam loom, below the first band
    SampleStrip,  ///< woven before the first band
    RoomOnTop     ///< unwoven warp above the last band, for its knots
  };
  What what = What::Header;
  Length<> length;
};

/// A weft left hanging at the edge of a band, to sew its hem with.
struct HemThread {
  std::string yarn;
  int band = 0;  ///< whose edge it is
  int strands = 1;
  Length<> length;
  bool before_weaving = false;  ///< before its first row; otherwise of its last length
};

/// One yarn of a band, as she takes it up.
struct Carried {
  std::string yarn;
  int held = 1;
  int split_into = 1;
  int rows = 0;
  std::string counted;           ///< what its rows are called: "rows", "rows of knots", "turns"
  std::string counted_one;       ///< what one is: "row", "row of knots", "turn"
  int lengths = 0;               ///< 0 where strands are cut beforehand
  Length<> length;               ///< of each, tails included
  std::optional<Length<>> last;  ///< of the last, where it is shorter
  double plan_m = 0.0;           ///< as bought
};

/// One band, worked.
struct WorkBand {
  int band = 0;        ///< from 1
  std::string work;    ///< "weave", "soumak", ...
  std::string called;  ///< in plain words: "weave 2/2 twill", "soumak over 4, back 2"
  std::vector<Carried> yarns;
  Length<> height;                  ///< on the loom
  std::vector<HemThread> to_leave;  ///< of its last length
  Length<> up_to;                   ///< running height on the loom, above the first pick
  std::vector<std::string> warnings;
  bool comes_out = false;  ///< drawn out again off the loom
};

/// Off the loom, at rest.
struct TakeOff {
  bool header_comes_out = false;
  Length<> width;
  Length<> height;
  std::vector<int> drawn_out;  ///< bands, from 1
};

/// The ends of one edge knotted in groups.
struct TieEnds {
  bool at_top = false;
  int knots = 0;
  int ends_per_knot = 0;
  int ends_in_last = 0;  ///< as the others, or those left over
  Length<> room;         ///< the unwoven warp they are tied in
};

/// Tails of weft worked in and cut.
struct SewIn {
  int lengths = 0;  ///< of all bands; each has two tails
};

/// A fringe or a pile cut even.
struct TrimFringe {
  int band = 0;
  std::string work;
  Length<> trim;  ///< off each end, about
  Length<> hang;
};

struct Wash {
  Length<> width;  ///< afterwards
  Length<> height;
  std::vector<std::string> felting;  ///< yarns that felt
};

/// Drying, pinning, pressing.
struct Finishing {
  std::vector<std::string> no_steam;  ///< yarns that are not steamed flat
  bool is_wet = false;                ///< washed, or damped to be blocked
  Length<> width;                     ///< finished
  Length<> height;
};

/// The top loops on their rod.
struct PutOnRod {
  Length<> rod;
  int loops = 0;  ///< of the warp; 0 off a beam loom, whose ends are cut
};

/// The cord tied on, to hang the piece by.
struct TieCord {
  std::string yarn;
  Length<> tie_distance;
  Length<> rise;  ///< of its middle above the rod
  int wraps_at_each_tie = 0;
};

struct Caution {
  std::string text;
};

using Step =
    std::variant<LayOut, CutStrands, WindWarp, HangSpares, LeaveFree, HemThread, WorkBand, TakeOff,
                 TieEnds, SewIn, TrimFringe, Wash, Finishing, PutOnRod, TieCord, Caution>;

/// Every step from before the first pick to the finish, in order.
///
/// @param estimate  of the model's piece, its yarns, cuts, sizes, warnings and cautions filled
std::vector<Step> order_of_work(const PieceModel& model, const PieceEstimate& estimate);

/// Loops of a warp on a fixed span that hang at its top edge; its two free ends hang at one edge
/// where the ends are even, and then at the bottom.
/// Source: derived: n ends make n - 1 turns, by turns at top and bottom, the first at the top.
int loops_at_top(int ends);

}  // namespace ellwand::estimate
