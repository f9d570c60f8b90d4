#include "ellwand/cloth/jam.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "ellwand/numeric/dual.hpp"

namespace ellwand::cloth {

namespace {

template <class Scalar>
double mm(const Length<Scalar>& x) {
  return in_millimetres(metres(value_of(x.si())));
}

/// Jam spacing over the thickness of both threads: sqrt(1 - (1 - share)^2).
double jam_ratio(double height_share) {
  require_range("part of the crimp height", height_share, 0.0, 1.0, "one crossing");
  return std::sqrt(height_share * (2.0 - height_share));
}

void require_cells(const Cells& cells) {
  if (cells.crossing >= 0 && cells.floating >= 0 && cells.all() > 0) return;
  throw OutOfRange(
      fmt::format("{} crossings and {} floats are no cells to space; at least one is needed",
                  cells.crossing, cells.floating));
}

void require_diameter(const char* what, double diameter_mm) {
  require_range(what, diameter_mm, 1e-9, 1e6, "a woven thread");
}

/// The mean of cells of two widths.
template <class Scalar>
Length<Scalar> mean_of(const Cells& cells, const Length<Scalar>& crossing,
                       const Length<Scalar>& floating) {
  const auto crossings = static_cast<double>(cells.crossing);
  const auto floats = static_cast<double>(cells.floating);
  return (crossings * crossing + floats * floating) / (crossings + floats);
}

/// What one kind of cell keeps when the `count` of the other kind take `taken` each.
template <class Scalar>
Length<Scalar> left_over(const Cells& cells, std::int64_t count, const Length<Scalar>& mean,
                         const Length<Scalar>& taken) {
  const auto all = static_cast<double>(cells.all());
  const auto others = static_cast<double>(count);
  return (all * mean - others * taken) / (all - others);
}

/// One pick over ends at a mean spacing.
template <class Scalar>
struct Pick {
  Cells cells;
  Length<Scalar> spacing, end, weft;
  double jam_ratio;

