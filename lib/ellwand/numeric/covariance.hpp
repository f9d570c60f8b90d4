#pragma once
/// Covariance of a least-squares fit from its slopes.

#include <cstddef>
#include <span>
#include <vector>

namespace ellwand::numeric {

struct Uncertainty {
  std::size_t rank = 0;
  std::vector<double>
      inverse;  ///< (J^T J)^-1, row after row; empty unless rank is full and all are finite
  double data_share = 0.0;  ///< trace of J_d (J^T J)^+ J_d^T over the first rows
};

/// By singular values of J with its columns scaled to length 1.
///
/// @param slopes     J row after row, finite; prior rows last
/// @param unknowns   numbers in a row
/// @param data_rows  how many of the rows are data
///
/// A direction counts as pinned when its singular value is above 1e-13 of the largest; beyond that
/// rounding decides.
Uncertainty uncertainty_of(std::span<const double> slopes, std::size_t unknowns,
                           std::size_t data_rows);

}  // namespace ellwand::numeric
