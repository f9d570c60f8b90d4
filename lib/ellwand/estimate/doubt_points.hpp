#pragma once
/// What is unsure about one band taken at points, for a band whose yarn bends within its doubt.

#include "ellwand/estimate/band_yarn.hpp"

#include <vector>

namespace ellwand::estimate {

/// The local factors that a band's yarn can bend in. In those of habit (take, tails, lengths,
/// trims) it is straight, or nearly, in the logarithms.
inline constexpr std::array<Local, 4> kBending = {Local::WarpDiameter, Local::StrandDiameter,
                                                  Local::WarpSpacing, Local::RowSpacing};

/// The straight line that lies nearest to a logarithm over the doubt, and how it bends about it.
struct LogLine {
  double mean = 0.0;
  std::array<double, kLocals> slopes{};  ///< by the logarithms of the local factors
  double remainder = 0.0;                ///< variance about the line
  double third = 0.0;                    ///< third central moment
};

/// Points of equal weight that stand for the joint distribution of a band's local factors: their
/// logarithms are jointly normal, so independent scores go through a triangular root of their
/// covariance. The line is exact where yarn is straight in the logarithms; where it is a parabola
/// the mean is exact as well.
///
/// Source: the 24-cell, a spherical design of degree 5 (P. Delsarte, J. M. Goethals, J. J. Seidel,
///         Geom. Dedicata 6 (1977) 363-388, from memory), of radius 2, where each score has
///         variance 1.
class DoubtPoints {
 public:
  using Scores = std::array<double, kBending.size()>;
  using Square = std::array<Scores, kBending.size()>;
  static constexpr std::size_t kSize = 24;
  using Logs = std::array<double, kSize>;  ///< or amounts, one at each point

  /// @param spreads  of the coefficients that the band's locals hang on
  DoubtPoints(const BandYarn& one, const std::vector<double>& spreads);

  /// Local factors at one of the points, 0 to kSize - 1.
  std::array<double, kLocals> factors(std::size_t k) const;
  /// @param logs  of an amount, one at each point in order
  LogLine nearest_line(const Logs& logs) const;

 private:
  std::array<double, kLocals> slopes_by_locals(Scores by_score) const;

  Square root_;  ///< lower triangle
};

/// Log-sd of those local factors together, taken as independent.
double bending_log_sd(const BandYarn& one, const std::vector<double>& spreads);

}  // namespace ellwand::estimate
