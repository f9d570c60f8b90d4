#include "ellwand/technique/soumak.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/technique/lengths.hpp"
#include "ellwand/technique/measures.hpp"
#include "ellwand/technique/slanted_pass.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace ellwand::technique {

using std::numbers::pi;

namespace {

/// Of the swing that passes side by side would need over their whole run, what they take: fitted.
constexpr double kShareOfSwing = 0.48;

/// The ends and the weft of a row.
template <class Scalar>
struct Threads {
  Length<Scalar> spacing;
  Length<Scalar> end;
  Length<Scalar> weft;
};

/// One turn over `over` ends and behind `back`, its neighbours `apart` ends away.
template <class Scalar>
Length<Scalar> turn_of(const Threads<Scalar>& threads, int over, int back, int apart) {
  using std::sqrt;
  const Length<Scalar> thickness = through_gap(threads.spacing, threads.end, threads.weft);
  const Length<Scalar> flat = (over - 1.0) * threads.spacing;
  const Scalar slope = slope_of_passes(threads.spacing, threads.end, threads.weft, apart);
  const double share = kShareOfSwing * (1.0 + static_cast<double>(back) / over);
  const Scalar swing = share * slope * (flat + thickness).si();
  const Scalar before = (flat + 0.5 * pi * thickness).si();
  const Scalar behind = ((back - 1.0) * threads.spacing + 0.5 * pi * thickness).si();
  return Length<Scalar>::from_si(sqrt(before * before + swing * swing) +
                                 sqrt(behind * behind + swing * swing));
}

/// A wrap of a row without end.
template <class Scalar>
Length<Scalar> wrap_of(const Threads<Scalar>& threads, int over, int back) {
  if (over == back) return turn_of(threads, 2 * over, over, over);
  return turn_of(threads, over, back, over - back);
}

void require_passes(int over, int back) {
  require_range("ends soumak passes behind", back, 1, 1e5, "soumak");
  if (back > over) {
    throw OutOfRange(
        fmt::format("soumak over {} ends and back behind {} gets nowhere; pass behind no more ends "
                    "than over",
                    over, back));
  }
}

void require_soumak(const Soumak& soumak) {
  require_range("rows of soumak", soumak.rows, 1, 1e6, "soumak");
  require_range("ends soumak passes over", soumak.over, 1, 1e5, "soumak");
  require_passes(soumak.over, soumak.back);
  if (soumak.over < soumak.ends) return;
  throw OutOfRange(
      fmt::format("soumak over {} ends does not fit on a warp of {} ends; pass over fewer",
                  soumak.over, soumak.ends));
}

}  // namespace

template <class Scalar>
Length<Scalar> soumak_wrap(const Length<Scalar>& spacing, const Length<Scalar>& end,
                           const Length<Scalar>& weft, int over, int back) {
  require_range("spacing of the ends, mm", mm(spacing), kLeast_mm, kMost_mm, "soumak");
  require_range("diameter of an end, mm", mm(end), kLeast_mm, kMost_mm, "soumak");
  require_range("diameter of the weft, mm", mm(weft), kLeast_mm, kMost_mm, "soumak");
  require_passes(over, back);
  return wrap_of(Threads<Scalar>{spacing, end, weft}, over, back);
}

int soumak_wraps(const Soumak& soumak) {
  require_soumak(soumak);
  if (soumak.over == soumak.back) return soumak.ends / soumak.over;
  return (soumak.ends - soumak.over) / (soumak.over - soumak.back) + 1;
}

