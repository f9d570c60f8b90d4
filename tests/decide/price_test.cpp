// Prices: margin and markup, the lowest price, sums, ranges against samples.

#include "ellwand/decide/price.hpp"

#include "ellwand/units/error.hpp"
#include "support/draws.hpp"
#include "support/published_rows.hpp"
#include "support/studios.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>

namespace ellwand::decide {
namespace {

using estimate::OfYarn;
using estimate::PieceModel;
using estimate::Shared;

const Currency kEuro = currency_of("EUR");

PricePolicy a_policy() {
  PricePolicy policy;
  policy.hourly_rate = Money::of_units(22);
  policy.overhead = 0.15;
  policy.margin = 0.3;
  return policy;
}

/// Everything a pricing refers to, of a piece of the demo with its yarns so many times as dear.
struct Priceable {
  PieceModel model;
  estimate::PieceEstimate estimate;
  std::map<std::string, Money> prices;
  std::vector<Labour> labour;

  explicit Priceable(const piece::Piece& piece, std::int64_t dearer = 1)
      : model(piece, test::demo_workshop()),
        estimate(estimate::estimate(model, {}, {})),
        labour(labour_of(tasks_of(model, estimate, test::starting_values()), {},
                         test::starting_values())) {
    for (const auto& [yarn, price] : test::demo_studio().prices) {
      prices[yarn] = price.times(dearer);
    }
  }
  explicit Priceable(const std::string& piece, std::int64_t dearer = 1)
      : Priceable(test::demo_piece(piece), dearer) {}

