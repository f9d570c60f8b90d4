#pragma once
/// Yarn counts: from what a label says to linear density, and back.

#include "ellwand/units/quantity.hpp"
#include "ellwand/units/text.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace ellwand::yarn {

/// The ways the trade numbers yarn. Direct: the number grows with the mass of a fixed length.
/// Indirect: it grows with the length of a fixed mass, so thicker yarn has the lower number.
enum class CountSystem {
  Tex,             ///< direct, g per km (ISO 1144)
  Kilotex,         ///< direct, g per m
  Decitex,         ///< direct, g per 10 km
  Denier,          ///< direct, g per 9000 m
  Spyndle,         ///< direct, lb per 14400 yd: jute, coarse flax and hemp
  AmericanGrain,   ///< direct, grains per 120 yd
  Metric,          ///< Nm, m per g
  Cotton,          ///< Ne, hanks of 840 yd per lb
  SpunSilk,        ///< as cotton, but the number printed is that of the folded yarn
  Worsted,         ///< hanks of 560 yd per lb
  Linen,           ///< leas of 300 yd per lb
  WoollenRun,      ///< runs of 1600 yd per lb
  WoollenCut,      ///< American cuts of 300 yd per lb
  YorkshireSkein,  ///< skeins of 1536 yd per 6 lb
  GalashielsCut,   ///< cuts of 300 yd per 24 oz
  WestOfEngland,   ///< hanks of 320 yd per lb
  Alloa,           ///< 11520 yd per 24 lb
  Hawick,          ///< cuts of 300 yd per 26 oz
  Dewsbury,        ///< yd per oz
  FrenchCotton,    ///< km per 500 g
  YardsPerPound    ///< yd per lb
};

/// Every system, in the order above.
constexpr int kCountSystems = static_cast<int>(CountSystem::YardsPerPound) + 1;

/// "cotton count", "tex", "yd/lb".
std::string name_of(CountSystem system);

/// Whether the number grows with the thickness of the yarn.
bool is_direct(CountSystem system);

/// The linear density of `count` in this system: K count if direct, K / count if indirect.
/// @throws OutOfRange unless the count is positive and the answer finite
/// Source: definitions in ASTM D2260 and ISO 1144; the yard and pound of 1959.
LinearDensity<> linear_density_of(CountSystem system, double count);

/// The count of a linear density in this system.
/// @throws OutOfRange unless the linear density is positive and the answer finite
double count_of(CountSystem system, const LinearDensity<>& linear_density);

/// What a label says about the thickness of a yarn.
struct CountReading {
  LinearDensity<> linear_density;  ///< of one strand as bought, all its singles together
  std::optional<int> ply;          ///< singles twisted together; nothing when the text does not say
  std::string understood;          ///< "2-ply of cotton count 8: 147.6 tex", to show the weaver
};

/// A count as the trade prints it. Case and spacing do not matter.
///
///   tex and its kin   "600 tex", "R 147.6 tex", "R 40 tex / 2", "20 tex x 2", "150 denier"
///   cotton, linen     "8/2 cotton", "2/8 cotton", "12/6 seine twine", "16/2 linen", "Ne 30", "20s"
///   worsted           "2/8 worsted", "2-ply 20s worsted"
///   metric            "Nm 2/20", "20/2 Nm"
///   spun silk         "40s-2 spun silk": 40 hanks per lb AFTER folding
///   woollen           "4 run", "20 cut", "5 Galashiels cut", "20s Yorkshire skein"
///   length and mass   "3360 yd/lb", "105 m / 50 g", "115 yd per 50 g", "8.5 lb/spyndle"
///   several strands   "Ne 60 + Ne 40"
///
/// Which of two numbers is the fold: one marked with s is the count ("2/40s"); else the only one
/// from 1 to 4 is the fold; else the order of the trade decides (cotton, linen and seine twine
/// count/fold, worsted fold/count), and what is against that order is refused with both ways of
/// writing it. The few per cent that twisting singles together adds are not in any count.
///
/// @throws UnreadableText  also outside 0.5 to 200000 tex, and for thickness names that are no
///                         counts (wraps per inch, "aran")
/// Source: order of the numbers, spun silk: J. T. Taylor, Cotton Weaving and Designing (1909)
///         p. 239; folded numbers: C. P. Brooks, Cotton Manufacturing, p. 91.
CountReading read_count(std::string_view text, DecimalMark mark = DecimalMark::Point);

}  // namespace ellwand::yarn
