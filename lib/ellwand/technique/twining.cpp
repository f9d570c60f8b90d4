#include "ellwand/technique/twining.hpp"

#include "ellwand/cloth/crossing.hpp"
#include "ellwand/numeric/dual.hpp"
#include "ellwand/technique/lengths.hpp"
#include "ellwand/technique/measures.hpp"
#include "ellwand/technique/slanted_pass.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

namespace ellwand::technique {

using std::numbers::pi;

namespace {

/// Of the room that strands side by side need, what they take: fitted.
constexpr double kShareOfRoom = 0.91;

/// From one face to the other between two ends; quarter turns where the strand just fits or is
/// pressed flat.
template <class Scalar>
Length<Scalar> crossing(const Length<Scalar>& spacing, const Length<Scalar>& thickness) {
  if (mm(spacing) <= mm(thickness)) return 0.5 * pi * spacing;
  return cloth::taut_crossing(spacing, thickness, thickness).yarn;
}

/// How far a strand swings up and down the warp in a gap.
template <class Scalar>
Scalar swing(const Length<Scalar>& spacing, const Length<Scalar>& end, const Length<Scalar>& strand,
             int over) {
  using std::sqrt;
  const Scalar run = ((over - 1.0) * spacing + end + strand).si();
  const Scalar beside = kShareOfRoom * run * slope_of_passes(spacing, end, strand, over);
  const Scalar ratio = beside / strand.si();
  const Scalar square = ratio * ratio;
  return strand.si() * sqrt(sqrt(1.0 + square * square));
}

}  // namespace

template <class Scalar>
Length<Scalar> twining_gap(const Length<Scalar>& spacing, const Length<Scalar>& end,
                           const Length<Scalar>& strand, int over, int strands) {
  using std::sqrt;
  require_range("spacing of the ends, mm", mm(spacing), kLeast_mm, kMost_mm, "twining");
  require_range("diameter of an end, mm", mm(end), kLeast_mm, kMost_mm, "twining");
  require_range("diameter of a strand, mm", mm(strand), kLeast_mm, kMost_mm, "twining");
  require_range("ends twined over", over, 1, 1e5, "twining");
  require_range("strands twined together", strands, 2, 100, "twining");
  const Length<Scalar> through = crossing(spacing, Length<Scalar>(end + strand));
  const Scalar y = swing(spacing, end, strand, over);
  const Scalar across = (through + (over - 1.0) * spacing).si();
  const Scalar along = (static_cast<double>(over) * spacing).si();
  const Scalar crosses = sqrt(across * across + y * y);
  const Scalar floats = sqrt(along * along + y * y);
  return Length<Scalar>::from_si((2.0 * crosses + (strands - 2.0) * floats) /
                                 static_cast<double>(strands));
}

namespace {

void require_alike_where_folded(const Twining& twining) {
  if (!twining.folded_start) return;
  const Strand& one = twining.strands[0];
  const Strand& other = twining.strands[1];
  if (one.yarn == other.yarn && one.held == other.held && one.split_into == other.split_into) {
    return;
  }
  throw OutOfRange(
      fmt::format("a row of twining is to start with one length folded into its first two strands, "
                  "but they are unlike ({} and {}); start with separate lengths or make them alike",
                  one.yarn, other.yarn));
}

void require_twining(const Twining& twining) {
  if (twining.strands.size() < 2) {
    throw OutOfRange(
        fmt::format("twining needs two strands or more, and has {}", twining.strands.size()));
  }
  require_range("rows of twining", twining.rows, 1, 1e6, "twining");
  require_range("ends twined over", twining.over, 1, 1e5, "twining");
  if (twining.over >= twining.ends) {
    throw OutOfRange(fmt::format(
        "twining over {} ends leaves no gap to cross in on a warp of {} ends; twine over fewer",
        twining.over, twining.ends));
  }
  require_alike_where_folded(twining);
}

template <class Scalar>
struct TwinedRow {
  Length<Scalar> straight;
  Length<Scalar> crimp;
  Length<Scalar> fold;
  Length<Scalar> total() const { return straight + crimp + fold; }
};

template <class Scalar>
TwinedRow<Scalar> twined_row(const Twining& twining, std::size_t index, const Lie<Scalar>& lie) {
  const auto strands = static_cast<int>(twining.strands.size());
  const Length<Scalar> strand =
      yarn::side_by_side_diameter(lie.strand_diameter, twining.strands[index].held);
  const int last = twining.ends - (twining.groups() - 1) * twining.over;
  const auto gap = [&](int over) {
    return twining_gap(lie.warp_spacing, lie.warp_diameter, strand, over, strands);
  };

  // The last gap reaches from the middle of a whole group to the middle of what is left over.
  const Length<Scalar> laid = (twining.groups() - 1.5) * gap(twining.over) + 0.5 * gap(last);
  const double spacings = (twining.groups() - 1.5) * twining.over + 0.5 * last;
  TwinedRow<Scalar> row;
  row.straight = spacings * lie.warp_spacing;
  row.crimp = laid - row.straight;
  if (twining.folded_start && index < 2) {
    const Length<Scalar> half_turn =
        (twining.over - 1.0) * lie.warp_spacing + 0.5 * pi * (lie.warp_diameter + strand);
    row.fold = 0.5 * half_turn;
  }
  return row;
}

/// Lengths of one strand in all rows, each row begun with one of its own, or with half of one
/// folded, which has one tail.
template <class Scalar>
LengthsLaid<Scalar> lengths_of(const Twining& twining, std::size_t strand,
                               const Length<Scalar>& laid, const Lie<Scalar>& lie) {
  LengthsLaid<Scalar> lengths = lengths_laid(laid, twining.rows, lie);
  if (!twining.folded_start || strand > 1) return lengths;
  const Length<Scalar> spared = static_cast<double>(twining.rows) * working_length(lie).tail;
  const bool stands_apart = mm(lengths.half_length) > 0.0;
  (stands_apart ? lengths.half_length : lengths.tails) -= spared;
  lengths.count = lengths.count - 0.5 * twining.rows;
  return lengths;
}

/// Whether the strand is pressed flat in every gap, of a plan that may be refused.
template <class Scalar>
bool is_pressed(const Twining& twining, std::size_t index, const Lie<Scalar>& lie) {
  const auto strand = yarn::side_by_side_diameter(lie.strand_diameter, twining.strands[index].held);
  return is_pressed_through(millimetres(mm(lie.warp_spacing)), millimetres(mm(lie.warp_diameter)),
                            millimetres(mm(strand)));
}

}  // namespace

template <class Scalar>
Twined<Scalar> twined(const Twining& twining, std::size_t strand, const Lie<Scalar>& lie) {
  require_twining(twining);
  assert(strand < twining.strands.size());
  const TwinedRow<Scalar> row = twined_row(twining, strand, lie);
  const double k = twining.rows * twining.strands[strand].yarn_per_laid();
  const Length<Scalar> laid = static_cast<double>(twining.rows) * row.total() * lie.take;
  const LengthsLaid<Scalar> lengths = lengths_of(twining, strand, laid, lie);

  Twined<Scalar> all;
  all.lengths = lengths.count;
  all.flattened = !lie.planned && is_pressed(twining, strand, lie);
  all.entries.add(Cause::Straight, Portion::Laid, k * row.straight);
  all.entries.add(Cause::Crimp, Portion::Laid, k * row.crimp);
  if (mm(row.fold) > 0.0) all.entries.add(Cause::Turns, Portion::Laid, k * row.fold);
  all.entries.add(Cause::Take, Portion::Laid, k * row.total() * (lie.take - 1.0));
  add_tails(lengths, twining.strands[strand].yarn_per_laid(), all.entries);
  return all;
}

template <class Scalar>
Entries<Scalar> twining_yarn(const Twining& twining, std::size_t strand, const Lie<Scalar>& lie) {
  return twined(twining, strand, lie).entries;
}

template <class Scalar>
Length<Scalar> twining_row_height(const Twining& twining, const Lie<Scalar>& lie,
                                  double row_height) {
  require_twining(twining);
  require_range("row height of twining, in diameters", row_height, 0.01, 100.0, "twining");
  int held = 1;
  for (const Strand& strand : twining.strands) held = std::max(held, strand.held);
  return row_height * lie.row_spacing * yarn::side_by_side_diameter(lie.strand_diameter, held);
}

double log_room(const Twining& twining, std::size_t strand, const Lie<>& lie) {
  const Length<> weft =
      yarn::side_by_side_diameter(lie.strand_diameter, twining.strands.at(strand).held);
  return std::log(lie.warp_spacing / (lie.warp_diameter + weft));
}

double nearest_change(const Twining& twining, const Lie<>& lie) {
  double nearest = kFar;
  for (std::size_t strand = 0; strand < twining.strands.size(); ++strand) {
    nearest = std::min(nearest, std::abs(log_room(twining, strand, lie)));
  }
  return nearest;
}

template Length<double> twining_gap(const Length<double>&, const Length<double>&,
                                    const Length<double>&, int, int);
template Length<Dual> twining_gap(const Length<Dual>&, const Length<Dual>&, const Length<Dual>&,
                                  int, int);
template Twined<double> twined(const Twining&, std::size_t, const Lie<double>&);
template Twined<Dual> twined(const Twining&, std::size_t, const Lie<Dual>&);
template Entries<double> twining_yarn(const Twining&, std::size_t, const Lie<double>&);
template Entries<Dual> twining_yarn(const Twining&, std::size_t, const Lie<Dual>&);
template Length<double> twining_row_height(const Twining&, const Lie<double>&, double);
template Length<Dual> twining_row_height(const Twining&, const Lie<Dual>&, double);

}  // namespace ellwand::technique
