#pragma once
/// A piece made ready to be reckoned: every yarn found, every thread given its thickness, every
/// doubt its place. One model serves plan, slopes and samples alike.

#include "ellwand/estimate/band_yarn.hpp"
#include "ellwand/estimate/judgements.hpp"
#include "ellwand/estimate/learned.hpp"
#include "ellwand/estimate/parts.hpp"
#include "ellwand/estimate/parts_builder.hpp"
#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/estimate/usual_habits.hpp"
#include "ellwand/piece/piece.hpp"
#include "ellwand/technique/cord.hpp"
#include "ellwand/technique/edge_knots.hpp"
#include "ellwand/units/error.hpp"

#include <map>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

namespace ellwand::estimate {

using YarnTable = std::map<std::string, yarn::Yarn>;

/// Of all of them, in the order of the table.
std::vector<std::string> ids_of(const YarnTable& yarns);

/// The yarns of a piece, the warp's first, then in the order of the bands, each once; after them
/// any that only comes out again.
///
/// @throws BadInput with every yarn that is not in the table
std::vector<const yarn::Yarn*> yarns_of(const piece::Piece& piece, const YarnTable& table);

/// The same, how many of them stay in the piece, and which place each has among all, by its id.
struct PieceYarns {
  std::vector<const yarn::Yarn*> all;
  std::size_t staying = 0;
  std::unordered_map<std::string, std::size_t> places;
};

/// The units that sentences tell amounts of yarn in.
struct AmountsShown {
  MassShown mass = MassShown::Grams;
  YarnShown yarn = YarnShown::Metres;
};

/// What the studio brings to every piece.
struct Workshop {
  const YarnTable& yarns;
  const StartingValues& values;
  piece::Habits habits;
  LengthShown shown = LengthShown::Centimetres;  ///< what sentences tell sizes in
  const Learned* learned = nullptr;  ///< from her own swatches, where there is a calibration
  AmountsShown amounts = {};
};

/// One line of the ledger: where, which yarn, why, and how much of it as bought.
struct LedgerLine {
  int band = 0;  ///< from 1; 0 is warp and waste
  std::size_t yarn = 0;
  technique::Cause cause = technique::Cause::Straight;
  technique::Portion portion = technique::Portion::Laid;
  Length<> length;
};

/// What a line of the ledger is for. Band 0 has three of them, told apart by the portion.
enum class Purpose { Band, Warp, Cord, Waste };
constexpr Purpose purpose_of(int band, technique::Portion portion) {
  if (technique::is_waste(portion)) return Purpose::Waste;
  if (band > 0) return Purpose::Band;
  return portion == technique::Portion::Cut ? Purpose::Warp : Purpose::Cord;
}
/// Whether a share of it is lost: of all but the warp, and of waste itself.
constexpr bool is_worked(int band, technique::Portion portion) {
  const Purpose purpose = purpose_of(band, portion);
  return purpose == Purpose::Band || purpose == Purpose::Cord;
}

/// What she adds to a piece beyond what it takes; nothing unless stated.
struct Allowances {
  int spare_ends = 0;
  int broken_ends = 0;
  Length<> repair_length;
  double unpicking = 0.0;
  Length<> sampling;  ///< height of a strip; on a fixed span woven on the same warp
};

/// Which straight line the logarithm of a part is taken for.
enum class Line {
  AtTheMedians,  ///< its value and slopes there
  OverTheDoubt   ///< that which lies nearest to it over the doubt, where it bends within it
};

class PieceModel {
 public:
  /// @throws BadInput with every band that cannot be woven, and every yarn that is not there
  PieceModel(const piece::Piece& piece, const Workshop& workshop);

  /// The same where the coefficients stand already.
  /// @param coefficients  as many as the piece has, in the order of index_of
  PieceModel(const piece::Piece& piece, const Workshop& workshop, const Coefficients& coefficients);

  const piece::Piece& piece() const { return piece_; }
  /// The yarns that stay in the piece.
  const std::vector<const yarn::Yarn*>& yarns() const { return yarns_; }
  /// Those, and after them any that only comes out again: what coefficients are counted by.
  const std::vector<const yarn::Yarn*>& all_yarns() const { return all_yarns_; }
  std::size_t warp_yarn() const { return 0; }
  const Coefficients& coefficients() const { return coefficients_; }