  Length<Scalar> jam() const { return jam_ratio * (end + weft); }
};

/// @param wider  than thick, what flat ends are, which the pick's spacing is without
template <class Scalar>
[[noreturn]] void refuse(const Pick<Scalar>& pick, const HeightShares& shares,
                         const Length<>& wider = {}) {
  const Length<> end = millimetres(mm(pick.end));
  const Length<> spacing = millimetres(mm(pick.spacing)) + wider;
  const Length<> works =
      1.0 / closest_sett(pick.cells, end, millimetres(mm(pick.weft)), shares) + wider;
  const bool is_shown = shares.face == Face::Balanced;
  const bool is_flat = wider.si() > 0.0;
  throw CannotBeWoven(
      fmt::format(
          "ends {} thick{} and {} apart ({}) leave no gap {} a weft of {}{}; they have to lie {} "
          "apart",
          thread_size(end, 4), is_flat ? fmt::format(", {} wide", thread_size(end + wider, 4)) : "",
          thread_size(spacing, 4), density(1.0 / spacing, 4), is_shown ? "that shows" : "for",
          thread_size(millimetres(mm(pick.weft)), 4), is_shown ? "" : ", however flat",
          thread_size(works)),
      1.0 / works);
}

template <class Scalar>
CellSpacing<Scalar> round_and_alike(const Pick<Scalar>& pick) {
  return {pick.spacing, pick.spacing, pick.weft, false, false};
}

/// The mean fits: the kind of cell that is too tight takes what it needs, the other gives it.
template <class Scalar>
CellSpacing<Scalar> regrouped(const Pick<Scalar>& pick) {
  if (mm(pick.spacing) < mm(pick.jam())) {
    return {pick.jam(), left_over(pick.cells, pick.cells.crossing, pick.spacing, pick.jam()),
            pick.weft, true, false};
  }
  return {left_over(pick.cells, pick.cells.floating, pick.spacing, pick.end), pick.end, pick.weft,
          true, false};
}

template <class Scalar>
CellSpacing<Scalar> flattened(const Pick<Scalar>& pick, const HeightShares& shares) {
  if (pick.cells.crossing == 0 || pick.jam_ratio <= 0.0) refuse(pick, shares);
  const Length<Scalar> crossing =
      left_over(pick.cells, pick.cells.floating, pick.spacing, pick.end);
  const Length<Scalar> thickness = crossing / pick.jam_ratio - pick.end;
  if (!(mm(thickness) > 1e-9 * mm(pick.weft)))
    refuse(pick, shares);  // no more than rounding is left
  return {crossing, pick.cells.floating > 0 ? pick.end : crossing, thickness,
          pick.cells.floating > 0, true};
}

}  // namespace

template <class Scalar>
Length<Scalar> least_mean_spacing(const Cells& cells, const Length<Scalar>& crossed,
                                  const Length<Scalar>& crossing, double height_share) {
  require_cells(cells);
  require_diameter("diameter of the crossed threads, mm", mm(crossed));
  require_diameter("diameter of the crossing thread, mm", mm(crossing));
  const Length<Scalar> jam = jam_ratio(height_share) * (crossed + crossing);
  return mean_of<Scalar>(cells, jam, crossed);
}

template <class Scalar>
Length<Scalar> least_end_spacing(const Grid& repeat, const Length<Scalar>& end_diameter,
                                 const Length<Scalar>& weft_diameter, const HeightShares& shares) {
  return least_mean_spacing<Scalar>(tightest_row(repeat), end_diameter, weft_diameter, shares.weft);
}

template <class Scalar>
Length<Scalar> least_pick_spacing(const Grid& repeat, const Length<Scalar>& end_diameter,
                                  const Length<Scalar>& weft_diameter, const HeightShares& shares) {
  return least_mean_spacing<Scalar>(tightest_column(repeat), weft_diameter, end_diameter,
                                    shares.warp());
}

template <class Scalar>
CellSpacing<Scalar> fit_cells(const Cells& cells, const Length<Scalar>& mean_spacing,
                              const Length<Scalar>& end_diameter,
                              const Length<Scalar>& weft_diameter, const HeightShares& shares) {
  const Length<Scalar> least =
      least_mean_spacing<Scalar>(cells, end_diameter, weft_diameter, shares.weft);
  require_range("end spacing, mm", mm(mean_spacing), 1e-9, 1e9, "a woven pick");
  const Pick<Scalar> pick{cells, mean_spacing, end_diameter, weft_diameter, jam_ratio(shares.weft)};
  const bool crossings_fit = cells.crossing == 0 || mm(mean_spacing) >= mm(pick.jam());
  const bool floats_fit = cells.floating == 0 || mm(mean_spacing) >= mm(end_diameter);
  if (crossings_fit && floats_fit) return round_and_alike(pick);
  if (mm(mean_spacing) >= mm(least)) return regrouped(pick);
  return flattened(pick, shares);
}

ThreadDensity<> closest_sett(const Cells& cells, const Length<>& end_diameter,
                             const Length<>& weft_diameter, const HeightShares& shares) {
  if (shares.face == Face::Balanced) {
    return 1.0 / least_mean_spacing<double>(cells, end_diameter, kLeastShown * weft_diameter, 1.0);
  }
  return 1.0 / least_mean_spacing<double>(cells, end_diameter, kFlattestProposed * weft_diameter,
                                          shares.weft);
}

void require_sett(const Cells& cells, const Length<>& mean_spacing, const Length<>& end_diameter,
                  const Length<>& weft_diameter, const HeightShares& shares,
                  const Length<>& wider) {
  constexpr double kRounding = 1e-3;  // a proposal is told in four figures, and must be accepted
  const Length<> closest = 1.0 / closest_sett(cells, end_diameter, weft_diameter, shares);
  if (mean_spacing >= (closest + wider) * (1.0 - kRounding)) return;
  refuse(Pick<double>{cells, mean_spacing - wider, end_diameter, weft_diameter,
                      jam_ratio(shares.weft)},
         shares, wider);
}

template <class Scalar>
Length<Scalar> row_room(const Length<Scalar>& end_spacing, const Length<Scalar>& end_diameter,
                        const Length<Scalar>& weft_diameter, double crossing_share) {
  require_diameter("end diameter, mm", mm(end_diameter));
  require_diameter("weft diameter, mm", mm(weft_diameter));
  require_range("part of the picks that pass a gap", crossing_share, 0.0, 1.0, "a weave");
  if (!(mm(end_spacing) > mm(end_diameter) * (1.0 + 1e-9))) {  // more than rounding
    throw OutOfRange(
        fmt::format("ends {:.6g} mm thick and {:.6g} mm apart leave no gap for the picks; "
                    "space them wider than {:.6g} mm",
                    mm(end_diameter), mm(end_spacing), mm(end_diameter)));
  }
  const Area<Scalar> thread = std::numbers::pi / 4.0 * (weft_diameter * weft_diameter);
  return crossing_share * thread / (end_spacing - end_diameter);
}

// The two scalars this project computes with.
template Length<double> least_mean_spacing(const Cells&, const Length<double>&,
                                           const Length<double>&, double);
template Length<Dual> least_mean_spacing(const Cells&, const Length<Dual>&, const Length<Dual>&,
                                         double);
template Length<double> least_end_spacing(const Grid&, const Length<double>&, const Length<double>&,
                                          const HeightShares&);
template Length<Dual> least_end_spacing(const Grid&, const Length<Dual>&, const Length<Dual>&,
                                        const HeightShares&);
template Length<double> least_pick_spacing(const Grid&, const Length<double>&,
                                           const Length<double>&, const HeightShares&);
template Length<Dual> least_pick_spacing(const Grid&, const Length<Dual>&, const Length<Dual>&,
                                         const HeightShares&);
template CellSpacing<double> fit_cells(const Cells&, const Length<double>&, const Length<double>&,
                                       const Length<double>&, const HeightShares&);
template CellSpacing<Dual> fit_cells(const Cells&, const Length<Dual>&, const Length<Dual>&,
                                     const Length<Dual>&, const HeightShares&);
template Length<double> row_room(const Length<double>&, const Length<double>&,
                                 const Length<double>&, double);
template Length<Dual> row_room(const Length<Dual>&, const Length<Dual>&, const Length<Dual>&,
                               double);

}  // namespace ellwand::cloth