namespace {

/// The wraps of a row, and the ends that the last of them came back behind.
template <class Scalar>
struct RowOfWraps {
  Length<Scalar> wraps;
  int behind = 0;
};

/// Round each group once and over it to the next, the last of them smaller where ends are left.
template <class Scalar>
RowOfWraps<Scalar> row_of_groups(const Soumak& soumak, const Threads<Scalar>& threads) {
  const int group = soumak.over;
  const int left = soumak.ends % group;
  const int last = left > 0 ? left : group;
  const int moves = soumak_wraps(soumak) - (left > 0 ? 0 : 1);
  return {static_cast<double>(moves) * wrap_of(threads, group, group) +
              turn_of(threads, last, last, group),
          last};
}

template <class Scalar>
RowOfWraps<Scalar> row_of_wraps(const Soumak& soumak, const Threads<Scalar>& threads) {
  if (soumak.over == soumak.back) return row_of_groups(soumak, threads);
  const int advance = soumak.over - soumak.back;
  const int left = (soumak.ends - soumak.over) % advance;
  RowOfWraps<Scalar> row;
  row.wraps =
      static_cast<double>(soumak_wraps(soumak)) * wrap_of(threads, soumak.over, soumak.back);
  if (left > 0) row.wraps += turn_of(threads, soumak.back + left, soumak.back, advance);
  row.behind = soumak.back;
  return row;
}

/// Over the ends it last came back behind, and once round the edge end into the next row.
template <class Scalar>
Length<Scalar> turn_into_next_row(const Threads<Scalar>& threads, int behind,
                                  const Length<Scalar>& climb) {
  using std::sqrt;
  const Scalar round = pi * (threads.end + threads.weft).si();
  const Scalar up = climb.si();
  return (behind - 1.0) * threads.spacing + Length<Scalar>::from_si(sqrt(round * round + up * up));
}

/// Whether the weft is pressed flat in every gap, of a plan that may be refused.
template <class Scalar>
bool is_pressed(const Threads<Scalar>& threads) {
  return is_pressed_through(millimetres(mm(threads.spacing)), millimetres(mm(threads.end)),
                            millimetres(mm(threads.weft)));
}

}  // namespace

template <class Scalar>
SoumakLaid<Scalar> soumak_laid(const Soumak& soumak, const Lie<Scalar>& lie, double row_height) {
  const Length<Scalar> climb = soumak_row_height(soumak, lie, row_height);
  const Threads<Scalar> threads{
      lie.warp_spacing, lie.warp_diameter,
      yarn::side_by_side_diameter(lie.strand_diameter, soumak.strand.held)};
  const RowOfWraps<Scalar> row = row_of_wraps(soumak, threads);

  const Length<Scalar> straight = soumak.rows * (soumak.ends - 1.0) * lie.warp_spacing;
  const Length<Scalar> wraps = static_cast<double>(soumak.rows) * row.wraps - straight;
  const Length<Scalar> turns = (soumak.rows - 1.0) * turn_into_next_row(threads, row.behind, climb);
  const Length<Scalar> taut = straight + wraps + turns;

  const LengthsLaid<Scalar> lengths = lengths_laid(Length<Scalar>(taut * lie.take), 1, lie);
  const double k = soumak.strand.yarn_per_laid();
  Entries<Scalar> entries;
  entries.add(Cause::Straight, Portion::Laid, k * straight);
  entries.add(Cause::Wraps, Portion::Laid, k * wraps);
  if (soumak.rows > 1) entries.add(Cause::Turns, Portion::Laid, k * turns);
  entries.add(Cause::Take, Portion::Laid, k * taut * (lie.take - 1.0));
  add_tails(lengths, k, entries);
  return {entries, lengths.count, !lie.planned && is_pressed(threads)};
}

template <class Scalar>
Entries<Scalar> soumak_yarn(const Soumak& soumak, const Lie<Scalar>& lie, double row_height) {
  return soumak_laid(soumak, lie, row_height).entries;
}

template <class Scalar>
Length<Scalar> soumak_row_height(const Soumak& soumak, const Lie<Scalar>& lie, double row_height) {
  require_soumak(soumak);
  require_range("row height of soumak, in diameters", row_height, 0.01, 100.0, "soumak");
  return row_height * lie.row_spacing *
         yarn::side_by_side_diameter(lie.strand_diameter, soumak.strand.held);
}

double log_room(const Soumak& soumak, const Lie<>& lie) {
  const Length<> weft = yarn::side_by_side_diameter(lie.strand_diameter, soumak.strand.held);
  return std::log(lie.warp_spacing / (lie.warp_diameter + weft));
}

double nearest_change(const Soumak& soumak, const Lie<>& lie) {
  return std::abs(log_room(soumak, lie));
}

template Length<double> soumak_wrap(const Length<double>&, const Length<double>&,
                                    const Length<double>&, int, int);
template Length<Dual> soumak_wrap(const Length<Dual>&, const Length<Dual>&, const Length<Dual>&,
                                  int, int);
template SoumakLaid<double> soumak_laid(const Soumak&, const Lie<double>&, double);
template SoumakLaid<Dual> soumak_laid(const Soumak&, const Lie<Dual>&, double);
template Entries<double> soumak_yarn(const Soumak&, const Lie<double>&, double);
template Entries<Dual> soumak_yarn(const Soumak&, const Lie<Dual>&, double);
template Length<double> soumak_row_height(const Soumak&, const Lie<double>&, double);
template Length<Dual> soumak_row_height(const Soumak&, const Lie<Dual>&, double);

}  // namespace ellwand::technique
