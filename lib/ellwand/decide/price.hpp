#pragma once
/// What to charge for a piece: what it costs, what is put on, what a range that leaves, and the
/// least that covers it.

#include "ellwand/decide/labour.hpp"
#include "ellwand/decide/learning_curve.hpp"
#include "ellwand/decide/money.hpp"
#include "ellwand/decide/put_ups.hpp"
#include "ellwand/estimate/piece_totals.hpp"
#include "ellwand/numeric/range.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::decide {

/// How a yarn is charged.
enum class YarnBy {
  Use,   ///< what the piece takes on average, waste and all
  PutUp  ///< whole put-ups, as many as it takes for the set-aside
};

/// Something every piece needs beside yarn and time.
struct Consumable {
  std::string what;
  Money cost;
};

/// How a studio prices.
struct PricePolicy {
  std::optional<Money> hourly_rate;
  double overhead = 0.0;  ///< on labour
  /// At most one of the two. Margin: left of the price when cost and fees are paid, over the price;
  /// markup: the same over the cost.
  std::optional<double> margin;
  std::optional<double> markup;
  double fees = 0.0;                ///< of a market or a card, over the price
  std::optional<double> wholesale;  ///< what a shop pays, over the price
  std::optional<double> deposit;    ///< over the price
  std::optional<Money> round_to;    ///< what prices are rounded up to; the last digit otherwise
  LearningCurve learning;
  YarnBy yarn_by = YarnBy::Use;
  std::vector<Consumable> consumables;
  std::map<std::string, double> minutes;  ///< by work, a row 10 cm wide; kBesides: a piece
};

/// The largest share of a price that margin and fees may be together.
inline constexpr double kMostOfPrice = 0.95;

/// Margin of a markup and back: m = u / (1 + u), u = m / (1 - m).
///
/// @throws OutOfRange unless 0 <= margin < 1, 0 <= markup
double margin_of_markup(double markup);
double markup_of_margin(double margin);

/// The price of a cost: cost / (1 - margin - fees), or cost (1 + markup) / (1 - fees); not rounded.
///
/// @throws OutOfRange unless just one of margin and markup stands, and margin and fees are at most
///         kMostOfPrice together
Money price_for(const Money& cost, const PricePolicy& policy);

/// The lowest price that leaves `cost` when the fees are paid, rounded up to what prices are
/// rounded to.
Money floor_for(const Money& cost, const PricePolicy& policy, const Currency& currency);

/// To what prices are rounded to.
Money as_price(const Money& amount, const PricePolicy& policy, const Currency& currency,
               Rounding rounding = Rounding::Nearest);

/// What is asked where so much would be due: to the currency's last digit, then up to what prices
/// are rounded to, so that rounding never takes from a margin or markup.
Money asked_for(const Money& due, const PricePolicy& policy, const Currency& currency);

/// What a yarn's price is of, where it has no put-up, by its id.
using PricedBy = std::map<std::string, yarn::PutUp>;

/// What the price of a yarn is of: its put-up, or the amount that is said.
/// @returns null where it has neither
const yarn::PutUp* priced_amount(const yarn::Yarn& yarn, const PricedBy* priced_by);

/// A yarn of a piece with what it is charged at.
struct YarnCost {
  std::string yarn;
  Money cost;             ///< of all pieces
  double mean_m = 0.0;    ///< of all pieces
  double mean_g = 0.0;    ///< of all pieces
  double waste = 0.0;     ///< of it lost as waste, over all of it
  int put_ups = 0;        ///< charged; 0 where it is by use
  bool left_out = false;  ///< without a put-up and a price: nothing is charged for it
};

/// What each of a series costs and sells for.
struct SeriesPrice {
  int pieces = 1;
  double minutes = 0.0;  ///< each
  /// Each, exact to the millionth.
  Money yarn;
  Money consumables;
  Money labour;
  Money overhead;
  Money cost;   ///< their sum
  Money price;  ///< rounded as prices are
  Money fees;   ///< rounded as the currency is
  Money left;   ///< of the price, when the fees and the cost as the currency has it are paid
  std::optional<Money> wholesale;  ///< what a shop pays, where that is a share of the price
  std::optional<Money> deposit;    ///< of the price of all of them
};

