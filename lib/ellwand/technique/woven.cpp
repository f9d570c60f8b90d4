#include "ellwand/technique/woven.hpp"

#include "ellwand/cloth/jam.hpp"
#include "ellwand/cloth/racetrack.hpp"
#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ellwand::technique {

using std::numbers::pi;

bool Woven::is_drawn() const {
  return std::any_of(areas.begin(), areas.end(),
                     [](const ColourArea& area) { return area.drawn.has_value(); });
}

double Woven::course_over_run() const {
  double run_m = 0.0;
  double course_m = 0.0;
  for (std::size_t i = 1; i < weft_line.size(); ++i) {
    const double across_m = in_metres(weft_line[i].first - weft_line[i - 1].first);
    const double up_m = in_metres(weft_line[i].second - weft_line[i - 1].second);
    run_m += across_m;
    course_m += std::hypot(across_m, up_m);
  }
  return weft_line.empty() ? 1.0 : course_m / run_m;
}

template <class Scalar>
Length<Scalar> turn(const Length<Scalar>& end, const Length<Scalar>& weft,
                    const Length<Scalar>& row_spacing) {
  using std::sqrt;
  const Scalar round = 0.5 * pi * (end + weft).si();
  const Scalar up = row_spacing.si();
  return Length<Scalar>::from_si(sqrt(round * round + up * up));
}

Length<> woven_width(int ends, const Length<>& warp_spacing, const Length<>& end,
                     const Length<>& weft) {
  return (ends - 1) * warp_spacing + end + 2.0 * weft;
}

