#pragma once
/// The estimate of one piece: yarn with its range, where it goes, what it leaves room for, what to
/// cut, and what to look out for.

#include "ellwand/estimate/order_of_work.hpp"
#include "ellwand/estimate/piece_model.hpp"
#include "ellwand/estimate/taught.hpp"
#include "ellwand/numeric/range.hpp"
#include "ellwand/technique/warp.hpp"

#include <array>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::estimate {

/// In the unit of the name it goes by.
using Spread = numeric::Range;

/// What the shelf holds of one dye lot.
struct StockLot {
  std::string lot;  ///< as its label says it; may be empty
  Mass<> mass;
  std::optional<Length<>> longest_piece;  ///< unbroken; where that was stated
  std::optional<Length<>> length = {};    ///< where the lot is stated so, and not weighed
};

/// What the shelf holds of one yarn; a lot stated by its length counts by its label's mass.
struct Stock {
  Mass<> mass;  ///< all lots together
  Mass<> largest_lot;
  int lots = 0;
  std::vector<StockLot> each = {};
  std::optional<Length<>> length = {};  ///< all together, where every lot is stated so

  void add(const StockLot& lot);
};
using Shelf = std::map<std::string, Stock>;

struct YarnEstimate {
  std::string yarn;
  double plan_m = 0.0;      ///< at the coefficients' medians: what the causes add up to
  double plan_g = 0.0;      ///< in a room at 65 % humidity, as labels count
  double plan_dry_g = 0.0;  ///< the same, bone dry
  Spread length_m;
  Spread mass_g;
  double mean_m = 0.0;
  double mean_g = 0.0;
  double set_aside_m = 0.0;  ///< runs out one time in twenty, or jointly if asked
  double set_aside_g = 0.0;
  double cut_rounding_m = 0.0;        ///< what whole cuts take beyond the plan
  double spare_m = 0.0;               ///< spare strands, where they are wound on a card
  std::optional<int> put_ups;         ///< to have, for the set-aside, whole cuts and spares
  std::optional<double> left_over_m;  ///< of those put-ups when it takes the middle of its range
  std::optional<double> left_over_g;
  std::optional<double> on_shelf_g;  ///< where the shelf says
  double chance_short = 0.0;  ///< of the shelf where it is stated, of the set-aside otherwise
};

/// What is cut beyond the plan: to whole lengths, and to spare.
inline double beyond_plan_m(const YarnEstimate& yarn) { return yarn.cut_rounding_m + yarn.spare_m; }

struct BandEstimate {
  int band = 0;      ///< from 1; 0 is warp, cord and waste
  std::string work;  ///< "warp", "cord", "waste" in band 0
  Purpose purpose = Purpose::Band;
  std::string yarn;            ///< none for bare warp
  std::size_t yarn_index = 0;  ///< into the model's yarns, and the estimate's
  int rows = 0;                ///< 0 of a wrapping
  int turns = 0;               ///< of a wrapping, at each place
  Length<> height;             ///< on the loom; of a wrapping what it covers
  Length<> row_spacing;
  Spread length_m;
  bool comes_out = false;  ///< its yarn is among those lent, and nothing of it is counted here
  double plan_m = 0.0;
  std::array<double, technique::kCauses> causes_m{};  ///< by technique::Cause; add up to plan_m
};

/// Yarn of scrap rows or a temporary weft: needed while weaving, had back when it is drawn out.
struct Lent {
  int band = 0;
  std::string yarn;
  double plan_m = 0.0;
  double plan_g = 0.0;
  Spread length_m;                                    ///< its high end suffices 19 times in 20
  std::array<double, technique::kCauses> causes_m{};  ///< by technique::Cause; add up to plan_m

  Spread mass_g() const {
    const double metre_g = plan_g / plan_m;
    return {metre_g * length_m.low, metre_g * length_m.mid, metre_g * length_m.high};
  }
};

/// A length that is not cut beforehand but left hanging from a weft.
enum class Leave {
  No,             ///< it is cut
  BeforeWeaving,  ///< before the first row of the band beside it
  WhenWoven,      ///< from the last length of the band beside it
};

/// Strands to cut to one length.
struct Cut {
  std::string what;  ///< "fringe", "pile", "hemstitch", "cord", "warp"
  std::string yarn;
  int band = 0;
  int count = 0;
  Length<> exact;
  Length<> length;     ///< rounded up to what a ruler shows
  int split_into = 1;  ///< strands that one strand as bought makes
  int spare = 0;       ///< to wind beyond those, where wound on a card
  std::optional<Length<>> card_height;
  Leave leave = Leave::No;
  int beside = 0;  ///< of a hemstitch, the band whose edge it sews
  /// What suffices 19 times in 20, where that is more: a warp cannot be lengthened.
  std::optional<Length<>> enough = std::nullopt;
};

