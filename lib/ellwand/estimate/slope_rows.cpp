#include "ellwand/estimate/slope_rows.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace ellwand::estimate {

double SlopeRows::at(std::size_t i, std::size_t column) const {
  const Row it = row(i);
  const auto found = std::lower_bound(it.columns.begin(), it.columns.end(), column);
  if (found == it.columns.end() || *found != column) return 0.0;
  return it.slopes[static_cast<std::size_t>(found - it.columns.begin())];
}

void SlopeRows::reserve(std::size_t rows, std::size_t each) {
  ends_.reserve(rows);
  columns_.reserve(rows * each);
  slopes_.reserve(rows * each);
}

void SlopeRows::add(std::span<const double> row) {
  open();
  for (std::size_t c = 0; c < row.size(); ++c) put(c, row[c]);
}

void SlopeRows::add(const Row& row) {
  columns_.insert(columns_.end(), row.columns.begin(), row.columns.end());
  slopes_.insert(slopes_.end(), row.slopes.begin(), row.slopes.end());
  ends_.push_back(columns_.size());
}

namespace {

/// Handed on from row to row, so that no row pays for all columns.
std::vector<double>& spare_space() {
  static thread_local std::vector<double> space;
  return space;
}

/// Several sums at a time, which the processor can keep apart.
double dot(const double* a, const double* b, std::size_t n) {
  constexpr std::size_t kApart = 8;
  std::array<double, kApart> sums{};
  std::size_t i = 0;
  for (; i + kApart <= n; i += kApart) {
    for (std::size_t k = 0; k < kApart; ++k) sums[k] += a[i + k] * b[i + k];
  }
  for (std::size_t k = 0; i < n; ++i, ++k) sums[k] += a[i] * b[i];
  return ((sums[0] + sums[4]) + (sums[2] + sums[6])) + ((sums[1] + sums[5]) + (sums[3] + sums[7]));
}

}  // namespace

LaidOut::LaidOut(std::size_t columns) : columns_(columns), space_(std::move(spare_space())) {
  if (space_.size() < columns) space_.resize(columns, 0.0);
}

void LaidOut::lay(const SlopeRows::Row& row) {
  lift();
  row_ = row;
  for (std::size_t i = 0; i < row.columns.size(); ++i) space_[row.columns[i]] = row.slopes[i];
}

void LaidOut::lift() {
  for (const std::uint32_t column : row_.columns) space_[column] = 0.0;
}

LaidOut::~LaidOut() {
  lift();
  if (spare_space().size() < space_.size()) spare_space() = std::move(space_);
}

double LaidOut::times(const SlopeRows::Row& other) const {
  const std::size_t n = other.columns.size();
  if (n == columns_) return dot(space_.data(), other.slopes.data(), n);
  std::array<double, 2> sums{};
  std::size_t i = 0;
  for (; i + 2 <= n; i += 2) {
    sums[0] += space_[other.columns[i]] * other.slopes[i];
    sums[1] += space_[other.columns[i + 1]] * other.slopes[i + 1];
  }
  if (i < n) sums[0] += space_[other.columns[i]] * other.slopes[i];
  return sums[0] + sums[1];
}

}  // namespace ellwand::estimate