namespace {

template <class Scalar>
double number(const Length<Scalar>& length) {
  return value_of(length.si());
}

/// The longer of two lengths.
template <class Scalar>
Length<Scalar> longer(const Length<Scalar>& a, const Length<Scalar>& b) {
  return number(a) < number(b) ? b : a;
}

/// Two picks of weft-faced cloth lie in at least three quarters of a diameter.
/// Source: starting value.
constexpr double kClosestWeftFaced = 0.375;

/// The turn round an edge end that may lie flat: as round a round one to which half a turn is the
/// same way, its flat and half a turn on its thickness.
template <class Scalar>
Length<Scalar> turn_round_edge(const Lie<Scalar>& lie, const Length<Scalar>& weft,
                               const Length<Scalar>& row_spacing) {
  const cloth::Racetrack<Scalar> end = cloth::lying_flat(lie.warp_diameter, lie.warp_flatness);
  const Length<Scalar> flat = end.width - end.thickness;
  return turn<Scalar>(end.thickness + (2.0 / pi) * flat, weft, row_spacing);
}

/// The threads of one area, and where its ends and cells are.
template <class Scalar>
struct Ground {
  cloth::Racetrack<Scalar> end;
  cloth::Racetrack<Scalar> weft;
  Length<Scalar> weft_round;
  int first = 0;  ///< its ends: first ... last - 1
  int last = 0;
  cloth::Cells repeat_cells;  ///< of one repeat of picks between those ends
  cloth::CellSpacing<Scalar> spacing;
};

int first_end(const Woven& band, std::size_t area) {
  int first = 0;
  for (std::size_t i = 0; i < area; ++i) first += band.areas[i].ends;
  return first;
}

/// A plan is refused where its threads leave no gap; once it is drawn up, threads that turn out
/// thicker than any gap is wide give way, all alike.
template <class Scalar>
void give_way(const cloth::Cells& cells, const Length<Scalar>& spacing,
              const cloth::HeightShares& shares, Ground<Scalar>& ground) {
  const auto need = [&](const auto& width, const auto& thickness, const auto& weft) {
    return cloth::least_mean_spacing(cells, thickness, cloth::kFlattestProposed * weft,
                                     shares.weft) +
           (width - thickness);
  };
  // Without slopes first: it is seldom that anything has to give.
  const Length<> plain_need =
      need(metres(number(ground.end.width)), metres(number(ground.end.thickness)),
           metres(number(ground.weft.thickness)));
  if (in_metres(plain_need) <= number(spacing)) return;
  const Scalar kept = spacing / need(ground.end.width, ground.end.thickness, ground.weft.thickness);
  ground.end = {ground.end.width * kept, ground.end.thickness * kept};
  ground.weft = {ground.weft.width * kept, ground.weft.thickness * kept};
  ground.weft_round = ground.weft_round * kept;
}

/// The plan's ends must leave the weft a gap it can be proposed for.
template <class Scalar>
void require_room(const cloth::Cells& cells, const Length<Scalar>& spacing,
                  const cloth::HeightShares& shares, const Ground<Scalar>& ground) {
  cloth::require_sett(cells, metres(number(spacing)), metres(number(ground.end.thickness)),
                      metres(number(ground.weft.thickness)), shares,
                      metres(number(ground.end.width) - number(ground.end.thickness)));
}

/// The threads as they would lie with all the room they want.
template <class Scalar>
Ground<Scalar> threads_of(const Woven& band, std::size_t index, const Lie<Scalar>& lie) {
  const ColourArea& area = band.areas[index];
  Ground<Scalar> ground;
  ground.end = cloth::lying_flat(lie.warp_diameter, lie.warp_flatness);
  ground.weft_round = yarn::side_by_side_diameter(lie.strand_diameter, area.strand.held);
  ground.weft = cloth::lying_flat(ground.weft_round, lie.weft_flatness);
  ground.first = area.ends > 0 ? first_end(band, index) : 0;
  ground.last = area.ends > 0 ? ground.first + area.ends : band.grid.ends();
  ground.repeat_cells = band.grid.weft_cells(band.grid.picks(), ground.first, ground.last);
  return ground;
}

/// An area of one end has no cell of its own: its weft only turns.
template <class Scalar>
cloth::Cells cells_of(const Ground<Scalar>& ground) {
  return ground.repeat_cells.all() > 0 ? ground.repeat_cells : cloth::Cells{1, 0};
}

template <class Scalar>
Ground<Scalar> ground_of(const Woven& band, std::size_t index, const Lie<Scalar>& lie) {
  Ground<Scalar> ground = threads_of(band, index, lie);
  const cloth::Cells cells = cells_of(ground);
  if (lie.planned) {
    give_way(cells, lie.warp_spacing, band.beat.shares(), ground);
  } else {
    require_room(cells, lie.warp_spacing, band.beat.shares(), ground);
  }
  const Length<Scalar> flat = ground.end.width - ground.end.thickness;
  ground.spacing =
      cloth::fit_cells(cells, Length<Scalar>(lie.warp_spacing - flat), ground.end.thickness,
                       ground.weft.thickness, band.beat.shares());
  ground.spacing.crossing += flat;
  ground.spacing.floating += flat;
  return ground;
}

/// How much longer a straight line along the weft's course is than its run across the warp; and
/// what a crossing of length l over spacing p comes to on that course.
class Course {
 public:
  explicit Course(const std::vector<std::pair<Length<>, Length<>>>& line) {
    double across = 0.0;
    for (std::size_t i = 1; i < line.size(); ++i) {
      const double dx = in_metres(line[i].first - line[i - 1].first);
      const double dy = in_metres(line[i].second - line[i - 1].second);
      stretches_.push_back({dx, dy / dx});
      across += dx;
    }
    for (Stretch& stretch : stretches_) stretch.share /= across;
  }

  /// A cell of length l and spacing p unrolls flat, so that it and its rise are the sides of a
  /// right angle: the mean of sqrt(l^2 + (p tan)^2) over the course.
  template <class Scalar>
  Length<Scalar> along(const Length<Scalar>& cell, const Length<Scalar>& spacing) const {
    using std::sqrt;
    if (stretches_.empty()) return cell;
    Length<Scalar> mean;
    for (const Stretch& stretch : stretches_) {
      const Scalar rise = spacing.si() * stretch.slope;
      mean += Length<Scalar>::from_si(stretch.share * sqrt(cell.si() * cell.si() + rise * rise));
    }
    return mean;
  }

