// The learning curve: its order, its points, and that each foretells as a fit to those before does.

#include "ellwand/calibrate/learning.hpp"

#include "support/swatches.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace ellwand::calibrate {
namespace {

using test::add_reading;
using test::demo_workshop;
using test::woven_swatch;
using testing::ElementsAre;

Swatch dated(const std::string& id, const std::string& date) {
  Swatch swatch;
  swatch.id = id;
  swatch.piece.id = id;
  swatch.date = date;
  return swatch;
}

TEST(PiecesByDate, GoByTheirLastDayAndThoseWithoutComeAfter) {
  const std::vector<Swatch> swatches = {
      dated("undated", ""),   dated("late", "2026-03-01"),     dated("early", "2026-01-05"),
      dated("undated-2", ""), dated("same-day", "2026-01-05"), dated("early", "2026-02-01"),
  };
  EXPECT_THAT(pieces_by_date(swatches),
              ElementsAre("same-day", "early", "late", "undated", "undated-2"));
}

TEST(LearningSizes, AreAllOfFewAndTwelveOfMany) {
  EXPECT_TRUE(learning_sizes(0).empty());
  EXPECT_THAT(learning_sizes(1), ElementsAre(0U));
  EXPECT_THAT(learning_sizes(4), ElementsAre(0U, 1U, 2U, 3U));
  // 11 steps of 100 / 11, to the nearest.
  EXPECT_THAT(learning_sizes(101),
              ElementsAre(0U, 9U, 18U, 27U, 36U, 45U, 55U, 64U, 73U, 82U, 91U, 100U));
  for (std::size_t pieces = 1; pieces < 400; ++pieces) {
    const std::vector<std::size_t> sizes = learning_sizes(pieces);
    ASSERT_LE(sizes.size(), kMostLearningPoints);
    ASSERT_EQ(sizes.front(), 0U);
    ASSERT_EQ(sizes.back(), pieces - 1);
    for (std::size_t i = 1; i < sizes.size(); ++i) ASSERT_LT(sizes[i - 1], sizes[i]) << pieces;
  }
}

/// Strips that take a fifth more than is expected, the last woven first.
std::vector<Swatch> strips(int count, const estimate::Workshop& workshop) {
  std::vector<Swatch> swatches;
  for (int i = 0; i < count; ++i) {
    Swatch swatch = woven_swatch("strip-" + std::to_string(i), "rug-wool-ash", 60 + 10 * i);
    swatch.date = "2026-01-0" + std::to_string(9 - i);
    add_reading(swatch, Measured::Mass, "rug-wool-ash", 1.2, workshop);
    swatches.push_back(swatch);
  }
  return swatches;
}

TEST(LearningCurve, ForetellsWhatCameAfterByAFitToWhatCameBefore) {
  const estimate::Workshop workshop = demo_workshop();
  const std::vector<Swatch> swatches = strips(4, workshop);
  const LearningCurve curve = learning_curve(swatches, workshop);
  ASSERT_EQ(curve.points.size(), 4U);
  ASSERT_EQ(curve.predictions.size(), 4U + 3U + 2U + 1U);
  EXPECT_EQ(curve.points[0].pieces, 0U);
  EXPECT_EQ(curve.points[0].last_piece, "");
  EXPECT_EQ(curve.points[2].last_piece, "strip-2");
  EXPECT_EQ(curve.points[2].last_date, "2026-01-07");
  EXPECT_EQ(curve.points[2].now.amounts, 2);

  // Of two known, the first two by date are the last two of the list.
  const Fit by_hand = fit({swatches[2], swatches[3]}, workshop);
  estimate::Workshop learned = workshop;
  learned.learned = &by_hand.learned;
  const Prediction& one = curve.predictions[4 + 3];
  EXPECT_EQ(one.pieces, 2U);
  EXPECT_EQ(one.swatch, 0U);
  const Foretold expected = foretold(swatches[0], swatches[0].measurements[0], learned);
  EXPECT_EQ(one.told.log_mid, expected.log_mid);
  EXPECT_EQ(one.told.log_sd, expected.log_sd);
}

// Every reading is 1.2 times what the starting values expect: ln 1.2 off by them, and less by any
// piece known.
TEST(LearningCurve, BeginsAtTheStartingValuesAndGetsBetter) {
  const estimate::Workshop workshop = demo_workshop();
  const LearningCurve curve = learning_curve(strips(4, workshop), workshop);
  for (const LearningPoint& point : curve.points) {
    EXPECT_NEAR(point.start.mean_abs_log_error, std::log(1.2), 1e-9);
  }
  EXPECT_EQ(curve.points[0].now.mean_abs_log_error, curve.points[0].start.mean_abs_log_error);
  for (std::size_t i = 1; i < curve.points.size(); ++i) {
    EXPECT_LT(curve.points[i].now.mean_abs_log_error, curve.points[i - 1].now.mean_abs_log_error);
  }
}

TEST(LearningCurve, HasNoPointWhereNoAmountIsToCome) {
  const estimate::Workshop workshop = demo_workshop();
  EXPECT_TRUE(learning_curve({}, workshop).points.empty());
  std::vector<Swatch> swatches = strips(2, workshop);
  Swatch of_height = woven_swatch("high", "rug-wool-ash", 60);
  of_height.date = "2026-05-01";
  Measurement height;
  height.what = Measured::Height;
  height.value = 0.04;
  height.column = "height_cm";
  of_height.measurements.push_back(height);
  swatches.push_back(of_height);
  const LearningCurve curve = learning_curve(swatches, workshop);
  ASSERT_EQ(curve.points.size(), 2U);
  EXPECT_EQ(curve.points.back().now.amounts, 1);
}

}  // namespace
}  // namespace ellwand::calibrate
