#pragma once
/// What the runs beside peers share: the table, and what a piece of work costs.

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <fstream>
#include <string>
#include <vector>

namespace ellwand::bench {

inline double seconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

/// Resident memory of this process in MB: now, or the most since forget_peak().
inline double resident_mb(const std::string& field) {
  std::ifstream status("/proc/self/status");
  for (std::string line; std::getline(status, line);) {
    if (line.rfind(field + ":", 0) == 0) return std::stod(line.substr(field.size() + 1)) / 1024.0;
  }
  return 0.0;
}
inline void forget_peak() { std::ofstream("/proc/self/clear_refs") << "5"; }

struct Cost {
  double seconds = 0.0;
  double peak_mb = 0.0;  ///< beyond what was resident before
};

/// What some work costs.
template <class Work>
Cost cost_of(const Work& work) {
  forget_peak();
  const double before = resident_mb("VmRSS");
  const auto start = std::chrono::steady_clock::now();
  work();
  const double took = seconds_since(start);
  return {took, std::max(0.0, resident_mb("VmHWM") - before)};
}

inline double median_of(std::vector<double> values) {
  if (values.empty()) return 0.0;
  std::sort(values.begin(), values.end());
  const std::size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : 0.5 * (values[half - 1] + values[half]);
}

/// 1.2 ms, 340 us, 2.1 s.
inline std::string shown_seconds(double seconds) {
  if (seconds < 1e-3) return fmt::format("{:.3g} us", seconds * 1e6);
  if (seconds < 1.0) return fmt::format("{:.3g} ms", seconds * 1e3);
  return fmt::format("{:.3g} s", seconds);
}

void nist_beside_peers();
/// @param folder  for the tables that R reads, and its answers
void mixed_models_beside_lme4(const std::string& folder);
void calibrations_beside_lme4(const std::string& folder);

}  // namespace ellwand::bench