 private:
  struct Stretch {
    double share;
    double slope;
  };
  std::vector<Stretch> stretches_;
};

/// The weft as it lies between the ends: flat by nature, or pressed flat by them.
template <class Scalar>
cloth::Racetrack<Scalar> lying_weft(const Ground<Scalar>& ground) {
  if (!ground.spacing.was_flattened) return ground.weft;
  return cloth::pressed_to_thickness(ground.weft_round, ground.spacing.weft_thickness);
}

/// The closest that rows can lie whose ends bend round the weft as it lies.
template <class Scalar>
Length<Scalar> closest_for_ends(const Woven& band, const Ground<Scalar>& ground) {
  const cloth::Racetrack<Scalar> weft = lying_weft(ground);
  return cloth::least_mean_spacing(cloth::tightest_column(band.grid), weft.thickness,
                                   ground.end.thickness, band.beat.shares().warp()) +
         (weft.width - weft.thickness);
}

/// As close as any beat brings the rows, whatever room the gaps leave.
template <class Scalar>
Length<Scalar> hardest_beat(const Woven& band, const Ground<Scalar>& ground) {
  if (band.beat.face == cloth::Face::Weft) return kClosestWeftFaced * ground.weft.width;
  return closest_for_ends(band, ground);
}

/// The closest that rows can lie by the face of the cloth.
template <class Scalar>
Length<Scalar> closest_rows(const Woven& band, const Ground<Scalar>& ground,
                            const Lie<Scalar>& lie) {
  const Length<Scalar> hardest = hardest_beat(band, ground);
  if (band.beat.face != cloth::Face::Weft) return hardest;
  return longer(hardest, cloth::row_room(lie.warp_spacing, ground.end.width, ground.weft_round,
                                         cloth::busiest_gap_share(band.grid)));
}

/// The closest that stated rows may lie: yarn that fits round gives way under the beat, yarn that
/// is flattened already does not.
template <class Scalar>
Length<Scalar> closest_stated(const Woven& band, const Ground<Scalar>& ground,
                              const Lie<Scalar>& lie) {
  return ground.spacing.was_flattened ? closest_rows(band, ground, lie)
                                      : hardest_beat(band, ground);
}

/// Row spacing as the beat has it, before any bound.
template <class Scalar>
Length<Scalar> beaten_rows(const Woven& band, const Ground<Scalar>& ground,
                           const Lie<Scalar>& lie) {
  switch (band.beat.face) {
    case cloth::Face::Weft:
      return band.beat.ratio * ground.weft.width;
    case cloth::Face::Balanced:
      return band.beat.ratio * lie.warp_spacing;
    case cloth::Face::Warp:
      return band.beat.ratio * (ground.end.thickness + ground.weft.width);
  }
  return Length<Scalar>();
}

void refuse_hard_beat(double beaten_m, double hardest_m) {
  if (beaten_m >= hardest_m * (1.0 - 1e-9)) return;
  throw OutOfRange(fmt::format(
      "this beat_ratio would bring the rows to {}, and the hardest beat brings this weft in this "
      "weave to {}; beat less, with a ratio {:.3g} times as large or more",
      thread_size(metres(beaten_m)), thread_size(metres(hardest_m)), hardest_m / beaten_m));
}

void refuse_close_picks(const ThreadDensity<>& picks, const Length<>& stated,
                        const Length<>& closest) {
  if (in_metres(stated) >= in_metres(closest) * (1.0 - 1e-9)) return;
  const ThreadDensity<> most = 1.0 / closest;
  throw OutOfRange(fmt::format(
      "{:.3g} picks per cm ({:.3g} per inch) is closer than this weft can be beaten in this weave: "
      "at most {:.1f} per cm ({:.1f} per inch); take fewer picks or a thinner weft",
      in_per_cm(picks), in_per_inch(picks), std::floor(10.0 * in_per_cm(most)) / 10.0,
      std::floor(10.0 * in_per_inch(most)) / 10.0));
}

/// Rows are never measured closer than this part of the weft's thickness; closer, and the rows were
/// miscounted or the height misread. Source: starting value, half the floor of weft-faced cloth.
constexpr double kClosestMeasured = 0.1875;

void refuse_close_measure(const MeasuredRows& measured, const Length<>& weft) {
  const Length<> spacing = measured.height / measured.rows;
  if (spacing >= kClosestMeasured * weft) return;
  throw OutOfRange(fmt::format(
      "{} rows measured in {} are {} each, and this weft is {} thick; count the rows "
      "again, or the yarn is not the one measured",
      measured.rows, thread_size(measured.height), thread_size(spacing, 2), thread_size(weft, 2)));
}

template <class Scalar>
struct RowSpacing {
  Length<Scalar> value;
  bool needs_room = false;
};

template <class Scalar>
RowSpacing<Scalar> row_spacing_of(const Woven& band, const Ground<Scalar>& ground,
                                  const Lie<Scalar>& lie) {
  const double course = band.course_over_run();
  if (band.beat.measured) {
    if (!lie.planned) {
      refuse_close_measure(*band.beat.measured, metres(number(lying_weft(ground).thickness)));
    }
    const Length<> measured = band.beat.measured->height / band.beat.measured->rows;
    return {measured * lie.row_spacing, false};
  }
  if (band.beat.picks) {
    const Length<> stated = 1.0 / *band.beat.picks;
    if (!lie.planned) {
      refuse_close_picks(*band.beat.picks, stated,
                         course * metres(number(closest_stated(band, ground, lie))));
    }
    return {stated * lie.row_spacing, false};
  }
  const Length<Scalar> closest = closest_rows(band, ground, lie);
  const Length<Scalar> beaten = beaten_rows(band, ground, lie) * lie.row_spacing;
  if (band.beat.ratio_is_stated && !lie.planned) {
    refuse_hard_beat(number(beaten), number(hardest_beat(band, ground)));
  }
  return {course * longer(beaten, closest), number(beaten) < number(closest)};
}

/// Rows of a band: stated, or as many as make its height. The height kept is that of whole rows
/// at the planned spacing.
template <class Scalar>
Scalar rows_of(const Woven& band, const Length<Scalar>& row_spacing, const Lie<Scalar>& lie) {
  if (band.extent.by == Extent::By::Rows) return Scalar(band.extent.count);
  if (band.extent.by == Extent::By::Repeats) {
    return Scalar(static_cast<double>(band.extent.count) * band.repeat_picks);
  }
  const Length<> planned = lie.planned ? lie.planned->row_spacing : metres(number(row_spacing));
  const double planned_rows = std::max(1.0, std::round(band.extent.height / planned));
  const Scalar rows = planned_rows * planned / row_spacing;
  if (lie.counting == Counting::Smooth) return rows;
  return Scalar(std::max(1.0, std::round(value_of(rows))));
}

/// The taut yarn of an area, by cause, for one strand bundle.
template <class Scalar>
struct Taut {
  Length<Scalar> straight;
  Length<Scalar> crimp;
  Length<Scalar> floats;
  Length<Scalar> turns;
  Length<Scalar> joins;

