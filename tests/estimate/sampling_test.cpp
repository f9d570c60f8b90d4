// Ranges held against samples of the model itself: every coefficient drawn from its spread, the
// whole ledger made anew each time.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "ellwand/estimate/estimate.hpp"
#include "support/draws.hpp"
#include "support/studios.hpp"

namespace ellwand::estimate {
namespace {

using technique::Counting;

constexpr std::size_t kSamples = 100'000;

/// Sampled totals by yarn, each sorted.
struct Samples {
  std::vector<std::vector<double>> metres;
  std::vector<std::vector<double>> grams;
  double any_over_set_aside = 0.0;
};

Samples sample(const PieceModel& model, const PieceEstimate& estimate, Counting counting,
               std::size_t count) {
  const std::size_t yarns = model.yarns().size();
  const std::vector<double>& spreads = model.coefficients().spreads;
  test::NormalDraws draws(20261125);
  Samples samples{std::vector<std::vector<double>>(yarns), std::vector<std::vector<double>>(yarns),
                  0.0};
  std::size_t over = 0;
  std::vector<double> deviations(spreads.size());
  for (std::size_t s = 0; s < count; ++s) {
    for (std::size_t c = 0; c < spreads.size(); ++c) deviations[c] = spreads[c] * draws.next();
    std::vector<double> totals(yarns, 0.0);
    for (const LedgerLine& line : model.ledger(deviations, counting)) {
      totals[line.yarn] += in_metres(line.length);
    }
    bool any = false;
    for (std::size_t y = 0; y < yarns; ++y) {
      const double lot = std::exp(deviations[index_of(OfYarn::Lot, y)]);
      const double grams = 1e-3 * in_tex(model.yarns()[y]->linear_density) * lot * totals[y];
      samples.metres[y].push_back(totals[y]);
      samples.grams[y].push_back(grams);
      any = any || grams > estimate.yarns[y].set_aside_g;
    }
    if (any) ++over;
  }
  for (auto* all : {&samples.metres, &samples.grams}) {
    for (auto& one : *all) std::sort(one.begin(), one.end());
  }
  samples.any_over_set_aside = static_cast<double>(over) / static_cast<double>(count);
  return samples;
}

double at(const std::vector<double>& sorted, double p) {
  return sorted[static_cast<std::size_t>(p * static_cast<double>(sorted.size()))];
}

void expect_range(const Spread& range, double set_aside, const std::vector<double>& sorted,
                  double median_tolerance, double end_tolerance) {
  EXPECT_NEAR(range.mid / at(sorted, 0.50), 1.0, median_tolerance) << "median";
  EXPECT_NEAR(range.low / at(sorted, 0.05), 1.0, end_tolerance) << "low end";
  EXPECT_NEAR(range.high / at(sorted, 0.95), 1.0, end_tolerance) << "high end";
  EXPECT_NEAR(set_aside / at(sorted, 0.95), 1.0, end_tolerance) << "set-aside";
}

/// Ends and set-asides within 3 %, medians within `median_tolerance`, of every yarn.
void expect_ranges(const PieceEstimate& result, const Samples& samples, double median_tolerance) {
  for (std::size_t y = 0; y < result.yarns.size(); ++y) {
    const YarnEstimate& yarn = result.yarns[y];
    SCOPED_TRACE(yarn.yarn);
    expect_range(yarn.length_m, yarn.set_aside_m, samples.metres[y], median_tolerance, 0.03);
    expect_range(yarn.mass_g, yarn.set_aside_g, samples.grams[y], median_tolerance, 0.03);
  }
}

PieceEstimate estimated(const PieceModel& model) { return estimate(model, {}, {}); }

TEST(Ranges, OfEveryKindOfPieceAgreeWithSamples) {
  for (const auto& [name, piece] : test::pieces_of_every_kind()) {
    SCOPED_TRACE(name);
    const PieceModel model(piece, test::demo_workshop());
    const PieceEstimate result = estimated(model);
    const Samples samples = sample(model, result, Counting::Smooth, kSamples);
    expect_ranges(result, samples, 0.01);
    EXPECT_NEAR(result.chance_any_set_aside_short, samples.any_over_set_aside, 0.01);
  }
}

/// The starting values with the spreads of take raised so that a length laid has a log-sd of 0.5:
/// 0.5^2 - 0.10^2 (hand) - 0.10^2 (weaver) - 0.06^2 (piece) - 0.08^2 (yarn) = 0.469^2.
StartingValues unsure_values() {
  std::vector<StartingValue> values;
  for (const auto& [name, value] : test::starting_values().all()) {
    values.push_back(value);
    if (name == "take.weave" || name == "take.knots") values.back().spread = 0.469;
  }
  return StartingValues(values);
}

// The median is held to 1.5 % here: rows few enough that tails and waste are most of the yarn bend
// away from straight logarithms by 0.5 %, beside the 0.7 % of the fitted sum.
TEST(Ranges, OfAHandUnsureByHalfAgreeWithSamples) {
  const StartingValues values = unsure_values();
  const Workshop workshop{test::demo_studio().yarns, values, test::demo_studio().habits};
  for (const auto& [name, piece] : test::pieces_of_every_kind()) {
    SCOPED_TRACE(name);
    const PieceModel model(piece, workshop);
    const PieceEstimate result = estimated(model);
    const Samples samples = sample(model, result, Counting::Smooth, kSamples);
    expect_ranges(result, samples, 0.015);
    EXPECT_NEAR(result.chance_any_set_aside_short, samples.any_over_set_aside, 0.01);
  }
}

TEST(Ranges, SmoothCountsStayNearWholeRowsAndLengths) {
  // The gap of the smooth count to whole lengths: under 1 % as a rule, up to 2 % where shapes of
  // one size go on to another length together. A yarn that is used in one or two lengths only
  // jumps by a tail or two, up to 3 %.
  for (const auto& [name, piece] : test::pieces_of_every_kind()) {
    SCOPED_TRACE(name);
    const PieceModel model(piece, test::demo_workshop());
    const PieceEstimate result = estimated(model);
    const Samples smooth = sample(model, result, Counting::Smooth, kSamples / 4);
    const Samples whole = sample(model, result, Counting::Whole, kSamples / 4);
    for (std::size_t y = 0; y < model.yarns().size(); ++y) {
      SCOPED_TRACE(result.yarns[y].yarn);
      const double tolerance = result.yarns[y].plan_m > 10.0 ? 0.02 : 0.03;
      for (const double p : {0.05, 0.50, 0.95}) {
        EXPECT_NEAR(at(smooth.metres[y], p) / at(whole.metres[y], p), 1.0, tolerance) << p;
      }
    }
  }
}

TEST(Ranges, AJointSetAsideRunsShortAsOftenAsItSays) {
  Options joint;
  joint.joint = true;
  for (const auto& [name, piece] : test::pieces_of_every_kind()) {
    SCOPED_TRACE(name);
    const PieceModel model(piece, test::demo_workshop());
    const Samples samples =
        sample(model, estimate(model, {}, joint), Counting::Smooth, kSamples / 4);
    // 0.01 as for the chance of any; 25 000 samples themselves are within 0.004.
    EXPECT_NEAR(samples.any_over_set_aside, 0.05, 0.01);
  }
}

// ---- What the ranges are not as good at ---------------------------------------------------------
// A range is made of each part's median and its slopes there. Where a part bends within its doubt,
// slopes at the median say too much or too little. The two places known, and by how much:

std::string beam_band(const std::string& yarn, const std::string& sett, const std::string& band) {
  return "[piece]\nname = \"Trial\"\n[loom]\nkind = \"beam\"\n[warp]\nyarn = \"" + yarn +
         "\"\nwidth = \"20 cm\"\nsett = \"" + sett +
         "\"\n[[band]]\nwork = \"weave\"\nheight = \"80 cm\"\nyarn = \"" + yarn + "\"\n" + band;
}

std::string notched_band(const std::string& pitch, const std::string& band) {
  return "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\nspan = \"90 cm\"\npitch = \"" +
         pitch + "\"\n[warp]\nyarn = \"seine-12-6\"\nends = 45\n[[band]]\nwork = \"weave\"\n" +
         band;
}

TEST(Ranges, OfClothNearItsJamSetTooMuchAsideRatherThanTooLittle) {
  // Threads somewhat thicker would jam, and flatten or keep their rows apart instead: the yarn no
  // longer grows as the slope says. Warp-faced rows lie there at any sett.
  const std::string rug = "yarn = \"rug-wool-ink\"\nheld = 2\nheight = \"30 cm\"\n";
  const std::vector<test::NamedPiece> pieces = {
      {"worsted, 7 a cm", test::read_demo_piece(beam_band("worsted-moss", "7 /cm", ""))},
      {"worsted, 8 a cm", test::read_demo_piece(beam_band("worsted-moss", "8 /cm", ""))},
      {"worsted, 9 a cm", test::read_demo_piece(beam_band("worsted-moss", "9 /cm", ""))},
      {"cotton, 10 a cm", test::read_demo_piece(beam_band("cotton-8-2", "10 /cm", ""))},
      {"warp-faced",
       test::read_demo_piece(beam_band("cotton-8-2", "12 /cm", "beat = \"warp-faced\"\n"))},
      {"rug wool, 3 mm", test::read_demo_piece(notched_band("3 mm", rug))},
      {"rug wool, 2.5 mm", test::read_demo_piece(notched_band("2.5 mm", rug))},
      {"sliver, 8 mm", test::read_demo_piece(notched_band("8 mm",
                                                          "yarn = \"fleece-sliver\"\n"
                                                          "rows = 30\n"))}};
  for (const auto& [name, piece] : pieces) {
    SCOPED_TRACE(name);
    const PieceModel model(piece, test::demo_workshop());
    const PieceEstimate result = estimated(model);
    const Samples samples = sample(model, result, Counting::Smooth, kSamples / 4);
    const YarnEstimate& yarn = result.yarns.back();
    const std::vector<double>& grams = samples.grams.back();
    const double set_aside = yarn.set_aside_g / at(grams, 0.95);
    EXPECT_GT(set_aside, 0.97);
    EXPECT_LT(set_aside, 1.16);
    EXPECT_NEAR(yarn.mass_g.mid / at(grams, 0.50), 1.0, 0.08);
    EXPECT_NEAR(yarn.mass_g.low / at(grams, 0.05), 1.0, 0.10);
  }
}

TEST(Ranges, OfShortWorkingLengthsSetTooLittleAside) {
  // Tails of 9 cm and lengths, each unsure by a third: the yarn left in tails goes as 1 / (length
  // less two tails), which bends upwards the more the shorter the length. Beyond 1.25 m it is
  // within 3 % like everything else.
  struct Low {
    const char* length;
    double most;  ///< that a set-aside is too low
  };
  for (const Low& low : {Low{"125 cm", 0.03}, Low{"100 cm", 0.05}, Low{"75 cm", 0.10}}) {
    SCOPED_TRACE(low.length);
    const std::string habits =
        std::string("[habits]\nworking_length = \"") + low.length + "\"\n[[band]]\n";
    const PieceModel model(
        test::read_demo_piece(test::kNotchedHead + habits +
                              "work = \"weave\"\nyarn = \"rug-wool-ash\"\nheight = \"30 cm\"\n"),
        test::demo_workshop());
    const PieceEstimate result = estimated(model);
    const Samples samples = sample(model, result, Counting::Smooth, kSamples / 2);
    EXPECT_NEAR(result.yarns.back().set_aside_g / at(samples.grams.back(), 0.95), 1.0, low.most);
    EXPECT_NEAR(result.yarns.back().mass_g.mid / at(samples.grams.back(), 0.50), 1.0, 0.03);
  }
}

}  // namespace
}  // namespace ellwand::estimate
