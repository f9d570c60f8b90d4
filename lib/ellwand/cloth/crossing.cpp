#include "ellwand/cloth/crossing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "ellwand/numeric/dual.hpp"
#include "ellwand/units/error.hpp"

namespace ellwand::cloth {

namespace {

constexpr double kMmPerMetre = 1e3;
/// Rounding of a spacing that was itself worked out from the jam.
constexpr double kRounding = 1e-12;

/// Zero, with the slopes of x.
template <class Scalar>
Scalar slopes_only(const Scalar& x) {
  return x - value_of(x);
}

/// The cell of one crossing in metres, without slopes.
struct Cell {
  double p, D, h;
  double q() const { return D - h; }
  double jam_squared() const { return h * (2.0 * D - h); }
};

void require_thickness_and_height(double D, double h) {
  require_range("thickness of the two threads, mm", D * kMmPerMetre, 0.0, 1e6, "one crossing");
  if (h >= 0.0 && h <= D * (1.0 + kRounding)) return;
  throw OutOfRange(
      fmt::format("a crimp height of {:.6g} mm is outside 0 to {:.6g} mm, the two threads together",
                  h * kMmPerMetre, D * kMmPerMetre));
}

void require_room(const Cell& cell) {
  require_range("thread spacing, mm", cell.p * kMmPerMetre, 1e-9, 1e9, "one crossing");
  const double jam = std::sqrt(cell.jam_squared());
  if (cell.p >= jam * (1.0 - kRounding)) return;
  throw OutOfRange(fmt::format(
      "threads {:.6g} mm apart are too close to be crossed: two threads {:.6g} mm thick together, "
      "with a crimp height of {:.6g} mm, jam at {:.6g} mm; space them wider or take a thinner yarn",
      cell.p * kMmPerMetre, cell.D * kMmPerMetre, cell.h * kMmPerMetre, jam * kMmPerMetre));
}

struct Taut {
  double yarn, sine, cosine, angle;
};

/// sin(theta) = h (2 D - h) / (D p + q s) and cos(theta) = (p s + D q) / (p^2 + q^2): the
/// difference of the two arc tangents without its cancellation at small heights.
Taut solved(const Cell& cell) {
  const auto& [p, D, h] = cell;
  if (h <= 0.0) return {p, 0.0, 1.0, 0.0};
  const double jam = std::sqrt(cell.jam_squared());
  const double s = std::sqrt(std::max(0.0, (p - jam) * (p + jam)));
  const double q = cell.q();
  const double sine = cell.jam_squared() / (D * p + q * s);
  const double cosine = (p * s + D * q) / (p * p + q * q);
  const double angle = std::atan2(sine, cosine);
  return {s + D * angle, sine, cosine, angle};
}

double greatest_height_m(double p, double D) { return greatest_height(metres(p), metres(D)).si(); }

/// Newton's steps, halving the bracket when one leaves it; the length grows with the height.
double solved_height(double yarn, double p, double D) {
  double low = 0.0;
  double high = greatest_height_m(p, D);
  double h = std::min(high, std::sqrt(2.0 * p * (yarn - p)));
  for (int i = 0; i < 100; ++i) {
    const Taut at = solved({p, D, h});
    const double excess = at.yarn - yarn;
    (excess > 0.0 ? high : low) = h;
    double next = h - excess / at.sine;
    if (!(next >= low && next <= high)) next = 0.5 * (low + high);
    const bool settled = std::abs(next - h) <= 1e-15 * D;
    h = next;
    if (settled) break;
  }
  return h;
}

void require_taut_yarn(double yarn, double p, double D) {
  require_range("thread spacing, mm", p * kMmPerMetre, 1e-9, 1e9, "one crossing");
  require_range("thickness of the two threads, mm", D * kMmPerMetre, 1e-9, 1e6, "one crossing");
  const double most = solved({p, D, greatest_height_m(p, D)}).yarn;
  if (yarn >= p && yarn <= most * (1.0 + kRounding)) return;
  throw OutOfRange(
      fmt::format("a thread of {:.6g} mm over a spacing of {:.6g} mm cannot be taut round threads "
                  "{:.6g} mm thick "
                  "together: such a thread is {:.6g} to {:.6g} mm long, a crimp of 0 to {:.4g} %",
                  yarn * kMmPerMetre, p * kMmPerMetre, D * kMmPerMetre, p * kMmPerMetre,
                  most * kMmPerMetre, 100.0 * (most / p - 1.0)));
}

Length<> with_height_slopes(double h, const Length<>&, const Length<>&, const Length<>&) {
  return metres(h);
}

/// From dl = cos dp + sin dh + (theta - sin) dD, solved for dh.
Length<Dual> with_height_slopes(double h, const Length<Dual>& yarn, const Length<Dual>& spacing,
                                const Length<Dual>& thickness) {
  const Taut at = solved({spacing.si().value, thickness.si().value, h});
  if (!(at.sine > 0.0)) {
    throw OutOfRange(
        "the crimp height has no slope for a thread that runs straight; give a crimp above 0");
  }
  const Dual turned = slopes_only(yarn.si()) - at.cosine * slopes_only(spacing.si()) -
                      (at.angle - at.sine) * slopes_only(thickness.si());
  return metres(h + turned / at.sine);
}

}  // namespace

template <class Scalar>
TakeUp<Scalar> take_up_from_crimp(const Crimp<Scalar>& crimp) {
  require_range("crimp, part of the cloth length", value_of(crimp.over_cloth), 0.0, 999.0,
                "a woven thread");
  return {crimp.over_cloth / (1.0 + crimp.over_cloth)};
}

template <class Scalar>
Crimp<Scalar> crimp_from_take_up(const TakeUp<Scalar>& take_up) {
  require_range("take-up, part of the yarn length", value_of(take_up.over_yarn), 0.0, 0.999,
                "a woven thread");
  return {take_up.over_yarn / (1.0 - take_up.over_yarn)};
}

template <class Scalar>
Crimp<Scalar> crimp_from_lengths(const Length<Scalar>& yarn, const Length<Scalar>& cloth) {
  require_range("length of the cloth, m", value_of(in_metres(cloth)), 1e-12, 1e9, "crimp");
  const Scalar ratio = yarn / cloth;
  require_range("straightened yarn over cloth", value_of(ratio), 1.0, 1000.0, "crimp");
  return {ratio - 1.0};
}

double weft_height_share(Face face) {
  switch (face) {
    case Face::Weft:
      return 1.0;
    case Face::Balanced:
      return 0.5;
    case Face::Warp:
      return 0.0;
  }
  return 0.5;
}

double warp_height_share(Face face) { return 1.0 - weft_height_share(face); }

template <class Scalar>
Crossing<Scalar> taut_crossing(const Length<Scalar>& spacing, const Length<Scalar>& thickness,
                               const Length<Scalar>& height) {
  Cell cell{value_of(spacing.si()), value_of(thickness.si()), value_of(height.si())};
  require_thickness_and_height(cell.D, cell.h);
  cell.h = std::min(cell.h, cell.D);
  require_room(cell);
  const Taut at = solved(cell);
  const Scalar yarn = at.yarn + at.cosine * slopes_only(spacing.si()) +
                      at.sine * slopes_only(height.si()) +
                      (at.angle - at.sine) * slopes_only(thickness.si());
  return {metres(yarn), at.angle};
}

template <class Scalar>
Length<Scalar> jam_spacing(const Length<Scalar>& thickness, const Length<Scalar>& height) {
  Cell cell{0.0, value_of(thickness.si()), value_of(height.si())};
  require_thickness_and_height(cell.D, cell.h);
  cell.h = std::min(cell.h, cell.D);
  const double jam = std::sqrt(cell.jam_squared());
  if (jam <= 0.0) return {};
  const Scalar turned = cell.h * slopes_only(thickness.si()) + cell.q() * slopes_only(height.si());
  return metres(Scalar(jam + turned / jam));
}

template <class Scalar>
Length<Scalar> greatest_height(const Length<Scalar>& spacing, const Length<Scalar>& thickness) {
  using std::sqrt;
  const Scalar& p = spacing.si();
  const Scalar& D = thickness.si();
  require_range("thread spacing, mm", value_of(p) * kMmPerMetre, 1e-9, 1e9, "one crossing");
  require_range("thickness of the two threads, mm", value_of(D) * kMmPerMetre, 1e-9, 1e6,
                "one crossing");
  if (value_of(p) >= value_of(D)) return thickness;
  return metres(Scalar(p * p / (D + sqrt((D - p) * (D + p)))));
}

template <class Scalar>
Length<Scalar> height_from_yarn(const Length<Scalar>& yarn, const Length<Scalar>& spacing,
                                const Length<Scalar>& thickness) {
  const double l = value_of(yarn.si());
  const double p = value_of(spacing.si());
  const double D = value_of(thickness.si());
  require_taut_yarn(l, p, D);
  const double h = l > p ? solved_height(l, p, D) : 0.0;
  return with_height_slopes(h, yarn, spacing, thickness);
}

template <class Scalar>
PeirceCell<Scalar> peirce_cell(const PlainCloth<Scalar>& cloth) {
  const Length<Scalar> thickness = cloth.warp_diameter + cloth.weft_diameter;
  const Length<Scalar> warp_yarn = cloth.pick_spacing * Scalar(1.0 + cloth.warp_crimp.over_cloth);
  PeirceCell<Scalar> cell;
  cell.warp_height = height_from_yarn<Scalar>(warp_yarn, cloth.pick_spacing, thickness);
  cell.weft_height = thickness - cell.warp_height;
  cell.warp = taut_crossing<Scalar>(cloth.pick_spacing, thickness, cell.warp_height);
  cell.weft = taut_crossing<Scalar>(cloth.end_spacing, thickness, cell.weft_height);
  cell.warp_crimp = cloth.warp_crimp;
  cell.weft_crimp = crimp_from_lengths<Scalar>(cell.weft.yarn, cloth.end_spacing);
  return cell;
}

// The two scalars this project computes with.
template TakeUp<double> take_up_from_crimp(const Crimp<double>&);
template TakeUp<Dual> take_up_from_crimp(const Crimp<Dual>&);
template Crimp<double> crimp_from_take_up(const TakeUp<double>&);
template Crimp<Dual> crimp_from_take_up(const TakeUp<Dual>&);
template Crimp<double> crimp_from_lengths(const Length<double>&, const Length<double>&);
template Crimp<Dual> crimp_from_lengths(const Length<Dual>&, const Length<Dual>&);
template Crossing<double> taut_crossing(const Length<double>&, const Length<double>&,
                                        const Length<double>&);
template Crossing<Dual> taut_crossing(const Length<Dual>&, const Length<Dual>&,
                                      const Length<Dual>&);
template Length<double> jam_spacing(const Length<double>&, const Length<double>&);
template Length<Dual> jam_spacing(const Length<Dual>&, const Length<Dual>&);
template Length<double> greatest_height(const Length<double>&, const Length<double>&);
template Length<Dual> greatest_height(const Length<Dual>&, const Length<Dual>&);
template Length<double> height_from_yarn(const Length<double>&, const Length<double>&,
                                         const Length<double>&);
template Length<Dual> height_from_yarn(const Length<Dual>&, const Length<Dual>&,
                                       const Length<Dual>&);
template PeirceCell<double> peirce_cell(const PlainCloth<double>&);
template PeirceCell<Dual> peirce_cell(const PlainCloth<Dual>&);

}  // namespace ellwand::cloth