  Length<Scalar> total() const { return straight + crimp + floats + turns + joins; }
};

/// One crossing cell and one floating cell on the weft's course.
template <class Scalar>
struct CellYarn {
  Length<Scalar> straight;  ///< of a crossing cell
  Length<Scalar> crossing;  ///< in all
  Length<Scalar> floating;
};

template <class Scalar>
CellYarn<Scalar> cell_yarn(const Woven& band, const Ground<Scalar>& ground) {
  const Course course(band.weft_line);
  const Length<Scalar>& weft = ground.spacing.weft_thickness;
  const Length<Scalar>& p = ground.spacing.crossing;
  const Length<Scalar> height = (ground.end.thickness + weft) * band.beat.shares().weft;
  const auto crossing = cloth::crossing_over_flat(p, ground.end, weft, height);
  return {course.along(p, p), course.along(crossing.yarn, p),
          course.along(ground.spacing.floating, ground.spacing.floating)};
}

/// Part of the cells of all ends, over the repeat, in which they cross.
double crossing_share_of_ends(const cloth::Grid& grid) {
  const cloth::Cells cells = grid.warp_cells(grid.picks() + std::int64_t{1}, 0, grid.ends());
  return static_cast<double>(cells.crossing) / static_cast<double>(cells.all());
}

/// What one join adds a row, on the side of the area that stands at it.
/// @param beside  d_w of the area on the other side over this one's
template <class Scalar>
Length<Scalar> join_yarn(Join join, bool is_later, double beside, const Ground<Scalar>& ground,
                         const CellYarn<Scalar>& cell, const Length<Scalar>& turn_yarn) {
  switch (join) {
    case Join::None:
    case Join::Slit:
      return Length<Scalar>();
    case Join::Interlocked:
      // Every second row: half a spacing out and back and half round the other weft, axis about
      // axis, in place of the turn round the last end.
      return 0.5 *
             (ground.spacing.crossing + pi * (0.5 + 0.5 * beside) * ground.weft_round - turn_yarn);
    case Join::Dovetailed:
      // Every second row, out to the neighbour's last end and back.
      return is_later ? cell.crossing : Length<Scalar>();
  }
  return Length<Scalar>();
}

template <class Scalar>
Taut<Scalar> taut_in_ends(const Woven& band, std::size_t index, const Ground<Scalar>& ground,
                          const Lie<Scalar>& lie, const Scalar& rows,
                          const Length<Scalar>& turn_yarn) {
  const auto whole_rows = static_cast<std::int64_t>(std::max(1.0, std::round(value_of(rows))));
  const cloth::Cells cells = band.grid.weft_cells(whole_rows, ground.first, ground.last);
  const Scalar scale = rows / static_cast<double>(whole_rows);
  const CellYarn<Scalar> cell = cell_yarn(band, ground);

  Taut<Scalar> taut;
  taut.straight = static_cast<double>(cells.crossing) * scale * cell.straight;
  taut.crimp = static_cast<double>(cells.crossing) * scale * (cell.crossing - cell.straight);
  taut.floats = static_cast<double>(cells.floating) * scale * cell.floating;
  taut.turns = rows * turn_yarn;
  const auto join = [&](std::size_t at, double beside) {
    return join_yarn(band.areas[at].join, at == index, beside, ground, cell, turn_yarn);
  };
  taut.joins = rows * join(index, lie.weft_before);
  if (index + 1 < band.areas.size()) {
    taut.joins += rows * join(index + 1, lie.weft_after);
  }
  return taut;
}

/// Shapes of a drawing: the cells of so much cloth, a turn for each row of each shape.
template <class Scalar>
Taut<Scalar> taut_in_cloth(const Woven& band, const Ground<Scalar>& ground,
                           const Length<Scalar>& weft_run, const Scalar& turns,
                           const Length<Scalar>& turn_yarn) {
  const CellYarn<Scalar> cell = cell_yarn(band, ground);
  const auto crossing_cells = static_cast<double>(ground.repeat_cells.crossing);
  const auto floating_cells = static_cast<double>(ground.repeat_cells.floating);
  const Length<Scalar> repeat =
      crossing_cells * ground.spacing.crossing + floating_cells * ground.spacing.floating;
  const Scalar repeats = weft_run / repeat;

  Taut<Scalar> taut;
  taut.straight = repeats * crossing_cells * cell.straight;
  taut.crimp = repeats * crossing_cells * (cell.crossing - cell.straight);
  taut.floats = repeats * floating_cells * cell.floating;
  taut.turns = turns * turn_yarn;
  return taut;
}

/// Rows of all shapes of an area together.
template <class Scalar>
Scalar shape_rows(const Drawn& drawn, const Length<Scalar>& row_spacing) {
  return Scalar(drawn.area / drawn.width / row_spacing);
}

/// A plan's shape is at least a gap wide and a row high, and neither wider than the cloth nor
/// higher than its band: its area over its mean width is the height of its rows.
template <class Scalar>
void require_drawable(const Woven& band, const Drawn& drawn, const Lie<Scalar>& lie,
                      const Length<Scalar>& row_spacing, const Scalar& rows) {
  const Length<> gap = metres(number(lie.warp_spacing));
  const Length<> row = metres(number(row_spacing));
  const Length<> cloth = (band.grid.ends() - 1) * gap;
  const Length<> band_height = value_of(rows) * row;
  const Length<> height = drawn.area / drawn.width / drawn.shapes;
  const std::string shape = fmt::format(
      "a shape of {}, {} wide,", cloth_area(drawn.area / drawn.shapes), cloth_size(drawn.width));
  if (drawn.width > cloth + gap) {
    throw OutOfRange(fmt::format("{} does not fit on a cloth {} wide; state a smaller width", shape,
                                 cloth_size(cloth)));
  }
  if (height > band_height + row) {
    throw OutOfRange(
        fmt::format("{} would be {} high in a band of {}; state a greater width, more shapes or a "
                    "higher band",
                    shape, cloth_size(height), cloth_size(band_height)));
  }
  if (drawn.width < gap || height < row) {
    throw OutOfRange(fmt::format(
        "{} shapes of {} together would each be less than a row high or a gap wide (rows {} high, "
        "ends {} apart); draw fewer or larger shapes",
        drawn.shapes, cloth_area(drawn.area), thread_size(row), thread_size(gap)));
  }
}

/// However large drawn shapes turn out, this part of the band is left of the ground.
constexpr double kLeastGround = 0.02;

/// The ground behind drawn shapes: what they leave of the cloth; each of their rows parts one of
/// its rows in two, with a turn more.
template <class Scalar>
Taut<Scalar> taut_behind_shapes(const Woven& band, const Ground<Scalar>& ground,
                                const Lie<Scalar>& lie, const Scalar& rows,
                                const Length<Scalar>& row_spacing,
                                const Length<Scalar>& turn_yarn) {
  Length<Scalar> run = rows * (band.grid.ends() - 1.0) * lie.warp_spacing;
  Scalar turns = rows;
  for (const ColourArea& area : band.areas) {
    if (!area.drawn) continue;
    run -= Length<Scalar>(area.drawn->area / row_spacing);
    turns += shape_rows(*area.drawn, row_spacing);
  }
  const Length<Scalar> all = rows * (band.grid.ends() - 1.0) * lie.warp_spacing;
  if (lie.planned) {
    run = longer(run, Length<Scalar>(kLeastGround * all));
  } else if (!(number(run) > 0.0)) {
    throw OutOfRange(
        "the drawn shapes cover more cloth than the band has; make the band higher or the shapes "
        "smaller");
  }
  return taut_in_cloth(band, ground, run, turns, turn_yarn);
}

/// Lengths of weft; each separate shape begins with a new one.
template <class Scalar>
LengthsLaid<Scalar> lengths_of(const ColourArea& area, const Length<Scalar>& laid,
                               const Lie<Scalar>& lie) {
  return lengths_laid(laid, area.drawn ? area.drawn->shapes : 1, lie);
}

template <class Scalar>
Entries<Scalar> entries_of(const ColourArea& area, const Taut<Scalar>& taut,
                           const LengthsLaid<Scalar>& lengths, const Lie<Scalar>& lie) {
  const double k = area.strand.yarn_per_laid();
  Entries<Scalar> entries;
  const auto add = [&](Cause cause, Portion portion, const Length<Scalar>& length) {
    if (number(length) != 0.0) entries.add(cause, portion, k * length);
  };
  add(Cause::Straight, Portion::Laid, taut.straight);
  add(Cause::Crimp, Portion::Laid, taut.crimp);
  add(Cause::Floats, Portion::Laid, taut.floats);
  add(Cause::Turns, Portion::Laid, taut.turns);
  add(Cause::Joins, Portion::Laid, taut.joins);
  entries.add(Cause::Take, Portion::Laid, k * taut.total() * (lie.take - 1.0));
  add_tails(lengths, k, entries);
  return entries;
}

}  // namespace

