#pragma once
/// A studio as its folder states it: yarns, lots on the shelf, looms, habits, and the units to
/// show.

#include "ellwand/decide/buy_policy.hpp"
#include "ellwand/decide/kit.hpp"
#include "ellwand/decide/price.hpp"
#include "ellwand/decide/put_ups.hpp"
#include "ellwand/decide/swap_policy.hpp"
#include "ellwand/estimate/estimate.hpp"
#include "ellwand/piece/piece.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

using ellwand::LengthShown;
using ellwand::MassShown;
using ellwand::YarnShown;

/// The units the weaver thinks in.
struct Shown {
  LengthShown length = LengthShown::Centimetres;
  YarnShown yarn = YarnShown::Metres;
  MassShown mass = MassShown::Grams;
};

/// What is on the shelf of one dye lot of one yarn. At least one of mass and length is stated.
struct Lot {
  std::string yarn;    ///< id in the yarn table
  std::string lot;     ///< as the label says it; may be empty
  std::string bought;  ///< year-month-day, or empty
  std::optional<Mass<>> net_mass;
  std::optional<Length<>> net_length;
  bool opened = false;
  std::optional<Length<>> longest_left;  ///< the longest unbroken piece
  int line = 0;                          ///< in lots.csv
};

/// One of several who weave in a studio.
struct Weaver {
  std::string name;  ///< empty where only her skill is said
  bool beginner = false;
};

struct Studio {
  std::string folder;
  std::string name;
  decide::Currency currency;  ///< of all prices
  Shown shown;
  piece::Habits habits;
  std::vector<Weaver> weavers;                  ///< those who are named
  Weaver weaver;                                ///< who weaves unless a piece says otherwise
  std::map<std::string, piece::Loom> looms;     ///< by name; what is not stated there is 0
  std::map<std::string, yarn::Yarn> yarns;      ///< by id
  std::map<std::string, decide::Money> prices;  ///< by yarn id: of one put-up, or as priced_by
  /// By yarn id, of those without a put-up: the amount that the price is of, such as 100 g.
  std::map<std::string, yarn::PutUp> priced_by;
  /// By yarn id, of those sold in several: every size, the put-up first.
  decide::PutUpSizes sizes;
  std::map<std::string, std::string> uses;  ///< by yarn id: what she keeps it for
  std::vector<Lot> lots;
  decide::PricePolicy price;
  decide::SwapPolicy swap;
  decide::KitPolicy kit;
  decide::BuyPolicy buy;
  std::vector<Complaint> warnings;  ///< of every file read
};

/// What is on the shelf, by yarn id. The mass of a lot stated by its length follows from the yarn's
/// linear density.
///
/// @param yarns  must have every yarn of the lots (read_lots sees to that)
estimate::Shelf shelf_totals(const std::vector<Lot>& lots,
                             const std::map<std::string, yarn::Yarn>& yarns);

}  // namespace ellwand::studio
