#pragma once
/// So many standard normal variables that their correlations are too many to look at: each is given
/// by how it moves with common factors.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace ellwand::numeric {

/// Variables Z_i = sum of s_ik F_k over independent standard normal factors F_k.
///
/// Along the few directions in which all of them together move most they are taken as they are,
/// what is left of each as its own: their joint chance is then an integral over those directions of
/// a product. So work grows with the number of variables, not with its square.
///
/// Source: derived; the conditional product is that of O. Vasicek, Risk 15 (2002) 160-162, from
///         memory; directions by the power method; lattice as in normal_joint.
/// Accuracy: within 0.002 where the common factors are kMostDirections or fewer (tests
///           ManyNormals.OfOneCommonFactorAgreeWithQuadrature, ManyNormals.AgreeWithAllPairs); what
///           further factors have in common is taken as each one's own.
class ManyNormals {
 public:
  static constexpr std::size_t kMostDirections = 6;

  /// One more variable; a row without slopes is sure and never exceeds its limit.
  /// @param factors, slopes  the factors it moves with; squares of the slopes add up to 1
  void add(std::span<const std::uint32_t> factors, std::span<const double> slopes);
  std::size_t size() const { return ends_.size(); }

  /// Chance that at least one exceeds its limit.
  /// @param z  a limit each; infinite ones are allowed
  /// @throws OutOfRange for a limit that is not a number, or another number of them
  double chance_any_exceeds(std::span<const double> z) const;

  /// The one limit that none exceeds with chance `p`, from 0.5 to 0.9999.
  double joint_quantile(double p) const;

 private:
  struct Seen;
  Seen seen() const;
  std::span<const std::uint32_t> factors(std::size_t i) const;
  std::span<const double> slopes(std::size_t i) const;

  std::vector<std::size_t> ends_;
  std::vector<std::uint32_t> factors_;
  std::vector<double> slopes_;
  std::size_t columns_ = 0;
};

}  // namespace ellwand::numeric
