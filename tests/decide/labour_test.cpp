// Minutes of a piece: what is logged, what is stated, what is assumed.

#include "ellwand/decide/labour.hpp"

#include "support/studios.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace ellwand::decide {
namespace {

const estimate::StartingValues& values() { return test::starting_values(); }

/// Of the starting values: the doubts of one work and of all together.
double work_sd() { return values().at("minutes.work").spread; }
double common_sd() { return values().at("minutes.common").spread; }

TEST(Paces, AreMinutesOverUnitsWithWhatEntriesStray) {
  // 30 and 50 minutes for 10 and 40 units: 80 / 50 = 1.6 a unit. Their logarithms a unit, ln 3 and
  // ln 1.25, lie 0.437734 either side of their mean: d^2 sums to 2 x 0.191611 = 0.383223.
  const auto paces = paces_of({{"weave", 10.0, 30.0}, {"weave", 40.0, 50.0}}, values());
  ASSERT_EQ(paces.size(), 1U);
  const Pace& pace = paces.at("weave");
  EXPECT_DOUBLE_EQ(pace.minutes, 1.6);
  EXPECT_EQ(pace.entries, 2);
  const double s0_squared = work_sd() * work_sd() + common_sd() * common_sd();
  EXPECT_NEAR(pace.log_sd, std::sqrt((s0_squared + 0.383223) / 2.0 * 1.5), 1e-6);  // as written
}

TEST(Paces, OfOneEntryKeepTheStartingDoubt) {
  const auto paces = paces_of({{"soumak", 8.0, 20.0}}, values());
  EXPECT_DOUBLE_EQ(paces.at("soumak").minutes, 2.5);
  EXPECT_DOUBLE_EQ(paces.at("soumak").log_sd, std::hypot(work_sd(), common_sd()));
}

TEST(Paces, GetSurerWithEveryEntryThatAgrees) {
  double before = 1e9;
  std::vector<Logged> log;
  for (int k = 0; k < 6; ++k) {
    log.push_back({"weave", 10.0, 20.0});
    const double sd = paces_of(log, values()).at("weave").log_sd;
    EXPECT_LT(sd, before) << k;
    before = sd;
  }
}

TEST(Labour, IsByTheLogThenAsStatedThenByStartingValues) {
  const std::vector<Task> tasks = {
      {1, "weave", 30.0, 12.0}, {2, "soumak", 4.0, 10.0}, {3, "twining", 2.0, 4.0}};
  Minutes known;
  known.logged["weave"] = {0.5, 0.1, 7};
  known.stated = {{"weave", 9.0}, {"soumak", 3.0}};
  const std::vector<Labour> lines = labour_of(tasks, known, values());
  ASSERT_EQ(lines.size(), 3U);
  EXPECT_DOUBLE_EQ(lines[0].minutes, 15.0);
  EXPECT_EQ(lines[0].basis, Basis::Log);
  EXPECT_DOUBLE_EQ(lines[1].minutes, 12.0);
  EXPECT_EQ(lines[1].basis, Basis::Stated);
  EXPECT_DOUBLE_EQ(lines[2].minutes, 4.0);
  EXPECT_EQ(lines[2].basis, Basis::Starting);
  // What is logged strays by itself; what is not strays alike.
  EXPECT_DOUBLE_EQ(log_covariance(lines[0], lines[0]), 0.01);
  EXPECT_DOUBLE_EQ(log_covariance(lines[0], lines[1]), 0.0);
  EXPECT_DOUBLE_EQ(log_covariance(lines[1], lines[2]), common_sd() * common_sd());
  EXPECT_DOUBLE_EQ(log_covariance(lines[1], lines[1]),
                   common_sd() * common_sd() + work_sd() * work_sd());
}

TEST(Labour, GivenForTheWholePieceStandsAlone) {
  Minutes known;
  known.given = 360.0;
  known.logged["weave"] = {0.5, 0.1, 7};
  const std::vector<Labour> lines = labour_of({{1, "weave", 30.0, 12.0}}, known, values());
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_DOUBLE_EQ(lines[0].minutes, 360.0);
  EXPECT_EQ(lines[0].basis, Basis::Given);
}

TEST(Tasks, CountRowsByTheWidthOfTheCloth) {
  // 45 ends of 1.0 mm every 4 mm, and a weft of 8 wraps to 1 cm, 1.25 mm, at both edges: 44 x 4 +
  // 1.0 + 2 x 1.25 = 179.5 mm, so that 36 rows are 64.62 of 10 cm.
  const estimate::PieceModel model(
      test::read_demo_piece(std::string(test::kNotchedHead) +
                            "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = 36\n"),
      test::demo_workshop());
  const estimate::PieceEstimate estimate = estimate::estimate(model, {}, {});
  const std::vector<Task> tasks = tasks_of(model, estimate, values());
  ASSERT_EQ(tasks.size(), 2U);
  EXPECT_EQ(tasks[0].work, "weave");
  EXPECT_EQ(tasks[0].band, 1);
  EXPECT_NEAR(tasks[0].units, 64.62, 1e-9);
  EXPECT_DOUBLE_EQ(tasks[0].starting_minutes, values().median("minutes.weave") * tasks[0].units);
  EXPECT_EQ(tasks[1].work, kBesides);
  EXPECT_EQ(tasks[1].band, 0);
}

TEST(Tasks, LeaveOutBareWarp) {
  const estimate::PieceModel model(test::demo_piece("tideline"), test::demo_workshop());
  for (const Task& task : tasks_of(model, estimate::estimate(model, {}, {}), values())) {
    EXPECT_NE(task.work, "gap");
  }
}

TEST(Tasks, OfEveryWorkHaveMinutes) {
  for (const auto& [name, piece] : test::pieces_of_every_kind()) {
    SCOPED_TRACE(name);
    const estimate::PieceModel model(piece, test::demo_workshop());
    for (const Task& task : tasks_of(model, estimate::estimate(model, {}, {}), values())) {
      EXPECT_GT(task.starting_minutes, 0.0) << task.band << " " << task.work;
      EXPECT_GT(task.units, 0.0) << task.band << " " << task.work;
    }
  }
}

TEST(Tasks, OfAKnottedPileAreItsKnotsAndItsGround) {
  // Two rows of knots and six of ground 20 cm wide: 2 x 2 and 6 x 2 rows 10 cm wide.
  technique::KnottedPile pile;
  const Task task = task_of(1, pile, 2, 6, centimetres(20.0), values());
  EXPECT_EQ(task.work, "knotted pile");
  EXPECT_DOUBLE_EQ(task.units, 4.0);
  EXPECT_DOUBLE_EQ(task.starting_minutes, 4.0 * values().median("minutes.knots") +
                                              12.0 * values().median("minutes.weave"));
}

TEST(Tasks, OfAWrappingAreItsTurnsHoweverWideTheCloth) {
  technique::Wrapping wrapping;
  const Task task = task_of(1, wrapping, 30, 0, centimetres(20.0), values());
  EXPECT_DOUBLE_EQ(task.units, 30.0);
}

}  // namespace
}  // namespace ellwand::decide
