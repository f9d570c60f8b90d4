/// How warp and weft share the bend, found again from ends that were drawn out of a known cloth.

#include "ellwand/calibrate/found_shares.hpp"

#include "ellwand/estimate/height_share.hpp"
#include "ellwand/studio/read_studio.hpp"
#include "ellwand/units/error.hpp"
#include "support/published_rows.hpp"
#include "support/studios.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <string>

namespace ellwand::calibrate {
namespace {

using test::number;
using test::published_rows;
using test::PublishedRow;

/// A cloth of two yarns as thick as is said.
struct Woven {
  double warp_mm = 0.5;
  double weft_mm = 0.6;
  double end_spacing_mm = 1.25;
  double pick_spacing_mm = 1.25;
  std::string beat = "balanced";
  std::string weave = "plain";
  int rows = 100;
};

estimate::YarnTable yarns_of(const Woven& cloth) {
  estimate::YarnTable table;
  for (const auto& [id, mm] : {std::pair("end", cloth.warp_mm), std::pair("pick", cloth.weft_mm)}) {
    yarn::Yarn yarn = test::demo_studio().yarns.at("cotton-8-2");
    yarn.id = id;
    yarn.measured_diameter = millimetres(mm);
    table.emplace(id, yarn);
  }
  return table;
}

/// A swatch of it with its height, ten rows of its weft and its ends measured.
/// @param end_mm  length of one end through the band
Swatch swatch_of(const Woven& cloth, double end_mm) {
  const estimate::YarnTable yarns = yarns_of(cloth);
  studio::Studio studio;
  studio.yarns = yarns;
  const std::string text =
      "[piece]\nname = \"Trial\"\n[loom]\nkind = \"frame\"\nspan = \"500 cm\"\n[warp]\nyarn = "
      "\"end\"\nends = 40\nsett = \"" +
      std::to_string(10.0 / cloth.end_spacing_mm) +
      " /cm\"\n[[band]]\nwork = \"weave\"\nyarn = \"pick\"\nweave = \"" + cloth.weave +
      "\"\nbeat = \"" + cloth.beat + "\"\nrows = " + std::to_string(cloth.rows) + "\n";
  Swatch swatch;
  swatch.id = "trial";
  swatch.file = "swatches.csv";
  swatch.piece = studio::read_piece(text, "trial.toml", studio, test::starting_values()).piece;
  Measurement height;
  height.what = Measured::Height;
  height.value = 1e-3 * cloth.rows * cloth.pick_spacing_mm;
  height.state = piece::State::OffLoom;
  Measurement weft;
  weft.what = Measured::Length;
  weft.includes = Includes::InTheBand;
  weft.yarn = "pick";
  weft.band = 0;
  weft.share = 0.1;
  weft.value = 0.6;
  Measurement end;
  end.what = Measured::EndLength;
  end.band = 0;
  end.value = 1e-3 * end_mm;
  end.line = 7;
  end.column = "unpicked_end_cm";
  swatch.measurements = {height, weft, end};
  return swatch;
}

std::optional<FoundShare> found_of(const Swatch& swatch, const estimate::Workshop& workshop) {
  const std::vector<Unpicked> all = unpicked_of(swatch);
  return all.empty() ? std::nullopt : found_share(swatch, all.front(), workshop);
}

std::optional<FoundShare> found_in(const Woven& cloth, double end_mm) {
  const estimate::YarnTable yarns = yarns_of(cloth);
  return found_of(swatch_of(cloth, end_mm), {yarns, test::starting_values(), {}});
}

// Peirce's cells, solved from the warp's crimp: the weft's part of the height is the published one.
TEST(FoundShare, IsThatOfThePublishedCells) {
  for (const PublishedRow& row : published_rows("peirce_cells.csv")) {
    SCOPED_TRACE(row.at("id"));
    Woven cloth{number(row, "warp_diameter_mm"), number(row, "weft_diameter_mm"),
                number(row, "end_spacing_mm"), number(row, "pick_spacing_mm")};
    const auto found = found_in(cloth, cloth.rows * number(row, "warp_yarn_mm"));
    ASSERT_TRUE(found);
    const double share = number(row, "weft_height_mm") / (cloth.warp_mm + cloth.weft_mm);
    EXPECT_NEAR(0.5 + found->shift, share, 2e-5);  // the yarn is printed to 1e-6 mm
  }
}

// d 0.5 and 0.6, p 1.25 mm, h_warp 0.66 mm of D = 1.1:
// s = sqrt(1.5625 + 0.1936 - 1.21) = 0.738986, theta = atan(1.1 / s) - atan(0.44 / 1.25)
//   = 0.979245 - 0.338455 = 0.640789, l = 0.738986 + 1.1 x 0.640789 = 1.443854 mm.
// A 2/2 twill crosses every second pick: (1.443854 + 1.25) / 2 = 1.346927 mm a pick.
TEST(FoundShare, OfATwillIsByTheCellsThatCross) {
  Woven cloth;
  const auto plain = found_in(cloth, 100 * 1.443854);
  ASSERT_TRUE(plain);
  EXPECT_NEAR(plain->shift, -0.1, 1e-5);
  cloth.weave = "2/2 twill";
  const auto twill = found_in(cloth, 100 * 1.346927);
  ASSERT_TRUE(twill);
  EXPECT_NEAR(twill->shift, -0.1, 1e-4);
  // The same error of the measurements is twice as much of half the crimp.
  EXPECT_GT(twill->spread, 1.5 * plain->spread);
}

// Weft-faced, d 1.0 and 1.6, picks 1.04 mm apart: the warp's part is 2.6 - sqrt(2.6^2 - 1.04^2) =
// 0.217061 mm at most, where s = 0, theta = pi / 2 - atan((2.6 - 0.217061) / 1.04) = 0.411517,
// l = 2.6 x 0.411517 = 1.069944 mm.
TEST(FoundShare, KeepsToWhereBothRootsAreReal) {
  const Woven cloth{1.0, 1.6, 4.0, 1.04, "weft-faced"};
  const auto most = found_in(cloth, 100 * 1.069944);
  ASSERT_TRUE(most);
  EXPECT_EQ(most->face, cloth::Face::Weft);
  EXPECT_NEAR(most->shift, -0.217061 / 2.6, 1e-4);
  const auto beyond = found_in(cloth, 100 * 1.09);  // 2 % more, as a measurement may stray
  ASSERT_TRUE(beyond);
  EXPECT_NEAR(beyond->shift, -0.217061 / 2.6, 1e-4);
  const auto straight = found_in(cloth, 100 * 1.04);
  ASSERT_TRUE(straight);
  EXPECT_NEAR(straight->shift, 0.0, 1e-9);
}

TEST(FoundShare, RefusesEndsThatCannotBe) {
  const Woven cloth{1.0, 1.6, 4.0, 1.04, "weft-faced"};
  // 104 mm of cloth; errors of 2 and 3 % are 3.6 % of the ratio: three of them 10.8 %.
  EXPECT_THROW(found_in(cloth, 90.0), OutOfRange);
  EXPECT_THROW(found_in(cloth, 125.0), OutOfRange);
  const estimate::YarnTable yarns = yarns_of(cloth);
  try {
    found_shares({swatch_of(cloth, 90.0)}, {yarns, test::starting_values(), {}});
    FAIL() << "taken";
  } catch (const BadInput& bad) {
    ASSERT_EQ(bad.complaints().size(), 1U);
    EXPECT_EQ(bad.complaints()[0].line, 7);
    EXPECT_THAT(
        bad.complaints()[0].text,
        testing::StartsWith("unpicked_end_cm: these ends are 13.5 % shorter than the cloth"));
  }
}

TEST(FoundShare, AsksForWeftAndHeightOfTheSameBand) {
  const Woven cloth;
  const estimate::YarnTable yarns = yarns_of(cloth);
  for (std::size_t left_out = 0; left_out < 3; ++left_out) {
    Swatch swatch = swatch_of(cloth, 144.3854);
    swatch.measurements.erase(swatch.measurements.begin() + static_cast<std::ptrdiff_t>(left_out));
    EXPECT_FALSE(found_of(swatch, {yarns, test::starting_values(), {}}));
    EXPECT_TRUE(found_shares({swatch}, {yarns, test::starting_values(), {}}).empty());
  }
}

TEST(FoundShare, IsNotOfABandThatComesOutAgain) {
  const Woven cloth;
  const estimate::YarnTable yarns = yarns_of(cloth);
  Swatch swatch = swatch_of(cloth, 144.3854);
  swatch.piece.bands.push_back(swatch.piece.bands[0]);
  swatch.piece.bands[0].comes_out = true;
  for (Measurement& one : swatch.measurements) one.band = 0;
  EXPECT_FALSE(found_of(swatch, {yarns, test::starting_values(), {}}));
}

// Off the loom the cloth is 2 % shorter, at rest as the end that is drawn out of it. How much
// shorter is unsure by 1.5 %, so that the height is out by sqrt(3^2 + (1.5 / 0.98)^2), not 3 %.
TEST(FoundShare, TakesAHeightOnTheLoomToRest) {
  const Woven cloth;
  const estimate::YarnTable yarns = yarns_of(cloth);
  Swatch swatch = swatch_of(cloth, 144.3854);
  const double spread = found_of(swatch, {yarns, test::starting_values(), {}})->spread;
  swatch.measurements[0].state = piece::State::OnLoom;
  swatch.measurements[0].value /= 0.98;
  const auto found = found_of(swatch, {yarns, test::starting_values(), {}});
  ASSERT_TRUE(found);
  EXPECT_NEAR(found->shift, -0.1, 1e-5);
  EXPECT_NEAR(found->spread / spread, std::hypot(0.02, 0.03, 0.015 / 0.98) / std::hypot(0.02, 0.03),
              1e-6);
}

// A piece with two such bands says so twice, as two swatches do.
TEST(FoundShares, AreOfEveryBandThatWasUnpicked) {
  const Woven cloth;
  const estimate::YarnTable yarns = yarns_of(cloth);
  const estimate::Workshop workshop{yarns, test::starting_values(), {}};
  const Swatch one = swatch_of(cloth, 144.3854);
  Swatch both = one;
  both.piece.bands.push_back(both.piece.bands[0]);
  both.measurements.clear();
  for (const std::size_t band : {0U, 1U}) {
    for (Measurement its : one.measurements) {
      its.band = band;
      both.measurements.push_back(its);
    }
  }
  ASSERT_EQ(unpicked_of(both).size(), 2U);
  EXPECT_NEAR(found_shares({both}, workshop).at(0).mean, found_shares({one, one}, workshop)[0].mean,
              1e-12);
}

// Two alike say x with the precision 2 / s^2, the start 0 with 1 / 0.15^2.
TEST(FoundShares, AreWeighedAgainstTheStartingValue) {
  const Woven cloth;
  const estimate::YarnTable yarns = yarns_of(cloth);
  const estimate::Workshop workshop{yarns, test::starting_values(), {}};
  const Swatch swatch = swatch_of(cloth, 144.3854);
  const double spread = found_of(swatch, workshop)->spread;
  const auto found = found_shares({swatch, swatch}, workshop);
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(found[0].name, "height_share.balanced");
  EXPECT_EQ(found[0].start_spread, 0.15);
  const double readings = 2.0 / (spread * spread);
  const double start = 1.0 / (0.15 * 0.15);
  EXPECT_NEAR(found[0].mean, -0.1 * readings / (readings + start), 1e-5);
  EXPECT_NEAR(found[0].spread, 1.0 / std::sqrt(readings + start), 1e-12);
}

// What the fit learns of it is what estimates then lay: more of a balanced weft that bends more.
TEST(FoundShares, GoFromTheFitIntoEstimates) {
  const Woven cloth;
  const estimate::YarnTable yarns = yarns_of(cloth);
  estimate::Workshop workshop{yarns, test::starting_values(), {}};
  // h_warp 0.44 mm: s = sqrt(1.5625 + 0.4356 - 1.21) = 0.887750, theta = atan(1.1 / s) -
  // atan(0.66 / 1.25) = 0.891774 - 0.485796 = 0.405978, l = 1.334326 mm; the weft's part is 0.6.
  const Fit fit = calibrate::fit({swatch_of(cloth, 133.4326)}, workshop);
  const std::size_t place = fit.learned.find("height_share.balanced");
  ASSERT_NE(place, estimate::Learned::kNone);
  const double shift = fit.learned.means[place];
  EXPECT_GT(shift, 0.02);
  EXPECT_LT(shift, 0.1);
  const std::size_t n = fit.learned.names.size();
  ASSERT_EQ(fit.learned.covariances.size(), n * n);
  EXPECT_EQ(fit.coefficients.size(), n);
  EXPECT_NEAR(std::sqrt(fit.learned.covariances[place * (n + 1)]), fit.coefficients[place].spread,
              1e-15);

  EXPECT_EQ(estimate::weft_height_share(test::starting_values(), nullptr, cloth::Face::Balanced),
            0.5);
  EXPECT_EQ(
      estimate::weft_height_share(test::starting_values(), &fit.learned, cloth::Face::Balanced),
      0.5 + shift);
  EXPECT_EQ(estimate::weft_height_share(test::starting_values(), &fit.learned, cloth::Face::Warp),
            0.0);
  estimate::Learned only_share;
  only_share.names = {"height_share.balanced"};
  only_share.means = {shift};
  only_share.covariances = {0.0};
  const piece::Piece piece = swatch_of(cloth, 133.4326).piece;
  const auto taut_m = [&](const estimate::Learned* learned) {
    workshop.learned = learned;
    const estimate::PieceModel model(piece, workshop);
    double crimp_m = 0.0;
    for (const auto& entry : model.planned().at(0).entries) {
      if (entry.cause == technique::Cause::Crimp) crimp_m += in_metres(entry.yarn);
    }
    return crimp_m / (39.0 * model.planned().at(0).rows);
  };
  const auto crimp_mm = [](double h) {
    const double D = 1.1;
    const double p = 1.25;
    const double s = std::sqrt(p * p + (D - h) * (D - h) - D * D);
    return s + D * (std::atan2(D, s) - std::atan2(D - h, p)) - p;
  };
  EXPECT_NEAR(1e3 * taut_m(nullptr), crimp_mm(0.5 * 1.1), 1e-9);
  EXPECT_NEAR(1e3 * taut_m(&only_share), crimp_mm((0.5 + shift) * 1.1), 1e-9);
}

}  // namespace
}  // namespace ellwand::calibrate
