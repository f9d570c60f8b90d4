#pragma once
/// Another yarn for a piece: what changes, what may go wrong, and which of several serves best.

#include "ellwand/decide/knob.hpp"
#include "ellwand/decide/money.hpp"
#include "ellwand/decide/price.hpp"
#include "ellwand/decide/rebuilt.hpp"
#include "ellwand/decide/swap_policy.hpp"
#include "ellwand/estimate/estimate.hpp"
#include "ellwand/estimate/yarn_totals.hpp"

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::decide {

/// Something to know about a yarn; `code` is stable, for programs.
struct SwapNote {
  std::string code;
  std::string text;
};

/// One place of the piece, before and after.
struct PlaceChange {
  YarnPlace before;
  YarnPlace after;
  std::string work;             ///< "weave"; "warp" and "cord"
  double thickness = 1.0;       ///< of the strands together, over the original's
  std::optional<double> cover;  ///< over the original's; none where nothing is covered, and of a
                                ///< warp that the wefts cover everywhere
  double too_thick = 0.0;  ///< chance that it has to be pressed flat, or crowds its knots; of a
                           ///< warp that some weft has to which lay round
  double too_thin = 0.0;   ///< chance that it covers less than the least of the original's cover
  int rows_before = 0;
  int rows_after = 0;
  Length<> height_before;  ///< of its band, on the loom
  Length<> height_after;
};

/// What becomes of the warp where its yarn is another.
struct WarpChange {
  ThreadDensity<> sett_before;  ///< in the cloth
  ThreadDensity<> sett_after;   ///< where it can be chosen: the one that covers as before
  ThreadDensity<> sett_that_covers;
  int ends_for_width = 0;  ///< that make the width of before at sett_after
  int ends_before = 0;
  int ends_after = 0;  ///< those, where the width is what the piece states
};

/// A yarn in the piece, the original's own among them.
struct SwapRow {
  std::string yarn;
  estimate::PieceEstimate estimate;
  std::size_t yarn_index = 0;   ///< into the estimate's yarns; of the yarn that is put in
  estimate::YarnOfPlaces here;  ///< what it takes at the places
  std::vector<PlaceChange> places;
  std::optional<WarpChange> warp;
  double too_thick = 0.0;  ///< where it is worst
  double too_thin = 0.0;
  std::optional<Money> cost;  ///< of what it takes there, by use; none without price or put-up
  std::optional<int> to_buy;  ///< put-ups beyond the shelf, for the whole piece; none without one
  std::optional<Money> buy_cost;
  std::optional<Money> dearer;              ///< what the piece's yarns cost more with it
  bool is_elsewhere = false;                ///< in the piece as well as at the places
  std::vector<SwapNote> notes;              ///< differences of fibre that matter
  std::vector<estimate::Warning> warnings;  ///< that the original does not have, and what of the
                                            ///< original could not be kept
  Terms terms{};
  double score = 0.0;

  /// Of all that the piece takes of the yarn.
  const estimate::YarnEstimate& amounts() const { return estimate.yarns[yarn_index]; }
};

/// A yarn that cannot serve, and why, in one sentence without its full stop.
struct CannotServe {
  std::string yarn;
  std::string reason;
};

struct SwapAnswer {
  SwapRow original;
  std::vector<SwapRow> candidates;  ///< best first
  std::vector<CannotServe> left_out;
};

/// What is asked.
struct SwapQuestion {
  const piece::Piece& piece;  ///< as it was stated
  std::string yarn;           ///< to be replaced, one of the piece's
  Within within;
  estimate::Workshop workshop;
  const estimate::Shelf& shelf;
  const std::map<std::string, Money>& prices;  ///< by yarn: of one put-up
  SwapRules rules;
  const PricedBy* priced_by = nullptr;
  /// The piece with other ends, where it is stated by the width of its warp; nothing where its ends
  /// are, which then stay.
  Design with_ends = {};
};

/// Differences of fibre and make that matter in this piece: washed or not, in the warp, in pile and
/// fringe.
std::vector<SwapNote> fibre_notes(const estimate::PieceModel& original,
                                  const estimate::PieceModel& model,
                                  const std::vector<YarnPlace>& places, const yarn::Yarn& from,
                                  const yarn::Yarn& to, const estimate::StartingValues& values);

/// Weighs yarns against one of a piece's.
class Swap {
 public:
  /// @param question  outlived by what it refers to
  /// @throws BadInput where the piece itself cannot be woven
  /// @throws OutOfRange where the yarn is nowhere in what is to be replaced
  explicit Swap(SwapQuestion question);

  /// Those named, poor ones too; left out is only what cannot be woven or jams for sure.
  /// @param yarns  ids of the workshop's
  SwapAnswer among(const std::vector<std::string>& yarns) const;
  /// Every other yarn of the workshop's; left out is what covers too little for sure as well.
  SwapAnswer among_all() const;

  const SwapQuestion& question() const { return question_; }
  const SwapRow& original() const { return original_; }

 private:
  struct Trial;
  Trial trial_of(const std::string& yarn) const;
  void make(const std::string& yarn, Picks picks, Trial& trial) const;
  std::optional<piece::Piece> as_wide(const piece::Piece& rebuilt, Trial& trial) const;
  void compare(Trial& trial) const;
  PlaceChange change_at(const Trial& trial, std::size_t place) const;
  void compare_in_band(const Trial& trial, PlaceChange& change) const;
  void compare_in_warp(const Trial& trial, PlaceChange& change) const;
  std::optional<std::string> why_not(const Trial& trial, bool thin_ones) const;
  SwapAnswer weigh(const std::vector<std::string>& yarns, bool thin_ones) const;
  SwapRow row_of(Trial trial) const;
  WarpChange warp_change(const estimate::PieceModel& model) const;
  void reckon_places(const estimate::PieceModel& model, SwapRow& row) const;
  void warn_of_what_was_not_kept(const Trial& trial, SwapRow& row) const;
  void reckon_cost(const yarn::Yarn& yarn, SwapRow& row) const;
  std::optional<Money> price_of(const std::string& yarn, double amount_m, double amount_g) const;
  std::optional<Money> cost_of(const estimate::PieceEstimate& estimate,
                               const std::string& yarn) const;
  void hold_against(SwapRow& row) const;

  SwapQuestion question_;
  std::vector<YarnPlace> places_;
  estimate::PieceModel model_;
  std::vector<std::string> names_;  ///< of its coefficients
  bool warp_shows_ = false;
  SwapRow original_;
};

}  // namespace ellwand::decide
