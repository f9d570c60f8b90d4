// Lengths marked in sentences and told in a unit: 25.4 mm are an inch. An ounce is 28.349523125 g,
// a yard 0.9144 m.

#include "ellwand/units/told.hpp"

#include <gtest/gtest.h>

#include "ellwand/units/error.hpp"

namespace ellwand {
namespace {

TEST(Told, InTheUnitOfTheReader) {
  const std::string sentence = "ends " + thread_size(millimetres(5.08)) + " apart (" +
                               density(1.0 / millimetres(5.08)) + ") over " +
                               cloth_size(centimetres(50.8)) + "; weave on";
  EXPECT_EQ(in_unit(sentence, LengthShown::Centimetres),
            "ends 5.08 mm apart (1.97 per cm) over 50.8 cm; weave on");
  EXPECT_EQ(in_unit(sentence, LengthShown::Inches),
            "ends 0.2 in apart (5 per inch) over 20.0 in; weave on");
}

TEST(Told, RodsToAHundredthOfAnInch) {
  // 3/4 in are 19.05 mm, and 3/8 in 0.375.
  EXPECT_EQ(in_unit(rod_size(inches(0.75)), LengthShown::Inches), "0.75 in");
  EXPECT_EQ(in_unit(rod_size(millimetres(10.0)), LengthShown::Inches), "0.39 in");
  EXPECT_EQ(in_unit(rod_size(millimetres(10.0)), LengthShown::Centimetres), "1.0 cm");
}

TEST(Told, ARodThatPassesIsNeverToldTooThick) {
  // 12.9 mm are 0.5079 in.
  EXPECT_EQ(in_unit(rod_size_within(millimetres(12.9)), LengthShown::Centimetres), "1.2 cm");
  EXPECT_EQ(in_unit(rod_size_within(millimetres(12.9)), LengthShown::Inches), "0.50 in");
  EXPECT_EQ(in_unit(rod_size_within(millimetres(20.0)), LengthShown::Centimetres), "2.0 cm");
  EXPECT_EQ(in_unit(rod_size_within(inches(0.75)), LengthShown::Inches), "0.75 in");
}

TEST(Told, AreasOfCloth) {
  const std::string area = cloth_area(square_centimetres(64.516));
  EXPECT_EQ(in_unit(area, LengthShown::Centimetres), "64.5 cm2");
  EXPECT_EQ(in_unit(area, LengthShown::Inches), "10.0 in2");
}

TEST(Told, AmountsOfYarnInPlainDigits) {
  EXPECT_EQ(mass_told(grams(87.8835), MassShown::Grams), "87.88 g");
  EXPECT_EQ(mass_told(grams(87.8835), MassShown::Ounces), "3.1 oz");
  EXPECT_EQ(yarn_told(metres(12.34), YarnShown::Metres, 3), "12.3 m");
  EXPECT_EQ(yarn_told(metres(9.144), YarnShown::Yards), "10 yd");
}

TEST(Told, LeavesOtherTextAlone) {
  EXPECT_EQ(in_unit("", LengthShown::Inches), "");
  EXPECT_EQ(in_unit("5 mm are 5 mm", LengthShown::Inches), "5 mm are 5 mm");
  EXPECT_EQ(in_unit("an open \x02"
                    " mark",
                    LengthShown::Inches),
            "an open \x02"
            " mark");
}

TEST(Told, ARefusalIsTextInMetricUnits) {
  const OutOfRange refusal("loops " + thread_size(inches(1.0)) + " high");
  EXPECT_STREQ(refusal.what(), "loops 25.4 mm high");
  EXPECT_EQ(refusal.told(LengthShown::Inches), "loops 1 in high");
}

}  // namespace
}  // namespace ellwand
