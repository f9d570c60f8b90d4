// What to buy: the newsvendor's published examples, five pieces by hand, lots, more for more.

#include "ellwand/decide/buy.hpp"

#include "ellwand/numeric/normal.hpp"
#include "ellwand/units/error.hpp"
#include "support/draws.hpp"
#include "support/published_rows.hpp"
#include "support/studios.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <list>
#include <string>
#include <vector>

namespace ellwand::decide {
namespace {

using estimate::Parts;
using numeric::ShiftedLognormal;

ShiftedLognormal normal(double mean, double sd) {
  return ShiftedLognormal(numeric::Moments{mean, sd * sd, 0.0}, -1e9);
}

double published(const std::string& of, const std::map<std::string, double>& given) {
  const StockCosts costs{given.at("short"), given.at("left")};
  const double chance = critical_chance(costs);
  const ShiftedLognormal need = normal(given.at("mean"), given.at("sd"));
  const double amount = need.quantile(chance);
  if (of == "chance") return chance;
  if (of == "amount") return amount;
  if (of == "short") return expected_short(need, amount);
  if (of == "left") return expected_left(need, amount);
  // What is sold earns what one short loses, what is left loses its own.
  return costs.short_of * (given.at("mean") - expected_short(need, amount)) -
         costs.left * expected_left(need, amount);
}

TEST(Stock, AgreesWithPublishedExamples) {
  for (const auto& row : test::published_rows("stock.csv", 18)) {
    const auto given = test::given(row);
    double got = 0.0;
    if (row.at("kind") == "newsvendor") got = published(row.at("of"), given);
    if (row.at("kind") == "loss") got = expected_short(normal(0.0, 1.0), given.at("k"));
    if (row.at("kind") == "score") got = numeric::normal_quantile(given.at("chance"));
    EXPECT_NEAR(got, test::number(row, "printed"), test::number(row, "tolerance"))
        << test::where(row) << ", " << row.at("of");
  }
}

TEST(Stock, IsShortAsOftenAsSamplesOfASkewedNeed) {
  // exp(0.4 z) x 50 + 10: of 400 000 draws the mean strays by 50 x 0.45 / 632 = 0.035.
  const double z = numeric::normal_quantile(0.95);
  const ShiftedLognormal need(
      numeric::Range{10.0 + 50.0 * std::exp(-0.4 * z), 60.0, 10.0 + 50.0 * std::exp(0.4 * z)});
  test::NormalDraws draws(11);
  for (const double stock : {40.0, 60.0, 90.0}) {
    double sum = 0.0;
    for (int i = 0; i < 400'000; ++i) {
      sum += std::max(0.0, 10.0 + 50.0 * std::exp(0.4 * draws.next()) - stock);
    }
    EXPECT_NEAR(expected_short(need, stock), sum / 400'000, 0.12) << stock;
  }
}

TEST(Stock, RefusesCostsThatAreNone) {
  EXPECT_THROW(critical_chance({0.0, 1.0}), OutOfRange);
  EXPECT_THROW(critical_chance({1.0, -1.0}), OutOfRange);
}

TEST(FivePieces, ByHand) {
  // 62 g each; studio 0.045 and lot 0.03 in common, piece 0.06. 95 % of the sum is 342.8 g by 4
  // million samples, 342.9 by moments: 4 balls of 100 g. Five allowances of their own: log-sd
  // sqrt(0.045^2 + 0.03^2 + 0.06^2) = 0.0808, 62 exp(1.645 x 0.0808) = 70.8, times five 354.
  Parts parts;
  parts.coefficients = 6;
  const double common = std::hypot(0.045, 0.03);
  for (std::size_t i = 0; i < 5; ++i) {
    parts.places.push_back({1, 0, technique::Portion::Laid});
    parts.medians_m.push_back(62.0);
    std::vector<double> row(6, 0.0);
    row[0] = common;
    row[i + 1] = 0.06;
    parts.slopes.add(row);
    parts.at_states_m.emplace_back();
  }
  const ShiftedLognormal all = estimate::Sum(parts, {0, 1, 2, 3, 4}).length_m();
  EXPECT_NEAR(all.quantile(0.95), 342.8, 0.1);
  EXPECT_EQ(std::ceil(all.quantile(0.95) / 100.0), 4.0);
  const ShiftedLognormal one = estimate::Sum(parts, {0}).length_m();
  EXPECT_NEAR(5.0 * one.quantile(0.95), 354.0, 0.5);
}

/// Pieces of the demo with a shelf.
struct Basket {
  std::list<estimate::PieceModel> models;
  std::list<estimate::PieceEstimate> estimates;
  std::vector<estimate::Estimated> pieces;
  estimate::Shelf shelf;
  BuyPolicy policy;
  std::map<std::string, Money> prices = test::demo_studio().prices;

  void add(const piece::Piece& piece) {
    models.emplace_back(piece, test::demo_workshop());
    estimate::Options options;
    options.chances = false;
    estimates.push_back(estimate::estimate(models.back(), {}, options));
    pieces.push_back({&models.back(), &estimates.back()});
  }
  void stock(const std::string& yarn, const std::vector<double>& lots_g) {
    estimate::Stock& stock = shelf[yarn];
    stock = {};
    for (const double lot_g : lots_g) {
      stock.each.push_back({"L" + std::to_string(stock.lots++), grams(lot_g), {}});
      stock.mass += grams(lot_g);
    }
  }
  Purchase of(const std::string& yarn) const {
    for (const Purchase& one : shopping_list({pieces, nullptr, shelf, prices, policy}).yarns) {
      if (one.yarn == yarn) return one;
    }
    ADD_FAILURE() << yarn;
    return {};
  }
};

/// One weave of rug wool ash.
piece::Piece one_weave(const std::string& head = "", int rows = 400) {
  return test::read_demo_piece("[piece]\nname = \"Trial\"\n" + head +
                               "[loom]\nkind = \"notched\"\nspan = \"90 cm\"\npitch = \"4 mm\"\n"
                               "[warp]\nyarn = \"seine-12-6\"\nends = 45\n[[band]]\n"
                               "work = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = " +
                               std::to_string(rows) + "\n");
}

TEST(Shopping, OfOnePieceIsItsSetAside) {
  Basket basket;
  basket.add(one_weave());
  const Purchase one = basket.of("rug-wool-ash");
  const estimate::YarnEstimate& estimate = basket.estimates.front().yarns[1];
  // The same 95 % point, of the same parts: to rounding.
  EXPECT_NEAR(one.to_buy, estimate.set_aside_g, 1e-9 * one.to_buy);
  EXPECT_EQ(one.put_ups, estimate.put_ups);
  EXPECT_EQ(*one.cost, basket.prices.at("rug-wool-ash").times(std::int64_t{*one.put_ups}));
}

TEST(Shopping, OfSeveralRoundsTheirSumUpOnce) {
  Basket basket;
  for (const char* piece : {"saltmarsh", "tideline", "undertow", "wrackline"}) {
    basket.add(test::demo_piece(piece));
  }
  const estimate::Totals totals = estimate::totals_of(basket.pieces, {}, {});
  for (const estimate::YarnEstimate& yarn : totals.yarns) {
    const Purchase one = basket.of(yarn.yarn);
    EXPECT_EQ(one.put_ups, yarn.put_ups) << yarn.yarn;
    EXPECT_NEAR(one.need_g.high, yarn.mass_g.high, 1e-9 * one.need_g.high) << yarn.yarn;
  }
}

TEST(Shopping, KeepsAnAreaInOneLotUnlessTheyMayMix) {
  // Two lots that hold the set-aside together, and neither alone.
  Basket basket;
  basket.add(one_weave());
  const double set_aside_g = basket.estimates.front().yarns[1].set_aside_g;
  basket.stock("rug-wool-ash", {0.7 * set_aside_g, 0.7 * set_aside_g});
  EXPECT_GE(*basket.of("rug-wool-ash").put_ups, 1);
  Basket mixing;
  mixing.add(one_weave("lots = \"may mix\"\n"));
  mixing.shelf = basket.shelf;
  EXPECT_EQ(mixing.of("rug-wool-ash").put_ups, 0);
  // One that does is taken whole, the smaller of those that do.
  basket.stock("rug-wool-ash", {3.0 * set_aside_g, 1.1 * set_aside_g});
  const Purchase one = basket.of("rug-wool-ash");
  EXPECT_EQ(one.put_ups, 0);
  EXPECT_TRUE(one.lots[0].places.empty());
  ASSERT_EQ(one.lots[1].places.size(), 1U);
  EXPECT_EQ(one.lots[1].places[0].band, 1);
}

TEST(Shopping, TellsHowOftenALotIsShort) {
  // It holds the set-aside, which is short once in twenty times.
  Basket basket;
  basket.add(one_weave());
  basket.policy.enough = 0.9;
  basket.stock("rug-wool-ash", {basket.estimates.front().yarns[1].set_aside_g});
  const Purchase one = basket.of("rug-wool-ash");
  ASSERT_EQ(one.lots[0].places.size(), 1U);
  ASSERT_TRUE(one.lots[0].chance_short);
  EXPECT_NEAR(*one.lots[0].chance_short, 0.05, 1e-6);
  Basket mixing;
  mixing.add(one_weave("lots = \"may mix\"\n"));
  mixing.shelf = basket.shelf;
  EXPECT_FALSE(mixing.of("rug-wool-ash").lots[0].chance_short);
}

TEST(Shopping, LeavesALotInPiecesTooShort) {
  Basket basket;
  basket.add(one_weave());
  basket.stock("rug-wool-ash", {1000.0});
  EXPECT_EQ(basket.of("rug-wool-ash").put_ups, 0);
  basket.shelf["rug-wool-ash"].each[0].longest_piece = centimetres(20.0);  // a row takes more
  EXPECT_GE(*basket.of("rug-wool-ash").put_ups, 1);
}

TEST(Shopping, GoesByWhatRunningOutCosts) {
  // A ball is 7.90, worth 3.95 when left over. Running out at 40: 40 / 43.95 = 0.9101.
  Basket basket;
  basket.add(one_weave());
  basket.policy.left_over_worth = 0.5;
  basket.policy.running_out = read_money("40");
  const Purchase one = basket.of("rug-wool-ash");
  EXPECT_NEAR(one.enough, 0.9101, 0.00005);
  EXPECT_TRUE(one.by_cost);
  EXPECT_LE(one.chance_short, 1.0 - one.enough);
  // At 1.00 it is not worth much margin: 1 / 4.95 = 0.2020; at 4000 it is 0.9990.
  basket.policy.running_out = read_money("1");
  EXPECT_NEAR(basket.of("rug-wool-ash").enough, 0.2020, 0.00005);
  basket.policy.running_out = read_money("4000");
  EXPECT_NEAR(basket.of("rug-wool-ash").enough, 0.9990, 0.00005);
}

RC_GTEST_PROP(Shopping, MoreSureIsNeverLessAndMoreStockIsNeverMore, ()) {
  Basket basket;
  basket.add(one_weave("", *rc::gen::inRange(50, 1000)));
  basket.policy.enough = *rc::gen::inRange(510, 980) / 1000.0;
  const double stock_g = *rc::gen::inRange(0, 400) * 1.0;
  basket.stock("rug-wool-ash", {stock_g});
  const Purchase one = basket.of("rug-wool-ash");
  *basket.policy.enough += 0.015;
  RC_ASSERT(basket.of("rug-wool-ash").to_buy >= one.to_buy);
  *basket.policy.enough -= 0.015;
  basket.stock("rug-wool-ash", {stock_g + *rc::gen::inRange(0, 200)});
  RC_ASSERT(basket.of("rug-wool-ash").to_buy <= one.to_buy);
}

TEST(Shopping, RefusesWhatIsNoList) {
  const Basket nothing;
  EXPECT_THROW(nothing.of("rug-wool-ash"), OutOfRange);
}

}  // namespace
}  // namespace ellwand::decide
