#pragma once
/// A design as the weaver states it: loom, warp, bands from the bottom up, finish.

#include "ellwand/technique/edge_knots.hpp"
#include "ellwand/technique/strand.hpp"
#include "ellwand/technique/work.hpp"

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::piece {

enum class LoomKind {
  Notched,  ///< a fixed span, ends in notches at a fixed pitch
  Frame,    ///< a fixed span, ends spaced as she likes
  Beam,     ///< warp wound on; ends spaced in a reed
};

struct Loom {
  LoomKind kind = LoomKind::Notched;
  Length<> span;    ///< notched and frame: between the two edges the warp turns on
  Length<> pitch;   ///< notched: between neighbouring notches
  int every = 1;    ///< notched: one end in every so many notches
  int notches = 0;  ///< notched: along one edge; 0 where not said
  Length<> header;  ///< card below the first band that come out again
  std::optional<Length<>> needle_room;  ///< left at the top, where the needle no longer passes
};

struct Warp {
  std::string yarn;
  int ends = 2;  ///< every end, floating selvedges included
  int held = 1;  ///< strands threaded together as one end
  bool floating_selvedges = false;
  std::optional<ThreadDensity<>> sett;  ///< frame: in the cloth; beam: in the reed
  std::optional<Length<>> tie;          ///< left at each of the two free ends
  Length<> gaps;                        ///< beam: unwoven between bands
  Length<> fringe;                      ///< beam: left unwoven at both ends together, for fringe
  std::optional<Length<>> loom_waste;   ///< beam: tie-on and thrums; where it was stated
  std::optional<double> stretch;        ///< of the wound warp over its slack length
  std::optional<double> draw_in;        ///< beam: width lost over width in the reed
};

/// How a length of weft is carried, which sets how long it can be.
enum class Carrier { Needle, Butterfly, Shuttle };

/// What she does her own way; anything not said is the studio's, or a starting value.
struct Habits {
  std::optional<Length<>> tail;
  std::optional<Length<>> trim;
  std::optional<Length<>> working_length;
  std::optional<Carrier> carrier;
  std::optional<double> waste_share;
  std::optional<Length<>> waste_per_colour;
  std::optional<int> spare_warp_ends;
  std::optional<int> broken_ends;         ///< so many to be mended in a piece
  std::optional<Length<>> repair_length;  ///< of warp yarn, for each; a whole end unless said
  std::optional<double> unpicking;        ///< share of what is laid that is taken out again
  std::optional<Length<>> sampling;       ///< height of a strip woven before the piece

  /// These habits, and where they are silent those.
  Habits or_else(const Habits& those) const;
};

/// At which point of its life a height is meant.
enum class State { OnLoom, OffLoom, Finished };

struct Band {
  technique::Work work;
  Habits habits;                       ///< of this band alone
  State height_state = State::OnLoom;  ///< what a height of the extent means
  std::string weave;       ///< of a woven band: its name as stated, or "grid" or "draft"; told only
  bool comes_out = false;  ///< scrap rows or a temporary weft, drawn out again
  int line = 0;            ///< in the piece file
};

/// Ends knotted in groups at one edge after the piece leaves the loom.
struct EdgeKnots {
  technique::Tied tied = technique::Tied::InOneKnot;
  int ends_per_knot = 2;
  std::optional<Length<>> room;  ///< unwoven warp left to tie them
  int line = 0;                  ///< in the piece file
};

/// The cord a piece hangs by, from a rod.
struct Cord {
  technique::Strand strand;
  int plies = 1;
  ThreadDensity<> twist;  ///< of two plies or more
  Length<> rise;          ///< of its middle above the rod
  std::optional<Length<>>
      tie_distance;  ///< the rod's length, or else the piece's width, unless said
  int wraps_at_each_tie = 0;
  std::optional<Length<>> knots;  ///< in its knots and what is left beyond them
  int line = 0;                   ///< in the piece file
};

enum class Washing { None, Washed };

struct Finish {
  std::optional<EdgeKnots> bottom;
  std::optional<EdgeKnots> top;
  std::optional<Length<>> rod;  ///< diameter; the top loops slide on it
  std::optional<Length<>> rod_length;
  std::optional<Cord> cord;
  Washing washing = Washing::None;
  std::optional<double> relaxation;  ///< length lost off the loom over length on it
  std::optional<double> shrinkage;   ///< length lost in washing over length before it
  double blocked = 0.0;  ///< length gained when it is pinned out to dry, over length before it
};

struct Piece {
  std::string id;
  std::string name;
  bool planned = false;
  bool beginner = false;                    ///< woven by a beginner
  std::string weaver;                       ///< who weaves it, where she is named
  std::map<std::string, std::string> lots;  ///< by yarn, where it is said
  bool lots_may_mix = false;                ///< one area of colour may be of several dye lots
  Loom loom;
  Warp warp;
  Habits habits;
  std::vector<Band> bands;  ///< from the bottom up
  Finish finish;
  std::string file;  ///< where it was read
};

/// Whether a band is part of the finished piece: one that comes out between two that stay leaves
/// bare warp as high as it was, one below or above all of them leaves nothing.
bool stays_in_height(const Piece& piece, std::size_t band);

/// The edge that a hemstitch sews.
struct SewnEdge {
  std::size_t band = 0;    ///< the woven band, an index into the piece's
  bool is_bottom = false;  ///< the hem stands below it
};

/// @param hem  index of a band that is hemstitched
/// @throws OutOfRange unless it has a woven band on one of its sides and on one only
SewnEdge sewn_edge(const Piece& piece, std::size_t hem);

}  // namespace ellwand::piece
