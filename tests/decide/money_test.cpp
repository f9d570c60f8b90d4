// Money: exact sums, products rounded as said, currencies, reading.

#include "ellwand/decide/money.hpp"

#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

namespace ellwand::decide {
namespace {

Money money(const char* text) { return read_money(text); }

const Currency kEuro = currency_of("EUR");

TEST(Money, SumsAreExactWhereDoublesAreNot) {
  // 0.1 + 0.2 is 0.30000000000000004 in doubles, and a thousand times 0.01 is 9.999999999999831.
  EXPECT_EQ(money("0.1") + money("0.2"), money("0.3"));
  Money sum;
  for (int i = 0; i < 1000; ++i) sum += money("0.01");
  EXPECT_EQ(sum, Money::of_units(10));
  EXPECT_EQ(money("9.80").times(std::int64_t{3}) - money("0.40"), Money::of_units(29));
}

TEST(Money, ACommissionByHand) {
  // 6 h at 22 = 132; 15 % of it 19.80; yarn 14.60; other 3.20: 169.60. 30 % margin: / 0.7 =
  // 242.285714...; 30 % markup: x 1.3 = 220.48.
  const Money labour = money("22").times(std::int64_t{6});
  const Money cost = labour + labour.times(ratio_of(0.15)) + money("14.60") + money("3.20");
  EXPECT_EQ(figures(cost, kEuro), "169.60");
  EXPECT_EQ(cost.times(Ratio{10, 7}), money("242.285714"));
  EXPECT_EQ(told(cost.times(Ratio{10, 7}), kEuro), "242.29 EUR");
  EXPECT_EQ(told(cost.times(ratio_of(1.3)), kEuro), "220.48 EUR");
}

TEST(Money, HalvesGoAwayFromNothing) {
  EXPECT_EQ(figures(money("0.125"), kEuro), "0.13");
  EXPECT_EQ(figures(money("0.135"), kEuro), "0.14");
  EXPECT_EQ(figures(money("0.124999"), kEuro), "0.12");
  EXPECT_EQ(figures(-money("0.125"), kEuro), "-0.13");
  EXPECT_EQ(figures(-money("0.004"), kEuro), "0.00");
  // 0.000001 / 2 and / 3: half a millionth goes up, a third does not.
  EXPECT_EQ(money("0.000001").times(Ratio{1, 2}), money("0.000001"));
  EXPECT_EQ(money("0.000001").times(Ratio{1, 3}), Money());
  EXPECT_EQ((-money("0.000001")).times(Ratio{1, 2}), -money("0.000001"));
}

TEST(Money, IsRoundedUpWhereItMustNotFallShort) {
  EXPECT_EQ(rounded(money("10.000001"), kEuro, Rounding::Up), money("10.01"));
  EXPECT_EQ(rounded(money("10.01"), kEuro, Rounding::Up), money("10.01"));
  EXPECT_EQ(rounded(-money("10.019"), kEuro, Rounding::Up), -money("10.01"));
}

TEST(Money, RoundsToCashSteps) {
  // 242.29 lies between 242.25 and 242.30, nearer the second; 0.025 is in the middle.
  EXPECT_EQ(rounded(money("242.29"), money("0.05")), money("242.30"));
  EXPECT_EQ(rounded(money("0.025"), money("0.05")), money("0.05"));
  EXPECT_EQ(rounded(money("242.29"), money("5")), money("240"));
  EXPECT_EQ(rounded(money("242.29"), money("5"), Rounding::Up), money("245"));
}

TEST(Money, IsPrintedAsItsCurrencyIsPaid) {
  EXPECT_EQ(told(money("1234.5"), currency_of("JPY")), "1235 JPY");
  EXPECT_EQ(told(money("1234.5"), kEuro), "1234.50 EUR");
  EXPECT_EQ(told(money("1234.5678"), currency_of("KWD")), "1234.568 KWD");
  EXPECT_EQ(told(money("0.00005"), currency_of("CLF")), "0.0001 CLF");
  EXPECT_EQ(told(money("12"), currency_of("")), "12.00");
  EXPECT_EQ(told(money("12"), currency_of("taler")), "12.00 taler");
}

TEST(Currency, HasThePublishedDigits) {
  for (const auto& row : test::published_rows("currencies.csv", 30)) {
    EXPECT_EQ(currency_of(row.at("code")).digits, static_cast<int>(test::number(row, "digits")))
        << row.at("code");
  }
}

TEST(Currency, IsFoundInAnySpellingAndOtherwiseKept) {
  EXPECT_EQ(currency_of("jpy").code, "JPY");
  EXPECT_EQ(currency_of("jpy").digits, 0);
  EXPECT_TRUE(currency_of("Eur").is_listed);
  // "D A" stands in the list between two codes; "E" and the others are parts of one.
  for (const char* text : {"", "taler", "JPX", "D A", "E", "EURO"}) {
    EXPECT_EQ(currency_of(text).code, text);
    EXPECT_EQ(currency_of(text).digits, 2) << text;
    EXPECT_FALSE(currency_of(text).is_listed) << text;
  }
}

TEST(ReadMoney, ReadsBothMarksWhereTheyAreMeant) {
  EXPECT_EQ(read_money("9.80"), Money::of_millionths(9'800'000));
  EXPECT_EQ(read_money("9,80", DecimalMark::Comma), Money::of_millionths(9'800'000));
  EXPECT_EQ(read_money(" 12 "), Money::of_units(12));
  EXPECT_EQ(read_money(".5"), Money::of_millionths(500'000));
  EXPECT_EQ(read_money("0.000001"), Money::of_millionths(1));
  EXPECT_EQ(read_money("1000000000"), Money::of_units(1'000'000'000));
  EXPECT_EQ(read_money("007"), Money::of_units(7));
}

std::string refusal(const char* text, DecimalMark mark = DecimalMark::Point) {
  try {
    read_money(text, mark);
  } catch (const UnreadableText& unreadable) {
    return unreadable.what();
  }
  return "read";
}

TEST(ReadMoney, RefusesNonsense) {
  const std::string wanted =
      ": an amount of money is wanted, in digits without a sign, a currency or thousands "
      "separators, such as ";
  for (const std::string text : {"", "9,80", "1,200.50", "nan", "inf", "-4", "9.80 EUR", "9..8",
                                 "0x10", "9.", "3/8", "1e3", "."}) {
    EXPECT_EQ(refusal(text.c_str()), in_quotes(text) + wanted + "9.80");
  }
  EXPECT_EQ(refusal("1.200", DecimalMark::Comma), "\"1.200\"" + wanted + "9,80");
  EXPECT_EQ(refusal("1.0000001"), "\"1.0000001\" has more than six digits after the mark");
  for (const std::string text : {"1000000000.01", "99999999999999999999"}) {
    EXPECT_EQ(refusal(text.c_str()),
              in_quotes(text) + " is more than 1000000000, the most that is taken");
  }
}

TEST(Money, RefusesWhatItCannotHold) {
  const Money billion = Money::of_units(1'000'000'000);
  EXPECT_THROW(billion.times(std::int64_t{10}), OutOfRange);
  EXPECT_THROW(billion.times(ratio_of(10.0)), OutOfRange);
  EXPECT_THROW(billion.times(10.0), OutOfRange);
  EXPECT_THROW(Money::near(std::nan("")), OutOfRange);
  EXPECT_THROW(Money::near(1e300), OutOfRange);
  EXPECT_THROW(Money::of_units(std::int64_t{1} << 62), OutOfRange);
  Money sum;
  EXPECT_THROW(for (int i = 0; i < 10; ++i) sum += billion, OutOfRange);
}

TEST(Money, ByAMeasuredNumberIsTheNearestMillionth) {
  // 9.80 for 250 g, 6.1 g of it: 9.80 x 0.0244 = 0.239120.
  EXPECT_EQ(money("9.80").times(6.1 / 250.0), money("0.23912"));
  EXPECT_EQ(money("1").times(1.0 / 3.0), money("0.333333"));
  EXPECT_EQ(money("1").times(2.0 / 3.0), money("0.666667"));
  EXPECT_EQ(money("1000").times(1e-12), Money());
  EXPECT_EQ(money("1").times(1e-300), Money());
  EXPECT_EQ(money("0.000003").times(0.5), money("0.000002"));
}

RC_GTEST_PROP(MoneyHolds, WhatItPrintsIsReadBackTheSame, ()) {
  const auto count = *rc::gen::inRange<std::int64_t>(0, 1'000'000'000'000);
  const Currency currency = currency_of(*rc::gen::element<std::string>("EUR", "JPY", "KWD", "CLF"));
  const Money amount = rounded(Money::of_millionths(count), currency);
  RC_ASSERT(read_money(figures(amount, currency)) == amount);
}

RC_GTEST_PROP(MoneyHolds, RoundingMovesByAtMostHalfAStepAndUpNeverLowers, ()) {
  const Money amount =
      Money::of_millionths(*rc::gen::inRange<std::int64_t>(-1'000'000'000'000, 1'000'000'000'000));
  const Money step = Money::of_millionths(*rc::gen::inRange<std::int64_t>(1, 100'000'000));
  const Money near = rounded(amount, step);
  const Money up = rounded(amount, step, Rounding::Up);
  const Money off = near > amount ? near - amount : amount - near;
  RC_ASSERT(off.times(std::int64_t{2}) <= step);
  RC_ASSERT(up >= amount && up - amount < step);
  RC_ASSERT(near.millionths() % step.millionths() == 0);
  RC_ASSERT(up.millionths() % step.millionths() == 0);
}

RC_GTEST_PROP(MoneyHolds, AProductIsTheNearestMillionth, ()) {
  const auto count = *rc::gen::inRange<std::int64_t>(-1'000'000'000, 1'000'000'000);
  const auto over = *rc::gen::inRange<std::int64_t>(-1'000, 1'000);
  const auto under = *rc::gen::inRange<std::int64_t>(1, 1'000);
  const Money product = Money::of_millionths(count).times(Ratio{over, under});
  // |product under - count over| <= under / 2, in whole numbers that fit 64 bits.
  const std::int64_t rest = product.millionths() * under - count * over;
  RC_ASSERT(2 * (rest < 0 ? -rest : rest) <= under);
}

}  // namespace
}  // namespace ellwand::decide
