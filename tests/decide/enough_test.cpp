// Midway on whole pieces: what is learned against samples of all coefficients, how often what is
// called safe was safe, and what hangs on what.

#include "ellwand/decide/enough.hpp"

#include "ellwand/units/error.hpp"
#include "support/draws.hpp"
#include "support/studios.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

namespace ellwand::decide {
namespace {

using estimate::index_of;
using estimate::OfYarn;
using estimate::PieceModel;
using technique::Counting;

const estimate::Workshop& workshop() {
  static const estimate::Workshop shop = test::demo_workshop();
  return shop;
}

constexpr int kRows = 240;  ///< of its second band

/// A tapestry of three bands in one wool, with a stripe of another below.
piece::Piece three_bands() {
  return test::read_demo_piece(std::string(test::kNotchedHead) +
                               "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ink\"\nrows = 80\n"
                               "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = 240\n"
                               "[[band]]\nwork = \"soumak\"\nyarn = \"rug-wool-ash\"\nover = 4\n"
                               "back = 2\nrows = 12\n"
                               "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = 160\n");
}

/// The piece as far as so many rows of a band, the last there is.
piece::Piece as_far_as(const piece::Piece& piece, std::size_t band, int rows) {
  piece::Piece part = piece;
  part.bands.resize(rows > 0 ? band + 1 : band);
  if (rows == 0) return part;
  if (auto* woven = std::get_if<technique::Woven>(&part.bands[band].work)) {
    woven->extent.count = rows;
  } else {
    std::get<technique::Soumak>(part.bands[band].work).rows = rows;
  }
  return part;
}

/// Grams of one yarn as the ledger has them at some deviations; its lot's is one of them.
class Ledger {
 public:
  Ledger(const PieceModel& model, std::size_t yarn, const std::vector<double>& deviations,
         Counting counting)
      : metre_g_(model.grams_per_metre(yarn) * std::exp(deviations[index_of(OfYarn::Lot, yarn)])) {
    for (const estimate::LedgerLine& line : model.ledger(deviations, counting)) {
      if (line.yarn != yarn) continue;
      const double grams = in_metres(line.length) * metre_g_;
      const bool is_last = line.band == static_cast<int>(model.piece().bands.size());
      all_ += grams;
      if (estimate::is_worked(line.band, line.portion)) worked_ += grams;
      if (line.portion == technique::Portion::WastePerColour) fixed_ += grams;
      if (is_last && line.portion == technique::Portion::HalfLength) tail_to_come_ += grams;
    }
  }

  double all() const { return all_; }
  /// What has left the ball where more is to be woven: the length in work has a tail still to come,
  /// which on average of smooth counting is the half length; and what is lost for each colour is
  /// lost as the piece goes on.
  double midway(const Ledger& whole) const {
    return all_ - tail_to_come_ - fixed_ * (1.0 - worked_ / whole.worked_);
  }

 private:
  double metre_g_;
  double all_ = 0.0;
  double worked_ = 0.0;
  double fixed_ = 0.0;
  double tail_to_come_ = 0.0;
};

std::vector<double> drawn(const estimate::Coefficients& coefficients, test::NormalDraws& draws) {
  std::vector<double> deviations;
  for (const double spread : coefficients.spreads) deviations.push_back(spread * draws.next());
  return deviations;
}

MidwayQuestion ash_question(const piece::Piece& piece, std::size_t band, int rows, double used_g,
                            double left_g) {
  MidwayQuestion question{piece, workshop()};
  question.yarn = "rug-wool-ash";
  question.band = band;
  question.rows = rows;
  question.used = YarnReading{used_g, 0.1 / std::sqrt(6.0), false};
  question.left = {left_g, 0.0, false};
  return question;
}

std::size_t index_of_ash(const PieceModel& model) {
  for (std::size_t y = 0; y < model.yarns().size(); ++y) {
    if (model.yarns()[y]->id == "rug-wool-ash") return y;
  }
  return 0;
}

/// What samples of the coefficients say, each weighed by how likely it makes what was used.
struct Weighed {
  std::vector<std::pair<double, double>> rest_and_weight;

