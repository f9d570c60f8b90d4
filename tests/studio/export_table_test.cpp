// Tables for analysts, and their description.

#include "ellwand/studio/export_table.hpp"

#include "ellwand/studio/table.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>

namespace ellwand::studio {
namespace {

using testing::ElementsAre;

const ExportTable kTable = {"amounts.csv",
                            "an amount",
                            {{"name", "", "its name"}, {"mass", "g", "weighed"}},
                            {{"two, \"quoted\"", "1.5"}, {" blank", ""}}};

TEST(ExportTable, IsReadBackByOurOwnReader) {
  const std::string text = csv_of(kTable);
  EXPECT_EQ(text, "name,mass\n\"two, \"\"quoted\"\"\",1.5\n\" blank\",\n");
  const Table table = Table::read(text, "amounts.csv");
  EXPECT_THAT(table.columns(), ElementsAre("name", "mass"));
  EXPECT_THAT(table.rows()[0].cells, ElementsAre("two, \"quoted\"", "1.5"));
}

TEST(ExportTable, DescribesEveryColumnItsOwnAsWell) {
  const ExportTable all = described({kTable}, "columns.csv");
  ASSERT_EQ(all.rows.size(), 2U + 5U);
  EXPECT_THAT(all.rows[1], ElementsAre("amounts.csv", "an amount", "mass", "g", "weighed"));
  EXPECT_EQ(all.rows[2][0], "columns.csv");
}

TEST(ExportNumber, HasEightDigitsAndNothingForWhatIsNone) {
  EXPECT_EQ(export_number(14.0), "14");
  EXPECT_EQ(export_number(-0.0), "0");
  EXPECT_EQ(export_number(1.0 / 3.0), "0.33333333");
  EXPECT_EQ(export_number(2.5e-12), "2.5e-12");
  EXPECT_EQ(export_number(std::numeric_limits<double>::quiet_NaN()), "");
  EXPECT_EQ(export_number(-std::numeric_limits<double>::infinity()), "");
}

}  // namespace
}  // namespace ellwand::studio
