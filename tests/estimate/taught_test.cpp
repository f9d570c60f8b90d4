#include "ellwand/estimate/taught.hpp"

#include "support/studios.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace ellwand::estimate {
namespace {

using testing::ElementsAre;

Taught taught_of(const std::string& bands, const Learned& learned) {
  Workshop workshop = test::demo_workshop();
  workshop.learned = &learned;
  const PieceModel model(test::read_demo_piece(std::string(test::kNotchedHead) + bands), workshop);
  return taught(model, learned, test::starting_values());
}

constexpr const char* kWeave = "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = 30\n";
constexpr const char* kSoumak =
    "[[band]]\nwork = \"soumak\"\nyarn = \"rug-wool-rust\"\nover = 4\nback = 2\nrows = 4\n";

Learned two_pieces_of_weaving() {
  Learned learned;
  learned.names = {"hand", "take.weave", "yarn rug-wool-ash"};
  learned.means = {0.0, 0.0, 0.0};
  learned.covariances = {0.01, 0, 0, 0, 0.01, 0, 0, 0, 0.0064};
  learned.pieces_by_work = {{"take.weave", 2}, {"take.soumak", 1}};
  learned.date = "2026-10-02";
  learned.swatches = 3;
  return learned;
}

TEST(Taught, IsAWorkFromTwoPiecesOn) {
  Learned learned = two_pieces_of_weaving();
  const Taught both = taught_of(std::string(kWeave) + kSoumak, learned);
  EXPECT_THAT(both.stranger_in, ElementsAre("soumak"));
  EXPECT_EQ(both.date, "2026-10-02");
  EXPECT_EQ(both.swatches, 3);
  EXPECT_THAT(taught_of(kWeave, learned).stranger_in, ElementsAre());
  learned.pieces_by_work["take.weave"] = 1;
  EXPECT_THAT(taught_of(kWeave, learned).stranger_in, ElementsAre("weaving"));
}

// A file that says a piece may take 8500 times as much or as little is refused, not counted out.
TEST(Taught, RefusesMorePutUpsThanThereAre) {
  Learned learned = two_pieces_of_weaving();
  learned.spreads = {{"piece", 9.05}};
  Workshop workshop = test::demo_workshop();
  workshop.learned = &learned;
  const PieceModel model(test::read_demo_piece(std::string(test::kNotchedHead) + kWeave), workshop);
  EXPECT_THROW(estimate(model, {}, {}), OutOfRange);
}

// The warp's length does not hang on how it is laid, so its yarn need not be measured.
TEST(Taught, NamesYarnsNeverMeasured) {
  const Learned learned = two_pieces_of_weaving();
  EXPECT_THAT(taught_of(std::string(kWeave) + kSoumak, learned).never_measured,
              ElementsAre("rug-wool-rust"));
  EXPECT_THAT(taught_of(kWeave, learned).never_measured, ElementsAre());
}

}  // namespace
}  // namespace ellwand::estimate
