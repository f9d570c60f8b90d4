#pragma once
/// What is unsure about bands taken at points, for bands whose yarn bends within its doubt.

#include "ellwand/estimate/band_yarn.hpp"

#include <span>
#include <vector>

namespace ellwand::estimate {

/// The most coefficients taken at points: 32 points, half of them mirror images, tell no more than
/// 16 apart.
inline constexpr std::size_t kMostBending = 14;

/// The straight line that lies nearest to a logarithm over the doubt.
struct LogLine {
  double mean = 0.0;
  std::vector<double> slopes;  ///< by one spread of each of the points' coefficients
  double remainder = 0.0;      ///< variance about the line
};

/// States of the coefficients that some bands bend in: points of equal weight for their joint
/// distribution, each score with mean 0 and variance 1 and none correlated with another, exactly.
///
/// Source: additive recurrence with the powers of the root of x^(d + 1) = x + 1 (a generalised
///         golden ratio; from memory), through the normal quantile, each point with its mirror
///         image; then made uncorrelated by a triangular root.
class DoubtPoints {
 public:
  /// @param bands   those that bend; their coefficients are taken from their holds. Of more than
  ///                kMostBending those in which the bands together move most; in the others they
  ///                are taken as straight
  /// @param coefficients  of the piece; where they hang together, scores are those of independent
  ///                      factors behind the bending ones, in their order
  /// @param count    of points, even
  DoubtPoints(const std::vector<const BandYarn*>& bands, const Coefficients& coefficients,
              std::size_t count);

  std::size_t size() const { return size_; }
  /// The coefficients that bands bend in, rising.
  const std::vector<std::size_t>& coefficients() const { return bending_; }
  /// Scores at one of the points, in the order of the coefficients.
  std::span<const double> scores(std::size_t k) const;
  /// A band's local factors at one of the points.
  std::array<double, kLocals> factors(const BandYarn& one, std::size_t k) const;
  /// @param logs  of an amount, one at each point in order
  LogLine nearest_line(std::span<const double> logs) const;

 private:
  std::vector<std::size_t> bending_;
  /// By how much a coefficient moves with each factor up to its own, row after row.
  std::vector<double> moves_;
  std::size_t size_;
  std::vector<double> scores_;  ///< point by point
};

/// Of each of the local factors that a yarn can bend in.
using BendingLogSds = std::array<double, kBending.size()>;

/// Log-sds of those of a band's local factors that it can bend in.
/// @param one  its holds as sort_holds leaves them
BendingLogSds bending_log_sds(const BandYarn& one, const Coefficients& coefficients);

}  // namespace ellwand::estimate
