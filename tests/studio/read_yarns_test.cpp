#include "a_studio.hpp"

#include <gtest/gtest.h>

namespace ellwand::studio {
namespace {

const char* const kSmallHeading = "id,fibre,count,kind,ply,made\n";
const char* const kMeasuredHeading =
    "id,fibre,count,diameter_mm,wraps,wraps_convention,lies_flat\n";

YarnTable yarns_of(const std::string& text) {
  return read_yarns(text, "yarns.csv", starting_values().packing());
}

Lines complaints(const std::string& text) {
  return complaints_of([&] { yarns_of(text); });
}

const yarn::Yarn& only(const YarnTable& table) { return table.yarns.begin()->second; }

TEST(Yarns, AreReadWithWhatTheirCountTells) {
  const YarnTable table = yarns_of(kYarnsCsv);
  ASSERT_EQ(table.yarns.size(), 4U);
  const yarn::Yarn& twine = table.yarns.at("seine-12-6");
  // 840 yd of 0.9144 m a pound of 453.59237 g: 590.5412 tex / 12 x 6 = 295.2706 tex.
  EXPECT_NEAR(in_tex(twine.linear_density), 295.2706, 5e-5);  // as printed
  EXPECT_EQ(twine.label, "Seine twine");
  EXPECT_EQ(twine.ply, 6);
  EXPECT_EQ(twine.kind, yarn::Kind::Plied);
  EXPECT_EQ(twine.made, yarn::Made::Mill);
  EXPECT_DOUBLE_EQ(in_metres(twine.put_up.value().length.value()), 250.0);
  EXPECT_EQ(table.prices.at("seine-12-6"), decide::read_money("9.50"));
  EXPECT_EQ(table.prices.count("sliver"), 0U);
  EXPECT_DOUBLE_EQ(in_millimetres(twine.measured_diameter.value()), 1.0);
  EXPECT_EQ(table.uses.at("seine-12-6"), "warp");
  EXPECT_EQ(table.warnings.size(), 0U);
}

TEST(Yarns, FallBackOnWhatIsUsual) {
  const YarnTable table = yarns_of(kYarnsCsv);
  const yarn::Yarn& wool = table.yarns.at("rug-ash");
  EXPECT_EQ(wool.label, "rug-ash");
  EXPECT_NEAR(in_tex(wool.linear_density), 500.0, 1e-9);  // 100 g / 0.2 km, exact but for rounding
  EXPECT_EQ(wool.made, yarn::Made::HandDyed);
  EXPECT_DOUBLE_EQ(in_grams(wool.put_up.value().net_mass.value()), 100.0);
  EXPECT_FALSE(wool.measured_diameter.has_value());
  EXPECT_EQ(wool.width_over_thickness, 1.0);
  const yarn::Yarn& sliver = table.yarns.at("sliver");
  EXPECT_EQ(sliver.kind, yarn::Kind::Roving);
  EXPECT_EQ(sliver.made, yarn::Made::Handspun);
  EXPECT_FALSE(sliver.put_up.has_value());
}

TEST(Yarns, AreSinglesUntilAPlyIsTold) {
  const std::string heading = kSmallHeading;
  EXPECT_EQ(only(yarns_of(heading + "a,wool,500 tex,,,\n")).kind, yarn::Kind::Singles);
  EXPECT_EQ(only(yarns_of(heading + "a,wool,500 tex,,3,\n")).kind, yarn::Kind::Plied);
  EXPECT_EQ(only(yarns_of(heading + "a,wool,500 tex,plied,,\n")).ply, 2);
  EXPECT_EQ(only(yarns_of(heading + "a,wool,500 tex,woollen,2,\n")).kind, yarn::Kind::Woollen);
  EXPECT_EQ(only(yarns_of(heading + "a,wool,500 tex,roving,,mill\n")).made, yarn::Made::Mill);
}

// 20 hanks of 840 yd to the pound are 33.87 m in a gram, two threads of 20 m to the gram 10.
TEST(Yarns, AskWhichCountOfSpunSilkIsMeantWhereTheLabelMaySayEither) {
  const std::string heading = "id,fibre,count,diameter_mm\n";
  EXPECT_EQ(told_lines(yarns_of(heading + "a,silk,20/2 spun silk,\n").warnings),
            (Lines{"yarns.csv:2:3: count: \"20/2 spun silk\" is read by the English count after "
                   "folding, 33.9 m in a gram; if its label says about 10 m in a gram, write \"Nm "
                   "20/2\""}));
  for (const char* row : {"a,silk,20s/2 spun silk,\n", "a,silk,40s-2 spun silk,\n",
                          "a,silk,Nm 20/2,\n", "a,silk,20/2 spun silk,0.2\n"}) {
    EXPECT_TRUE(yarns_of(heading + row).warnings.empty()) << row;
  }
}

TEST(Yarns, TakeDecimalCommasWhereSemicolonsSeparate) {
  const YarnTable table =
      yarns_of("id;fibre;count;diameter_mm;put_up;price\r\na;wool;400,5 tex;1,5;0,5 kg;12,50\r\n");
  EXPECT_NEAR(in_tex(only(table).linear_density), 400.5, 1e-9);
  EXPECT_DOUBLE_EQ(in_millimetres(only(table).measured_diameter.value()), 1.5);
  EXPECT_DOUBLE_EQ(in_grams(only(table).put_up.value().net_mass.value()), 500.0);
  EXPECT_EQ(table.prices.at("a"), decide::read_money("12.50"));
}

TEST(Yarns, TakeAWrapCountWithItsConvention) {
  const std::string heading = kMeasuredHeading;
  const YarnTable touching = yarns_of(heading + "a,wool,400 tex,,10 /cm,touching,\n");
  EXPECT_NEAR(in_millimetres(only(touching).measured_diameter.value()), 1.0, 1e-12);  // 10 mm / 10
  const YarnTable apart = yarns_of(heading + "a,wool,400 tex,,5 /cm,thread apart,\n");
  EXPECT_NEAR(in_millimetres(only(apart).measured_diameter.value()), 1.0, 1e-12);  // 10 / (2 x 5)
  EXPECT_EQ(complaints(heading + "a,wool,400 tex,,10 /cm,,\nb,wool,400 tex,1,10 /cm,touching,\n"
                                 "c,wool,400 tex,,0.05 /cm,touching,\n"),
            (Lines{"yarns.csv:2:5: wraps: needs wraps_convention beside it: touching, or thread "
                   "apart when a thread's width was left between the wraps",
                   "yarns.csv:3:5: wraps: diameter_mm is given as well; keep the one that was "
                   "measured last and empty the other",
                   "yarns.csv:4:5: wraps: 0.05 /cm is outside 0.1 /cm to 1000 /cm"}));
}

// 12/6 cotton with a packing of 0.46 and fibre of 1.52 g/cm3 is
// sqrt(4 x 0.2952706 g/m / (pi x 1.52 x 0.46)) = 0.733 mm; 3 / 0.733 = 4.1 and 0.733 / 0.2 = 3.7.
TEST(Yarns, AskWhenDiameterAndCountContradictEachOther) {
  const YarnTable table = yarns_of(std::string(kMeasuredHeading) +
                                   "thick,cotton,12/6 seine twine,3,,,\n"
                                   "thin,cotton,12/6 seine twine,0.2,,,\n"
                                   "fine,cotton,12/6 seine twine,1.8,,,\n");
  EXPECT_EQ(told_lines(table.warnings),
            (Lines{"yarns.csv:2:4: diameter_mm: thick is 4.1 times as thick as its count and fibre "
                   "say (0.73 mm); is the count right?",
                   "yarns.csv:3:4: diameter_mm: thin is 3.7 times as thin as its count and fibre "
                   "say (0.73 mm); is the count right?"}));
}

TEST(Yarns, ComplainOfEveryIdAtOnce) {
  EXPECT_EQ(complaints("id,fibre,count\n,wool,400 tex\nrug wool,wool,400 tex\na,wool,400 tex\n"
                       "a,wool,400 tex\n"),
            (Lines{"yarns.csv:2:1: id: every yarn needs one, such as rug-wool-ash",
                   "yarns.csv:3:1: id: \"rug wool\" may have only letters a to z, digits and "
                   "hyphens, such as rug-wool-ash",
                   "yarns.csv:5:1: id: \"a\" is also the yarn of line 4; give one of them another "
                   "id"}));
}

TEST(Yarns, ComplainOfWhatIsMissing) {
  EXPECT_EQ(complaints("id,fibre,count\na,,\n"),
            (Lines{"yarns.csv:2:2: fibre: is empty; write a fibre or a blend, such as wool or 80 % "
                   "wool 20 % nylon",
                   "yarns.csv:2:3: count: is empty; copy it from the label, such as 8/2 cotton or "
                   "250 m / 100 g"}));
  EXPECT_EQ(complaints("id,label\na,b\n"),
            (Lines{"yarns.csv:1: there is no column 'fibre'; add it to the first line",
                   "yarns.csv:1: there is no column 'count'; add it to the first line"}));
}

TEST(Yarns, ComplainOfPlyAndKindThatContradictTheCount) {
  EXPECT_EQ(complaints(std::string(kSmallHeading) + "a,cotton,8/2 cotton,,3,\n"
                                                    "b,wool,500 tex,singles,2,\n"
                                                    "c,wool,500 tex,plied,1,\n"
                                                    "d,wool,500 tex,twine,2.5,hand dyed\n"),
            (Lines{"yarns.csv:2:5: ply: 3 here, but the count \"8/2 cotton\" says 2; correct one "
                   "of them",
                   "yarns.csv:3:4: kind: singles does not go with a ply of 2; correct one of them",
                   "yarns.csv:4:4: kind: plied does not go with a ply of 1; correct one of them",
                   "yarns.csv:5:4: kind: \"twine\" is not known here; 'singles', 'plied', "
                   "'woollen' or 'roving' is accepted",
                   "yarns.csv:5:5: ply: 2.5 is not a whole number",
                   "yarns.csv:5:6: made: \"hand dyed\" is not known here; did you mean "
                   "'hand-dyed'? 'mill', 'hand-dyed' or 'handspun' is accepted"}));
}

TEST(Yarns, ComplainOfPutUpsAndRanges) {
  EXPECT_EQ(complaints("id,fibre,count,put_up,price,lies_flat,diameter_mm\n"
                       "a,wool,400 tex,50,,,\nb,wool,400 tex,0 g,,0.5,\nc,wool,400 tex,,7,,90\n"),
            (Lines{"yarns.csv:2:4: put_up: \"50\" is neither a mass such as \"50 g\" or \"8 oz\" "
                   "nor a length such as \"250 m\"",
                   "yarns.csv:3:4: put_up: \"0 g\" is nothing; a put-up has yarn in it",
                   "yarns.csv:3:6: lies_flat: 0.5 is outside 1 to 20",
                   "yarns.csv:4:5: price: of what? Write in put_up what it buys, such as 50 g, or "
                   "here what it is by, such as 9.00 per 100 g",
                   "yarns.csv:4:7: diameter_mm: 90 is outside 0.02 to 50"}));
}

TEST(Yarns, PutThePlaceBeforeWhatOtherReadersSay) {
  const Lines lines = complaints("id,fibre,count\na,wol,aran\n");
  ASSERT_EQ(lines.size(), 2U);
  EXPECT_EQ(lines[0].substr(0, 29), "yarns.csv:2:2: fibre: \"wol\": ");
  EXPECT_EQ(lines[1].substr(0, 28), "yarns.csv:2:3: count: \"aran\"");
}

TEST(Yarns, HaveAColourForPicturesAndAreUsedWithoutOne) {
  const YarnTable table = yarns_of(
      "id,fibre,count,colour\na,wool,400 tex,#7A4B3C\nb,wool,400 tex,Rust\nc,wool,400 tex,\n"
      "d,wool,400 tex,rusty\n");
  EXPECT_EQ(table.yarns.at("a").colour, (yarn::Colour{122, 75, 60}));
  EXPECT_EQ(table.yarns.at("b").colour, yarn::find_colour("rust"));
  EXPECT_FALSE(table.yarns.at("c").colour.has_value());
  EXPECT_FALSE(table.yarns.at("d").colour.has_value());
  EXPECT_EQ(told_lines(table.warnings),
            (Lines{"yarns.csv:5:4: colour: \"rusty\" is not known here; did you mean 'rust'? It is "
                   "drawn in grey until it is written as #rrggbb, such as #7a4b3c"}));
  // And where no word is near.
  EXPECT_EQ(
      told_lines(yarns_of("id,fibre,count,colour\na,wool,400 tex,madder red\n").warnings),
      (Lines{"yarns.csv:2:4: colour: \"madder red\" is not known here; drawn in grey until it "
             "is written as #rrggbb, such as #7a4b3c"}));
}

TEST(Yarns, WarnOfColumnsNobodyReads) {
  EXPECT_EQ(told_lines(yarns_of("id,fibre,count,shop\na,wool,400 tex,ash\n").warnings),
            (Lines{"yarns.csv:1:4: unknown column 'shop'. It is kept but not used."}));
}

TEST(ReadYarns, PutUpsOfSeveralSizesWithAPriceForEachOrByWeight) {
  const YarnTable table = read_yarns(
      "id,fibre,count,put_up,price\n"
      "two,wool,200 m/100 g,50 g or 200 g,4.20 or 14.00\n"
      "kilo,wool,200 m/100 g,100 g or 250 g,80.00 per kg\n"
      "loose,wool,200 m/100 g,,9.00 per 100 g\n",
      "yarns.csv", starting_values().packing());
  using decide::Money;
  const auto two = table.sizes.at("two");
  ASSERT_EQ(two.size(), 2u);
  EXPECT_EQ(two[0].holds, 50.0);
  EXPECT_EQ(two[1].holds, 200.0);
  EXPECT_EQ(*two[1].price, Money::of_units(14));
  EXPECT_EQ(table.prices.at("two"), Money::of_millionths(4'200'000));
  // 80 for 1000 g: 8 for 100 g, 20 for 250 g.
  EXPECT_EQ(*table.sizes.at("kilo")[0].price, Money::of_units(8));
  EXPECT_EQ(*table.sizes.at("kilo")[1].price, Money::of_units(20));
  EXPECT_EQ(table.prices.at("loose"), Money::of_units(9));
  EXPECT_EQ(in_grams(*table.priced_by.at("loose").net_mass), 100.0);
  EXPECT_FALSE(table.yarns.at("loose").put_up);
}

TEST(ReadYarns, RefusesSizesAndPricesThatDoNotGoTogether) {
  try {
    read_yarns(
        "id,fibre,count,put_up,price\n"
        "mixed,wool,200 m/100 g,50 g or 100 m,\n"
        "lacks,wool,200 m/100 g,50 g or 200 g,4.20\n",
        "yarns.csv", starting_values().packing());
    FAIL();
  } catch (const BadInput& bad) {
    ASSERT_EQ(bad.complaints().size(), 2u);
    EXPECT_EQ(bad.complaints()[0].told(),
              "yarns.csv:2:4: put_up: \"50 g or 100 m\" has masses and lengths; write every size "
              "as the one or the other");
    EXPECT_EQ(bad.complaints()[1].told(),
              "yarns.csv:3:5: price: 1 price for 2 sizes of put_up; write one for each, such as "
              "4.20 or 14.00, or one by an amount, such as 9.00 per 100 g");
  }
}

}  // namespace
}  // namespace ellwand::studio
