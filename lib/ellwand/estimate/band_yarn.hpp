#pragma once
/// One yarn in one band: what it hangs on, and what it comes to.

#include "ellwand/estimate/coefficients.hpp"
#include "ellwand/piece/piece.hpp"

#include <array>
#include <cstddef>
#include <vector>

namespace ellwand::estimate {

/// The few things one band's yarn hangs on directly, each a factor on its median.
enum class Local : std::size_t {
  WarpDiameter,
  StrandDiameter,
  WarpSpacing,
  RowSpacing,
  Take,
  Tail,
  WorkingLength,
  Trim,
};
inline constexpr std::size_t kLocals = 8;

/// The local factors that a band's yarn can bend in. In those of habit (take, tails, lengths,
/// trims) it is straight, or nearly, in the logarithms.
inline constexpr std::array<Local, 4> kBending = {Local::WarpDiameter, Local::StrandDiameter,
                                                  Local::WarpSpacing, Local::RowSpacing};

/// The straight line nearest to the logarithm of an amount over the doubt.
struct NearestLine {
  bool is_there = false;                         ///< otherwise the line at the medians is as good
  double shift = 0.0;                            ///< of the logarithm where all is at its median
  std::array<double, kBending.size()> slopes{};  ///< by the logarithms of those local factors
};

/// ln(local factor) moves by `slope` for one of the coefficient.
struct Hold {
  Local local;
  std::size_t coefficient;
  double slope;
};

/// The cloth at an edge that is sewn, as it was planned.
struct EdgeCloth {
  Length<> weft;  ///< d_w, as it goes round; as thick as the thread where that is its own tail
  Length<> row_spacing;
};

/// One weft or fringe yarn where a band is worked.
struct BandYarn {
  std::size_t band = 0;  ///< index into the piece's bands
  std::size_t part = 0;  ///< which colour area, strand, or the ground of a pile; 0 in works of one
  std::size_t yarn = 0;  ///< index into the piece's yarns
  technique::Lie<double> medians;
  piece::Carrier carrier = piece::Carrier::Needle;
  double row_height = 0.0;  ///< of works whose rows are counted in diameters
  EdgeCloth edge;           ///< of a hemstitch
  std::vector<Hold> holds;
  double knots_per_metre = 0.0;  ///< found in the yarn's put-ups
  bool rules_warp = false;       ///< its band takes as much of every end as its part does
  bool bends = false;  ///< its yarn is not straight within its doubt: see doubt_points.hpp
  /// Of each portion and then of a beam warp, where they curve a little; otherwise none.
  std::vector<NearestLine> lines;
};

/// What it comes to.
template <class Scalar>
struct Worked {
  technique::Entries<Scalar> entries;
  Length<Scalar> row_spacing;
  Scalar rows{0.0};
  Length<Scalar> height;  ///< on the loom
  Scalar lengths{0.0};    ///< lengths of weft; 0 where strands are cut to a measure
  bool flattened = false;
  bool rows_need_room = false;
  double strands = 0.0;  ///< cut to a measure from the yarn as bought; 0 where lengths are carried
};

/// What it comes to in metres, as one state of the threads has it.
template <class Scalar>
struct BandAmounts {
  std::array<Scalar, technique::kPortions> portions_m{};
  Scalar warp_m{0.0};  ///< of a beam warp, 0 on other looms
};

/// The local factors at given deviations of the coefficients.
std::array<double, kLocals> local_factors(const BandYarn& one,
                                          const std::vector<double>& deviations);

/// The threads with every local factor applied.
template <class Scalar>
technique::Lie<Scalar> lie_with(const technique::Lie<double>& medians,
                                const std::array<Scalar, kLocals>& factors);

/// The yarn and rows of one band's yarn as the threads lie.
/// @throws OutOfRange as the work does
template <class Scalar>
Worked<Scalar> work_band(const technique::Work& work, const BandYarn& one,
                         const technique::Lie<Scalar>& lie);

}  // namespace ellwand::estimate
