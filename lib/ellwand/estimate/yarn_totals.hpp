#pragma once
/// From the parts of a piece to the range of each yarn, its set-aside, and the chance of running
/// short of any.

#include "ellwand/estimate/estimate.hpp"
#include "ellwand/numeric/range.hpp"

#include <vector>

namespace ellwand::estimate {

/// Some of a piece's parts taken together.
class Sum {
 public:
  explicit Sum(std::size_t coefficients) : coefficients_(coefficients) {}

  void add(const Parts& parts, std::size_t part);

  /// The same sum as a mass in g: each median times `linear_density`, each part unsure by the lot
  /// too.
  Sum as_grams(const LinearDensity<>& linear_density, std::size_t lot, double lot_spread) const;

  bool empty() const { return medians_.empty(); }
  numeric::ShiftedLognormal fitted() const;
  double covariance_with(const Sum& other) const;

 private:
  std::vector<double> medians_;
  std::vector<double> slopes_;
  std::size_t coefficients_;
};

/// Fills lengths, masses, set-asides, put-ups and chances of every yarn, and the piece's chances.
/// Plans and cut roundings must stand already.
void reckon_yarns(const PieceModel& model, const Parts& parts, const Shelf& shelf,
                  const Options& options, PieceEstimate& estimate);

/// Fills the range of every band and yarn.
void reckon_bands(const Parts& parts, PieceEstimate& estimate);

}  // namespace ellwand::estimate
