#pragma once
/// Numbers taken two at a time, for which processors have instructions.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstring>

namespace ellwand::numeric {

/// Of GCC and Clang.
constexpr std::size_t kPair = 2;
using Pair = double __attribute__((vector_size(kPair * sizeof(double))));

/// So many numbers, and one that makes them even.
constexpr std::size_t in_pairs(std::size_t count) { return (count + kPair - 1) / kPair * kPair; }

inline Pair loaded(const double* from) {
  Pair pair;
  std::memcpy(&pair, from, sizeof pair);
  return pair;
}
inline void store(const Pair& pair, double* to) { std::memcpy(to, &pair, sizeof pair); }
inline double larger(const Pair& pair) { return std::max(pair[0], pair[1]); }

/// exp(x) - 1 for x in [-0.7, 0.7], to 3e-7 of itself: the first terms of its series; the next
/// comes to 0.7^8 / 9! of it.
inline Pair expm1_by_8_terms(const Pair& x) {
  const Pair square = x * x;
  const Pair first = 1.0 + 0.5 * x + square * (1.0 / 6.0 + x * (1.0 / 24.0));
  const Pair next = 1.0 / 120.0 + x * (1.0 / 720.0) + square * (1.0 / 5040.0 + x * (1.0 / 40320.0));
  return x * (first + square * square * next);
}
constexpr double kSeriesReach = 0.7;

/// exp(x) for x in [-0.7, 0.7], to 1e-9 of itself: the square of the first terms of the series of
/// its root; the next comes to 0.35^9 / 9!.
inline Pair exp_by_9_terms(const Pair& x) {
  const Pair half = 0.5 * x;
  const Pair square = half * half;
  const Pair fourth = square * square;
  const Pair first = 1.0 + half + square * (0.5 + half * (1.0 / 6.0));
  const Pair next =
      1.0 / 24.0 + half * (1.0 / 120.0) + square * (1.0 / 720.0 + half * (1.0 / 5040.0));
  const Pair root = first + fourth * (next + fourth * (1.0 / 40320.0));
  return root * root;
}

inline bool is_in_reach(const Pair& x) {
  return std::max(std::abs(x[0]), std::abs(x[1])) <= kSeriesReach;
}

/// exp(x) - 1 of any two, to 3e-7 of itself.
inline Pair quick_expm1(const Pair& x) {
  return is_in_reach(x) ? expm1_by_8_terms(x) : Pair{std::expm1(x[0]), std::expm1(x[1])};
}

/// exp(x) of any two, to 1e-9 of itself.
inline Pair quick_exp(const Pair& x) {
  return is_in_reach(x) ? exp_by_9_terms(x) : Pair{std::exp(x[0]), std::exp(x[1])};
}

}  // namespace ellwand::numeric