  /// The places weft and fringe yarns are used in, in the order of the bands.
  const std::vector<BandYarn>& band_yarns() const { return band_yarns_; }
  /// The plan of each of band_yarns().
  const std::vector<Worked<double>>& planned() const { return planned_; }
  /// The same of bands that come out again; their yarns are indices into all_yarns().
  const std::vector<BandYarn>& lent_yarns() const { return lent_yarns_; }
  const std::vector<Worked<double>>& lent_planned() const { return lent_planned_; }
  /// What the lengths of one of yarns() are carried on, each once.
  std::vector<piece::Carrier> carriers(std::size_t yarn) const;
  /// Whether the weft of a band, or of a pile's ground, is thrown from edge to edge: on a beam
  /// loom, carried on a shuttle, and one weft from left to right. Areas side by side are laid by
  /// hand.
  bool is_thrown(std::size_t band) const;
  /// Heights of the bands on the loom.
  const std::vector<Length<>>& band_heights() const { return heights_; }

  /// How thick one strand of a yarn lies as bought.
  Length<> strand_diameter(std::size_t yarn) const { return diameters_[yarn]; }
  Length<> end_diameter() const { return end_diameter_; }
  Length<> warp_spacing() const { return warp_spacing_; }
  LengthShown shown() const { return shown_; }  ///< what sentences tell sizes in
  const AmountsShown& amounts_shown() const { return amounts_shown_; }
  const Judgements& judgements() const { return judgements_; }
  /// Of the woven cloth on the loom, its thickest weft at both edges.
  Length<> loom_width() const;
  /// The cord it hangs by, everything not said settled; nothing without one.
  const std::optional<technique::HangingCord>& cord() const { return cord_; }
  /// What the cord's yarn hangs on; its band is nought. Only with a cord.
  const BandYarn& cord_yarn() const { return cord_yarn_; }
  double stretch() const { return stretch_; }
  double waste_share() const { return waste_share_; }
  double draw_in() const { return draw_in_; }  ///< 0 but on a beam loom
  double relaxation() const { return relaxation_; }
  double shrinkage() const { return shrinkage_; }  ///< 0 when not washed
  double blocked() const { return piece_.finish.blocked; }
  Length<> tie() const { return tie_; }  ///< at each free end of a wound warp
  const Allowances& allowances() const { return allowances_; }
  /// One end, slack: on a fixed span with a tie at either end, on a beam with a sample's share.
  Length<> end_length() const { return end_length_; }
  /// What of it a sample strip takes that is woven on the same beam warp; 0 on other looms.
  Length<> sampled_end() const { return sampled_end_; }
  technique::KnottedEdge knotted_edge(const piece::EdgeKnots& knots) const;
  /// What one knot of an edge takes of each end: the thickest of them.
  struct EdgeKnot {
    Length<> plan;
    Length<> high;  ///< the 19th of 20 pieces takes no more
    Length<>
        needed;  ///< unwoven warp to leave: the knot and an end to hold, and for the 19th of 20
  };
  EdgeKnot edge_knot(const piece::EdgeKnots& knots) const;
  /// Unwoven warp left to tie them in: as stated, or the habit, or more where they need it.
  Length<> room_to_tie(const piece::EdgeKnots& knots) const;
  Length<> needle_room() const { return needle_room_; }  ///< on a fixed span, unless stated
  /// The strand that one of band_yarns() is worked with.
  const technique::Strand& strand(const BandYarn& one) const;
  /// The lie of the threads for one of band_yarns(), at the medians.
  technique::Lie<double> lie(const BandYarn& one) const { return one.medians; }

  /// The ledger at the coefficients' medians, in whole rows and lengths.
  std::vector<LedgerLine> plan() const;

  /// The ledger at given deviations of the coefficients, counted in whole rows and lengths, or
  /// smoothly.
  std::vector<LedgerLine> ledger(const std::vector<double>& deviations,
                                 technique::Counting counting) const;

  /// How much a metre of a yarn weighs, by its label and what is known of its lot.
  double grams_per_metre(std::size_t yarn) const;

  /// ln of a band's height on the loom: its value at the medians and its slopes by the
  /// coefficients, each in its own unit.
  struct SlopingLog {
    double value = 0.0;
    std::vector<double> slopes;
  };
  SlopingLog log_height(std::size_t band) const;
  /// ln of one warp end's length through a band, as log_height; without slopes where no yarn lies.
  SlopingLog log_end_length(std::size_t band) const;

  /// The parts, smoothly counted, with their slopes by independent factors.
  Parts parts(Line line) const;

  /// The same with their slopes by the coefficients, which may hang together.
  Parts parts_by_coefficient(Line line) const;

  /// The same of the yarns that come out again.
  Parts lent_parts(Line line) const;

