#pragma once
/// The shopping list for several pieces from one shelf: what each lot on it is for, how many
/// put-ups to buy beside it, all of one lot, and whether one more is worth its price.

#include "ellwand/decide/buy_policy.hpp"
#include "ellwand/decide/newsvendor.hpp"
#include "ellwand/decide/price.hpp"
#include "ellwand/decide/put_ups.hpp"
#include "ellwand/estimate/piece_totals.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::decide {

struct BuyQuestion {
  const std::vector<estimate::Estimated>& pieces;  ///< of one studio, one or more
  const estimate::Learned* learned = nullptr;      ///< what their models were made with
  const estimate::Shelf& shelf;
  const std::map<std::string, Money>& prices;  ///< by yarn: of one put-up
  BuyPolicy policy;
  double otherwise_enough = 0.95;  ///< where the policy says nothing
  /// By yarn: every size it is sold in, where there are several; its put-up is the first.
  const PutUpSizes* sizes = nullptr;
  /// Of what is sold by weight or length: what its price is of.
  const PricedBy* priced_by = nullptr;
};

/// One place of a piece that a yarn is for: band 0 is its warp or its cord.
struct WovenPlace {
  std::string piece;
  int band = 0;
};

/// A lot on the shelf, and what is to be woven of it.
struct LotPlan {
  std::string lot;
  double holds_g = 0.0;
  std::vector<WovenPlace> places;  ///< none: it is left alone
  double likely_left_g = 0.0;
  std::optional<double> chance_short;  ///< none where nothing is woven of it, or of several at once
};

/// Put-ups of one size to buy.
struct BoughtSize {
  double holds = 0.0;  ///< g or m
  int put_ups = 0;     ///< one or more
};

/// One yarn of the list.
struct Purchase {
  std::string yarn;
  std::vector<std::string> used_in;  ///< ids of pieces
  estimate::Spread need_g;           ///< of all pieces
  double enough = 0.95;              ///< chance that the parts of the list suffice, each
  bool by_cost = false;              ///< that chance follows from what running out costs
  std::vector<LotPlan> lots;
  std::vector<WovenPlace> bought_for;
  bool is_mass = true;  ///< what is bought is told in g; else in m
  double to_buy = 0.0;  ///< with its margin, before it is rounded up; g or m
  /// What one holds; g or m. None: it is sold loose, by weight or length.
  std::optional<double> put_up;
  /// To buy, of all sizes; 0 where the shelf has it, none where it is bought loose.
  std::optional<int> put_ups;
  std::vector<BoughtSize> sizes;  ///< they are of
  double chance_short = 0.0;      ///< of what is bought, when it is
  double likely_left = 0.0;       ///< of what is bought; g or m
  std::optional<Money> cost;      ///< of all that is bought
  std::optional<Money> price;     ///< of one put-up
};

/// What a piece needs while it is woven and gives back: it is not bought for it, but it has to be
/// there.
struct LentFor {
  std::string piece;
  estimate::Lent lent;
  double on_shelf_g = 0.0;  ///< all lots together, whatever else takes of them

  /// Grams that suffice 19 times in 20.
  double enough_g() const { return lent.mass_g().high; }
};

struct ShoppingList {
  std::vector<std::string> pieces;
  std::vector<Purchase> yarns;  ///< in the order they are first met
  std::vector<LentFor> lent;    ///< not among them, nor in the cost
  int put_ups = 0;
  Money cost;                              ///< of those with a price
  std::vector<std::string> without_price;  ///< to be bought, its price unknown
};

/// What to buy.
///
/// A lot is given the largest places it suffices for, the smallest lot that does; one area of a
/// colour is of one lot, unless its piece lets them mix. What no lot suffices for is bought, all of
/// one lot: its parts are added up with their doubts, the margin is put on the sum, and put-ups are
/// rounded up once; of several sizes the cheapest that cover it (`cheapest_put_ups`). With the cost
/// of running out known the margin is the newsvendor's.
ShoppingList shopping_list(const BuyQuestion& question);

}  // namespace ellwand::decide
