#include "ellwand/yarn/count.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>

#include "ellwand/units/error.hpp"
#include "ellwand/yarn/strands.hpp"
#include "support/published_rows.hpp"

namespace ellwand::yarn {
namespace {

using test::number;
using test::published_rows;
using test::PublishedRow;
using test::where;

CountSystem system_named(const std::string& name) {
  for (int i = 0; i < kCountSystems; ++i) {
    if (name_of(static_cast<CountSystem>(i)) == name) return static_cast<CountSystem>(i);
  }
  throw std::invalid_argument("no system " + name);
}

double answer_to(const PublishedRow& row) {
  const LinearDensity<> given = read_count(row.at("given")).linear_density;
  const std::string& asked = row.at("asked");
  if (asked == "mass") {
    const Mass<> mass = read_length(row.at("with")) * given;
    return row.at("unit") == "oz" ? in_ounces(mass) : in_ounces(mass) / 16.0;
  }
  const CountSystem system = system_named(row.at("unit"));
  if (asked == "count") return count_of(system, given);
  if (asked == "partner") {
    return count_of(system, partner_for(read_count(row.at("with")).linear_density, given));
  }
  throw std::invalid_argument("nobody knows how to answer " + asked);
}

TEST(CountSystems, HaveThePublishedConstants) {
  for (const PublishedRow& row : published_rows("yarn_count_constants.csv", 31)) {
    EXPECT_NEAR(in_tex(read_count(row.at("text")).linear_density), number(row, "tex"),
                number(row, "tolerance"))
        << row.at("text") << " (" << where(row) << ")";
  }
}

TEST(YarnCounts, GiveThePublishedAnswers) {
  for (const PublishedRow& row : published_rows("yarn_counts.csv", 45)) {
    EXPECT_NEAR(answer_to(row), number(row, "answer"), number(row, "tolerance"))
        << row.at("asked") << " of " << row.at("given") << " " << row.at("with") << " in "
        << row.at("unit") << " (" << where(row) << ")";
  }
}

TEST(CountSystems, ComeBackFromTex) {
  for (int i = 0; i < kCountSystems; ++i) {
    const auto system = static_cast<CountSystem>(i);
    // One multiplication and one division: a few roundings.
    EXPECT_NEAR(count_of(system, linear_density_of(system, 7.3)), 7.3, 1e-13) << name_of(system);
  }
}

TEST(CountSystems, GrowWithThicknessExactlyWhenDirect) {
  for (int i = 0; i < kCountSystems; ++i) {
    const auto system = static_cast<CountSystem>(i);
    EXPECT_EQ(linear_density_of(system, 20.0) > linear_density_of(system, 10.0), is_direct(system))
        << name_of(system);
  }
}

TEST(CountSystems, RefuseCountsThatAreNone) {
  const double not_a_number = std::numeric_limits<double>::quiet_NaN();
  for (const double count : {0.0, -1.0, 1e300, not_a_number}) {
    EXPECT_THROW(linear_density_of(CountSystem::Cotton, count), OutOfRange) << count;
    EXPECT_THROW(count_of(CountSystem::Cotton, tex(count)), OutOfRange) << count;
  }
}

}  // namespace
}  // namespace ellwand::yarn
