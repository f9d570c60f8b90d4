#include "ellwand/technique/looped_pile.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/numeric/elastica.hpp"
#include "ellwand/technique/measures.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <utility>
#include <vector>

namespace ellwand::technique {

namespace {

template <class Scalar>
void require_loop(const Length<Scalar>& base, const Length<>& height) {
  require_range("loop height, mm", mm(height), 1e-3, kMost_mm, "looped pile");
  require_range("base of a loop, mm", mm(base), 0.0, kMost_mm, "looped pile");
}

}  // namespace

cloth::Grid loop_row(int over, int under, int ends, int first_under) {
  require_range("ends a loop passes over", over, 1, kMostEnds, "a row of loops");
  require_range("ends passed under between two loops", under, 1, kMostEnds, "a row of loops");
  require_range("ends passed under before the first loop", first_under, 0, kMostEnds,
                "a row of loops");
  require_range("ends of the warp", ends, 2, kMostEnds, "a row of loops");
  if (first_under >= ends) {
    throw OutOfRange(
        fmt::format("{} ends passed under before the first loop leave none of the warp's {} for "
                    "it; pass under fewer",
                    first_under, ends));
  }
  if (first_under == 0 && over >= ends) {
    throw OutOfRange(
        fmt::format("loops over {} ends do not fit on a warp of {} ends: a row needs a loop and an "
                    "end that holds it down; pass over fewer ends",
                    over, ends));
  }
  std::vector<bool> row;
  for (int end = 0; end < ends; ++end) {
    row.push_back(end >= first_under && (end - first_under) % (over + under) < over);
  }
  return cloth::Grid({row});
}

template <class Scalar>
Length<Scalar> raised_by_hand(const Length<Scalar>& base, const Length<>& height) {
  require_loop(base, height);
  return height * numeric::free_arch_excess(Scalar(base / height));
}

template <class Scalar>
Length<Scalar> raised_over_gauge(const Length<Scalar>& base, const Length<>& height) {
  using std::atan2;
  require_loop(base, height);
  return 2.0 * height * atan2(Scalar(height.si()), base.si());
}

template <class Scalar>
Length<Scalar> raised_over_rod_along_pick(const Length<Scalar>& base, const Length<>& height) {
  using std::sqrt;
  require_loop(base, height);
  const Length<> round = std::numbers::pi * height;
  return Length<Scalar>::from_si(sqrt((base * base + round * round).si())) - base;
}

Length<> gauge_diameter(const Length<>& height, const Length<>& strand, int held) {
  const Length<> thickness = yarn::side_by_side_diameter(strand, held);
  const Length<> gauge = height - thickness;
  if (gauge.si() > 0.0) return gauge;
  throw OutOfRange(fmt::format(
      "loops {} high leave no room for a gauge under a weft of {}; raise them higher or take a "
      "thinner weft",
      thread_size(height), thread_size(thickness)));
}

namespace {

/// The pick under the loops, as woven cloth whose rows lie `row_height` wefts apart.
Woven base_pick(const LoopedPile& pile, double row_height) {
  require_range("rows of loops", pile.rows, 1, 1e6, "looped pile");
  require_range("row height of looped pile, in diameters", row_height, 0.01, 100.0, "looped pile");
  Woven band;
  band.grid = pile.row;
  band.areas = {{pile.strand, pile.row.ends(), Join::None, std::nullopt}};
  band.beat.face = cloth::Face::Weft;
  band.beat.ratio = row_height;
  band.extent.count = pile.rows;
  return band;
}

/// Loops of the band by the ends they pass over, at most as many widths as a row has.
std::vector<std::pair<int, std::int64_t>> loops_by_width(const LoopedPile& pile) {
  std::vector<std::pair<int, std::int64_t>> loops;
  const auto add = [&](int width, std::int64_t times) {
    if (width == 0) return;
    const auto same = std::find_if(loops.begin(), loops.end(),
                                   [&](const auto& one) { return one.first == width; });
    if (same == loops.end()) {
      loops.emplace_back(width, times);
    } else {
      same->second += times;
    }
  };
  const int picks = pile.row.picks();
  for (int pick = 0; pick < std::min(picks, pile.rows); ++pick) {
    const std::int64_t times = (pile.rows - 1 - pick) / picks + 1;
    int width = 0;
    for (int end = 0; end < pile.row.ends(); ++end) {
      if (pile.row.over(pick, end)) {
        ++width;
        continue;
      }
      add(width, times);
      width = 0;
    }
    add(width, times);
  }
  return loops;
}

template <class Scalar>
Length<Scalar> raised_as(Raised how, const Length<Scalar>& base, const Length<>& height) {
  switch (how) {
    case Raised::ByHand:
      return raised_by_hand(base, height);
    case Raised::OverGauge:
      return raised_over_gauge(base, height);
    case Raised::OverRodAlongPick:
      return raised_over_rod_along_pick(base, height);
  }
  return {};
}

/// What raising adds to the floats of all rows.
template <class Scalar>
Length<Scalar> raised(const LoopedPile& pile, const Length<Scalar>& spacing) {
  Length<Scalar> sum;
  for (const auto& [width, loops] : loops_by_width(pile)) {
    const Length<Scalar> base = width * spacing;
    sum += static_cast<double>(loops) * raised_as(pile.raised, base, pile.loop_height);
  }
  return sum;
}

void refuse_length_spent_in_overlap(double working_length_mm, double overlap_mm) {
  if (working_length_mm > overlap_mm) return;
  throw OutOfRange(
      fmt::format("a working length of {} is used up by an overlap of {}; weave with a longer "
                  "length or overlap "
                  "less",
                  cloth_size(millimetres(working_length_mm)), cloth_size(millimetres(overlap_mm))));
}

template <class Scalar>
LengthsLaid<Scalar> with_overlaps(const Length<Scalar>& laid, const Length<>& overlap,
                                  const Lie<Scalar>& lie) {
  constexpr double kLeastUsed = 0.1;  // however short a length turns out, she uses this part of it
  if (!lie.planned) refuse_length_spent_in_overlap(mm(lie.working_length), mm(overlap));
  Length<Scalar> usable = lie.working_length - overlap;
  if (mm(usable) < kLeastUsed * mm(lie.working_length)) {
    usable = kLeastUsed * lie.working_length;
  }

  Scalar count = (laid + 2.0 * lie.tail - overlap) / usable;
  count = lie.counting == Counting::Smooth
              ? count + 0.5
              : Scalar(std::max(1.0, std::ceil(value_of(count) - 1e-9)));
  const Scalar breaks = value_of(count) > 1.0 ? count - 1.0 : Scalar(0.0);
  return {breaks + 1.0, 2.0 * lie.tail + breaks * overlap, Length<Scalar>()};
}

/// A loop no higher than its strands are thick is a float, however it is raised.
void refuse_low_loops(const LoopedPile& pile, const Length<>& strand) {
  if (pile.raised != Raised::ByHand) {
    gauge_diameter(pile.loop_height, strand, pile.strand.held);
    return;
  }
  const Length<> thickness = yarn::side_by_side_diameter(strand, pile.strand.held);
  if (thickness < pile.loop_height) return;
  throw OutOfRange(fmt::format(
      "loops {} high do not rise above their weft, which is {} thick; raise them higher "
      "or take a thinner weft",
      thread_size(pile.loop_height), thread_size(thickness)));
}

bool is_along_the_pick(Cause cause) { return cause != Cause::Take && cause != Cause::Tails; }

}  // namespace

template <class Scalar>
WovenArea<Scalar> looped_pile(const LoopedPile& pile, const Lie<Scalar>& lie, double row_height) {
  require_range("overlap of two lengths, mm", mm(pile.overlap), 0.0, kMost_mm, "looped pile");
  if (!lie.planned) refuse_low_loops(pile, millimetres(mm(lie.strand_diameter)));
  WovenArea<Scalar> worked = woven_area(base_pick(pile, row_height), 0, lie);
  const double k = pile.strand.yarn_per_laid();

  Entries<Scalar> entries;
  for (const LedgerEntry<Scalar>& entry : worked.entries) {
    if (is_along_the_pick(entry.cause)) entries.add(entry.cause, entry.portion, entry.yarn);
  }
  entries.add(Cause::Loops, Portion::Laid, k * raised(pile, lie.warp_spacing));
  const Length<Scalar> taut = entries.total();
  entries.add(Cause::Take, Portion::Laid, taut * (lie.take - 1.0));

  const Length<Scalar> laid = taut * lie.take / k;
  const LengthsLaid<Scalar> lengths =
      pile.overlap.si() > 0.0 ? with_overlaps(laid, pile.overlap, lie) : lengths_laid(laid, 1, lie);
  add_tails(lengths, k, entries);
  worked.lengths = lengths.count;
  worked.entries = entries;
  return worked;
}

double nearest_change(const LoopedPile& pile, const Lie<>& lie, double row_height) {
  return nearest_change(base_pick(pile, row_height), 0, lie);
}

double log_room(const LoopedPile& pile, const Lie<>& lie, double row_height) {
  return log_room(base_pick(pile, row_height), 0, lie);
}

template <class Scalar>
Entries<Scalar> looped_pile_yarn(const LoopedPile& pile, const Lie<Scalar>& lie,
                                 double row_height) {
  return looped_pile(pile, lie, row_height).entries;
}

template <class Scalar>
Length<Scalar> looped_pile_row_height(const LoopedPile& pile, const Lie<Scalar>& lie,
                                      double row_height) {
  return woven_area(base_pick(pile, row_height), 0, lie).row_spacing;
}

template Length<double> raised_by_hand(const Length<double>&, const Length<>&);
template Length<Dual> raised_by_hand(const Length<Dual>&, const Length<>&);
template Length<double> raised_over_gauge(const Length<double>&, const Length<>&);
template Length<Dual> raised_over_gauge(const Length<Dual>&, const Length<>&);
template Length<double> raised_over_rod_along_pick(const Length<double>&, const Length<>&);
template Length<Dual> raised_over_rod_along_pick(const Length<Dual>&, const Length<>&);
template WovenArea<double> looped_pile(const LoopedPile&, const Lie<double>&, double);
template WovenArea<Dual> looped_pile(const LoopedPile&, const Lie<Dual>&, double);
template Entries<double> looped_pile_yarn(const LoopedPile&, const Lie<double>&, double);
template Entries<Dual> looped_pile_yarn(const LoopedPile&, const Lie<Dual>&, double);
template Length<double> looped_pile_row_height(const LoopedPile&, const Lie<double>&, double);
template Length<Dual> looped_pile_row_height(const LoopedPile&, const Lie<Dual>&, double);

}  // namespace ellwand::technique