template <class Scalar>
WovenArea<Scalar> woven_area(const Woven& band, std::size_t index, const Lie<Scalar>& lie) {
  const ColourArea& area = band.areas[index];
  const Ground<Scalar> ground = ground_of(band, index, lie);
  const RowSpacing<Scalar> spacing = row_spacing_of(band, ground, lie);
  const Length<Scalar> turn_yarn = turn_round_edge(lie, ground.weft_round, spacing.value);
  const Scalar rows = rows_of(band, spacing.value, lie);

  Taut<Scalar> taut;
  if (area.drawn) {
    if (!lie.planned) require_drawable(band, *area.drawn, lie, spacing.value, rows);
    const Length<Scalar> run = Length<Scalar>(area.drawn->area / spacing.value);
    taut = taut_in_cloth(band, ground, run, shape_rows(*area.drawn, spacing.value), turn_yarn);
  } else if (band.is_drawn()) {
    taut = taut_behind_shapes(band, ground, lie, rows, spacing.value, turn_yarn);
  } else {
    taut = taut_in_ends(band, index, ground, lie, rows, turn_yarn);
  }

  WovenArea<Scalar> woven;
  woven.row_spacing = spacing.value;
  woven.rows = rows;
  woven.height = rows * spacing.value;
  const LengthsLaid<Scalar> lengths =
      lengths_of(area, Length<Scalar>(taut.total() * lie.take), lie);
  woven.lengths = lengths.count;
  woven.entries = entries_of(area, taut, lengths, lie);
  woven.flattened = ground.spacing.was_flattened;
  woven.rows_need_room = spacing.needs_room;
  return woven;
}

