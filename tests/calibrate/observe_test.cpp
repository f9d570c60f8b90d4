/// What measurements should read, and how it moves with every coefficient, against the estimate's
/// own ledger and against differences.

#include "ellwand/calibrate/observe.hpp"

#include "ellwand/studio/files.hpp"
#include "ellwand/units/error.hpp"
#include "support/studios.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <regex>
#include <string>

namespace ellwand::calibrate {
namespace {

using estimate::index_of;
using estimate::OfYarn;
using estimate::Shared;

estimate::Coefficients no_doubt(const piece::Piece& piece) {
  const auto yarns = estimate::yarns_of(piece, test::demo_studio().yarns);
  estimate::Coefficients all =
      estimate::starting_coefficients(test::starting_values(), yarns, 0, piece.beginner);
  all.spreads.assign(all.size(), 1.0);
  return all;
}

Expected expected(const piece::Piece& piece, const Measurement& measurement,
                  const estimate::Coefficients& coefficients) {
  const estimate::PieceModel model(piece, test::demo_workshop(), coefficients);
  return Observed(model, test::starting_values()).expected(measurement);
}

/// A piece of all works that a swatch is woven in, each in a band of its own.
piece::Piece every_work() {
  return test::read_demo_piece(
      std::string(test::kNotchedHead) +
      "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = 40\n"
      "[[band]]\nwork = \"soumak\"\nyarn = \"rug-wool-rust\"\nover = 4\nback = 2\nrows = 6\n"
      "[[band]]\nwork = \"twining\"\nyarn = \"rug-wool-ink\"\nover = 2\nrows = 5\n"
      "[[band]]\nwork = \"looped pile\"\nyarn = \"rug-wool-ash\"\nheld = 2\nover = 3\nrows = 8\n"
      "loop_height = \"15 mm\"\n"
      "[[band]]\nwork = \"wrapping\"\nyarn = \"linen-fringe\"\nends = 3\nturns = 15\n"
      "places = 11\n");
}

/// Values and slopes, from the model moved either way.
void expect_slopes(const piece::Piece& piece, const Measurement& measurement,
                   const std::string& what) {
  const estimate::Coefficients here = no_doubt(piece);
  const Expected given = expected(piece, measurement, here);
  ASSERT_EQ(given.slopes.size(), here.size());
  for (std::size_t c = 0; c < here.size(); ++c) {
    constexpr double kStep = 1e-5;
    estimate::Coefficients above = here;
    estimate::Coefficients below = here;
    above.means[c] += kStep;
    below.means[c] -= kStep;
    const double slope = (expected(piece, measurement, above).log_value -
                          expected(piece, measurement, below).log_value) /
                         (2 * kStep);
    // Rounding of two logarithms over the step is 1e-10, the cut-off series 1e-9. How thick the
    // threads at the edges are is left out of a width.
    const bool is_edge = measurement.what == Measured::Width && c >= estimate::kShared;
    EXPECT_NEAR(given.slopes[c], slope, is_edge ? 0.02 : 1e-6 * std::max(1.0, std::abs(slope)))
        << what << " by coefficient " << c;
  }
}

TEST(Observed, SlopesOfMassAndLengthInEveryWork) {
  const piece::Piece piece = every_work();
  const char* const yarns[] = {"rug-wool-ash", "rug-wool-rust", "rug-wool-ink", "linen-fringe"};
  for (const Measured what : {Measured::Mass, Measured::Length}) {
    for (const char* yarn : yarns) {
      for (const Includes includes :
           {Includes::LeftTheBall, Includes::InThePiece, Includes::InTheBand}) {
        Measurement one;
        one.what = what;
        one.yarn = yarn;
        one.includes = includes;
        expect_slopes(piece, one, yarn);
      }
    }
  }
}

TEST(Observed, SlopesOfOneBand) {
  const piece::Piece piece = every_work();
  Measurement one;
  one.yarn = "rug-wool-ash";
  one.includes = Includes::InTheBand;
  for (const std::size_t band : {0U, 3U}) {
    one.band = band;
    expect_slopes(piece, one, "band");
  }
}

/// The demo's panel on a beam loom, as a swatch is: its rows counted.
piece::Piece counted_panel() {
  std::string text = studio::read_file(test::data_path("demo/pieces/sedge.toml"));
  text = std::regex_replace(text, std::regex("\nheight = [^\n]*"), "\nrows = 400");
  text = std::regex_replace(text, std::regex("\nheight_state = [^\n]*"), "");
  return test::read_demo_piece(text, "panel");
}

TEST(Observed, SlopesOfHeightWidthDiameterAndDensity) {
  for (const piece::Piece& piece : {every_work(), counted_panel()}) {
    for (const piece::State state :
         {piece::State::OnLoom, piece::State::OffLoom, piece::State::Finished}) {
      Measurement one;
      one.state = state;
      one.what = Measured::Height;
      expect_slopes(piece, one, "height");
      one.what = Measured::Width;
      expect_slopes(piece, one, "width");
    }
    for (const Measured what : {Measured::Diameter, Measured::Density}) {
      Measurement one;
      one.what = what;
      one.yarn = estimate::PieceModel(piece, test::demo_workshop()).yarns().back()->id;
      expect_slopes(piece, one, "thread");
    }
  }
}

TEST(Observed, SlopesOfAWarpEnd) {
  Measurement one;
  one.what = Measured::EndLength;
  for (const std::size_t band : {0U, 1U}) {
    one.band = band;
    expect_slopes(counted_panel(), one, "end");
    expect_slopes(every_work(), one, "end");
  }
}

// Through a band whose warp runs straight an end is as long as the band is high off the loom,
// whatever the state of the cloth.
TEST(Observed, AStraightEndIsAsLongAsItsBandIsHigh) {
  const piece::Piece piece = every_work();
  Measurement one;
  one.band = 0;
  one.what = Measured::Height;
  one.state = piece::State::OffLoom;
  const double height = expected(piece, one, no_doubt(piece)).log_value;
  one.what = Measured::EndLength;
  one.state = piece::State::Finished;
  EXPECT_NEAR(expected(piece, one, no_doubt(piece)).log_value, height, 1e-12);
}

// What left the ball is what the estimate's smooth ledger adds up to, in metres and in grams.
TEST(Observed, WhatLeftTheBallIsTheLedger) {
  const piece::Piece piece = every_work();
  const estimate::PieceModel model(piece, test::demo_workshop(), no_doubt(piece));
  const Observed observed(model, test::starting_values());
  const std::vector<double> none(model.coefficients().size(), 0.0);
  for (std::size_t y = 1; y < model.yarns().size(); ++y) {
    double sum_m = 0.0;
    for (const estimate::LedgerLine& line : model.ledger(none, technique::Counting::Smooth)) {
      if (line.yarn == y) sum_m += in_metres(line.length);
    }
    Measurement one;
    one.yarn = model.yarns()[y]->id;
    one.what = Measured::Length;
    EXPECT_NEAR(std::exp(observed.expected(one).log_value), sum_m, 1e-9 * sum_m) << one.yarn;
    one.share = 0.25;
    EXPECT_NEAR(std::exp(observed.expected(one).log_value), 0.25 * sum_m, 1e-9 * sum_m);
    one.what = Measured::Mass;
    one.share = 1.0;
    EXPECT_NEAR(std::exp(observed.expected(one).log_value), sum_m * model.grams_per_metre(y),
                1e-9 * sum_m);
  }
}

TEST(Observed, LessIsInTheBandThanInThePieceThanLeftTheBall) {
  const piece::Piece piece = every_work();
  Measurement one;
  one.yarn = "rug-wool-rust";
  double last = 0.0;
  for (const Includes includes :
       {Includes::InTheBand, Includes::InThePiece, Includes::LeftTheBall}) {
    one.includes = includes;
    const double log_value = expected(piece, one, no_doubt(piece)).log_value;
    if (includes != Includes::InTheBand) {
      EXPECT_GE(log_value, last);
    }
    last = log_value;
  }
}

// Off the loom a height loses the relaxation, a finished one the washing as well: by the table.
TEST(Observed, StatesLoseWhatTheTableHas) {
  const piece::Piece piece = test::demo_piece("sedge");
  const estimate::PieceModel model(piece, test::demo_workshop(), no_doubt(piece));
  const Observed observed(model, test::starting_values());
  Measurement one;
  one.what = Measured::Height;
  const Expected on = observed.expected(one);
  one.state = piece::State::OffLoom;
  const Expected off = observed.expected(one);
  one.state = piece::State::Finished;
  const Expected finished = observed.expected(one);
  EXPECT_NEAR(off.log_value - on.log_value, std::log(1.0 - model.relaxation()), 1e-12);
  EXPECT_NEAR(finished.log_value - off.log_value, std::log(1.0 - model.shrinkage()), 1e-12);
  EXPECT_EQ(on.extra_sd, 0.0);
  EXPECT_NEAR(off.extra_sd,
              test::starting_values().at("relaxation").spread / (1.0 - model.relaxation()), 1e-12);
  EXPECT_GE(finished.extra_sd, off.extra_sd);
}

TEST(Observed, RefusesWhatIsNotInThePiece) {
  const piece::Piece piece = every_work();
  Measurement one;
  one.yarn = "cotton-8-2";
  EXPECT_THROW(expected(piece, one, no_doubt(piece)), OutOfRange);
  one.yarn = "rug-wool-rust";
  one.band = 0;  // woven of another
  EXPECT_THROW(expected(piece, one, no_doubt(piece)), OutOfRange);
  one.what = Measured::Height;
  one.band = 17;
  EXPECT_THROW(expected(piece, one, no_doubt(piece)), OutOfRange);
}

}  // namespace
}  // namespace ellwand::calibrate
