#pragma once
/// One yarn as the studio knows it: what the label says, and how thick it lies.

#include "ellwand/units/quantity.hpp"
#include "ellwand/yarn/colour.hpp"
#include "ellwand/yarn/fibre.hpp"

#include <optional>
#include <string>

namespace ellwand::yarn {

/// How the yarn is made, which decides how full of fibre it is.
enum class Kind { Singles, Plied, Woollen, Roving };

/// Who made and dyed it, which decides how far a lot strays from its label.
enum class Made { Mill, HandDyed, Handspun };

/// How full of fibre a yarn is: fibre area over the area of a circle round the yarn, 0 to 1. The
/// values are starting values and stand in data/starting-values.csv.
struct Packing {
  double singles;
  double plied;
  double woollen;
  double roving_loose;  ///< as it is seen, unspun, before it is woven
  double roving_held;   ///< as it lies in the cloth
};

/// The unit a yarn is sold in: a ball, skein or cone, by mass or by length.
struct PutUp {
  std::optional<Mass<>> net_mass;
  std::optional<Length<>> length;
};

struct Yarn {
  std::string id;
  std::string label;
  FibreBlend fibre;
  Kind kind = Kind::Plied;
  Made made = Made::Mill;
  int ply = 2;
  LinearDensity<> linear_density;             ///< one strand as bought, by its label
  std::optional<Length<>> measured_diameter;  ///< from wraps or a gauge; overrides the count
  double width_over_thickness = 1.0;          ///< 1 round; a tape or ribbon lies wider
  std::optional<PutUp> put_up;
  double knots_per_metre = 0.0;  ///< found in put-ups, on average
  std::optional<Colour> colour;  ///< for pictures; drawn in grey where it is not said
};

/// How thick one strand lies: the measured diameter, or else the one its linear density, fibre and
/// make give. Roving: as held in the cloth.
/// @throws OutOfRange unless linear density, fibre density and packing are positive
Length<> lying_diameter(const Yarn& yarn, const Packing& packing);

/// Several strands held side by side in woven bands, twining, soumak and loops: d sqrt(m), the
/// diameter of equal total area. m >= 1.
template <class Scalar>
Length<Scalar> side_by_side_diameter(const Length<Scalar>& strand, int strands);

/// Several strands gathered into a round bundle, in knots, fringe and wraps: d sqrt(m / fill).
/// @param strands  m >= 1
/// Source: circles packed in a circle (1: 1, 2: 0.50, 3: 0.65, 4: 0.69, 5: 0.685, 6: 0.667,
///         7 and more: 0.78).
template <class Scalar>
Length<Scalar> bundle_diameter(const Length<Scalar>& strand, int strands);

}  // namespace ellwand::yarn