 private:
  /// @param coefficients  none to have them from the workshop
  PieceModel(const piece::Piece& piece, const Workshop& workshop, PieceYarns yarns,
             const Coefficients* coefficients);
  void set_warp(const Workshop& workshop);
  void set_bands(const Workshop& workshop);
  void set_edges(std::vector<Complaint>& complaints);
  void set_edge(BandYarn& hem, const piece::SewnEdge& edge) const;
  void plan_bands(std::vector<BandYarn>& bands, std::vector<Worked<double>>& planned,
                  std::vector<Complaint>& complaints) const;
  void add_heights(const std::vector<BandYarn>& bands, const std::vector<Worked<double>>& planned);
  void level_twining();
  void plan_heights();
  void require_room_to_tie(std::vector<Complaint>& complaints) const;
  void plan_cord(const Workshop& workshop, std::vector<Complaint>& complaints);
  BandYarn band_yarn(std::size_t band, std::size_t part, const technique::Strand& strand,
                     const Workshop& workshop, const UsualHabits& usual) const;
  std::vector<Hold> holds(const technique::Work& work, std::size_t part, std::size_t yarn) const;
  void hold_strips(BandYarn& one, double strips) const;
  Length<> loom_height(const piece::Band& band, const Length<>& stated) const;
  std::vector<bool> waste_yarns() const;
  BandParts band_parts(const BandYarn& one, Line line, const DoubtPoints* points) const;
  template <class Scalar>
  BandAmounts<Scalar> amounts_at(const BandYarn& one,
                                 const std::array<Scalar, kLocals>& factors) const;
  void take_states(const BandYarn& one, const DoubtPoints& points, BandParts& parts) const;
  Parts parts_with(Line line, const DoubtPoints* states) const;
  Parts lent_parts_with(Line line, const DoubtPoints* states) const;
  void settle_bending(BandYarn& one, const Worked<double>& worked) const;
  void settle_warp(std::vector<BandYarn>& bands, const std::vector<Worked<double>>& planned) const;
  void settle_bands(std::vector<BandYarn>& bands, const std::vector<Worked<double>>& planned) const;
  bool is_beam() const { return piece_.loom.kind == piece::LoomKind::Beam; }
  bool takes_beam_warp(const BandYarn& one) const;
  void add_band(const BandYarn& one, const Worked<double>& worked,
                const technique::Lie<double>& lie, std::vector<LedgerLine>& lines) const;
  /// Of a beam warp, what these bands take.
  Length<> warp_through(const std::vector<BandYarn>& bands,
                        const std::vector<Worked<double>>& planned) const;
  void add_cord(const std::vector<double>& deviations, std::vector<LedgerLine>& lines) const;
  void set_allowances(const Workshop& workshop);
  void plan_warp_allowances();
  double sampling_share() const;
  bool is_unpicked(const technique::Portion& portion, std::size_t yarn) const;
  void add_allowances(std::vector<LedgerLine>& lines) const;
  void add_warp_through(const BandYarn& one, const Worked<double>& worked,
                        const technique::Lie<double>& lie, std::vector<LedgerLine>& lines) const;
  void add_warp_and_waste(const std::vector<double>& deviations,
                          std::vector<LedgerLine>& lines) const;

  piece::Piece piece_;
  LengthShown shown_;
  AmountsShown amounts_shown_;
  Judgements judgements_;
  std::vector<const yarn::Yarn*> yarns_;
  std::vector<const yarn::Yarn*> all_yarns_;
  std::unordered_map<std::string, std::size_t> yarn_places_;  ///< as PieceYarns has them
  std::vector<Length<>> diameters_;
  Coefficients coefficients_;
  std::vector<BandYarn> band_yarns_;
  std::vector<Worked<double>> planned_;
  std::vector<BandYarn> lent_yarns_;
  std::vector<Worked<double>> lent_planned_;
  std::vector<Length<>> heights_;
  std::optional<technique::HangingCord> cord_;
  BandYarn cord_yarn_;
  Allowances allowances_;
  std::vector<LedgerLine> warp_allowances_;  ///< sure amounts, as planned
  Length<> end_length_;
  Length<> sampled_end_;
  Length<> end_diameter_;
  Length<> warp_spacing_;
  Length<> tie_;
  Length<> tie_room_;
  Length<> tie_hold_;
  double edge_knot_take_ = 1.0;
  double edge_knot_log_sd_ = 0.0;
  Length<> needle_room_;
  Length<> waste_per_colour_;
  double stretch_ = 0.0;
  double draw_in_ = 0.0;
  double waste_share_ = 0.0;
  double relaxation_ = 0.0;
  double shrinkage_ = 0.0;
};

}  // namespace ellwand::estimate
