#include "ellwand/yarn/strands.hpp"

#include <gtest/gtest.h>

#include <limits>

#include "ellwand/units/error.hpp"

namespace ellwand::yarn {
namespace {

TEST(Together, AddsLinearDensities) {
  EXPECT_NEAR(in_tex(together({tex(100.0), tex(50.0), tex(25.0)})), 175.0, 1e-12);
  EXPECT_NEAR(in_tex(together(tex(49.2), 6)), 295.2, 1e-12);  // 6 x 49.2
}

TEST(PartnerFor, MakesTheTargetWithTheOther) {
  EXPECT_NEAR(in_tex(partner_for(tex(150.0), tex(100.0))), 50.0, 1e-12);
  EXPECT_THROW(partner_for(tex(100.0), tex(100.0)), OutOfRange);
  EXPECT_THROW(partner_for(tex(100.0), tex(150.0)), OutOfRange);
}

TEST(SplitInto, DividesTheRoving) {
  EXPECT_NEAR(in_tex(split_into(tex(24000.0), 3)), 8000.0, 1e-9);
  EXPECT_NEAR(in_tex(together(split_into(tex(24000.0), 7), 7)), 24000.0, 1e-9);
}

TEST(Strands, RefuseWhatIsNoStrand) {
  const double not_a_number = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(together({}), OutOfRange);
  EXPECT_THROW(together(tex(100.0), 0), OutOfRange);
  EXPECT_THROW(together(tex(0.0), 2), OutOfRange);
  EXPECT_THROW(together({tex(100.0), tex(not_a_number)}), OutOfRange);
  EXPECT_THROW(split_into(tex(100.0), 0), OutOfRange);
  EXPECT_THROW(split_into(tex(-1.0), 2), OutOfRange);
}

}  // namespace
}  // namespace ellwand::yarn
