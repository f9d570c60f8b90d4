// Figures in her units, with the digits that their ranges support.

#include "show.hpp"

#include <gtest/gtest.h>

namespace ellwand::tools {
namespace {

const Shower kInGrams{studio::Shown{}};

Shower in_ounces_shown() {
  studio::Shown shown;
  shown.mass = studio::MassShown::Ounces;
  return Shower{shown};
}

// 2.7 oz between 1.8 and 4.0 was told as 3 (1 to 4), beside 570 (390 to 830) yd (2026-11-28).
TEST(Ranges, HaveTwoDigitsWhereTheirDoubtBeginsLow) {
  // The same range in units ten times smaller and larger: half of it is 1.1, 11, 110 and 0.11.
  EXPECT_EQ(kInGrams.range_text({1.8, 2.7, 4.0}, 1.0), "2.7 (1.8 to 4.0)");
  EXPECT_EQ(kInGrams.range_text({18.0, 27.0, 40.0}, 1.0), "27 (18 to 40)");
  EXPECT_EQ(kInGrams.range_text({180.0, 270.0, 400.0}, 1.0), "270 (180 to 400)");
  EXPECT_EQ(kInGrams.range_text({0.18, 0.27, 0.40}, 1.0), "0.27 (0.18 to 0.40)");
  EXPECT_EQ(kInGrams.range_text({390.0, 570.0, 830.0}, 1.0), "570 (390 to 830)");
}

TEST(Ranges, AreToldInOuncesAsInGrams) {
  // 28.349523125 g are an ounce: 51.04, 76.54 and 113.39 g are 1.80, 2.70 and 4.00 oz.
  const estimate::Spread weft{51.04, 76.54, 113.39};
  EXPECT_EQ(in_ounces_shown().range_text(weft, in_ounces_shown().mass(1.0)), "2.7 (1.8 to 4.0)");
  EXPECT_EQ(kInGrams.range_text(weft, kInGrams.mass(1.0)), "77 (51 to 114)");  // ends outwards
  EXPECT_EQ(in_ounces_shown().enough_mass_text(113.39, half(weft)), "4.0 oz");
}

TEST(Ranges, HaveNoMoreDigitsThanTheySupport) {
  // Half of it begins with 7, with 4 and with 7 again: one digit of it.
  EXPECT_EQ(kInGrams.range_text({1.0, 6.0, 15.0}, 1.0), "6 (1 to 15)");
  EXPECT_EQ(kInGrams.range_text({5.5, 8.4, 13.3}, 1.0), "8 (5 to 14)");
  EXPECT_EQ(kInGrams.range_text({10.0, 60.0, 160.0}, 1.0), "60 (10 to 160)");
  EXPECT_EQ(rounded_to(0.0, 0.3), "0.0");
}

TEST(Ranges, ThatAreNarrowHaveMoreDigitsThanTwo) {
  EXPECT_EQ(kInGrams.range_text({825.0, 838.2, 851.0}, 1.0), "838 (825 to 851)");
  EXPECT_EQ(kInGrams.range_text({20.31, 20.66, 20.98}, 1.0), "20.7 (20.3 to 21.0)");
}

TEST(Amounts, AreRoundedByTheirDoubt) {
  EXPECT_EQ(rounded_to(18.24, 2.2), "18");
  EXPECT_EQ(rounded_to(207.0, 76.0), "210");
  EXPECT_EQ(rounded_to(2.68, 1.1), "2.7");
  EXPECT_EQ(rounded_up_to(2.61, 1.1), "2.7");
}

TEST(Amounts, ToldInStepsKeepToThem) {
  EXPECT_EQ(kInGrams.mass_text(2.9, Steps{1.0}), "3 g");
  EXPECT_EQ(kInGrams.enough_yarn_text(4.2, Steps{1.0}), "5 m");
  EXPECT_EQ(kInGrams.mass_text(2.94, Steps{0.1}), "2.9 g");
  // A gram is 0.0353 oz: hundredths. 85.05 g are 3.00.
  EXPECT_EQ(in_ounces_shown().mass_text(85.05, Steps{1.0}), "3.00 oz");
}

}  // namespace
}  // namespace ellwand::tools
