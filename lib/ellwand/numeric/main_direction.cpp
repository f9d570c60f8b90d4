#include "ellwand/numeric/main_direction.hpp"

#include "ellwand/numeric/pairs.hpp"

#include <algorithm>
#include <cmath>

namespace ellwand::numeric {

namespace {

/// A square matrix in rows of whole pairs.
struct PairedRows {
  const double* numbers;
  std::size_t row;

  const double* at(std::size_t i, std::size_t j) const { return numbers + i * row + j; }
  Pair diagonal(std::size_t j) const { return Pair{*at(j, j), *at(j + 1, j + 1)}; }
};

/// Lays numbers out as a row of whole pairs, with a zero at the end of an odd one.
void lay_row(const double* numbers, std::size_t n, double* row) {
  std::size_t j = 0;
  for (; j + kPair <= n; j += kPair) store(loaded(numbers + j), row + j);
  if (j < n) store(Pair{numbers[j], 0.0}, row + j);
}

/// C M and M' C M.
/// @param medians  m_i
/// @param means    for M_i
/// @param moves    for (C M)_i
double steepest(const PairedRows& covariances, const double* medians, double* means,
                double* moves) {
  const std::size_t row = covariances.row;
  for (std::size_t j = 0; j < row; j += kPair) {
    store(loaded(medians + j) * quick_exp(0.5 * covariances.diagonal(j)), means + j);
  }
  Pair variance = {};
  for (std::size_t j = 0; j < row; j += kPair) {
    Pair sum = {};
    for (std::size_t i = 0; i < row; ++i) sum += means[i] * loaded(covariances.at(i, j));
    store(sum, moves + j);
    variance += loaded(means + j) * sum;
  }
  return variance[0] + variance[1];
}

}  // namespace

MainDirection::MainDirection(std::span<const double> medians, std::span<const double> covariances)
    : n_(medians.size()), row_(in_pairs(n_)), numbers_((row_ + 4) * row_) {
  covariances_ = numbers_.data();
  slopes_ = covariances_ + row_ * row_;
  middles_ = slopes_ + row_;
  below_ = middles_ + row_;
  above_ = below_ + row_;
  for (std::size_t i = 0; i < n_; ++i) {
    lay_row(covariances.data() + i * n_, n_, covariances_ + i * row_);
  }
  if (row_ > n_) std::fill_n(covariances_ + n_ * row_, row_, 0.0);
  lay_row(medians.data(), n_, middles_);
  const PairedRows rows = {covariances_, row_};
  variance_ = steepest(rows, middles_, above_, slopes_);
  if (!(variance_ > 0.0)) return;
  const double per_sd = 1.0 / std::sqrt(variance_);
  for (std::size_t j = 0; j < row_; j += kPair) {
    const Pair slope = per_sd * loaded(slopes_ + j);
    const Pair beside = rows.diagonal(j) - slope * slope;
    store(slope, slopes_ + j);
    store(loaded(middles_ + j) * quick_exp(0.5 * beside), middles_ + j);
    most_beside_ = std::max(most_beside_, larger(beside));
  }
}

namespace {

/// At one t, added up pair by pair.
class StateSums {
 public:
  void add(const Pair& amount, const Pair& its_slope, const Pair& with_all) {
    const Pair growing = its_slope * amount;
    mean_ += amount;
    slope_ += growing;
    bend_ += its_slope * growing;
    variance_ += amount * with_all;
    variance_slope_ += growing * with_all;
  }
  MainDirection::State state() const {
    const auto both = [](const Pair& sum) { return sum[0] + sum[1]; };
    return {both(mean_), both(slope_), both(bend_), std::max(0.0, both(variance_)),
            2.0 * both(variance_slope_)};
  }

 private:
  Pair mean_ = {}, slope_ = {}, bend_ = {}, variance_ = {}, variance_slope_ = {};
};

}  // namespace

std::array<MainDirection::State, 3> MainDirection::around(double t) {
  const std::size_t row = row_;
  const double* const slopes = slopes_;
  const double* const middles = middles_;
  double* const below = below_;
  double* const above = above_;
  for (std::size_t j = 0; j < row; j += kPair) {
    const Pair growth = quick_exp(t * loaded(slopes + j));
    const Pair middle = loaded(middles + j);
    store(middle / growth, below + j);
    store(middle * growth, above + j);
  }
  const PairedRows covariances = {covariances_, row};
  StateSums at_below;
  StateSums at_middle;
  StateSums at_above;
  for (std::size_t j = 0; j < row; j += kPair) {
    const Pair slope = loaded(slopes + j);
    Pair with_below = {};
    Pair with_middle = {};
    Pair with_above = {};
    const auto add_all = [&](const auto& expm1) {
      for (std::size_t i = 0; i < row; ++i) {
        const Pair share = expm1(loaded(covariances.at(i, j)) - slopes[i] * slope);
        with_below += below[i] * share;
        with_middle += middles[i] * share;
        with_above += above[i] * share;
      }
    };
    if (most_beside_ < kSeriesReach) {
      add_all([](const Pair& x) { return expm1_by_8_terms(x); });
    } else {
      add_all([](const Pair& x) { return quick_expm1(x); });
    }
    at_below.add(loaded(below + j), slope, with_below);
    at_middle.add(loaded(middles + j), slope, with_middle);
    at_above.add(loaded(above + j), slope, with_above);
  }
  return {at_below.state(), at_middle.state(), at_above.state()};
}

std::vector<double> MainDirection::besides() const {
  std::vector<double> all;
  all.reserve(n_ * n_);
  for (std::size_t i = 0; i < n_; ++i) {
    for (std::size_t j = 0; j < n_; ++j) {
      all.push_back(std::expm1(covariances_[i * row_ + j] - slopes_[i] * slopes_[j]));
    }
  }
  return all;
}

}  // namespace ellwand::numeric
