// Several pieces together: by hand, against a published sum, and against samples in which what she
// does alike is drawn once.

#include "ellwand/estimate/piece_totals.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "ellwand/estimate/yarn_totals.hpp"
#include "support/draws.hpp"
#include "support/studios.hpp"

namespace ellwand::estimate {
namespace {

/// One piece of one yarn: log-sds of the studio and of the piece; the lot's comes with the label.
Parts one_piece() {
  Parts parts;
  parts.coefficients = 3;
  parts.places = {{1, 0, technique::Portion::Laid}};
  parts.medians_m = {62.0};
  parts.at_states_m.resize(1);
  parts.slopes.add(std::array{0.045, 0.06, 0.0});
  return parts;
}

TEST(SideBySide, FivePiecesFromOneLotNeedLessThanFiveAllowances) {
  const Parts parts = one_piece();
  std::vector<NamedParts> pieces;
  for (int p = 0; p < 5; ++p) {
    pieces.push_back({&parts, {"studio", "piece " + std::to_string(p), "lot"}, {0}});
  }
  std::vector<std::string> names;
  const Parts all = side_by_side(pieces, names);
  ASSERT_EQ(names.size(), 7U);  // the studio, the lot, five pieces
  const std::size_t lot =
      static_cast<std::size_t>(std::find(names.begin(), names.end(), "lot") - names.begin());
  // 62 g each, log-sd 0.045 of the studio and 0.03 of the lot in common, 0.06 of each piece: 342.8
  // g for 19 of 20, by sampling four million. Five allowances one by one are 5 x 62 x exp(1.645 x
  // sqrt(0.045^2 + 0.03^2 + 0.06^2)) = 354.
  const double together = Sum(all, {0, 1, 2, 3, 4}).mass_g(1.0, lot, 0.03).quantile(0.95);
  EXPECT_NEAR(together, 342.8, 0.2);
  std::vector<std::string> alone;
  EXPECT_NEAR(5.0 * Sum(side_by_side({pieces[0]}, alone), {0}).mass_g(1.0, 2, 0.03).quantile(0.95),
              354.0, 0.5);
}

TEST(SideBySide, YarnsAreThoseOfAllPieces) {
  const Parts parts = one_piece();
  std::vector<std::string> names;
  const Parts all =
      side_by_side({{&parts, {"a", "b", "c"}, {0}}, {&parts, {"a", "d", "e"}, {3}}}, names);
  EXPECT_EQ(all.places.at(0).yarn, 0U);
  EXPECT_EQ(all.places.at(1).yarn, 3U);
  EXPECT_EQ(names, (std::vector<std::string>{"a", "b", "c", "d", "e"}));
  const std::array expected = {std::array{0.045, 0.06, 0.0, 0.0, 0.0},
                               std::array{0.045, 0.0, 0.0, 0.06, 0.0}};
  for (std::size_t i = 0; i < 2; ++i) {
    for (std::size_t c = 0; c < 5; ++c) EXPECT_EQ(all.slopes.at(i, c), expected[i][c]);
  }
}

// Threads write what is their own; the figures are those of one, to the last bit.
TEST(EstimateEach, HasTheSameBitsOnOneThreadAndTwo) {
  std::vector<piece::Piece> pieces;
  for (int i = 0; i < 3; ++i) {
    for (const char* name : {"saltmarsh", "sedge"}) pieces.push_back(test::demo_piece(name));
  }
  const auto one = estimate_each(pieces, test::demo_workshop(), {}, {}, 1);
  const auto two = estimate_each(pieces, test::demo_workshop(), {}, {}, 2);
  ASSERT_EQ(one.size(), pieces.size());
  ASSERT_EQ(two.size(), pieces.size());
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    EXPECT_EQ(one[p].estimate.chance_any_short, two[p].estimate.chance_any_short);
    ASSERT_EQ(one[p].estimate.yarns.size(), two[p].estimate.yarns.size());
    for (std::size_t y = 0; y < one[p].estimate.yarns.size(); ++y) {
      EXPECT_EQ(one[p].estimate.yarns[y].set_aside_g, two[p].estimate.yarns[y].set_aside_g);
      EXPECT_EQ(one[p].estimate.yarns[y].length_m.low, two[p].estimate.yarns[y].length_m.low);
    }
  }
}

struct Pieces {
  std::vector<PieceModel> models;
  std::vector<PieceEstimate> estimates;

