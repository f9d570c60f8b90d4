#include "ellwand/technique/wrapping.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/technique/lengths.hpp"
#include "ellwand/technique/measures.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace ellwand::technique {

template <class Scalar>
Length<Scalar> wrap_turn(const Length<Scalar>& core, const Length<Scalar>& wrap,
                         const Length<Scalar>& pitch) {
  using std::sqrt;
  require_range("diameter of what is wrapped, mm", mm(core), 0.0, kMost_mm, "a wrap");
  require_range("diameter of the wrapping yarn, mm", mm(wrap), 1e-3, kMost_mm, "a wrap");
  require_range("distance from turn to turn, mm", mm(pitch), 0.0, kMost_mm, "a wrap");
  const Scalar round = std::numbers::pi * (core + wrap).si();
  const Scalar along = pitch.si();
  return Length<Scalar>::from_si(sqrt(round * round + along * along));
}

namespace {

void require_one_of(const char* one, bool has_one, const char* other, bool has_other) {
  if (has_one != has_other) return;
  throw OutOfRange(fmt::format("a wrapping has {} {} {} {}; state one of the two",
                               has_one ? "both" : "neither", one, has_one ? "and" : "nor", other));
}

void require_stated(const Wrapping& wrapping) {
  require_range("places wrapped", wrapping.places, 1, 1e6, "a wrapping");
  require_range("ends wrapped together", wrapping.ends, 0, 1e4, "a wrapping");
  require_range("turns at one place", wrapping.turns, 0, 1e6, "a wrapping");
  require_range("diameter of what is wrapped, mm", mm(wrapping.core), 0.0, kMost_mm, "a wrapping");
  require_range("length that is covered, mm", mm(wrapping.covered), 0.0, kMost_mm, "a wrapping");
  require_one_of("ends to gather", wrapping.ends > 0, "a diameter to go round",
                 wrapping.core.si() > 0.0);
  require_one_of("a number of turns", wrapping.turns > 0, "a length to cover",
                 wrapping.covered.si() > 0.0);
}

void refuse_less_than_a_turn(double covered_mm, double pitch_mm) {
  constexpr double kRounding = 1e-9;
  if (covered_mm == 0.0 || covered_mm >= pitch_mm * (1.0 - kRounding)) return;
  throw OutOfRange(
      fmt::format("{} covered is less than one turn of this yarn, which covers {}; cover more, or "
                  "write turns = 1",
                  thread_size(millimetres(covered_mm)), thread_size(millimetres(pitch_mm))));
}

}  // namespace

template <class Scalar>
Wraps<Scalar> wraps_of(const Wrapping& wrapping, const Lie<Scalar>& lie) {
  require_stated(wrapping);
  Wraps<Scalar> wraps;
  wraps.wrap = yarn::bundle_diameter(lie.strand_diameter, wrapping.strand.held);
  wraps.core = wrapping.ends > 0 ? yarn::bundle_diameter(lie.warp_diameter, wrapping.ends)
                                 : Length<Scalar>(wrapping.core);
  wraps.pitch = wraps.wrap * lie.row_spacing;
  wraps.turns =
      wrapping.turns > 0 ? Scalar(wrapping.turns) : Scalar(wrapping.covered / wraps.pitch);
  if (!lie.planned) refuse_less_than_a_turn(mm(wrapping.covered), mm(wraps.pitch));
  wraps.covered = wraps.turns * wraps.pitch;
  return wraps;
}

template <class Scalar>
Entries<Scalar> wrapping_yarn(const Wrapping& wrapping, const Lie<Scalar>& lie) {
  const Wraps<Scalar> wraps = wraps_of(wrapping, lie);
  const Length<Scalar> taut = wraps.turns * wrap_turn(wraps.core, wraps.wrap, wraps.pitch);
  const double strands = wrapping.places * wrapping.strand.yarn_per_laid();

  Entries<Scalar> entries;
  entries.add(Cause::Wraps, Portion::Laid, strands * taut);
  entries.add(Cause::Take, Portion::Laid, strands * taut * (lie.take - 1.0));
  // A place is begun with a length of its own, however little of it is used.
  const Length<Scalar> laid = wrapping.places * taut * lie.take;
  add_tails(lengths_laid(laid, wrapping.places, lie), wrapping.strand.yarn_per_laid(), entries);
  return entries;
}

bool takes_up_warp(const Wrapping& wrapping, int warp_ends) {
  const int left = warp_ends - wrapping.ends * wrapping.places;
  return wrapping.ends > 0 && left < wrapping.ends;
}

template <class Scalar>
Length<Scalar> wrapping_height(const Wrapping& wrapping, const Lie<Scalar>& lie) {
  return wraps_of(wrapping, lie).covered;
}

template Length<double> wrap_turn(const Length<double>&, const Length<double>&,
                                  const Length<double>&);
template Length<Dual> wrap_turn(const Length<Dual>&, const Length<Dual>&, const Length<Dual>&);
template Wraps<double> wraps_of(const Wrapping&, const Lie<double>&);
template Wraps<Dual> wraps_of(const Wrapping&, const Lie<Dual>&);
template Entries<double> wrapping_yarn(const Wrapping&, const Lie<double>&);
template Entries<Dual> wrapping_yarn(const Wrapping&, const Lie<Dual>&);
template Length<double> wrapping_height(const Wrapping&, const Lie<double>&);
template Length<Dual> wrapping_height(const Wrapping&, const Lie<Dual>&);

}  // namespace ellwand::technique
