#pragma once
/// Measurements that are linear in what they depend on, pressed together: what is left of any
/// number of rows is one small matrix, from which coefficients and the chance of the spreads
/// follow.

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

namespace ellwand::calibrate {

/// How one row moves with one coefficient.
struct Slope {
  std::size_t coefficient = 0;
  double slope = 0.0;
};

/// value = sum of slope x coefficient + an error with mean 0 and the given standard deviation.
struct LinearRow {
  std::vector<Slope> common;  ///< by coefficients that many rows share
  std::vector<Slope> own;     ///< by the coefficients of the row's own piece, counted from 0
  std::size_t piece = 0;      ///< whose own coefficients they are
  double value = 0.0;
  double sd = 1.0;
};

/// What the rows say of the common coefficients, their prior variances being given.
struct Posterior {
  std::vector<double> means;
  std::vector<double> covariances;  ///< row after row
};

/// The rows once the coefficients of each piece are integrated out.
class CommonRows {
 public:
  ~CommonRows();
  CommonRows(CommonRows&&) noexcept;

  /// Logarithm of the density of all values, the common coefficients integrated out as well; for
  /// those of infinite variance over a flat prior of height 1 (the restricted likelihood).
  /// Minus infinity where such a coefficient is not pinned by the rows.
  ///
  /// @param variances  of each common coefficient before anything is measured: 0 holds it at 0,
  ///                   infinity is a coefficient nothing is known of
  ///
  /// Source:   normal theory of linear mixed models; D. A. Harville, JASA 72 (1977) 320-340, from
  ///           memory; by Cholesky in units in which each prior variance is 1, so that no pivot
  ///           is below 1.
  /// Accuracy: variances that maximise it agree with published ones to 6 digits
  ///           (tests NormalRows.OfDyestuff, NormalRows.OfRails).
  double log_likelihood(std::span<const double> variances) const;

  /// @throws OutOfRange where a coefficient of infinite variance is not pinned by the rows
  Posterior posterior(std::span<const double> variances) const;

 private:
  friend class NormalRows;
  struct Sums;
  explicit CommonRows(std::unique_ptr<Sums> sums);
  std::unique_ptr<Sums> sums_;
};

/// Rows as they are measured, the sums of their products piece by piece.
class NormalRows {
 public:
  /// @param common  how many common coefficients there are
  /// @param own     how many each piece has for itself
  /// @throws OutOfRange for a coefficient beyond those, a number not finite, an sd not above 0
  NormalRows(std::span<const LinearRow> rows, std::size_t common, std::size_t own);
  NormalRows(NormalRows&&) noexcept;
  ~NormalRows();

  /// @param own_variances  of the coefficients each piece has for itself: finite
  /// @param noise          multiplies the sd of every row
  CommonRows without_own(std::span<const double> own_variances, double noise = 1.0) const;

  /// Means of the own coefficients of every piece, piece after piece, for given common ones.
  std::vector<double> own_means(std::span<const double> own_variances,
                                std::span<const double> common, double noise = 1.0) const;

 private:
  struct Pressed;
  std::unique_ptr<const Pressed> pressed_;
};

}  // namespace ellwand::calibrate
