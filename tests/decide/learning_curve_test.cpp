// Learning curves against printed tables.

#include "ellwand/decide/learning_curve.hpp"

#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"

#include <gtest/gtest.h>

namespace ellwand::decide {
namespace {

/// What a row of the table prints, reckoned.
double reckoned(const std::string& of, double first, const LearningCurve& curve, int before,
                int at) {
  if (of == "unit") return first * time_of_series(curve, at - 1, 1);
  if (of == "total") return first * time_of_series(curve, 0, at);
  if (of == "average") return first * time_of_series(curve, 0, at) / at;
  return first * time_of_series(curve, before, at);
}

TEST(TimeOfSeries, AgreesWithPrintedTables) {
  int rows = 0;
  for (const auto& row : test::published_rows("pricing.csv", 20)) {
    if (row.at("kind") != "unit" && row.at("kind") != "average") continue;
    const auto given = test::given(row);
    const LearningCurve curve{given.at("rate"), row.at("kind") == "unit"
                                                    ? LearningModel::Unit
                                                    : LearningModel::CumulativeAverage};
    const int before = given.count("before") > 0 ? static_cast<int>(given.at("before")) : 0;
    EXPECT_NEAR(
        reckoned(row.at("of"), given.at("first"), curve, before, static_cast<int>(given.at("at"))),
        test::number(row, "printed"), test::number(row, "tolerance"))
        << test::where(row) << ", " << row.at("given");
    ++rows;
  }
  EXPECT_EQ(rows, 20);
}

TEST(TimeOfSeries, OfFiveByHand) {
  // 90 % by the unit model: 1 + 0.9 + 3^-0.1520 + 0.81 + 5^-0.1520 = 1 + .9 + .8462 + .81 + .7830.
  EXPECT_NEAR(time_of_series({0.9, LearningModel::Unit}, 0, 5), 4.3392, 5e-5);  // as written
}

TEST(TimeOfSeries, OfLaterOnesIsTheRest) {
  for (const LearningModel model : {LearningModel::Unit, LearningModel::CumulativeAverage}) {
    const LearningCurve curve{0.87, model};
    EXPECT_NEAR(time_of_series(curve, 0, 4) + time_of_series(curve, 4, 3),
                time_of_series(curve, 0, 7), 1e-12);  // a dozen roundings
  }
}

TEST(TimeOfSeries, WithoutLearningIsTheirNumber) {
  EXPECT_EQ(time_of_series({}, 3, 5), 5.0);
  EXPECT_EQ(time_of_series({1.0, LearningModel::CumulativeAverage}, 3, 5), 5.0);
}

TEST(TimeOfSeries, RefusesWhatIsNoLearning) {
  EXPECT_THROW(time_of_series({0.5, LearningModel::Unit}, 0, 1), OutOfRange);
  EXPECT_THROW(time_of_series({1.01, LearningModel::Unit}, 0, 1), OutOfRange);
  EXPECT_THROW(time_of_series({0.9, LearningModel::Unit}, -1, 1), OutOfRange);
  EXPECT_THROW(time_of_series({0.9, LearningModel::Unit}, 0, 2'000'000), OutOfRange);
}

}  // namespace
}  // namespace ellwand::decide
