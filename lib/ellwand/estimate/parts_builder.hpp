#pragma once
/// Collects parts with slopes by the coefficients, from numbers with slopes by local factors.

#include "ellwand/estimate/band_yarn.hpp"
#include "ellwand/estimate/doubt_points.hpp"
#include "ellwand/estimate/parts.hpp"
#include "ellwand/numeric/dual.hpp"

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

namespace ellwand::estimate {

/// What one band's yarn comes to, and how unsure that is: slopes by the logarithms of the local
/// factors and, where its band bends within its doubt, amounts at the states.
struct BandParts {
  BandAmounts<Dual> medians;
  std::array<std::vector<double>, technique::kPortions> at_states_m;
  std::vector<double> warp_at_states_m;
};

class PartsBuilder {
 public:
  /// @param points  states of the bands that bend; none where no band does
  /// @param most    parts there may be
  PartsBuilder(Parts& parts, const Coefficients& coefficients, const DoubtPoints* points,
               std::size_t most);

  /// One part per portion that is filled.
  /// @param band  that it is told under: from 1, or 0 for what is of no band
  void add_yarn(int band, const BandYarn& one, const BandParts& amounts);
  /// One part of what a beam warp takes through the band, if any.
  void add_warp(const BandYarn& one, std::size_t warp_yarn, const BandParts& amounts);
  /// A share of some of one yarn's parts, which moves as their sum does.
  /// @param of_yarn   indices of its parts
  /// @param is_share  of those places
  /// @returns whether there is any
  bool add_share(std::size_t yarn, technique::Portion portion, double share,
                 std::span<const std::size_t> of_yarn,
                 const std::function<bool(const Parts::Place&)>& is_share);

  /// A part whose slopes are still all zero.
  void open(const Parts::Place& place, double median_m);
  /// Writes the slopes of the last part down; nothing is added to it any more.
  void close();
  /// Adds to the last part's slope by one coefficient.
  void add_slope(std::size_t coefficient, double slope) {
    add_move(coefficient, slope * spreads_[coefficient]);
  }

 private:
  void add(const Parts::Place& place, const BandYarn& one, const Dual& amount,
           const std::vector<double>& at_states_m);
  void add_straight(const Parts::Place& place, const BandYarn& one, const Dual& amount);
  /// As add_slope, for one spread of the coefficient.
  void add_move(std::size_t coefficient, double move) {
    if (row_[coefficient] == 0.0) met_.push_back(coefficient);
    row_[coefficient] += move;
  }
  void lay_line(std::vector<double> at_states_m);
  void set_states(const DoubtPoints& points);

  Parts& parts_;
  const std::vector<double>& spreads_;
  const DoubtPoints* points_;
  std::vector<double> row_;             ///< of the part that is open, all 0 between parts
  std::vector<std::size_t> met_;        ///< where it is not 0
  std::vector<std::uint32_t> columns_;  ///< of the row that is written down
  std::vector<double> moves_;
  bool is_open_ = false;
};

}  // namespace ellwand::estimate
