#pragma once
/// Which measurement tells most: formulas of the design of experiments, over rows of slopes.
///
/// A row f has how one measurement moves with each unknown; its weight is how often it is taken, or
/// 1 over the variance of its error. Matrices are symmetric, row after row.

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

namespace ellwand::calibrate {

struct WeightedRow {
  std::vector<double> slopes;
  double weight = 1.0;  ///< 0 or more
};

/// The information M = sum of weight f f' that rows have on their unknowns, nothing being known
/// beforehand.
class Information {
 public:
  /// @param rows  as many slopes in each, all finite; one or more
  /// @throws OutOfRange otherwise, and where the rows do not pin every unknown
  explicit Information(std::span<const WeightedRow> rows);
  Information(Information&&) noexcept;
  ~Information();

  /// det M, which a D-optimal design has as large as it can be.
  double determinant() const;

  /// d = f' M^-1 f, the variance of what is predicted at f where errors have variance 1. Of rows
  /// whose weights add up to 1, a design is D-optimal just where d is nowhere above the number of
  /// unknowns.
  /// Source: J. Kiefer and J. Wolfowitz, Canad. J. Math. 12 (1960) 363-366, from memory.
  double sensitivity(std::span<const double> slopes) const;

  /// det(M + weight f f') / det M = 1 + weight d: what one more row is worth.
  /// Source: the matrix determinant lemma.
  double determinant_gain(std::span<const double> slopes, double weight = 1.0) const;

  /// Mean of d over the rows that are to be predicted, by their weights: what an I-optimal design
  /// has as small as it can be.
  /// @param targets  with a weight above 0 among them
  double average_variance(std::span<const WeightedRow> targets) const;

 private:
  struct Root;
  std::unique_ptr<const Root> root_;
};

/// What is known of unknowns that are jointly normal, and what one more row would make of it.
/// Means play no part: what a row will be worth does not hang on what it will read.
class Belief {
 public:
  /// @param covariance  of the unknowns: finite, no variance below 0
  /// @throws OutOfRange otherwise
  Belief(std::vector<double> covariance, std::size_t unknowns);

  std::size_t unknowns() const { return unknowns_; }
  const std::vector<double>& covariance() const { return covariance_; }

  /// f' S f, the variance of what is predicted at f.
  double variance(std::span<const double> slopes) const;

  /// Mean of it over rows, by their weights.
  /// @param targets  with a weight above 0 among them
  double average_variance(std::span<const WeightedRow> targets) const;

  /// 0.5 ln(1 + f' S f / sd^2): the information that a measurement is expected to bring, in nats.
  /// @param sd  of its error: above 0
  /// Source: D. V. Lindley, Ann. Math. Stat. 27 (1956) 986-1005; K. Chaloner and I. Verdinelli,
  ///         Statistical Science 10 (1995) 273-304; both from memory.
  double expected_information(std::span<const double> slopes, double sd) const;

  /// How far a measurement that reads more than is expected, by one, moves the mean of each
  /// unknown: S f / (sd^2 + f' S f).
  /// @param sd  of its error: above 0
  std::vector<double> gain(std::span<const double> slopes, double sd) const;

  /// Takes the measurement: S becomes S - S f f' S / (sd^2 + f' S f).
  /// @param sd  of its error: above 0
  /// Source: conditioning of normal variables.
  void learn(std::span<const double> slopes, double sd);

 private:
  std::vector<double> covariance_;
  std::size_t unknowns_;
};

}  // namespace ellwand::calibrate
