#pragma once
/// Threads for tests of the works: seine twine and rug wool on a notched loom, and the same with
/// every fitted thing a variable.

#include <array>

#include "ellwand/technique/lie.hpp"

namespace ellwand::test {

/// Ends of 1.0 mm every 4 mm, a weft of 1.6 mm, take 1.05, tails of 100 mm on lengths of 2 m.
inline technique::Lie<> notched_lie() {
  technique::Lie<> lie;
  lie.warp_diameter = millimetres(1.0);
  lie.warp_spacing = millimetres(4.0);
  lie.strand_diameter = millimetres(1.6);
  lie.take = 1.05;
  lie.tail = millimetres(100.0);
  lie.working_length = metres(2.0);
  lie.trim = millimetres(8.0);
  return lie;
}

/// What can be fitted, in the order warp diameter, warp spacing, strand diameter (mm), row spacing
/// factor, take, tail, working length, trim (mm).
using LieVariables = std::array<double, 8>;

inline LieVariables variables_of(const technique::Lie<>& lie) {
  return {in_millimetres(lie.warp_diameter),
          in_millimetres(lie.warp_spacing),
          in_millimetres(lie.strand_diameter),
          lie.row_spacing,
          lie.take,
          in_millimetres(lie.tail),
          in_millimetres(lie.working_length),
          in_millimetres(lie.trim)};
}

/// The lie with those variables, everything else as in `like`; counted smoothly.
template <class Scalar>
technique::Lie<Scalar> lie_of(const std::array<Scalar, 8>& x, const technique::Lie<>& like) {
  technique::Lie<Scalar> lie;
  lie.warp_diameter = millimetres(x[0]);
  lie.warp_spacing = millimetres(x[1]);
  lie.strand_diameter = millimetres(x[2]);
  lie.row_spacing = x[3];
  lie.take = x[4];
  lie.tail = millimetres(x[5]);
  lie.working_length = millimetres(x[6]);
  lie.trim = millimetres(x[7]);
  lie.warp_flatness = like.warp_flatness;
  lie.weft_flatness = like.weft_flatness;
  lie.counting = technique::Counting::Smooth;
  lie.planned = like.planned;
  return lie;
}

}  // namespace ellwand::test