  Pricing pricing(const PricePolicy& policy = a_policy(), const Currency& currency = kEuro) const {
    return Pricing({model, estimate, nullptr, prices, labour, policy, currency, 0});
  }
};

TEST(MarginAndMarkup, AgreeWithPrintedRows) {
  int rows = 0;
  for (const auto& row : test::published_rows("pricing.csv", 8)) {
    const auto given = test::given(row);
    if (row.at("kind") == "margin") {
      EXPECT_NEAR(margin_of_markup(given.at("markup")), test::number(row, "printed"),
                  test::number(row, "tolerance"))
          << row.at("given");
    } else if (row.at("kind") == "markup") {
      EXPECT_NEAR(markup_of_margin(given.at("margin")), test::number(row, "printed"),
                  test::number(row, "tolerance"))
          << row.at("given");
    } else {
      continue;
    }
    ++rows;
  }
  EXPECT_EQ(rows, 8);
}

RC_GTEST_PROP(MarginAndMarkup, InvertEachOther, ()) {
  const double margin = *rc::gen::inRange(0, 9'000) / 10'000.0;
  RC_ASSERT(std::abs(margin_of_markup(markup_of_margin(margin)) - margin) < 1e-12);
  // The price of either is the same: to the nine digits that shares are held to, on both sides.
  const Money cost = Money::of_millionths(*rc::gen::inRange<std::int64_t>(0, 10'000'000'000));
  PricePolicy by_margin;
  by_margin.margin = margin;
  PricePolicy by_markup;
  by_markup.markup = markup_of_margin(margin);
  const double off = (price_for(cost, by_margin) - price_for(cost, by_markup)).approximately();
  RC_ASSERT(std::abs(off) <= 2e-6 + 2e-9 * cost.approximately() / (1.0 - margin));
}

TEST(PriceFor, ByHand) {
  PricePolicy policy;
  policy.margin = 0.3;
  EXPECT_EQ(figures(price_for(read_money("169.60"), policy), kEuro), "242.29");
  policy.margin.reset();
  policy.markup = 0.3;
  EXPECT_EQ(figures(price_for(read_money("169.60"), policy), kEuro), "220.48");
  // With 4 % of fees: 220.48 / 0.96 = 229.67; by margin 169.60 / 0.66 = 256.97.
  policy.fees = 0.04;
  EXPECT_EQ(figures(price_for(read_money("169.60"), policy), kEuro), "229.67");
  policy.markup.reset();
  policy.margin = 0.3;
  EXPECT_EQ(figures(price_for(read_money("169.60"), policy), kEuro), "256.97");
}

TEST(PriceFor, RefusesBothAndNeitherAndMoreThanCanBePaid) {
  PricePolicy policy;
  EXPECT_THROW(price_for(Money::of_units(1), policy), OutOfRange);
  policy.margin = 0.3;
  policy.markup = 0.3;
  EXPECT_THROW(price_for(Money::of_units(1), policy), OutOfRange);
  policy.markup.reset();
  policy.margin = 0.9;
  policy.fees = 0.06;
  EXPECT_THROW(price_for(Money::of_units(1), policy), OutOfRange);
}

// 169.60 / 0.7 = 242.29: at 240 only 29.3 % would be left.
TEST(AskedFor, IsNeverLessThanWhatIsDue) {
  PricePolicy policy;
  EXPECT_EQ(asked_for(read_money("242.285714"), policy, kEuro), read_money("242.29"));
  policy.round_to = Money::of_units(5);
  EXPECT_EQ(asked_for(read_money("242.285714"), policy, kEuro), Money::of_units(245));
  EXPECT_EQ(asked_for(read_money("240.01"), policy, kEuro), Money::of_units(245));
  EXPECT_EQ(asked_for(read_money("240"), policy, kEuro), Money::of_units(240));
  // What cannot be paid is not due: 240.004 is 240.00.
  EXPECT_EQ(asked_for(read_money("240.004"), policy, kEuro), Money::of_units(240));
}

// Lines of labour added up to a cent less than the labour beside them (2026-11-28).
TEST(LabourTold, AddsUpToTheLabourByHand) {
  // Ten minutes at 22.00 an hour are 3.6667, and three times that 11.00; each rounded, 11.01. Up to
  // the first 3.67, to the second 7.33, to the third 11.00.
  Priceable plain("wrackline");
  plain.labour = {{1, "weave", 10.0, Basis::Stated, 0.2, 0.0},
                  {2, "weave", 10.0, Basis::Stated, 0.2, 0.0},
                  {0, kBesides, 10.0, Basis::Stated, 0.2, 0.0}};
  const Pricing pricing = plain.pricing();
  const std::vector<Money> told = pricing.labour_told(1);
  ASSERT_EQ(told.size(), 3U);
  EXPECT_EQ(told[0], read_money("3.67"));
  EXPECT_EQ(told[1], read_money("3.66"));
  EXPECT_EQ(told[2], read_money("3.67"));
  EXPECT_EQ(told[0] + told[1] + told[2], rounded(pricing.series(1).labour, kEuro));
}

RC_GTEST_PROP(FloorFor, LeavesTheCostAndOneStepLessDoesNot, ()) {
  const Currency currency = currency_of(*rc::gen::element<std::string>("EUR", "JPY", "KWD"));
  PricePolicy policy;
  policy.margin = 0.3;
  policy.fees = *rc::gen::inRange(0, 500) / 1000.0;
  if (*rc::gen::arbitrary<bool>()) policy.round_to = Money::of_units(*rc::gen::inRange(1, 50));
  const Money cost = Money::of_millionths(*rc::gen::inRange<std::int64_t>(1, 10'000'000'000));
  const Money floor = floor_for(cost, policy, currency);
  const Money step = policy.round_to.value_or(currency.smallest());
  const auto left_of = [&](const Money& price) {
    return price - price.times(ratio_of(policy.fees));
  };
  // A millionth is what a product is rounded to.
  const Money millionth = Money::of_millionths(2);
  RC_ASSERT(left_of(floor) + millionth >= cost);
  RC_ASSERT(left_of(floor - step) < cost + millionth);
  RC_ASSERT(floor.millionths() % step.millionths() == 0);
}

TEST(PriceOf, MoreConfidenceNeverLowersTheFloor) {
  for (const char* name : {"saltmarsh", "sedge", "shingle", "tideline", "undertow", "wrackline"}) {
    const Priceable piece(name);
    const Pricing pricing = piece.pricing();
    Money before;
    for (const double confidence : {0.51, 0.6, 0.8, 0.9, 0.95, 0.99, 0.999}) {
      const Money floor = price_of(pricing, 1, confidence).floor;
      EXPECT_GE(floor, before) << name << " at " << confidence;
      before = floor;
    }
  }
}

TEST(PriceOf, TheFloorLeavesTheCostOfThatChance) {
  const Priceable piece("saltmarsh");
  PricePolicy policy = a_policy();
  policy.fees = 0.06;
  const Priced priced = price_of(piece.pricing(policy), 3, 0.9);
  const double left = 0.94 * priced.floor.approximately();
  EXPECT_GE(left, priced.doubt.each.quantile(0.9) - 1e-6);
  EXPECT_LE(left,
            priced.doubt.each.quantile(0.9) + 0.0095);  // a cent, less its fees, and a millionth
}

TEST(Series, SumsToTheLastDigitInEveryCurrency) {
  const Priceable piece("saltmarsh");
  for (const char* code : {"EUR", "JPY", "KWD"}) {
    const Currency currency = currency_of(code);
    PricePolicy policy = a_policy();
    policy.fees = 0.029;
    policy.learning.rate = 0.9;
    policy.consumables = {{"label", read_money("0.333333")}};
    for (const int pieces : {1, 3, 5, 7}) {
      const SeriesPrice each = piece.pricing(policy, currency).series(pieces);
      EXPECT_EQ(each.yarn + each.consumables + each.labour + each.overhead, each.cost);
      EXPECT_EQ(rounded(each.cost, currency) + each.fees + each.left, each.price);
      EXPECT_EQ(rounded(each.price, currency), each.price);
    }
  }
}

TEST(Series, WithoutLearningAndByUseCostsTheSameHoweverLong) {
  const Priceable piece("tideline");
  const Pricing pricing = piece.pricing();
  // Each yarn's cost is rounded to a millionth, before and after it is shared.
  EXPECT_NEAR(pricing.series(1).cost.approximately(), pricing.series(5).cost.approximately(), 1e-5);
}

TEST(Series, OfWholePutUpsSharesThem) {
  // A put-up of 250 g does for one piece of 6 g of warp as for five.
  const Priceable piece("saltmarsh");
  PricePolicy policy = a_policy();
  policy.yarn_by = YarnBy::PutUp;
  const Pricing pricing = piece.pricing(policy);
  const std::vector<YarnCost> one = pricing.yarns(1);
  const std::vector<YarnCost> five = pricing.yarns(5);
  EXPECT_EQ(one[0].put_ups, 1);
  EXPECT_EQ(five[0].put_ups, 1);
  EXPECT_EQ(five[0].cost, piece.prices.at("seine-12-6"));
  for (std::size_t y = 0; y < one.size(); ++y) {
    EXPECT_EQ(one[y].put_ups, piece.estimate.yarns[y].put_ups) << one[y].yarn;
    EXPECT_LE(five[y].put_ups, 5 * one[y].put_ups) << one[y].yarn;
    EXPECT_GE(five[y].put_ups, one[y].put_ups) << one[y].yarn;
  }
}

// A ball of 50 g for 4.00 and one of 200 g for 7.00: above 50 g the large one is cheaper.
TEST(Series, OfAYarnSoldInSeveralSizesTakesThoseThatComeCheapest) {
  const Priceable piece("saltmarsh");
  PricePolicy policy = a_policy();
  policy.yarn_by = YarnBy::PutUp;
  const std::string rust = "rug-wool-rust";
  const PutUpSizes sizes = {{rust, {{50.0, Money::of_units(4)}, {200.0, Money::of_units(7)}}}};
  const Pricing pricing({piece.model, piece.estimate, nullptr, piece.prices, piece.labour, policy,
                         kEuro, 0, nullptr, &sizes});
  const auto cost_of = [&](int pieces) {
    const std::vector<YarnCost> all = pricing.yarns(pieces);
    return *std::find_if(all.begin(), all.end(),
                         [&](const YarnCost& one) { return one.yarn == rust; });
  };
  // README: one piece takes 15 g of it, 10 to 23, so five take more than 50 g and less than 200.
  EXPECT_EQ(cost_of(1).cost, Money::of_units(4));
  EXPECT_EQ(cost_of(1).put_ups, 1);
  EXPECT_EQ(cost_of(5).cost, Money::of_units(7));
  EXPECT_EQ(cost_of(5).put_ups, 1);
}

TEST(YarnsByUse, AreChargedAtTheirMeans) {
  const Priceable piece("saltmarsh");
  const std::vector<YarnCost> yarns = piece.pricing().yarns(1);
  for (std::size_t y = 0; y < yarns.size(); ++y) {
    const estimate::YarnEstimate& own = piece.estimate.yarns[y];
    const yarn::PutUp& put_up = *piece.model.yarns()[y]->put_up;
    const double share = put_up.net_mass ? own.mean_g / in_grams(*put_up.net_mass)
                                         : own.mean_m / in_metres(*put_up.length);
    // To the millionth that money is held to.
    EXPECT_NEAR(yarns[y].cost.approximately(), share * piece.prices.at(own.yarn).approximately(),
                1e-6)
        << own.yarn;
  }
}

TEST(Drivers, AreSharesOfOneAndNameWhatIsUnsure) {
  const Priceable piece("saltmarsh");
  const std::vector<Driver> drivers = piece.pricing().doubt(1).drivers;
  double sum = 0.0;
  for (std::size_t i = 0; i < drivers.size(); ++i) {
    sum += drivers[i].share;
    if (i > 0) {
      EXPECT_LE(drivers[i].share, drivers[i - 1].share);
    }
  }
  EXPECT_NEAR(sum, 1.0, 1e-9);  // a dozen roundings
  // At an hour's 22 a cent's worth of yarn does not count; at yarn a thousand times as dear the
  // minutes do not.
  EXPECT_EQ(drivers[0].yarn, "");
  EXPECT_NE(Priceable("saltmarsh", 1000).pricing().doubt(1).drivers[0].yarn, "");
  PricePolicy by_put_up = a_policy();
  by_put_up.yarn_by = YarnBy::PutUp;
  for (const Driver& driver : piece.pricing(by_put_up).doubt(1).drivers) {
    EXPECT_EQ(driver.yarn, "");
  }
}

/// Costs of a series each, drawn from the model itself and from the doubt in minutes, sorted.
///
/// What pieces share is drawn once for all of them; what is each piece's own, and the strips of a
/// split roving, anew.
std::vector<double> sampled_costs(const Priceable& piece, int pieces, std::size_t count) {
  const PieceModel& model = piece.model;
  const std::vector<double>& spreads = model.coefficients().spreads;
  const auto is_own = [&](std::size_t c) {
    if (c == index_of(Shared::PieceTake) || c == index_of(Shared::BeatPiece)) return true;
    return c >= estimate::kShared &&
           (c - estimate::kShared) % estimate::kPerYarn == static_cast<std::size_t>(OfYarn::Split);
  };
  test::NormalDraws draws(20260502);
  std::vector<double> costs;
  std::vector<double> deviations(spreads.size());
  for (std::size_t s = 0; s < count; ++s) {
    double cost = 0.0;
    for (int p = 0; p < pieces; ++p) {
      for (std::size_t c = 0; c < spreads.size(); ++c) {
        if (p == 0 || is_own(c)) deviations[c] = spreads[c] * draws.next();
      }
      for (const estimate::LedgerLine& line :
           model.ledger(deviations, technique::Counting::Smooth)) {
        const yarn::Yarn& yarn = *model.yarns()[line.yarn];
        const double metres = in_metres(line.length);
        const double lot = std::exp(deviations[index_of(OfYarn::Lot, line.yarn)]);
        const double share = yarn.put_up->net_mass ? metres * 1e-3 * in_tex(yarn.linear_density) *
                                                         lot / in_grams(*yarn.put_up->net_mass)
                                                   : metres / in_metres(*yarn.put_up->length);
        cost += share * piece.prices.at(yarn.id).approximately() / pieces;
      }
    }
    const double common = draws.next();
    std::map<std::string, double> own;
    for (const Labour& line : piece.labour) {
      if (own.count(line.work) == 0) own[line.work] = draws.next();
      const double log = line.own_log_sd * own[line.work] + line.common_log_sd * common -
                         0.5 * log_covariance(line, line);
      cost += 22.0 * 1.15 * line.minutes / 60.0 * std::exp(log);
    }
    costs.push_back(cost);
  }
  std::sort(costs.begin(), costs.end());
  return costs;
}

/// Yarn is made so dear that it and the minutes count alike.
///
/// 40 000 samples of a log-sd about 0.25 know an end to 0.25 x 2.1 / 200 = 0.3 %; the points of a
/// sum are within 3 % at the ends and 1 % in the middle (sum_points.hpp), as the estimate's are.
TEST(Doubt, AgreesWithSamplesOfTheModel) {
  struct Sampled {
    const char* name;
    std::int64_t dearer;
    int pieces;
  };
  for (const Sampled& one : {Sampled{"saltmarsh", 30, 1}, Sampled{"saltmarsh", 30, 4},
                             Sampled{"tideline", 10, 3}, Sampled{"wrackline", 1, 1}}) {
    SCOPED_TRACE(std::string(one.name) + " x " + std::to_string(one.pieces));
    const Priceable piece(one.name, one.dearer);
    const Pricing pricing = piece.pricing();
    const numeric::ShiftedLognormal each = pricing.doubt(one.pieces).each;
    const auto count = static_cast<std::size_t>(40'000 / one.pieces);
    const std::vector<double> costs = sampled_costs(piece, one.pieces, count);
    const auto at = [&](double p) {
      return costs[static_cast<std::size_t>(p * static_cast<double>(costs.size()))];
    };
    EXPECT_NEAR(each.quantile(0.05) / at(0.05), 1.0, 0.03);
    EXPECT_NEAR(each.quantile(0.50) / at(0.50), 1.0, 0.015);
    EXPECT_NEAR(each.quantile(0.95) / at(0.95), 1.0, 0.03);
    // And what it costs on average is that distribution's mean.
    EXPECT_NEAR(pricing.series(one.pieces).cost.approximately() / each.mean(), 1.0, 0.01);
  }
}

TEST(Doubt, OfASeriesEvensOutOnlyWhatIsEachPiecesOwn) {
  const Priceable piece("saltmarsh", 30);
  const Pricing pricing = piece.pricing();
  const auto width = [&](int pieces) {
    const numeric::Range range = numeric::range_of(pricing.doubt(pieces).each);
    return range.high / range.low;
  };
  EXPECT_LT(width(5), width(1));
  EXPECT_GT(width(5), 1.0 + 0.5 * (width(1) - 1.0));  // most is the same hand's in all of them
}

TEST(Pricing, RefusesASeriesItCannotReckon) {
  const Priceable piece("tideline");
  EXPECT_THROW(piece.pricing().series(0), OutOfRange);
  EXPECT_THROW(piece.pricing().series(kMostPieces + 1), OutOfRange);
  PricePolicy policy = a_policy();
  policy.hourly_rate.reset();
  EXPECT_THROW(piece.pricing(policy), OutOfRange);
}

}  // namespace
}  // namespace ellwand::decide