struct Size {
  Length<> width;
  Length<> height;
};

/// The knots of one edge, and whether there is room for them.
struct EdgeRoom {
  bool at_top = false;
  int knots = 0;
  int ends_per_knot = 0;
  PieceModel::EdgeKnot knot;
  Length<> room;  ///< unwoven warp of each end, left for them
};

/// Where the distance between the two ties of a cord comes from.
enum class TieDistance { Stated, RodLength, FinishedWidth };

/// The cord as it was reckoned.
struct HungCord {
  technique::HangingCord cord;
  TieDistance tie_distance = TieDistance::Stated;
  bool knots_are_stated = false;
  Length<> thickness;
};

/// Where the span of a fixed warp goes.
struct Budget {
  Length<> span;
  Length<> header;
  Length<> tie_room;  ///< at bottom, and at top where ends are knotted there
  Length<> needle_room;
  Length<> rod_loops;
  Length<> sample;  ///< a strip woven before the piece
  Length<> bands;
  Length<> left() const {
    return span - header - tie_room - needle_room - rod_loops - sample - bands;
  }
};

struct Warning {
  std::string code;  ///< stable, for programs
  std::string text;  ///< for her
  int band = 0;      ///< from 1; 0 where it is about no one band
};

/// What of a beam warp was never woven, where it is long enough for fringe. Each end leaves two
/// pieces, before the cloth and behind it; how it falls to them is not known, but the longer is at
/// least half of it.
struct Thrums {
  std::string yarn;
  int count = 0;                                    ///< of strands: ends times what is held as one
  Length<> length;                                  ///< of each strand, both pieces together
  Length<> longer() const { return length / 2.0; }  ///< at least
};

/// A planned piece that what is left over would do for.
struct LeftOverUse {
  std::string piece;  ///< its id
  std::string name;
  std::string yarn;
  double need_m = 0.0;  ///< its set-aside, whole cuts and spares
  double left_m = 0.0;  ///< left over of the put-ups
};

struct PieceEstimate {
  std::string piece;
  std::string name;
  std::vector<YarnEstimate> yarns;  ///< the warp's first, then in the order of the bands
  std::vector<BandEstimate> bands;  ///< one a band and yarn, and one a band of bare warp
  std::vector<Lent> lent;           ///< in none of the yarns' amounts
  std::vector<Cut> cuts;
  Size loom;
  Size off_loom;
  Size washed;    ///< as off the loom where it is not washed
  Size finished;  ///< blocked, where it is
  /// Finished, where rows that are counted leave the height unsure; with the order of work.
  std::optional<Spread> height_m;
  Length<> hang;                 ///< of the longest fringe below the cloth; 0 without
  std::optional<Budget> budget;  ///< of a fixed span
  std::optional<technique::WarpEdges> warp_edges;  ///< of a fixed span
  std::optional<Length<>> thickest_rod;            ///< that its loops pass, where it hangs from one
  std::vector<EdgeRoom> edges;                     ///< that are knotted
  std::optional<HungCord> cord;
  double chance_any_short = 0.0;            ///< as chance_short, of any yarn of the piece
  double chance_any_set_aside_short = 0.0;  ///< when each yarn is set aside as said
  std::optional<Thrums> thrums;
  std::vector<LeftOverUse> left_over_uses;  ///< filled by whoever knows the planned pieces
  std::optional<Taught> taught;             ///< filled by whoever has a calibration
  std::vector<Warning> warnings;
  std::vector<std::string> cautions;
  std::vector<Step> order;  ///< of the work, where asked for
};

struct Options {
  double service = 0.95;                 ///< chance that a set-aside is enough
  bool joint = false;                    ///< of all yarns of the piece together, not of each
  bool chances = true;                   ///< fill the piece's chances, some milliseconds
  bool bands = true;                     ///< fill what each band takes
  bool order = false;                    ///< fill the order of work
  Length<> cut_step = centimetres(1.0);  ///< what cuts are rounded up to
};

/// @throws BadInput when a band cannot be woven or does not fit on the warp, with every such band
PieceEstimate estimate(const piece::Piece& piece, const Workshop& workshop, const Shelf& shelf,
                       const Options& options);

/// The same from a model already made.
PieceEstimate estimate(const PieceModel& model, const Shelf& shelf, const Options& options);

struct ReckonedPiece {
  PieceModel model;
  PieceEstimate estimate;
};

/// The same of each of several pieces, on all cores.
///
/// @param threads  at most; 0 for as many as there are cores. It changes no bit
/// @throws BadInput as the first of them that cannot be woven does
std::vector<ReckonedPiece> estimate_each(const std::vector<piece::Piece>& pieces,
                                         const Workshop& workshop, const Shelf& shelf,
                                         const Options& options, std::size_t threads = 0);

}  // namespace ellwand::estimate
