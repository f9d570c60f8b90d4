#include "ellwand/technique/hemstitch.hpp"

#include "ellwand/numeric/dual.hpp"
#include "ellwand/technique/measures.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace ellwand::technique {

using std::numbers::pi;

namespace {

constexpr int kMostRows = 1000;

void require_stated(const Hemstitch& hem) {
  require_range("ends at the edge", hem.ends, 1, kMostEnds, "a hemstitch");
  if (hem.ends_per_stitch < 1 || hem.ends_per_stitch > hem.ends) {
    throw OutOfRange(
        fmt::format("a hemstitch is to take {} ends at a time; it takes from 1 to the {} there are",
                    hem.ends_per_stitch, hem.ends));
  }
  require_range("rows a hemstitch takes in", hem.rows_deep, 1, kMostRows, "a hemstitch");
}

template <class Scalar>
Length<Scalar> larger(const Length<Scalar>& a, const Length<Scalar>& b) {
  return value_of(a.si()) < value_of(b.si()) ? b : a;
}

/// A string from (aside, above) to a circle round the origin, on to it and round to its back.
/// aside^2 + above^2 exceeds radius^2.
template <class Scalar>
Length<Scalar> string_round_to_the_back(const Length<Scalar>& aside, const Length<Scalar>& above,
                                        const Length<Scalar>& radius) {
  using std::atan2;
  using std::sqrt;
  const Length<Scalar> tangent =
      Length<Scalar>::from_si(sqrt((aside * aside + above * above - radius * radius).si()));
  const Scalar from_straight = atan2(above.si(), aside.si());
  const Scalar to_the_tangent = atan2(radius.si(), tangent.si());
  return tangent + radius * (from_straight + to_the_tangent);
}

/// q: how much lower the thread leaves a gap where its passes have no room side by side.
template <class Scalar>
Length<Scalar> passed_over(const Length<Scalar>& gap, const Length<Scalar>& thread) {
  const Scalar room = gap / thread - 1.0;
  if (value_of(room) <= 0.0) return thread;
  if (value_of(room) >= 1.0) return {};
  return (1.0 - room * room * (3.0 - 2.0 * room)) * thread;
}

}  // namespace

int hemstitch_stitches(const Hemstitch& hem) {
  require_stated(hem);
  return (hem.ends + hem.ends_per_stitch - 1) / hem.ends_per_stitch;
}

template <class Scalar>
HemstitchPath<Scalar> hemstitch_path(const Hemstitch& hem, int ends, const Lie<Scalar>& lie,
                                     const Length<Scalar>& weft,
                                     const Length<Scalar>& row_spacing) {
  require_stated(hem);
  require_range("ends in a stitch", ends, 1, kMostEnds, "a hemstitch");
  const Length<Scalar> thread = yarn::bundle_diameter(lie.strand_diameter, hem.strand.held);
  const Length<Scalar> group =
      hem.drawn_together ? yarn::bundle_diameter(lie.warp_diameter, ends) : lie.warp_diameter;
  const Length<Scalar> radius = 0.5 * (group + thread);
  const Length<Scalar> cloth = 0.5 * lie.warp_diameter + weft;
  const Length<Scalar> deep = hem.rows_deep * row_spacing;
  const Length<Scalar> middle = 0.5 * ends * lie.warp_spacing;
  const Length<Scalar> flat =
      hem.drawn_together ? Length<Scalar>() : Length<Scalar>((ends - 1.0) * lie.warp_spacing);

  HemstitchPath<Scalar> path;
  path.ring = across<Scalar>(2.0 * flat + 2.0 * pi * radius, thread);

  const Length<Scalar> aside = hem.drawn_together ? middle : lie.warp_spacing - radius;
  path.down = string_round_to_the_back<Scalar>(larger(aside, radius),
                                               2.0 * cloth + 0.5 * pi * thread + deep, radius);

  const Length<Scalar> below =
      1.5 * thread + (hem.drawn_together
                          ? Length<Scalar>()
                          : passed_over<Scalar>(lie.warp_spacing - lie.warp_diameter, thread));
  const Length<Scalar> back_of_cloth =
      larger<Scalar>(cloth + 0.5 * thread - radius, Length<Scalar>());
  const Length<Scalar> to_the_edge = across<Scalar>(below, back_of_cloth);
  path.slant = across<Scalar>(hem.drawn_together ? middle : flat + radius,
                              to_the_edge + deep + 0.25 * pi * thread + cloth);
  return path;
}

