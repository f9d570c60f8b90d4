#pragma once
/// Fibres and blends: density, moisture, and what they mean for a warp.

#include "ellwand/units/quantity.hpp"
#include "ellwand/units/text.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace ellwand::yarn {

/// One fibre of the table.
struct Fibre {
  std::string name;         ///< "wool"
  VolumeDensity<> density;  ///< at 65 % relative humidity
  double regain;            ///< water over dry fibre, at 65 % relative humidity and 20 C
  bool felts = false;       ///< whether washing can mat it: the hairs of animals
  bool softens = false;     ///< whether steam or an iron can soften it for good: thermoplastic
};

/// A part of a blend, by mass.
struct FibreShare {
  Fibre fibre;
  double by_mass;  ///< above 0, all shares of a blend sum to 1
};
using FibreBlend = std::vector<FibreShare>;

/// Every fibre there is a density and a regain for, by name.
///
/// Source: W. E. Morton and J. W. S. Hearle, Physical Properties of Textile Fibres, tables 5.1 and
/// 11.1, for the densities of cotton, wool, silk, viscose, acetate, nylon, polyester, acrylic,
/// modacrylic, polypropylene and casein. Other densities and about half of the regains are from
/// memory: data/published/fibre_properties.csv says which, number by number.
const std::vector<Fibre>& known_fibres();

/// The fibre of this name, or of another name the trade has for it ("flax", "rayon").
/// @throws UnreadableText, with the name that was probably meant
Fibre fibre_named(std::string_view name);

/// Whether a word is, or is part of, the name of a fibre.
bool is_fibre_word(std::string_view word);

/// "wool", "80 % wool 20 % nylon", "wool 80 %, nylon 20 %", "80/20 wool/nylon". Shares are by mass
/// and must sum to 100 %, give or take the 1 % that rounding on labels may leave; they are then
/// scaled to sum to 1. A fibre named twice is added up.
/// @throws UnreadableText
FibreBlend read_fibre_blend(std::string_view text, DecimalMark mark = DecimalMark::Point);

/// Density of the fibres of a blend together: volumes add, 1 / sum(share / density).
/// @throws OutOfRange for an empty blend or shares that do not sum to 1
VolumeDensity<> blend_density(const FibreBlend& blend);

/// Regain of a blend whose shares are by mass as the label counts them, moisture included: the
/// dry parts add, 1 / sum(share / (1 + regain)) - 1.
/// @throws OutOfRange as blend_density
double blend_regain(const FibreBlend& blend);

/// What a mass of fibre weighs when its moisture changes: mass (1 + to) / (1 + from).
/// @param from, to  regain, water over dry fibre, 0 to 1
/// @throws OutOfRange
Mass<> mass_at_regain(const Mass<>& mass, double from, double to);

}  // namespace ellwand::yarn
