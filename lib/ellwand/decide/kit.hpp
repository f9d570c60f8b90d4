#pragma once
/// Kits: how much of each yarn goes in so that a share of the buyers finish, how many kits the
/// shelf makes, and what one costs.

#include "ellwand/decide/buyers.hpp"
#include "ellwand/decide/price.hpp"
#include "ellwand/estimate/estimate.hpp"
#include "ellwand/estimate/yarn_totals.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::decide {

/// How a yarn goes into a kit.
enum class PackedAs {
  Ball,   ///< wound by mass
  Length  ///< run off by length
};

/// How a studio packs kits; what is not stated is by the starting values ("kit.").
struct KitPolicy {
  std::optional<double> finish;            ///< share of buyers whose yarns all suffice
  std::optional<double> beginners_spread;  ///< log-sd, how one beginner differs from another
  int beginners_met = 0;                   ///< so many showed it; 0 where it is taken as known
  PackedAs otherwise_packed = PackedAs::Ball;
  std::map<std::string, PackedAs> packed;  ///< by yarn
  std::optional<Mass<>> ball_step;         ///< what a ball is rounded up to
  std::optional<Length<>> length_step;
  std::optional<double> winding_error;  ///< log-sd of a ball about what it should weigh
  std::optional<double> lost;           ///< share of a put-up lost in rewinding
  std::vector<Consumable> besides;      ///< in each kit beside its yarn
  double minutes = 0.0;                 ///< to pack one
};

inline constexpr int kMostKits = 10'000;
inline constexpr int kMostPupils = 40;

/// What kits are packed from.
struct KitQuestion {
  const piece::Piece& piece;  ///< as she has designed it; each buyer weaves it once
  estimate::Workshop workshop;
  KitPolicy policy;
  const estimate::Shelf& shelf;
  const std::map<std::string, Money>& prices;  ///< by yarn: of one put-up
  std::optional<Money> hourly_rate;
  int kits = 1;  ///< to pack, 1 to kMostKits
  int pupils =
      0;  ///< of a class that shares one supply, 2 to kMostPupils; 0 for kits that are sold
  std::optional<double> sure;  ///< of the share that finishes, where it rests on few beginners
  const PricedBy* priced_by = nullptr;
};

/// Of one lot on the shelf.
struct KitLot {
  std::string lot;
  int kits = 0;         ///< made of it; where lots may mix, those it completes
  double left_g = 0.0;  ///< then
};

/// One yarn of a kit, or of what a class shares.
struct KitYarn {
  std::string yarn;
  PackedAs packed_as = PackedAs::Ball;
  estimate::Spread need;  ///< of one buyer; g of a ball, m of a length
  double enough = 0.0;    ///< what suffices, before it is rounded up; g or m, of all pupils
  double pack = 0.0;      ///< rounded up; g or m, of all pupils
  double pack_g = 0.0;    ///< as the label has it
  double pack_m = 0.0;
  double takes_g = 0.0;  ///< of the shelf, what rewinding loses with it
  double singly = 0.0;   ///< of a class: what each would get if nothing were shared; g or m
  double on_shelf_g = 0.0;
  /// Whether a kit may have it of several lots: it is in no area of colour that is seen, or the
  /// piece lets lots mix.
  bool may_mix = false;
  int from_shelf = 0;             ///< so many kits (or whether the class) the shelf makes
  std::vector<KitLot> lots;       ///< when those asked for are made, as far as they go
  std::optional<int> per_put_up;  ///< kits of one put-up; 0 where one kit takes more
  std::optional<int> put_ups;     ///< to buy for those the shelf does not make
  double left_of_bought_g = 0.0;  ///< of those put-ups, all of their rests together
  std::optional<Money> cost;      ///< of one kit's, what is lost in rewinding with it
};

/// What a kit costs; of a class, what each pupil's share does.
struct KitCost {
  Money yarn;
  Money besides;
  Money labour;
  Money all;
};

/// How many of some drawn buyers (or classes) finished with what they had.
struct Tried {
  int drawn = 0;
  int finished = 0;
  std::vector<int> short_of;  ///< by yarn, how many ran out of it
  double share() const { return static_cast<double>(finished) / drawn; }
};

struct Kits {
  std::string piece;
  std::string name;
  int kits = 1;
  int pupils = 0;
  double finish = 0.98;
  std::optional<double> sure;
  Buyers buyers;
  double score = 0.0;  ///< how far up the range of each yarn a kit is packed
  std::vector<KitYarn> yarns;
  int from_shelf = 0;           ///< kits that all yarns make together
  std::optional<KitCost> cost;  ///< where all prices are known
  std::vector<std::string> without_price;
  std::vector<Consumable> besides;
  double minutes = 0.0;
  std::vector<estimate::Cut> cuts;   ///< of one piece
  std::vector<estimate::Lent> lent;  ///< of one piece; not among its yarns nor in what it costs
  Tried tried;
};

/// What goes into each kit.
///
/// All yarns are packed up to one normal score of their ranges, such that all of them suffice with
/// the chance that is asked for; the correlation of their scores is that of the estimate's own
/// parts, with a beginner's hand in place of hers, and with what a ball strays in winding.
///
/// @param draws  buyers to try the kit on, 0 for none
/// @throws BadInput when the piece cannot be woven
/// @throws OutOfRange for a share, a count or a confidence outside its range
Kits pack_kits(const KitQuestion& question, int draws = 10'000);

/// The same score for parts whatever they are of: so that all yarns suffice with chance `finish`.
///
/// @param finish  from 0.5 to 0.9999
double common_score(const estimate::JointAmounts& joint, double finish);

/// Whole kits of so much yarn in one piece.
///
/// @param lost  share that rewinding loses, from 0 to below 1
int whole_kits(double stock, double pack, double lost);

/// Put-ups for kits.
struct PutUpsForKits {
  int put_ups = 0;
  int of_one = 0;           ///< kits of one put-up; 0 where one kit takes more
  double each_takes = 0.0;  ///< of them, what rewinding loses with it
  double left = 0.0;        ///< of all of them when the kits are made
};

/// Put-ups for so many kits. As many as a kit holds go into it whole, as they are; what is over is
/// wound off further ones, each of which makes as many such rests as whole_kits has it. A rest that
/// is all but a put-up, so that rewinding would take more than one, is a put-up.
///
/// @param pack   of each kit, above 0, in the unit of `holds`
/// @param holds  one put-up, above 0
/// @param lost   share that rewinding loses of what is rewound
/// @throws OutOfRange for more than 10^9 put-ups
PutUpsForKits put_ups_for(int kits, double pack, double holds, double lost);

}  // namespace ellwand::decide