  double quantile(double p) {
    std::sort(rest_and_weight.begin(), rest_and_weight.end());
    double all = 0.0;
    for (const auto& [rest, weight] : rest_and_weight) all += weight;
    double so_far = 0.0;
    for (const auto& [rest, weight] : rest_and_weight) {
      so_far += weight;
      if (so_far >= p * all) return rest;
    }
    return rest_and_weight.back().first;
  }
};

/// @param above  what was used over what is foretold
void expect_as_samples(double above, int samples) {
  const piece::Piece piece = three_bands();
  const PieceModel whole(piece, workshop());
  const PieceModel woven(as_far_as(piece, 1, 96), workshop());
  const std::size_t ash = index_of_ash(whole);
  const auto ledger = [&](const PieceModel& model, const std::vector<double>& deviations) {
    return Ledger(model, ash, deviations, Counting::Smooth);
  };
  const std::vector<double> none(whole.coefficients().size(), 0.0);
  const double foretold = ledger(woven, none).midway(ledger(whole, none));
  const double used = above * foretold;
  const double strays = test::starting_values().median("error.mass");
  const double sd = std::hypot(strays, 0.1 / std::sqrt(6.0) / foretold);

  test::NormalDraws draws(11);
  Weighed weighed;
  for (int i = 0; i < samples; ++i) {
    const std::vector<double> deviations = drawn(whole.coefficients(), draws);
    const Ledger all = ledger(whole, deviations);
    const double part = ledger(woven, deviations).midway(all);
    const double rest = all.all() - part;
    const double off = (std::log(used) - std::log(part)) / sd;
    weighed.rest_and_weight.push_back(
        {rest * std::exp(strays * draws.next()), std::exp(-0.5 * off * off)});
  }
  const Midway midway(ash_question(piece, 1, 96, used, 30.0));
  const auto to_come = midway.to_come();
  ASSERT_TRUE(to_come);
  // Of 60 000 samples about a quarter count; their own error at the ends is 0.5 %. The rest is what
  // one straight line through bent logarithms leaves.
  EXPECT_NEAR(to_come->quantile(0.5) / weighed.quantile(0.5), 1.0, 0.01) << above;
  EXPECT_NEAR(to_come->quantile(0.05) / weighed.quantile(0.05), 1.0, 0.02) << above;
  EXPECT_NEAR(to_come->quantile(0.95) / weighed.quantile(0.95), 1.0, 0.02) << above;
}

TEST(Enough, KnowsTheRestAsSamplesOfAllCoefficientsDo) {
  for (const double above : {0.85, 1.0, 1.1, 1.25}) expect_as_samples(above, 60'000);
}

/// The difference of two readings of a scale.
double difference_read(double before, double used, double step) {
  return step * (std::round(before / step) - std::round((before - used) / step));
}

/// One piece of a weaver drawn from the model: what she reads off her scale, and what it then took.
struct Season {
  double used_g = 0.0;
  double rest_g = 0.0;
  std::vector<double> by_rows_g;  ///< of band 2, from where she is
};

class Drawn {
 public:
  Drawn(const piece::Piece& piece, std::size_t band, int rows)
      : piece_(piece), band_(band), rows_(rows), whole_(piece, workshop()) {
    for (int to = rows; to <= kRows; ++to) {
      parts_.emplace_back(as_far_as(piece, band, to), workshop());
    }
  }

  Season next(test::NormalDraws& draws, double step) const {
    const double strays = test::starting_values().median("error.mass");
    const std::size_t ash = index_of_ash(whole_);
    const std::vector<double> deviations = drawn(whole_.coefficients(), draws);
    const Ledger all(whole_, ash, deviations, Counting::Smooth);
    const auto grams = [&](const PieceModel& model) {
      return Ledger(model, ash, deviations, Counting::Smooth).midway(all);
    };
    const double part = grams(parts_.front());
    const double later = std::exp(strays * draws.next());
    Season season;
    season.used_g =
        difference_read(80.0 + 5.0 * draws.next(), part * std::exp(strays * draws.next()), step);
    season.rest_g = later * (all.all() - part);
    for (const PieceModel& further : parts_) {
      season.by_rows_g.push_back(later * (grams(further) - part));
    }
    return season;
  }

  const piece::Piece& piece() const { return piece_; }
  std::size_t band() const { return band_; }
  int rows() const { return rows_; }

 private:
  const piece::Piece& piece_;
  std::size_t band_;
  int rows_;
  PieceModel whole_;
  std::vector<PieceModel> parts_;
};

TEST(Enough, WhatIsCalledSafeAt95PercentIsSafeThatOften) {
  // Of 1500 pieces 95 % with a standard error of 0.56 %; three of them on either side. Rows are
  // whole, so that what is safe of them is safe a little oftener.
  constexpr int kPieces = 1500;
  constexpr double kThreeErrors = 3.0 * 0.0056;
  constexpr double kStep = 0.5;
  const piece::Piece piece = three_bands();
  const Drawn weaver(piece, 1, 96);
  test::NormalDraws draws(5);
  int rest_is_held = 0;
  int rows_are_safe = 0;
  int rows_asked = 0;
  for (int i = 0; i < kPieces; ++i) {
    const Season season = weaver.next(draws, kStep);
    if (!(season.used_g > 0.0)) continue;
    MidwayQuestion question = ash_question(piece, 1, 96, season.used_g, 0.0);
    question.used->sd = kStep / std::sqrt(6.0);
    question.left.amount = 8.0 + 24.0 * (i % 11) / 11.0;
    const Midway midway(question);
    rest_is_held += season.rest_g <= midway.to_come()->quantile(0.95);
    const Reach safe = enough(midway).safe;
    if (safe.is_everything || safe.band != 1 || safe.rows == 0) continue;
    ++rows_asked;
    rows_are_safe += season.by_rows_g[static_cast<std::size_t>(safe.rows)] <= question.left.amount;
  }
  EXPECT_NEAR(rest_is_held / static_cast<double>(kPieces), 0.95, kThreeErrors);
  ASSERT_GT(rows_asked, kPieces / 3);
  const double error = std::sqrt(0.95 * 0.05 / rows_asked);
  EXPECT_GT(rows_are_safe / static_cast<double>(rows_asked), 0.95 - 3.0 * error);
}

// Areas of a thick yarn and a finer one, side by side in one height.
TEST(Enough, CountsRowsAsTheYarnsOwnAreaHasThem) {
  const piece::Piece piece =
      test::read_demo_piece(std::string(test::kNotchedHead) +
                            "[[band]]\nwork = \"weave\"\nheight = \"20 cm\"\nareas = [\n"
                            "  { yarn = \"worsted-moss\", ends = 25 },\n"
                            "  { yarn = \"rug-wool-ink\", ends = 20, join = \"slit\" } ]\n");
  const PieceModel model(piece, workshop());
  const int moss = rows_of_band(model, 0, "worsted-moss");
  const int ink = rows_of_band(model, 0, "rug-wool-ink");
  ASSERT_GT(moss, ink + 10);
  MidwayQuestion question{piece, workshop()};
  question.yarn = "rug-wool-ink";
  const auto to_come_g = [&](int rows) {
    question.rows = rows;
    const auto amount = Midway(question).to_come();
    return amount ? amount->quantile(0.5) : 0.0;
  };
  const double all_g = to_come_g(0);
  EXPECT_NEAR(to_come_g(ink / 2) / all_g, 0.5, 0.02);
  EXPECT_EQ(to_come_g(ink), 0.0);
  question.rows = ink + 1;
  EXPECT_THROW(Midway{question}, OutOfRange);
}

}  // namespace
}  // namespace ellwand::decide
