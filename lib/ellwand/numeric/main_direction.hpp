#pragma once
/// A sum of lognormal parts seen along the direction in which it is steepest.

#include "ellwand/numeric/room.hpp"

#include <array>
#include <cstddef>
#include <limits>
#include <span>
#include <vector>

namespace ellwand::numeric {

/// With medians m_i and covariances C_ij of the parts' logarithms, M_i = m_i exp(C_ii / 2):
///   c_i = (C M)_i / sqrt(M' C M),   a_i(t) = m_i exp((C_ii - c_i^2) / 2 + c_i t),
/// t being the normal score along the direction.
class MainDirection {
 public:
  MainDirection(std::span<const double> medians, std::span<const double> covariances);
  MainDirection(const MainDirection&) = delete;
  MainDirection& operator=(const MainDirection&) = delete;

  /// M' C M; where it is 0 nothing moves, and there is nothing below to ask for.
  double variance() const { return variance_; }

  /// Mean and variance of the sum at one t, with their derivatives by it.
  struct State {
    double mean = 0.0;
    double slope = 0.0;
    double bend = 0.0;
    double variance = 0.0;
    double variance_slope = 0.0;

    /// Variance beside the direction over the squared slope along it.
    double beside() const {
      return slope > 0.0 ? variance / (slope * slope) : std::numeric_limits<double>::infinity();
    }
    /// The sum's value at the score z, where little lies beside the direction.
    double point(double z) const {
      return mean - 0.5 * (variance_slope - variance * bend / slope - z * variance) / slope;
    }
  };

  /// At -t, 0 and t.
  std::array<State, 3> around(double t);

  /// c_i.
  std::span<const double> slopes() const { return {slopes_, n_}; }
  /// a_i at t = 0.
  std::span<const double> middles() const { return {middles_, n_}; }
  /// exp(C_ij - c_i c_j) - 1, the same at all t.
  std::vector<double> besides() const;

 private:
  std::size_t n_;
  std::size_t row_;      ///< numbers in a row: the parts, and a zero that makes them even
  Room numbers_;         ///< all below, one after the other
  double* covariances_;  ///< C_ij
  double* slopes_;
  double* middles_;
  double* below_;  ///< a_i at -t
  double* above_;  ///< and at t
  double variance_ = 0.0;
  double most_beside_ = 0.0;  ///< of C_ii - c_i^2
};

}  // namespace ellwand::numeric