/// One cause of doubt.
struct Driver {
  std::string yarn;  ///< or empty, and then it is the minutes of a band
  int band = 0;
  std::string work;
  double share = 0.0;  ///< of the variance of the cost; all sum to 1
};

/// What a series costs, as far as that can be known.
struct CostDoubt {
  numeric::ShiftedLognormal each;  ///< in the currency's units
  std::vector<Driver> drivers;     ///< the largest first
};

/// What a piece is priced from.
struct PriceQuestion {
  const estimate::PieceModel& model;
  const estimate::PieceEstimate& estimate;
  const estimate::Learned* learned = nullptr;  ///< what the model was made with
  const std::map<std::string, Money>& prices;  ///< by yarn: of one put-up
  std::vector<Labour> labour;
  PricePolicy policy;  ///< with an hourly rate, and margin or markup
  Currency currency;
  int woven = 0;  ///< of the series already
  const PricedBy* priced_by = nullptr;
  const PutUpSizes* sizes = nullptr;  ///< of yarns sold in several; of others the price is of one
};

/// How many of these put-ups so much of a yarn is, by mass where they are sold by mass.
double put_ups_in(const yarn::PutUp& put_up, double length_m, double mass_g);

/// The yarns that have a put-up and no price.
std::vector<std::string> yarns_without_price(const estimate::PieceModel& model,
                                             const std::map<std::string, Money>& prices);

/// Prices one piece, or a series of it.
class Pricing {
 public:
  /// @param question  outlived by what it refers to; every yarn that has a put-up has a price
  explicit Pricing(PriceQuestion question);

  /// @param pieces  from 1 to kMostPieces
  std::vector<YarnCost> yarns(int pieces) const;
  SeriesPrice series(int pieces) const { return series(pieces, yarns(pieces)); }
  CostDoubt doubt(int pieces) const { return doubt(pieces, yarns(pieces)); }
  /// The same where the yarns of so many pieces are reckoned already.
  SeriesPrice series(int pieces, const std::vector<YarnCost>& yarns) const;
  CostDoubt doubt(int pieces, const std::vector<YarnCost>& yarns) const;

  const PriceQuestion& question() const { return question_; }
  /// Money of one line of labour in a series of so many, each.
  Money labour_cost(const Labour& line, int pieces) const;
  /// The same of every line as it is told, rounded as the currency is paid so that the lines add up
  /// to the labour told: what the lines come to up to it, rounded, less those before.
  std::vector<Money> labour_told(int pieces) const;
  /// The share of the first piece's time that each of a series takes.
  double time_factor(int pieces) const;

 private:
  void relate_yarns();
  bool is_by_put_up(std::size_t yarn) const;
  const yarn::PutUp* amount_priced(std::size_t yarn) const;
  std::vector<estimate::YarnEstimate> estimated(int pieces) const;
  /// Whole put-ups, and what they cost together; none where a yarn is charged by use.
  struct WholePutUps {
    int count = 0;
    Money cost;
  };
  WholePutUps whole_put_ups(std::size_t yarn, const estimate::YarnEstimate& all) const;
  YarnCost cost_of(std::size_t yarn, int pieces, const WholePutUps& whole) const;
  void put_on(SeriesPrice& each) const;
  double relation(const std::vector<std::size_t>& yarns, std::size_t a, std::size_t b,
                  int pieces) const;
  PriceQuestion question_;
  std::vector<double> own_;      ///< f of one piece's yarns: covariance over the means' product
  std::vector<double> between_;  ///< the same of two pieces alike
};

inline constexpr int kMostPieces = 40;

/// Everything that is said of a price.
struct Priced {
  SeriesPrice asked;
  std::vector<SeriesPrice> beside;  ///< at 1, 3 and 5 pieces and as many as asked, in order
  std::vector<YarnCost> yarns;      ///< of all that are asked for
  CostDoubt doubt;
  double confidence = 0.95;
  Money floor;  ///< lowest price each that covers the cost with that confidence
  Money low;    ///< price each where the cost comes to the low end of its range
  Money high;   ///< and to its high end
  /// The price of which a shop's share leaves the margin or markup meant, where shops are sold to.
  std::optional<Money> price_with_shops;
};

/// @param pieces      from 1 to kMostPieces
/// @param confidence  above 0.5 and below 1
Priced price_of(const Pricing& pricing, int pieces, double confidence);

}  // namespace ellwand::decide
