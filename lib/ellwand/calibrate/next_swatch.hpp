#pragma once
/// Which swatch to weave next: what each would make of the ranges of the pieces she plans.

#include "ellwand/calibrate/candidates.hpp"
#include "ellwand/calibrate/design.hpp"
#include "ellwand/estimate/learned.hpp"

#include <string>
#include <unordered_map>
#include <vector>

namespace ellwand::calibrate {

/// One yarn of one planned piece, whose grams are to be foretold.
struct Target {
  std::size_t piece = 0;      ///< index into the planned pieces
  std::size_t yarn = 0;       ///< into the piece's yarns
  double mean_g = 0.0;        ///< which it counts for
  WeightedRow row;            ///< d ln(grams) by what swatches can teach; weight is mean_g
  double own_variance = 0.0;  ///< of ln(grams): what is of that piece alone and stays
};

/// What one candidate is expected to bring.
struct Gain {
  double information_nats = 0.0;  ///< about all her coefficients
  double variance = 0.0;          ///< of ln(grams) of the planned yarns afterwards, mean by mass
  std::vector<double> variances;  ///< of each target
};

/// What is known now, and what a candidate would make of it. What it will read plays no part, as
/// errors are normal and the model is taken for linear about what is known.
///
/// Criterion: the mean variance of ln(grams) over the yarns of the planned pieces, weighted by
/// their mass (I-optimality); where none is planned, the information about the coefficients
/// (Bayesian D-optimality).
class Outlook {
 public:
  /// @param pieces    planned ones; where none is planned, those whose works she does
  /// @param workshop  must outlive it
  /// @throws BadInput for a piece that cannot be woven
  Outlook(const std::vector<piece::Piece>& pieces, const estimate::Workshop& workshop);

  const std::vector<Target>& targets() const { return targets_; }
  /// Of ln(grams) of the targets as things stand, mean by mass.
  double variance() const { return variance_; }
  /// Of ln(grams) of one target as things stand.
  double variance(const Target& target) const;

  Gain gain(const Candidate& candidate) const;

  /// What would be known afterwards, every reading being as expected.
  estimate::Learned learned_after(const Candidate& candidate) const;

 private:
  void take_in(const piece::Piece& piece);
  void take_in_learned(const estimate::Learned& learned);
  std::size_t place_of(const std::string& name, double spread);
  void add_targets(std::size_t index, const estimate::PieceModel& model);
  Belief after(const Candidate& candidate, double& information) const;
  double mean_variance(const std::vector<double>& variances) const;

  estimate::Workshop workshop_;
  std::vector<std::string> names_;
  std::unordered_map<std::string, std::size_t> places_;
  std::vector<double> variances_;  ///< before anything is measured; of those not learned
  Belief belief_;
  std::vector<Target> targets_;
  double variance_ = 0.0;
};

/// A candidate with its gain, and that for what it takes of her.
struct Advised {
  Candidate candidate;
  Gain gain;
  double narrower = 0.0;  ///< share by which the planned ranges narrow, mean by mass; 0 without
  double most_narrower = 0.0;   ///< of the one yarn of a piece that gains most; 0 without
  double effort_minutes = 0.0;  ///< with what its yarn is worth
  double worth = 0.0;           ///< gain over effort; ranks
};

/// What she will not go beyond.
struct Limits {
  double minutes = 1e9;
  double grams = 1e9;
  double narrower_g = 0.0;  ///< a range that narrows by less she cannot tell: a step of her scale
};

/// The candidates within the limits that her scale can weigh and that narrow the range of some
/// planned yarn so that one sees it (kLeastNarrower; where none is planned, that tell as much as
/// one figure narrowed so), by gain over effort: her minutes and those that its grams are worth
/// ("minutes.per_gram").
/// @param any_planned  the outlook's pieces are planned ones
std::vector<Advised> advise(const Outlook& outlook, std::vector<Candidate> candidates,
                            const estimate::StartingValues& values, const Limits& limits,
                            bool any_planned);

/// Those of planned pieces whose gain over all their yarns is told as more than "0 %"; where it is
/// that of none, the first.
std::vector<Advised> told_over_all(std::vector<Advised> all);

/// A range that narrows by less than a tenth prints nearly the same: 13 to 21 g is then 13.4 to
/// 20.6.
inline constexpr double kLeastNarrower = 0.1;

}  // namespace ellwand::calibrate