double nearest_change(const Woven& band, std::size_t index, const Lie<>& lie) {
  const Ground<double> ground = ground_of(band, index, lie);
  const Length<> flat = ground.end.width - ground.end.thickness;
  const Length<> spacing = lie.warp_spacing - flat;
  double nearest = kFar;
  const auto met = [&](const Length<>& have, const Length<>& need) {
    nearest = std::min(nearest, std::abs(std::log(have / need)));
  };
  const double share = band.beat.shares().weft;
  const auto fit = [&](const cloth::Cells& cells) {
    met(spacing,
        cloth::least_mean_spacing(cells, ground.end.thickness, ground.weft.thickness, share));
  };
  if (ground.repeat_cells.crossing > 0) fit({1, 0});
  if (ground.repeat_cells.floating > 0) fit({0, 1});
  if (ground.repeat_cells.crossing > 0 && ground.repeat_cells.floating > 0) {
    fit(ground.repeat_cells);
  }
  if (!band.beat.is_stated()) {
    met(beaten_rows(band, ground, lie) * lie.row_spacing, closest_rows(band, ground, lie));
  } else if (band.beat.shares().warp() > 0.0) {
    met(row_spacing_of(band, ground, lie).value,
        band.course_over_run() * closest_for_ends(band, ground));
  }
  return nearest;
}

