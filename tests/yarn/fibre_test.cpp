#include "ellwand/yarn/fibre.hpp"

#include <gtest/gtest.h>

#include <string>

#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"

namespace ellwand::yarn {
namespace {

using test::number;
using test::published_rows;
using test::PublishedRow;

std::string refusal(const std::string& text) {
  try {
    read_fibre_blend(text);
  } catch (const UnreadableText& wrong) {
    return wrong.what();
  }
  return {};
}

TEST(KnownFibres, AreThePublishedOnes) {
  // READ from Morton and Hearle or from memory: the table says which, number by number. Where it
  // says from memory this proves only that code and table agree.
  const auto rows = published_rows("fibre_properties.csv", 17);
  ASSERT_EQ(rows.size(), known_fibres().size());
  for (const PublishedRow& row : rows) {
    const Fibre fibre = fibre_named(row.at("fibre"));
    EXPECT_NEAR(in_grams_per_cubic_cm(fibre.density), number(row, "density_g_cm3"), 1e-12)
        << row.at("fibre") << ", " << row.at("density_kind");
    EXPECT_EQ(fibre.regain, number(row, "regain"))
        << row.at("fibre") << ", " << row.at("regain_kind");
  }
}

TEST(KnownFibres, FeltOnlyWhenTheyAreHair) {
  EXPECT_TRUE(fibre_named("wool").felts);
  EXPECT_TRUE(fibre_named("alpaca").felts);
  EXPECT_FALSE(fibre_named("silk").felts);
  EXPECT_FALSE(fibre_named("cotton").felts);
}

TEST(FibreNamed, KnowsTheOtherNamesOfTheTrade) {
  EXPECT_EQ(fibre_named("Flax").name, "linen");
  EXPECT_EQ(fibre_named("rayon").name, "viscose");
  EXPECT_EQ(fibre_named("mercerized  cotton").name, "mercerised cotton");
  EXPECT_TRUE(is_fibre_word("Merino"));
  EXPECT_TRUE(is_fibre_word("mercerised"));
  EXPECT_FALSE(is_fibre_word("tex"));
}

TEST(FibreNamed, NamesTheFibreThatWasProbablyMeant) {
  EXPECT_EQ(refusal("aplaca"),
            "\"aplaca\": no fibre of this name is known; did you mean \"alpaca\"?");
  EXPECT_NE(refusal("gossamer").find("known are cotton, mercerised cotton, wool"),
            std::string::npos);
}

void expect_wool_and_nylon(const std::string& text) {
  const FibreBlend blend = read_fibre_blend(text);
  ASSERT_EQ(blend.size(), 2U) << text;
  EXPECT_EQ(blend[0].fibre.name, "wool") << text;
  EXPECT_NEAR(blend[0].by_mass, 0.80, 1e-15) << text;
  EXPECT_EQ(blend[1].fibre.name, "nylon") << text;
  EXPECT_NEAR(blend[1].by_mass, 0.20, 1e-15) << text;
}

TEST(ReadFibreBlend, ReadsSharesBeforeOrBehindTheFibre) {
  for (const char* text : {"80 % wool 20 % nylon", "80% Wool, 20% Nylon", "wool 80 %, nylon 20 %",
                           "wool 80 % nylon 20 %", "80/20 wool/nylon", "80 % wool and 20 % nylon",
                           "80 % wool + 20 % nylon"}) {
    expect_wool_and_nylon(text);
  }
}

TEST(ReadFibreBlend, TakesASingleFibreForTheWhole) {
  const FibreBlend blend = read_fibre_blend("wool");
  ASSERT_EQ(blend.size(), 1U);
  EXPECT_EQ(blend[0].by_mass, 1.0);
  EXPECT_EQ(read_fibre_blend("100 % linen")[0].by_mass, 1.0);
}

TEST(ReadFibreBlend, AddsUpAFibreNamedTwice) {
  const FibreBlend blend = read_fibre_blend("50 % merino 50 % wool");
  ASSERT_EQ(blend.size(), 1U);
  EXPECT_NEAR(blend[0].by_mass, 1.0, 1e-15);
}

TEST(ReadFibreBlend, ForgivesTheRoundingOfLabels) {
  const FibreBlend blend = read_fibre_blend("33 % wool 33 % silk 33 % linen");
  ASSERT_EQ(blend.size(), 3U);
  EXPECT_NEAR(blend[0].by_mass + blend[1].by_mass + blend[2].by_mass, 1.0, 1e-15);
}

TEST(ReadFibreBlend, RefusesSharesThatAreNoWhole) {
  EXPECT_EQ(refusal("70 % wool 20 % nylon"),
            "\"70 % wool 20 % nylon\": the shares sum to 90 %; they must sum to 100 %");
  for (const char* text : {"", "100", "wool, nylon", "80 % wool nylon", "0 % wool 100 % silk",
                           "-5 % wool", "80 % wol 20 % nylon", "150 % wool"}) {
    EXPECT_NE(refusal(text), "") << text;
  }
}

TEST(BlendDensity, AddsVolumes) {
  // 0.8 / 1.31 + 0.2 / 1.14 = 0.610687 + 0.175439 = 0.786126 cm3; 1 / 0.786126 = 1.272061.
  EXPECT_NEAR(in_grams_per_cubic_cm(blend_density(read_fibre_blend("80 % wool 20 % nylon"))),
              1.272061, 2e-6);
  EXPECT_NEAR(in_grams_per_cubic_cm(blend_density(read_fibre_blend("wool"))), 1.31, 1e-12);
  EXPECT_THROW(blend_density({}), OutOfRange);
  EXPECT_THROW(blend_density({{fibre_named("wool"), 0.5}}), OutOfRange);
}

TEST(BlendRegain, AddsTheDryParts) {
  // 0.8 / 1.14 + 0.2 / 1.045 = 0.701754 + 0.191388 = 0.893142 dry; 1 / 0.893142 - 1 = 0.119643.
  EXPECT_NEAR(blend_regain(read_fibre_blend("80 % wool 20 % nylon")), 0.119643, 2e-6);
  EXPECT_NEAR(blend_regain(read_fibre_blend("wool")), 0.14, 1e-12);
}

TEST(MassAtRegain, KeepsTheDryFibre) {
  // 114 g of wool at 14 % hold 100 g of dry fibre; at 10 % that is 110 g.
  EXPECT_NEAR(in_grams(mass_at_regain(grams(114.0), 0.14, 0.10)), 110.0, 1e-12);
  EXPECT_THROW(mass_at_regain(grams(114.0), -0.1, 0.1), OutOfRange);
  EXPECT_THROW(mass_at_regain(grams(114.0), 0.1, 1.5), OutOfRange);
}

}  // namespace
}  // namespace ellwand::yarn
