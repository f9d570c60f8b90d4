#include "ellwand/units/error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>

namespace ellwand {
namespace {

/// What require_range says; empty when it lets the value pass.
std::string said_of(double value) {
  try {
    require_range("warp spacing, mm", value, 0.5, 40.0, "the notched loom");
  } catch (const OutOfRange& e) {
    return e.what();
  }
  return "";
}

TEST(RequireRange, LetsBothEndsPass) {
  EXPECT_EQ(said_of(0.5), "");
  EXPECT_EQ(said_of(40.0), "");
  EXPECT_EQ(said_of(4.0), "");
}

TEST(RequireRange, SaysWhatWasReadAndWhatHolds) {
  EXPECT_EQ(said_of(0.25), "warp spacing, mm is 0.25; the notched loom holds from 0.5 to 40");
  EXPECT_EQ(said_of(41.5), "warp spacing, mm is 41.5; the notched loom holds from 0.5 to 40");
}

TEST(RequireRange, RefusesTheNextNumberBeyondEitherEnd) {
  EXPECT_NE(said_of(std::nextafter(0.5, 0.0)), "");
  EXPECT_NE(said_of(std::nextafter(40.0, 41.0)), "");
}

TEST(RequireRange, RefusesWhatIsNotANumber) {
  EXPECT_NE(said_of(std::numeric_limits<double>::quiet_NaN()), "");
  EXPECT_NE(said_of(std::numeric_limits<double>::infinity()), "");
  EXPECT_NE(said_of(-std::numeric_limits<double>::infinity()), "");
}

TEST(OutOfRange, IsADomainError) {
  EXPECT_THROW(require_range("x", 2.0, 0.0, 1.0, "a test"), std::domain_error);
}

TEST(Complaint, NamesFileLineAndColumn) {
  const Complaint complaint{"pieces/tidepool.toml", 14, 9, "ends: 0 is not a number of ends."};
  EXPECT_EQ(complaint.told(), "pieces/tidepool.toml:14:9: ends: 0 is not a number of ends.");
}

TEST(Complaint, LeavesOutWhatIsUnknown) {
  EXPECT_EQ((Complaint{"yarns.csv", 3, 0, "no price."}.told()), "yarns.csv:3: no price.");
  EXPECT_EQ((Complaint{"yarns.csv", 0, 0, "is empty."}.told()), "yarns.csv: is empty.");
  EXPECT_EQ((Complaint{"", 3, 2, "no price."}.told()), "line 3:2: no price.");
  EXPECT_EQ((Complaint{"", 0, 0, "is empty."}.told()), "is empty.");
}

TEST(Complaint, NeverShowsAColumnWithoutItsLine) {
  EXPECT_EQ((Complaint{"yarns.csv", 0, 7, "is empty."}.told()), "yarns.csv: is empty.");
}

TEST(BadInput, TellsEveryComplaintInTheOrderOfTheFile) {
  const BadInput bad({{"a.csv", 2, 1, "first."}, {"a.csv", 5, 0, "second."}});
  EXPECT_STREQ(bad.what(), "a.csv:2:1: first.\na.csv:5: second.");
  ASSERT_EQ(bad.complaints().size(), 2U);
  EXPECT_EQ(bad.complaints()[1].line, 5);
}

}  // namespace
}  // namespace ellwand