  explicit Pieces(const std::vector<piece::Piece>& pieces) {
    for (const piece::Piece& piece : pieces) {
      models.emplace_back(piece, test::demo_workshop());
      estimates.push_back(estimate(models.back(), {}, {}));
    }
  }
  Totals totals(const Shelf& shelf = {}) const {
    std::vector<Estimated> all;
    for (std::size_t p = 0; p < models.size(); ++p) all.push_back({&models[p], &estimates[p]});
    return totals_of(all, shelf, {});
  }
};

/// Which coefficients two pieces have in common, written here anew: all but what is of the piece,
/// of its strips, or of another weaver.
std::string common_name(const PieceModel& model, std::size_t c, std::size_t piece) {
  const bool beginner = model.piece().beginner;
  for (const Shared one : {Shared::PieceTake, Shared::BeatPiece}) {
    if (c == index_of(one)) return std::to_string(c) + " of " + std::to_string(piece);
  }
  if (c == index_of(Shared::Weaver) || c == index_of(Shared::DrawIn)) {
    return std::to_string(c) + (beginner ? " beginner" : " experienced");
  }
  if (c == index_of(Shared::Stretch)) return "stretch of " + model.yarns()[0]->fibre[0].fibre.name;
  if (c < kShared) return std::to_string(c);
  const std::size_t which = (c - kShared) % kPerYarn;
  const std::string yarn = model.all_yarns()[(c - kShared) / kPerYarn]->id;
  const bool is_split = which == static_cast<std::size_t>(OfYarn::Split);
  return yarn + std::to_string(which) + (is_split ? " of " + std::to_string(piece) : "");
}

using SortedTotals = std::map<std::string, std::vector<double>>;

/// Metres of each yarn over all pieces, sorted.
SortedTotals sampled(const std::vector<PieceModel>& models, std::size_t count) {
  std::map<std::string, std::size_t> places;
  std::vector<std::vector<std::size_t>> place_of(models.size());
  for (std::size_t p = 0; p < models.size(); ++p) {
    for (std::size_t c = 0; c < models[p].coefficients().size(); ++c) {
      place_of[p].push_back(
          places.emplace(common_name(models[p], c, p), places.size()).first->second);
    }
  }
  test::NormalDraws draws(31);
  SortedTotals totals;
  std::vector<double> z(places.size());
  for (std::size_t s = 0; s < count; ++s) {
    for (double& one : z) one = draws.next();
    std::map<std::string, double> metres;
    for (std::size_t p = 0; p < models.size(); ++p) {
      std::vector<double> deviations = models[p].coefficients().spreads;
      for (std::size_t c = 0; c < deviations.size(); ++c) deviations[c] *= z[place_of[p][c]];
      for (const LedgerLine& line : models[p].ledger(deviations, technique::Counting::Smooth)) {
        metres[models[p].yarns()[line.yarn]->id] += in_metres(line.length);
      }
    }
    for (const auto& [yarn, length] : metres) totals[yarn].push_back(length);
  }
  for (auto& [yarn, all] : totals) std::sort(all.begin(), all.end());
  return totals;
}

double at(const std::vector<double>& sorted, double p) {
  return sorted[static_cast<std::size_t>(p * static_cast<double>(sorted.size()))];
}

// A weaver of each kind, every yarn of one in the other; three of one piece, whose own doubts even
// out. Medians to 1 %, ends and set-asides to 3 %, as for a piece alone.
TEST(Totals, AgreeWithSamples) {
  const std::vector<std::vector<piece::Piece>> sets = {
      {test::demo_piece("saltmarsh"), test::demo_piece("tideline"), test::demo_piece("sedge")},
      {test::demo_piece("saltmarsh"), test::demo_piece("saltmarsh"),
       test::demo_piece("saltmarsh")}};
  for (const auto& set : sets) {
    const Pieces pieces(set);
    const Totals totals = pieces.totals();
    const SortedTotals samples = sampled(pieces.models, 30'000);
    ASSERT_EQ(totals.yarns.size(), samples.size());
    for (const YarnEstimate& yarn : totals.yarns) {
      SCOPED_TRACE(yarn.yarn);
      const std::vector<double>& sorted = samples.at(yarn.yarn);
      EXPECT_NEAR(yarn.length_m.mid / at(sorted, 0.50), 1.0, 0.01);
      EXPECT_NEAR(yarn.length_m.low / at(sorted, 0.05), 1.0, 0.03);
      EXPECT_NEAR(yarn.length_m.high / at(sorted, 0.95), 1.0, 0.03);
      EXPECT_NEAR(yarn.set_aside_m / at(sorted, 0.95), 1.0, 0.03);
    }
  }
}

TEST(Totals, OfOnePieceAreItsOwn) {
  const Pieces pieces({test::demo_piece("saltmarsh")});
  const Totals totals = pieces.totals();
  const PieceEstimate& alone = pieces.estimates[0];
  ASSERT_EQ(totals.yarns.size(), alone.yarns.size());
  for (std::size_t y = 0; y < alone.yarns.size(); ++y) {
    EXPECT_EQ(totals.yarns[y].yarn, alone.yarns[y].yarn);
    EXPECT_NEAR(totals.yarns[y].plan_m, alone.yarns[y].plan_m, 1e-12 * alone.yarns[y].plan_m);
    EXPECT_NEAR(totals.yarns[y].set_aside_g, alone.yarns[y].set_aside_g,
                1e-9 * alone.yarns[y].set_aside_g);
    EXPECT_EQ(totals.yarns[y].put_ups, alone.yarns[y].put_ups);
  }
  EXPECT_NEAR(totals.chance_any_set_aside_short, alone.chance_any_set_aside_short, 1e-6);
}

TEST(Totals, PlansAddUpAndPutUpsAreCountedOnce) {
  const Pieces pieces({test::demo_piece("saltmarsh"), test::demo_piece("saltmarsh")});
  const Totals totals = pieces.totals({{"rug-wool-ash", {grams(500.0), grams(500.0), 1}}});
  for (std::size_t y = 0; y < totals.yarns.size(); ++y) {
    const YarnEstimate& one = pieces.estimates[0].yarns[y];
    const YarnEstimate& both = totals.yarns[y];
    EXPECT_NEAR(both.plan_m, 2.0 * one.plan_m, 1e-9 * both.plan_m);
    EXPECT_NEAR(both.plan_g, 2.0 * one.plan_g, 1e-9 * both.plan_g);
    EXPECT_NEAR(both.spare_m, 2.0 * one.spare_m, 1e-9);
    EXPECT_LE(both.set_aside_m, 2.0 * one.set_aside_m * (1.0 + 1e-9));
    EXPECT_GT(both.set_aside_m, both.plan_m);
    // A put-up holds both, where it would have been opened twice: 29 g of 100, and so on.
    EXPECT_EQ(both.put_ups, 1) << both.yarn;
    EXPECT_EQ(totals.used_in[y].size(), 2U);
  }
  EXPECT_NEAR(totals.yarns[2].on_shelf_g.value(), 500.0, 1e-9);
}

}  // namespace
}  // namespace ellwand::estimate
