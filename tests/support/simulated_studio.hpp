#pragma once
/// Studios drawn from the starting values: weavers whose true coefficients are known, what they
/// would measure of their swatches, and what their next pieces really take.

#include "ellwand/calibrate/fit.hpp"
#include "support/studios.hpp"

#include <cmath>
#include <random>
#include <string>

namespace ellwand::test {

/// Draws by mt19937_64 with a Box-Muller of ours: the same on every machine.
class Draws {
 public:
  explicit Draws(std::uint64_t seed) : engine_(seed) {}
  double uniform() { return (static_cast<double>(engine_() >> 11) + 0.5) * 0x1p-53; }
  double normal() {
    return std::sqrt(-2.0 * std::log(uniform())) * std::cos(2.0 * M_PI * uniform());
  }
  int whole(int low, int high) {
    return low + static_cast<int>(uniform() * static_cast<double>(high - low + 1));
  }

 private:
  std::mt19937_64 engine_;
};

/// What is true of one studio, by the names coefficients have across pieces.
class SimulatedStudio {
 public:
  explicit SimulatedStudio(std::uint64_t seed) : draws_(seed) {
    const auto spread = [](const char* row) { return starting_values().at(row).spread; };
    piece_factor_ = std::abs(draws_.normal());
    yarn_factor_ = std::abs(draws_.normal());
    for (const char* row : {"piece", "beat.piece"}) {
      spreads_[row] = piece_factor_ * spread(row);
    }
    spreads_["yarn"] = yarn_factor_ * spread("yarn");
  }

  Draws& draws() { return draws_; }
  double piece_factor() const { return piece_factor_; }
  double yarn_factor() const { return yarn_factor_; }
  const std::map<std::string, double>& truths() const { return truth_; }

  /// The coefficients of a piece as they truly are in this studio.
  estimate::Coefficients truth(const piece::Piece& piece) {
    const auto yarns = estimate::yarns_of(piece, demo_studio().yarns);
    estimate::Coefficients all =
        estimate::starting_coefficients(starting_values(), yarns, 0, piece.beginner);
    const auto ids = estimate::coefficient_ids(piece, yarns, 0);
    for (std::size_t c = 0; c < all.size(); ++c) {
      double spread = all.spreads[c];
      if (c == index_of(estimate::Shared::PieceTake)) spread = spreads_["piece"];
      if (c == index_of(estimate::Shared::BeatPiece)) spread = spreads_["beat.piece"];
      if (ids[c].rfind("yarn ", 0) == 0) spread = spreads_["yarn"];
      const double fresh = spread * draws_.normal();
      all.means[c] = ids[c].empty() ? fresh : truth_.emplace(ids[c], fresh).first->second;
    }
    return all;
  }

 private:
  Draws draws_;
  double piece_factor_ = 1.0;
  double yarn_factor_ = 1.0;
  std::map<std::string, double> spreads_;
  std::map<std::string, double> truth_;
};

}  // namespace ellwand::test
