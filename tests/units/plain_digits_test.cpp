#include "ellwand/units/plain_digits.hpp"

#include <gtest/gtest.h>

namespace ellwand {
namespace {

TEST(PlainDigits, NeverHaveAPowerOfTen) {
  EXPECT_EQ(plain_digits(5893.4), "5893");
  EXPECT_EQ(plain_digits(999.6), "1000");
  EXPECT_EQ(plain_digits(12345678.0), "12345678");
  EXPECT_EQ(plain_digits(0.0000123), "0.000012");
}

TEST(PlainDigits, AreAsManyAsAsked) {
  EXPECT_EQ(plain_digits(10.73), "10.7");
  EXPECT_EQ(plain_digits(0.4236), "0.424");
  EXPECT_EQ(plain_digits(0.4236, 2), "0.42");
  EXPECT_EQ(plain_digits(80.0), "80");
  EXPECT_EQ(plain_digits(0.0), "0");
}

}  // namespace
}  // namespace ellwand
