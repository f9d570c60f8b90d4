#pragma once
/// What the studio's own swatches and pieces have taught about the coefficients.

#include <cstddef>
#include <functional>
#include <map>
#include <string>
#include <vector>

namespace ellwand::estimate {

/// Coefficients by the names that hold across pieces (see coefficient_ids): jointly normal. Any
/// that is not among them is as the starting values have it.
struct Learned {
  std::vector<std::string> names;   ///< "hand", "take.weave", "yarn rug-wool-ash", "weaver Anna"
  std::vector<double> means;        ///< on the scale of the coefficient: see Shared
  std::vector<double> covariances;  ///< row after row

  /// Of those not met yet, by row of the starting values ("yarn", "piece"): root mean square.
  std::map<std::string, double, std::less<>> spreads;
  /// All the evidence is of one weaver: her way is in the hand.
  bool one_weaver = false;
  /// How many pieces taught each work's take, by row ("take.weave").
  std::map<std::string, int, std::less<>> pieces_by_work;
  std::string date;  ///< of the calibration, ISO 8601
  int swatches = 0;

  static constexpr std::size_t kNone = static_cast<std::size_t>(-1);
  std::size_t find(const std::string& name) const;
};

}  // namespace ellwand::estimate
