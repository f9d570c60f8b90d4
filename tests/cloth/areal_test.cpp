#include "ellwand/cloth/areal.hpp"

#include <gtest/gtest.h>

#include <functional>
#include <limits>

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"
#include "support/slopes.hpp"

namespace ellwand::cloth {
namespace {

using Given = std::map<std::string, double>;
using test::given;
using test::number;
using test::published_rows;
using test::PublishedRow;

/// Cotton count: hanks of 840 yards to the pound.
LinearDensity<> cotton(double count) { return pounds(1.0) / yards(840.0 * count); }

ThreadSet<> set_of(const Given& g, const std::string& set, const std::string& threads) {
  const bool metric = g.count(set + "_tex") != 0;
  return {metric ? per_cm(g.at(threads + "_per_cm")) : per_inch(g.at(threads + "_per_inch")),
          metric ? tex(g.at(set + "_tex")) : cotton(g.at(set + "_count")),
          {g.at(set + "_crimp") / 100.0}};
}

/// What the column `rule` of the table stands for, in the row's unit.
const std::map<std::string, std::function<double(const Given&)>> kRules{
    {"cloth",
     [](const Given& g) {
       return in_grams_per_square_metre(
           mass_per_area(set_of(g, "warp", "ends"), set_of(g, "weft", "picks")));
     }},
    {"crimp",
     [](const Given& g) {
       return 100.0 * crimp_from_lengths(metres(g.at("yarn")), metres(g.at("cloth"))).over_cloth;
     }},
    {"take-up",
     [](const Given& g) {
       const Crimp<> crimp = crimp_from_lengths(metres(g.at("yarn")), metres(g.at("cloth")));
       return 100.0 * take_up_from_crimp(crimp).over_yarn;
     }},
    {"straightened",
     [](const Given& g) {
       return in_metres(straightened(metres(g.at("cloth")), Crimp<>{g.at("crimp") / 100.0}));
     }},
    {"threads",
     [](const Given& g) {
       const Mass<> mass =
           mass_of_threads(g.at("threads"), yards(g.at("yards")), cotton(g.at("count")));
       return in_ounces(mass) / 16.0;
     }},
};

TEST(MassOfCloth, AgreesWithTheWorkedExamples) {
  // READ or COMPUTED as each row says, with its publication and the tolerance of its printing. No
  // measured cloth is among them.
  int aimed_at = 0;
  for (const PublishedRow& row : published_rows("areal.csv")) {
    SCOPED_TRACE(row.at("id") + ", " + row.at("source"));
    if (row.at("aimed_at") != "yes") continue;
    ++aimed_at;
    EXPECT_NEAR(kRules.at(row.at("rule"))(given(row)), number(row, "printed"),
                number(row, "tolerance"));
  }
  EXPECT_EQ(aimed_at, 16);
}

TEST(MassOfCloth, IsThatOfWarpAndWeft) {
  // 40 ends/cm of 30 tex at 10 %: 4000 * 1.1 * 0.030 = 132; 30 picks/cm of 20 tex at 10 %: 66.
  const ThreadSet<> warp{per_cm(40.0), tex(30.0), {0.10}};
  const ThreadSet<> weft{per_cm(30.0), tex(20.0), {0.10}};
  EXPECT_NEAR(in_grams_per_square_metre(mass_per_area(warp)), 132.0, 1e-9);
  EXPECT_NEAR(in_grams_per_square_metre(mass_per_area(weft)), 66.0, 1e-9);
  EXPECT_NEAR(in_grams_per_square_metre(mass_per_area(warp, weft)), 198.0, 1e-9);
}

template <class Scalar>
Scalar areal(const std::array<Scalar, 4>& x) {
  const ThreadSet<Scalar> warp{per_cm(40.0), tex(x[0]), {x[1]}};
  const ThreadSet<Scalar> weft{per_cm(30.0), tex(x[2]), {x[3]}};
  return mass_per_area(warp, weft).si();
}

template <class Scalar>
Scalar thread_mass(const std::array<Scalar, 3>& x) {
  return in_grams(
      mass_of_threads<Scalar>(240.0, straightened<Scalar>(metres(x[0]), {x[1]}), tex(x[2])));
}

TEST(MassOfCloth, CarriesItsSlopes) {
  test::expect_slopes_match<4>([](const auto& x) { return areal(x); }, {30.0, 0.10, 20.0, 0.05});
  test::expect_slopes_match<3>([](const auto& x) { return thread_mass(x); }, {2.0, 0.08, 60.0});
}

TEST(MassOfCloth, RefusesWhatIsNoCloth) {
  const double nothing = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(mass_per_area(ThreadSet<>{per_cm(-1.0), tex(30.0), {0.1}}), OutOfRange);
  EXPECT_THROW(mass_per_area(ThreadSet<>{per_cm(1.0), tex(-30.0), {0.1}}), OutOfRange);
  EXPECT_THROW(mass_per_area(ThreadSet<>{per_cm(1.0), tex(30.0), {nothing}}), OutOfRange);
  EXPECT_THROW(mass_of_threads(-1.0, metres(1.0), tex(30.0)), OutOfRange);
  EXPECT_THROW(mass_of_threads(1.0, metres(nothing), tex(30.0)), OutOfRange);
  EXPECT_THROW(straightened(metres(1.0), Crimp<>{-0.1}), OutOfRange);
}

}  // namespace
}  // namespace ellwand::cloth