double log_room(const Woven& band, std::size_t index, const Lie<>& lie) {
  const Ground<double> ground = threads_of(band, index, lie);
  const Length<> flat = ground.end.width - ground.end.thickness;
  const Length<> need = cloth::least_mean_spacing(cells_of(ground), ground.end.thickness,
                                                  ground.weft.thickness, band.beat.shares().weft);
  return std::log(lie.warp_spacing / (need + flat));
}

template <class Scalar>
cloth::Crimp<Scalar> warp_crimp(const Woven& band, std::size_t area, const Lie<Scalar>& lie,
                                const Length<Scalar>& row_spacing) {
  const double share = band.beat.shares().warp();
  if (share <= 0.0) return {Scalar(0.0)};
  const Ground<Scalar> ground = ground_of(band, area, lie);
  const cloth::Racetrack<Scalar> weft = lying_weft(ground);
  const Length<Scalar> thickness = ground.end.thickness + weft.thickness;
  const Length<Scalar> height = share * thickness;
  const Length<Scalar> jam = cloth::jam_spacing(thickness, height) + (weft.width - weft.thickness);
  const Length<Scalar> spacing = longer(row_spacing, jam);
  const auto crossing = cloth::crossing_over_flat(spacing, weft, ground.end.thickness, height);
  return {crossing_share_of_ends(band.grid) * (crossing.yarn - spacing) / row_spacing};
}

template Length<double> turn(const Length<double>&, const Length<double>&, const Length<double>&);
template Length<Dual> turn(const Length<Dual>&, const Length<Dual>&, const Length<Dual>&);
template WovenArea<double> woven_area(const Woven&, std::size_t, const Lie<double>&);
template WovenArea<Dual> woven_area(const Woven&, std::size_t, const Lie<Dual>&);
template cloth::Crimp<double> warp_crimp(const Woven&, std::size_t, const Lie<double>&,
                                         const Length<double>&);
template cloth::Crimp<Dual> warp_crimp(const Woven&, std::size_t, const Lie<Dual>&,
                                       const Length<Dual>&);

}  // namespace ellwand::technique
