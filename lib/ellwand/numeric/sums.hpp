#pragma once
/// Sums that keep their digits.

#include <cmath>
#include <span>

namespace ellwand::numeric {

/// A sum whose rounding is carried along and added at the end.
///
/// Source: A. Neumaier, Z. Angew. Math. Mech. 54 (1974) 39-51 (improved Kahan-Babuska summation).
/// Accuracy: as if summed in twice the digits and rounded once (test
/// CompensatedSum.KeepsWhatAPlainSumLoses).
class CompensatedSum {
 public:
  void add(double term) {
    const double sum = sum_ + term;
    lost_ += std::abs(sum_) >= std::abs(term) ? (sum_ - sum) + term : (term - sum) + sum_;
    sum_ = sum;
  }
  /// An infinite sum has no loss to correct.
  double value() const { return std::isfinite(sum_) ? sum_ + lost_ : sum_; }

 private:
  double sum_ = 0.0;
  double lost_ = 0.0;
};

/// Sum of squares by a compensated sum; infinite or not a number when a term is.
inline double sum_of_squares(std::span<const double> terms) {
  CompensatedSum sum;
  for (const double term : terms) sum.add(term * term);
  return sum.value();
}

}  // namespace ellwand::numeric
