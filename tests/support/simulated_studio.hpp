#pragma once
/// Studios drawn from the starting values: weavers whose true coefficients are known, what they
/// would measure of their swatches, and what their next pieces really take.

#include "ellwand/calibrate/fit.hpp"
#include "ellwand/calibrate/observe.hpp"
#include "ellwand/cloth/crossing.hpp"
#include "support/studios.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <random>
#include <string>
#include <vector>

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
  /// @param unlike  multiplies the spread between pieces and between yarns
  explicit SimulatedStudio(std::uint64_t seed, double unlike = 1.0) : draws_(seed) {
    const auto spread = [](const char* row) { return starting_values().at(row).spread; };
    piece_factor_ = unlike * std::abs(draws_.normal());
    yarn_factor_ = unlike * std::abs(draws_.normal());
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

/// Where the truth is not as the model has it.
struct Wrong {
  bool hypotenuse = false;  ///< a woven crossing is sqrt(p^2 + D^2), not the exact one
  double drift = 0.0;       ///< sd of how far the beat has gone astray at a piece's end
  double label = 0.0;       ///< sd of an error of every label beyond what lots have
  double miscounted = 0.0;  ///< how many of the swatches have a row more in the book than in truth
  double unlike = 1.0;      ///< multiplies the spread between pieces and between yarns
};

/// A piece to come, and what it will have used of each of its wefts.
struct ComingPiece {
  piece::Piece piece;
  std::vector<double> used_g;  ///< by the model's yarns; the warp's is 0
};

/// A studio's swatches, as she measures them, and pieces she weaves afterwards.
class SimulatedSeason {
 public:
  static constexpr int kSwatches = 24;
  static constexpr int kComing = 4;

  SimulatedSeason(std::uint64_t seed, const Wrong& wrong, int swatches = kSwatches)
      : wrong_(wrong), studio_(seed, wrong.unlike) {
    for (int i = 0; i < swatches; ++i) weave_swatch("swatch " + std::to_string(i));
    for (int i = 0; i < kComing; ++i) weave_piece("piece " + std::to_string(i));
  }

  const std::vector<calibrate::Swatch>& swatches() const { return swatches_; }
  const std::vector<ComingPiece>& coming() const { return coming_; }
  SimulatedStudio& studio() { return studio_; }
  /// The yarn that no swatch has.
  static constexpr const char* kNewYarn = "cotton-8-2";

 private:
  struct Band {
    std::string work;
    std::string yarn;
    int rows;
  };

  /// @param yarns  of how many it is one; with five the last has no swatch
  Band draw_band(int yarns) {
    constexpr const char* kYarns[] = {"rug-wool-ash", "rug-wool-rust", "rug-wool-ink",
                                      "linen-fringe", kNewYarn};
    Draws& draws = studio_.draws();
    const std::string yarn = kYarns[draws.whole(0, yarns - 1)];
    switch (draws.whole(0, 3)) {
      case 0:
      case 1:
        return {"work = \"weave\"", yarn, draws.whole(20, 80)};
      case 2:
        return {"work = \"soumak\"\nover = 4\nback = 2", yarn, draws.whole(4, 12)};
      default:
        return {"work = \"twining\"\nover = 1", yarn, draws.whole(4, 12)};
    }
  }

  static piece::Piece piece_of(const std::string& id, int ends, const std::vector<Band>& bands) {
    std::string text =
        "[piece]\nname = \"Trial\"\n[loom]\nkind = \"notched\"\n"
        "span = \"300 cm\"\npitch = \"4 mm\"\n[warp]\nyarn = \"seine-12-6\"\n"
        "ends = " +
        std::to_string(ends) + "\n";
    for (const Band& band : bands) {
      text += "[[band]]\n" + band.work + "\nyarn = \"" + band.yarn +
              "\"\nrows = " + std::to_string(band.rows) + "\n";
    }
    piece::Piece piece = read_demo_piece(text, id);
    piece.id = id;
    return piece;
  }

  void weave_swatch(const std::string& id) {
    const Band band = draw_band(4);
    const int ends = studio_.draws().whole(20, 45);
    const std::vector<estimate::PieceModel> truth = stretches(piece_of(id, ends, {band}));
    const int miscounted = studio_.draws().uniform() < wrong_.miscounted ? 1 : 0;
    calibrate::Swatch swatch;
    swatch.id = id;
    swatch.piece = piece_of(id, ends, {{band.work, band.yarn, band.rows + miscounted}});
    calibrate::Measurement mass;
    mass.what = calibrate::Measured::Mass;
    mass.includes = calibrate::Includes::InThePiece;
    mass.yarn = band.yarn;
    mass.step = 0.1;
    mass.reading_sd = mass.step / std::sqrt(6.0);
    mass.value = weighed(read_off(truth, mass) * laid_factor(truth.front(), 0) *
                             label_factor(band.yarn) * error("error.mass"),
                         mass.step);
    swatch.measurements.push_back(mass);
    if (studio_.draws().uniform() < 0.7) {
      calibrate::Measurement height;
      height.what = calibrate::Measured::Height;
      height.step = 0.001;
      height.reading_sd = height.step / std::sqrt(12.0);
      height.value = std::max(
          height.step,
          height.step * std::round(read_off(truth, height) * error("error.height") / height.step));
      swatch.measurements.push_back(height);
    }
    swatches_.push_back(std::move(swatch));
  }

  void weave_piece(const std::string& id) {
    std::vector<Band> bands(static_cast<std::size_t>(studio_.draws().whole(1, 3)));
    for (Band& band : bands) band = draw_band(5);
    ComingPiece coming{piece_of(id, studio_.draws().whole(20, 45), bands), {}};
    const std::vector<estimate::PieceModel> truth = stretches(coming.piece);
    coming.used_g.assign(truth.front().yarns().size(), 0.0);
    for (const estimate::PieceModel& model : truth) {
      for (const estimate::LedgerLine& line : model.plan()) {
        if (line.yarn == model.warp_yarn()) continue;
        const double factor = line.band > 0 && line.portion == technique::Portion::Laid
                                  ? laid_factor(model, static_cast<std::size_t>(line.band - 1))
                                  : 1.0;
        coming.used_g[line.yarn] +=
            factor * in_metres(line.length) * model.grams_per_metre(line.yarn) *
            label_factor(model.yarns()[line.yarn]->id) / static_cast<double>(truth.size());
      }
    }
    coming_.push_back(std::move(coming));
  }

  /// The piece at its true coefficients; where the beat drifts, as it is along four stretches of
  /// it.
  std::vector<estimate::PieceModel> stretches(const piece::Piece& piece) {
    const estimate::Coefficients truth = studio_.truth(piece);
    std::vector<double> beats = {0.0};
    if (wrong_.drift > 0.0) {
      const double end = wrong_.drift * studio_.draws().normal();
      beats = {0.125 * end, 0.375 * end, 0.625 * end, 0.875 * end};
    }
    std::vector<estimate::PieceModel> models;
    for (const double beat : beats) {
      estimate::Coefficients here = truth;
      here.means[index_of(estimate::Shared::BeatPiece)] += beat;
      models.emplace_back(piece, demo_workshop(), here);
    }
    return models;
  }

  static double read_off(const std::vector<estimate::PieceModel>& truth,
                         const calibrate::Measurement& measurement) {
    double sum = 0.0;
    for (const estimate::PieceModel& model : truth) {
      const calibrate::Observed observed(model, starting_values());
      sum += std::exp(observed.expected(measurement).log_value);
    }
    return sum / static_cast<double>(truth.size());
  }

  double error(const char* row) {
    return std::exp(starting_values().median(row) * studio_.draws().normal());
  }

  /// The difference of two readings of a scale.
  double weighed(double grams, double step) {
    const double before = 100.0 * studio_.draws().uniform();
    return step * std::max(1.0, std::round(before + grams / step) - std::round(before));
  }

  double label_factor(const std::string& yarn) {
    if (wrong_.label == 0.0) return 1.0;
    const double fresh = std::exp(wrong_.label * studio_.draws().normal());
    return labels_.emplace(yarn, fresh).first->second;
  }

  /// What a woven crossing would be as a hypotenuse, over what it is.
  double laid_factor(const estimate::PieceModel& model, std::size_t band) const {
    if (!wrong_.hypotenuse) return 1.0;
    for (const estimate::BandYarn& one : model.band_yarns()) {
      const bool is_woven =
          std::holds_alternative<technique::Woven>(model.piece().bands[band].work);
      if (one.band != band || !is_woven) continue;
      const technique::Lie<double> lie = model.lie(one);
      const Length<> thickness = lie.warp_diameter + lie.strand_diameter;
      const Length<> spacing = std::max(lie.warp_spacing, cloth::jam_spacing(thickness, thickness));
      const double exact = in_metres(cloth::taut_crossing(spacing, thickness, thickness).yarn);
      return std::hypot(in_metres(spacing), in_metres(thickness)) / exact;
    }
    return 1.0;
  }

  Wrong wrong_;
  SimulatedStudio studio_;
  std::map<std::string, double> labels_;
  std::vector<calibrate::Swatch> swatches_;
  std::vector<ComingPiece> coming_;
};

}  // namespace ellwand::test
