#pragma once
/// Spreads that are themselves unsure: the coefficients under each set of spreads, blended by how
/// well the measurements agree with it.

#include "ellwand/calibrate/normal_rows.hpp"

#include <vector>

namespace ellwand::calibrate {

/// One set of spreads, as the variances they give the coefficients.
struct SpreadPoint {
  std::vector<double> common;  ///< variances of the common coefficients
  std::vector<double> own;     ///< of those each piece has for itself
  double weight = 1.0;  ///< how likely before anything is measured, up to a factor; 0 or more
};

/// What is known of the coefficients when the spreads are averaged over.
struct Blend {
  Posterior posterior;          ///< means and covariances of the whole blend
  std::vector<double> weights;  ///< of the points, given the measurements; add up to 1
};

/// Averages over the points: their weights by Bayes' rule; the blend's mean is the mean of the
/// means, its covariance the mean of the covariances and that of the means.
///
/// Points that follow each other with the same `own` are quicker.
///
/// @param points   at least one of them with a weight above 0
/// @param threads  that work at most; 0 for as many as there are cores. It changes no bit
/// @throws OutOfRange for no such point, or a coefficient that nothing pins
///
/// Source: law of total variance; derived. Why not the likeliest spread alone: with two to five
///         groups that one is often 0, and a new group's range then far too narrow.
Blend blend(const NormalRows& rows, const std::vector<SpreadPoint>& points,
            std::size_t threads = 1);

}  // namespace ellwand::calibrate
