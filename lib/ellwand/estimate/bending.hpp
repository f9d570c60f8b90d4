#pragma once
/// Whether a band's yarn bends within its doubt, and the line nearest to it where it bends little.

#include "ellwand/estimate/band_yarn.hpp"
#include "ellwand/estimate/doubt_points.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

namespace ellwand::estimate {

/// How wide to look around a band that lies near a change of the way its threads lie, or whose
/// threads are pressed; nothing for others, which are straight.
std::optional<BendingLogSds> doubt_to_look_around(const technique::Work& work, const BandYarn& one,
                                                  const Worked<double>& worked,
                                                  const Coefficients& coefficients);

/// What a band's yarn comes to where one of the local factors it can bend in lies so many log-sds
/// below or above its median, all others at theirs.
class Around {
 public:
  /// @param amounts_at  given local factors
  template <class AmountsAt>
  Around(const BendingLogSds& log_sds, const AmountsAt& amounts_at) : log_sds_(log_sds) {
    std::array<double, kLocals> factors;
    factors.fill(1.0);
    middle_ = logs_of(amounts_at(factors));
    for (std::size_t i = 0; i < kBending.size(); ++i) {
      if (log_sds[i] == 0.0) continue;
      double& factor = factors[static_cast<std::size_t>(kBending[i])];
      factor = std::exp(-kScore * log_sds[i]);
      below_[i] = logs_of(amounts_at(factors));
      factor = std::exp(kScore * log_sds[i]);
      above_[i] = logs_of(amounts_at(factors));
      factor = 1.0;
    }
  }

  /// Whether the logarithm of the yarn, or of the warp, leaves its straight line within nine
  /// tenths of the doubt about any one local factor.
  bool bends() const;

  /// Of each portion and then of the warp.
  std::vector<NearestLine> lines() const;

 private:
  static constexpr double kScore = 1.645;
  static constexpr std::size_t kWarp = technique::kPortions;
  static constexpr std::size_t kWeft = kWarp + 1;  // all portions together
  using Logs = std::array<double, kWeft + 1>;      // -inf where there is nothing

  static Logs logs_of(const BandAmounts<double>& amounts);
  double off(std::size_t which, std::size_t local) const;
  double most_off(std::size_t which) const;
  NearestLine line(std::size_t which) const;

  BendingLogSds log_sds_;
  Logs middle_{};
  std::array<Logs, kBending.size()> below_{};
  std::array<Logs, kBending.size()> above_{};
};

}  // namespace ellwand::estimate
