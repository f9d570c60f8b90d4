#include "ellwand/cloth/setting.hpp"

#include <gtest/gtest.h>

#include <functional>

#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"

namespace ellwand::cloth {
namespace {

using Given = std::map<std::string, double>;
using test::given;
using test::number;
using test::published_rows;
using test::PublishedRow;

/// Cotton count: hanks of 840 yards to the pound.
LinearDensity<> cotton(double count) { return pounds(1.0) / yards(840.0 * count); }
double cotton_count(const LinearDensity<>& yarn) { return in_yards(pounds(1.0) / yarn) / 840.0; }

LinearDensity<> yarn_of(const Given& g) {
  if (g.count("yarn_tex") != 0) return tex(g.at("yarn_tex"));
  if (g.count("yards_per_pound") != 0) return pounds(1.0) / yards(g.at("yards_per_pound"));
  return cotton(g.at("cotton_count"));
}

Interlacing weave_of(const Given& g, const std::string& prefix = "") {
  return {static_cast<int>(g.at(prefix + "ends")),
          static_cast<int>(g.at(prefix + "intersections"))};
}

SettRange wrapped(const Given& g, WrapRule weave) {
  return sett_from_wraps(per_cm(g.at("wraps_per_cm")), weave);
}

/// What the column `rule` of the table stands for, in the row's unit.
const std::map<std::string, std::function<double(const Given&)>> kRules{
    {"diameters",
     [](const Given& g) { return in_per_inch(ashenhurst_diameters(yarn_of(g), g.at("factor"))); }},
    {"sett from diameters",
     [](const Given& g) {
       return in_per_inch(maximum_sett(per_inch(g.at("diameters")), weave_of(g)));
     }},
    {"sett in another weave",
     [](const Given& g) {
       return in_per_inch(sett_in_weave(per_inch(g.at("sett")), weave_of(g, "from_"), weave_of(g)));
     }},
    {"count in another weave",
     [](const Given& g) {
       return cotton_count(yarn_in_weave(yarn_of(g), weave_of(g, "from_"), weave_of(g)));
     }},
    {"count for another sett",
     [](const Given& g) {
       return cotton_count(
           yarn_for_sett(yarn_of(g), per_inch(g.at("from_sett")), per_inch(g.at("sett"))));
     }},
    {"sett for another count",
     [](const Given& g) {
       return in_per_inch(
           sett_for_yarn(per_inch(g.at("sett")), cotton(g.at("from_count")), yarn_of(g)));
     }},
    {"cover factor",
     [](const Given& g) { return cover_factor(per_cm(g.at("per_cm")), yarn_of(g)); }},
    {"cover factor in inches",
     [](const Given& g) { return peirce_cover_factor(per_inch(g.at("per_inch")), yarn_of(g)); }},
    {"threads side by side",
     [](const Given& g) {
       return in_per_inch(
           side_by_side(yarn_of(g), grams_per_cubic_cm(1.0 / g.at("cubic_cm_per_gram"))));
     }},
    {"wraps, plain", [](const Given& g) { return in_per_cm(wrapped(g, WrapRule::Plain).least); }},
    {"wraps, twill", [](const Given& g) { return in_per_cm(wrapped(g, WrapRule::Twill).most); }},
    {"wraps, rep, least",
     [](const Given& g) { return in_per_cm(wrapped(g, WrapRule::Rep).least); }},
    {"wraps, rep, most", [](const Given& g) { return in_per_cm(wrapped(g, WrapRule::Rep).most); }},
    {"wraps, satin", [](const Given& g) { return in_per_cm(wrapped(g, WrapRule::Satin).least); }},
};

TEST(Setting, AgreesWithThePrintedExamples) {
  // READ; each row of the table names its publication and gives the tolerance of its printing.
  int aimed_at = 0;
  for (const PublishedRow& row : published_rows("setting.csv")) {
    SCOPED_TRACE(row.at("id") + ", " + row.at("source"));
    if (row.at("aimed_at") != "yes") continue;
    ++aimed_at;
    EXPECT_NEAR(kRules.at(row.at("rule"))(given(row)), number(row, "printed"),
                number(row, "tolerance"));
  }
  EXPECT_EQ(aimed_at, 24);
}

TEST(Setting, IsNotAimedAtTheTwoPrintedAnswersThatMissTheirRule) {
  // J. T. Taylor (1909) prints "about 102" for 156 diameters in a 2/2 twill: 156 * 4 / 6 = 104.
  // Class notes print 12.9 for 71 threads an inch of 29.5s: 71 / sqrt(29.5) = 13.072.
  const std::map<std::string, double> right{{"S10", 104.0}, {"S19", 13.072}};
  int not_aimed_at = 0;
  for (const PublishedRow& row : published_rows("setting.csv")) {
    if (row.at("aimed_at") == "yes") continue;
    ++not_aimed_at;
    EXPECT_NEAR(kRules.at(row.at("rule"))(given(row)), right.at(row.at("id")), 5e-4)
        << row.at("id");
  }
  EXPECT_EQ(not_aimed_at, 2);
}

TEST(AshenhurstDiameters, AreTheSameToTheMetre) {
  // 0.9 sqrt(yd/lb) to the inch with yd/lb = 496054.65 / tex is 0.9 * 704.312 / 0.0254 / sqrt(tex)
  // = 24955.9 / sqrt(tex) to the metre; at 100 tex 24.956 to the cm.
  EXPECT_NEAR(in_per_cm(ashenhurst_diameters(tex(100.0))), 24.956, 5e-4);
}

TEST(InterlacingOf, CountsAsTaylorDoes) {
  // J. T. Taylor (1909): 2-and-1 twill 3 ends, 2 intersections; 3/2/2/2 twill 9 and 4; 5/2/1/2 10
  // and 4.
  const auto counts = [](const Grid& grid) {
    const Interlacing i = interlacing_of(grid);
    return std::pair{i.ends, i.intersections};
  };
  EXPECT_EQ(counts(twill({2, 1})), (std::pair{3, 2}));
  EXPECT_EQ(counts(twill({3, 2, 2, 2})), (std::pair{9, 4}));
  EXPECT_EQ(counts(twill({5, 2, 1, 2})), (std::pair{10, 4}));
  EXPECT_EQ(counts(plain()), (std::pair{2, 2}));
}

TEST(CoverFactor, IsTheSameInBothUnitsButForItsConstant) {
  // threads/cm * sqrt(tex) / 10 = threads/in / 2.54 * sqrt(590.5412 / Ne) / 10 = 0.956734 K of
  // Peirce.
  const double metric = cover_factor(per_inch(60.0), cotton(20.0));
  const double peirce = peirce_cover_factor(per_inch(60.0), cotton(20.0));
  EXPECT_NEAR(metric / peirce, 0.956734, 1e-6);
}

TEST(TotalCover, IsWhatEitherSetCovers) {
  // Half covered by the warp, half of the rest by the weft.
  EXPECT_DOUBLE_EQ(total_cover(0.5, 0.5), 0.75);
  EXPECT_DOUBLE_EQ(total_cover(1.0, 0.3), 1.0);
  EXPECT_DOUBLE_EQ(total_cover(0.0, 0.3), 0.3);
  EXPECT_DOUBLE_EQ(fractional_cover(millimetres(0.5), millimetres(2.0)), 0.25);
}

TEST(Setting, RefusesWhatIsNoYarnWeaveOrSett) {
  EXPECT_THROW(ashenhurst_diameters(tex(0.0)), OutOfRange);
  EXPECT_THROW(ashenhurst_diameters(tex(100.0), 0.0), OutOfRange);
  EXPECT_THROW(side_by_side(tex(100.0), grams_per_cubic_cm(0.0)), OutOfRange);
  EXPECT_THROW(maximum_sett(per_cm(10.0), {4, 0}), OutOfRange);
  EXPECT_THROW(maximum_sett(per_cm(10.0), {4, 5}), OutOfRange);
  EXPECT_THROW(maximum_sett(per_cm(10.0), {0, 0}), OutOfRange);
  EXPECT_THROW(sett_from_wraps(per_cm(0.0), WrapRule::Plain), OutOfRange);
  EXPECT_THROW(yarn_for_sett(tex(20.0), per_cm(0.0), per_cm(10.0)), OutOfRange);
  EXPECT_THROW(fractional_cover(millimetres(1.0), millimetres(0.0)), OutOfRange);
  EXPECT_THROW(total_cover(1.1, 0.5), OutOfRange);
}

}  // namespace
}  // namespace ellwand::cloth
