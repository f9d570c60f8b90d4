#include "ellwand/estimate/parts.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "ellwand/estimate/coefficients.hpp"

namespace ellwand::estimate {

namespace {

/// The coefficients that bands bend in first, then the others.
std::vector<std::size_t> bending_first(const Parts& parts) {
  std::vector<std::size_t> order = parts.states.coefficients;
  std::vector<bool> is_first(parts.coefficients, false);
  for (const std::size_t c : order) is_first[c] = true;
  for (std::size_t c = 0; c < parts.coefficients; ++c) {
    if (!is_first[c]) order.push_back(c);
  }
  return order;
}

/// Row c, column k: how one spread of coefficient c moves with factor k.
std::vector<double> root_in(const std::vector<std::size_t>& order,
                            const std::vector<double>& correlation) {
  const std::size_t n = order.size();
  std::vector<double> ordered(n * n);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) ordered[i * n + j] = correlation[order[i] * n + order[j]];
  }
  const std::vector<double> triangle = triangular_root(ordered, n);
  std::vector<double> root(n * n);
  for (std::size_t i = 0; i < n; ++i) {
    std::copy_n(triangle.begin() + static_cast<std::ptrdiff_t>(i * n), n,
                root.begin() + static_cast<std::ptrdiff_t>(order[i] * n));
  }
  return root;
}

}  // namespace

void Parts::turn(const std::vector<double>& correlation) {
  if (correlation.empty()) return;
  const std::size_t n = coefficients;
  const std::size_t d = states.coefficients.size();
  root = root_in(bending_first(*this), correlation);
  SlopeRows all_turned;
  all_turned.reserve(size(), n);
  std::vector<double> row(n);
  for (std::size_t i = 0; i < size(); ++i) {
    std::fill(row.begin(), row.end(), 0.0);
    const SlopeRows::Row its = slopes.row(i);
    for (std::size_t k = 0; k < its.columns.size(); ++k) row[its.columns[k]] = its.slopes[k];
    // Of a part taken at states, slopes by what it bends in are by the first factors already.
    std::vector<double> turned(n, 0.0);
    const bool bends = !at_states_m[i].empty();
    std::vector<double> line(d, 0.0);
    for (std::size_t j = 0; bends && j < d; ++j) {
      std::swap(line[j], row[states.coefficients[j]]);
    }
    for (std::size_t c = 0; c < n; ++c) {
      if (row[c] == 0.0) continue;
      for (std::size_t k = 0; k < n; ++k) turned[k] += row[c] * root[c * n + k];
    }
    for (std::size_t k = 0; bends && k < states.count; ++k) {
      double log = 0.0;  // what the others move by with those it bends in
      for (std::size_t j = 0; j < d; ++j) log += turned[j] * states.scores[k * d + j];
      at_states_m[i][k] *= std::exp(log);
    }
    for (std::size_t j = 0; j < d; ++j) turned[j] += line[j];
    all_turned.add(turned);
  }
  slopes = std::move(all_turned);
  for (std::size_t j = 0; j < d; ++j) states.coefficients[j] = j;
}

namespace {

/// A matrix of rows of `n` numbers with one more column, of zeros.
std::vector<double> with_a_column(const std::vector<double>& rows, std::size_t n) {
  std::vector<double> wider;
  wider.reserve(rows.size() / n * (n + 1));
  for (std::size_t at = 0; at < rows.size(); at += n) {
    const auto row = rows.begin() + static_cast<std::ptrdiff_t>(at);
    wider.insert(wider.end(), row, row + static_cast<std::ptrdiff_t>(n));
    wider.push_back(0.0);
  }
  return wider;
}

}  // namespace

void Parts::add_cause(std::size_t yarn, double spread) {
  const std::size_t n = coefficients;
  SlopeRows wider;
  for (std::size_t i = 0; i < size(); ++i) {
    wider.add(slopes.row(i));
    if (places[i].yarn == yarn) wider.put(n, spread);
  }
  slopes = std::move(wider);
  if (!root.empty()) {
    root = with_a_column(root, n);
    root.resize((n + 1) * (n + 1), 0.0);
    root.back() = 1.0;
  }
  coefficients = n + 1;
}

Grouped parts_by_yarn(const Parts& parts, std::size_t yarns) {
  return Grouped(parts.size(), yarns, [&](std::size_t i) { return parts.places[i].yarn; });
}

SlopeRows Parts::factors_of(std::size_t coefficient, double spread) const {
  SlopeRows one;
  one.open();
  if (root.empty()) {
    one.put(coefficient, spread);
    return one;
  }
  for (std::size_t k = 0; k < coefficients; ++k) {
    one.put(k, spread * root[coefficient * coefficients + k]);
  }
  return one;
}

double Parts::covariance_with(std::size_t part, std::size_t coefficient, double spread) const {
  if (root.empty()) return spread * slopes.at(part, coefficient);
  const SlopeRows::Row row = slopes.row(part);
  const double* const moves = root.data() + coefficient * coefficients;
  double sum = 0.0;
  for (std::size_t k = 0; k < row.columns.size(); ++k) sum += row.slopes[k] * moves[row.columns[k]];
  return spread * sum;
}

std::vector<double> Parts::at_each_state_m(std::size_t part) const {
  if (!at_states_m[part].empty()) return at_states_m[part];
  const std::size_t d = states.coefficients.size();
  std::vector<double> line(d);
  for (std::size_t i = 0; i < d; ++i) line[i] = slopes.at(part, states.coefficients[i]);
  std::vector<double> all(states.count);
  for (std::size_t k = 0; k < all.size(); ++k) {
    double log = 0.0;
    for (std::size_t i = 0; i < d; ++i) log += line[i] * states.scores[k * d + i];
    all[k] = medians_m[part] * std::exp(log);
  }
  return all;
}

}  // namespace ellwand::estimate
