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
  const Task task = task_of(1, pile, 2, 6, Passes::ByHand, centimetres(20.0), values());
  EXPECT_EQ(task.work, "knotted pile");
  EXPECT_DOUBLE_EQ(task.units, 4.0);
  EXPECT_DOUBLE_EQ(task.starting_minutes, 4.0 * values().median("minutes.knots") +
                                              12.0 * values().median("minutes.weave"));
}

/// 60 ends on a loom, with a band or more.
std::vector<Task> tasks_on(const std::string& loom, const std::string& band) {
  const estimate::PieceModel model(
      test::read_demo_piece("[piece]\nname = \"Trial\"\n[loom]\n" + loom +
                            "[warp]\nyarn = \"worsted-moss\"\nends = 60\nsett = \"5 /cm\"\n" +
                            band),
      test::demo_workshop());
  return tasks_of(model, estimate::estimate(model, {}, {}), values());
}

constexpr const char* kBeam = "kind = \"beam\"\n";
constexpr const char* kThirtyRows =
    "[[band]]\nwork = \"weave\"\nyarn = \"worsted-moss\"\nrows = 30\n";

TEST(Tasks, OfAThrownWeftAreQuickByHand) {
  // 1080 picks 16 in wide, 40.64 cm, are 1080 x 4.064 = 4389.12 rows of 10 cm; at 0.04 min that is
  // 175.5648 min, about 10 seconds a pick.
  const Task task =
      task_of(1, technique::Woven{}, 1080, 0, Passes::Thrown, centimetres(40.64), values());
  EXPECT_EQ(task.work, kThrownWeave);
  EXPECT_NEAR(task.units, 4389.12, 1e-9);
  EXPECT_NEAR(task.starting_minutes, 175.5648, 1e-9);
  // Of a pile it is the ground that is thrown: 4 rows of knots and 12 of ground, 10 cm wide.
  const Task pile =
      task_of(1, technique::KnottedPile{}, 4, 12, Passes::Thrown, centimetres(10.0), values());
  EXPECT_EQ(pile.work, "knotted pile");
  EXPECT_NEAR(pile.starting_minutes, 4.0 * values().median("minutes.knots") + 12.0 * 0.04, 1e-9);
}

TEST(Tasks, OfABeamLoomAreThrownUnlessAreasOrANeedleSayOtherwise) {
  const std::string rows = kThirtyRows;
  EXPECT_EQ(tasks_on(kBeam, rows)[0].work, kThrownWeave);
  EXPECT_EQ(tasks_on(kBeam, rows + "comes_out = true\n" + rows)[0].work, kThrownWeave);
  EXPECT_EQ(tasks_on(kBeam, rows + "carried_by = \"needle\"\n")[0].work, "weave");
  EXPECT_EQ(tasks_on(kBeam,
                     "[[band]]\nwork = \"weave\"\nrows = 30\nareas = [ "
                     "{ yarn = \"worsted-moss\", ends = 30 }, { yarn = "
                     "\"worsted-moss\", ends = 30, join = \"slit\" } ]\n")[0]
                .work,
            "weave");
  const std::string on_a_frame = "kind = \"frame\"\nspan = \"60 cm\"\n";
  EXPECT_EQ(tasks_on(on_a_frame, rows)[0].work, "weave");
  EXPECT_EQ(tasks_on(on_a_frame, rows + "carried_by = \"shuttle\"\n")[0].work, "weave");
}

TEST(Labour, OfAThrownWeftAndOfOneLaidByHandTeachEachOtherNothing) {
  const std::vector<Task> tasks = {{1, "weave", 30.0, 12.0}, {2, kThrownWeave, 100.0, 4.0}};
  Minutes known;
  known.logged = paces_of({{kThrownWeave, 1000.0, 50.0}}, values());
  std::vector<Labour> lines = labour_of(tasks, known, values());
  EXPECT_EQ(lines[0].basis, Basis::Starting);
  EXPECT_DOUBLE_EQ(lines[0].minutes, 12.0);
  EXPECT_EQ(lines[1].basis, Basis::Log);
  EXPECT_DOUBLE_EQ(lines[1].minutes, 5.0);  // 50 min of 1000, of 100 of them
  known.logged = paces_of({{"weave", 10.0, 6.0}}, values());
  lines = labour_of(tasks, known, values());
  EXPECT_DOUBLE_EQ(lines[0].minutes, 18.0);
  EXPECT_EQ(lines[1].basis, Basis::Starting);
}

TEST(Tasks, OfAWrappingAreItsTurnsHoweverWideTheCloth) {
  technique::Wrapping wrapping;
  const Task task = task_of(1, wrapping, 30, 0, Passes::ByHand, centimetres(20.0), values());
  EXPECT_DOUBLE_EQ(task.units, 30.0);
}

}  // namespace
}  // namespace ellwand::decide
