#include "ellwand/yarn/colour.hpp"

#include <gtest/gtest.h>

#include <string>

namespace ellwand::yarn {
namespace {

TEST(Colours, AreReadInHexadecimalOrAsAWord) {
  // 0x7a = 122, 0x4b = 75, 0x3c = 60; of three digits each counts twice: 0xaa = 170.
  EXPECT_EQ(find_colour("#7a4b3c"), (Colour{122, 75, 60}));
  EXPECT_EQ(find_colour(" #7A4B3C "), (Colour{122, 75, 60}));
  EXPECT_EQ(find_colour("#a0f"), (Colour{170, 0, 255}));
  EXPECT_TRUE(find_colour("Rust").has_value());
  for (const std::string& word : colour_words()) {
    ASSERT_TRUE(find_colour(word).has_value()) << word;
    EXPECT_EQ(find_colour(hex(*find_colour(word))), find_colour(word)) << word;
  }
}

TEST(Colours, AreNothingElse) {
  for (const char* text : {"", "#", "#12", "#12345", "#1234567", "#12g456", "7a4b3c", "petrol",
                           "rgb(1,2,3)", "#7a4b3c;x", "\"><script>"}) {
    EXPECT_FALSE(find_colour(text).has_value()) << text;
  }
}

TEST(Colours, StandApartAsTheStandardSays) {
  // W3C, WCAG 2.1: black on white is 21 : 1, a colour on itself 1 : 1; the order does not matter.
  const Colour black{0, 0, 0};
  const Colour white{255, 255, 255};
  EXPECT_DOUBLE_EQ(luminance(black), 0.0);
  EXPECT_NEAR(luminance(white), 1.0, 1e-12);  // rounding of the three weights
  EXPECT_NEAR(contrast(black, white), 21.0, 1e-9);
  EXPECT_NEAR(contrast(white, black), 21.0, 1e-9);
  EXPECT_DOUBLE_EQ(contrast(white, white), 1.0);
  // #777777 by hand: ((0.46667 + 0.055) / 1.055)^2.4 = 0.18447; 1.05 / 0.23447 = 4.478.
  EXPECT_NEAR(contrast({119, 119, 119}, white), 4.478, 5e-4);  // as printed
}

}  // namespace
}  // namespace ellwand::yarn