template <class Scalar>
Length<Scalar> hemstitch_stitch(const Hemstitch& hem, const Lie<Scalar>& lie,
                                const Length<Scalar>& weft, const Length<Scalar>& row_spacing) {
  return hemstitch_path(hem, hem.ends_per_stitch, lie, weft, row_spacing).total();
}

namespace {

/// All stitches of one strand, without the take.
template <class Scalar>
struct Stitches {
  Length<Scalar> rings;
  Length<Scalar> ways;  ///< down and up
};

template <class Scalar>
Stitches<Scalar> stitches_of(const Hemstitch& hem, const Lie<Scalar>& lie,
                             const Length<Scalar>& weft, const Length<Scalar>& row_spacing) {
  require_stated(hem);
  const int alike = hem.ends / hem.ends_per_stitch;
  const int left_over = hem.ends % hem.ends_per_stitch;
  const auto each = hemstitch_path(hem, hem.ends_per_stitch, lie, weft, row_spacing);
  Stitches<Scalar> all{alike * each.ring, alike * (each.down + each.slant)};
  if (left_over > 0) {
    const auto last = hemstitch_path(hem, left_over, lie, weft, row_spacing);
    all.rings += last.ring;
    all.ways += last.down + last.slant;
  }
  return all;
}

double tails_of(const Hemstitch& hem) { return hem.sewn_with_weft ? 1.0 : 2.0; }
}  // namespace

template <class Scalar>
Length<Scalar> hemstitch_length_to_leave(const Hemstitch& hem, const Lie<Scalar>& lie,
                                         const Length<Scalar>& weft,
                                         const Length<Scalar>& row_spacing) {
  const Stitches<Scalar> all = stitches_of(hem, lie, weft, row_spacing);
  return (all.rings + all.ways) * lie.take + tails_of(hem) * lie.tail;
}

template <class Scalar>
Entries<Scalar> hemstitch_yarn(const Hemstitch& hem, const Lie<Scalar>& lie,
                               const Length<Scalar>& weft, const Length<Scalar>& row_spacing) {
  const Stitches<Scalar> all = stitches_of(hem, lie, weft, row_spacing);
  const double strands = hem.strand.yarn_per_laid();

  Entries<Scalar> entries;
  entries.add(Cause::Straight, Portion::Laid, strands * all.ways);
  entries.add(Cause::Wraps, Portion::Laid, strands * all.rings);
  entries.add(Cause::Take, Portion::Laid, strands * (all.rings + all.ways) * (lie.take - 1.0));
  entries.add(Cause::Tails, Portion::Tails, strands * tails_of(hem) * lie.tail);
  return entries;
}

template HemstitchPath<double> hemstitch_path(const Hemstitch&, int, const Lie<double>&,
                                              const Length<double>&, const Length<double>&);
template HemstitchPath<Dual> hemstitch_path(const Hemstitch&, int, const Lie<Dual>&,
                                            const Length<Dual>&, const Length<Dual>&);
template Length<double> hemstitch_stitch(const Hemstitch&, const Lie<double>&,
                                         const Length<double>&, const Length<double>&);
template Length<Dual> hemstitch_stitch(const Hemstitch&, const Lie<Dual>&, const Length<Dual>&,
                                       const Length<Dual>&);
template Length<double> hemstitch_length_to_leave(const Hemstitch&, const Lie<double>&,
                                                  const Length<double>&, const Length<double>&);
template Length<Dual> hemstitch_length_to_leave(const Hemstitch&, const Lie<Dual>&,
                                                const Length<Dual>&, const Length<Dual>&);
template Entries<double> hemstitch_yarn(const Hemstitch&, const Lie<double>&, const Length<double>&,
                                        const Length<double>&);
template Entries<Dual> hemstitch_yarn(const Hemstitch&, const Lie<Dual>&, const Length<Dual>&,
                                      const Length<Dual>&);

}  // namespace ellwand::technique
