#include "ellwand/piece/piece.hpp"

#include <gtest/gtest.h>

namespace ellwand::piece {
namespace {

TEST(Habits, OfABandStandBeforeThoseOfThePiece) {
  Habits band;
  band.tail = millimetres(60.0);
  Habits piece;
  piece.tail = millimetres(110.0);
  piece.trim = millimetres(8.0);
  piece.waste_share = 0.05;
  piece.waste_per_colour = metres(0.4);
  const Habits both = band.or_else(piece);
  EXPECT_EQ(both.tail, millimetres(60.0));
  EXPECT_EQ(both.trim, millimetres(8.0));
  EXPECT_EQ(both.waste_share, 0.05);
  EXPECT_EQ(both.waste_per_colour, metres(0.4));
}

TEST(Habits, ACarrierHereIsNotOverruledByALengthThere) {
  Habits band;
  band.carrier = Carrier::Butterfly;
  Habits piece;
  piece.working_length = metres(1.5);
  const Habits both = band.or_else(piece);
  EXPECT_EQ(both.carrier, Carrier::Butterfly);
  EXPECT_FALSE(both.working_length.has_value());
}

TEST(Habits, ALengthHereIsNotOverruledByACarrierThere) {
  Habits band;
  band.working_length = metres(2.5);
  Habits piece;
  piece.carrier = Carrier::Shuttle;
  const Habits both = band.or_else(piece);
  EXPECT_EQ(both.working_length, metres(2.5));
  EXPECT_FALSE(both.carrier.has_value());
}

TEST(Habits, SilentHereTakeBothFromThere) {
  Habits piece;
  piece.carrier = Carrier::Shuttle;
  piece.working_length = metres(6.0);
  const Habits both = Habits().or_else(piece);
  EXPECT_EQ(both.carrier, Carrier::Shuttle);
  EXPECT_EQ(both.working_length, metres(6.0));
}

}  // namespace
}  // namespace ellwand::piece
