#include "ellwand/studio/read_starting_values.hpp"

#include "told.hpp"

#include <gtest/gtest.h>

namespace ellwand::studio {
namespace {

const char* const kHeading =
    "name,median,unit,spread,spread_scale,treatment,shared_by,meaning,source\n";

// The figures are those of the lines of the table itself, in metres.
TEST(StartingValuesTable, IsReadInMetresGramsMinutesAndRatios) {
  const estimate::StartingValues& values = starting_values();
  EXPECT_DOUBLE_EQ(values.median("tail"), 0.090);
  EXPECT_DOUBLE_EQ(values.median("working_length.needle"), 1.5);
  EXPECT_DOUBLE_EQ(values.median("packing.plied"), 0.46);
  EXPECT_DOUBLE_EQ(values.median("swatch.width.1"), 0.08);
  EXPECT_DOUBLE_EQ(values.median("tool.scale"), 1.0);
  EXPECT_DOUBLE_EQ(values.median("minutes.set_up"), 20.0);
  EXPECT_EQ(values.at("draw_in").scale, estimate::SpreadScale::Absolute);
  EXPECT_DOUBLE_EQ(values.at("draw_in").spread, 0.03);
  EXPECT_EQ(values.at("yarn").treatment, estimate::SpreadTreatment::Grid);
  EXPECT_EQ(values.at("tie").scale, estimate::SpreadScale::None);
}

TEST(StartingValuesTable, ComplainsOfEveryCell) {
  const std::string text = std::string(kHeading) +
                           "tail,2000000,mm,0.3,log,held,,left hanging,\n"
                           "trim,8,cm,,log,kept,,cut off,\n"
                           "tail,0,mm,0.3,none,held,,,\n";
  EXPECT_EQ(
      complaints_of([&] { read_starting_values(text, "s.csv"); }),
      (Lines{"s.csv:2:2: median: 2000000 is outside 1e-06 to 1e+06",
             "s.csv:3:3: unit: \"cm\" is not known here; did you mean 'mm'? 'ratio', 'mm', 'm', "
             "'g' or 'min' is accepted",
             "s.csv:3:4: spread: is empty, but spread_scale wants one",
             "s.csv:3:6: treatment: \"kept\" is not known here; 'held', 'grid' or 'rule' is "
             "accepted",
             "s.csv:4:1: name: \"tail\" is also the name of line 2",
             "s.csv:4:2: median: 0 is outside 1e-06 to 1e+06",
             "s.csv:4:4: spread: stands here, but spread_scale says none",
             "s.csv:4:8: meaning: is empty"}));
}

TEST(StartingValuesTable, MustHaveEveryName) {
  const std::string text = std::string(kHeading) + "tail,90,mm,0.3,log,held,,left hanging,\n";
  EXPECT_EQ(complaints_of([&] { read_starting_values(text, "s.csv"); }),
            (Lines{"s.csv: the table of starting values has no row named 'packing.singles'"}));
}

}  // namespace
}  // namespace ellwand::studio
