#pragma once
/// What is unsure about one piece: the coefficients its yarn hangs on, each with its spread.

#include "ellwand/estimate/learned.hpp"
#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/piece/piece.hpp"
#include "ellwand/yarn/yarn.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace ellwand::estimate {

/// The coefficients every piece has, whatever its yarns. Each is the logarithm of a factor on its
/// starting value, except DrawIn and Stretch, which are added to theirs.
enum class Shared : std::size_t {
  Hand,
  TakeWeave,
  TakeKnots,
  TakeSoumak,
  TakeTwining,
  TakeLoops,
  TakeWraps,
  TakeHemstitch,
  TakeCord,
  Weaver,
  PieceTake,
  BeatWeftFaced,
  BeatBalanced,
  BeatWarpFaced,
  BeatPiece,
  RowHeightKnots,
  RowHeightSoumak,
  RowHeightTwining,
  RowHeightLoops,
  RowHeightWraps,
  Tail,
  Trim,
  WorkingLength,
  DrawIn,
  Stretch,
  WasteShare,
  WastePerColour,
};
inline constexpr std::size_t kShared = 27;

/// The coefficients each yarn brings along, all logarithms of a factor.
enum class OfYarn : std::size_t {
  Take,       ///< how much more of it she lays
  Lot,        ///< how far the lot strays from the count on its label
  Thickness,  ///< how thick it lies
  Split,      ///< how uneven the strips of a split roving are: of one strip
};
inline constexpr std::size_t kPerYarn = 4;

constexpr std::size_t index_of(Shared which) { return static_cast<std::size_t>(which); }
constexpr std::size_t index_of(OfYarn which, std::size_t yarn) {
  return kShared + kPerYarn * yarn + static_cast<std::size_t>(which);
}

/// Normal, each with its mean and its spread; independent unless a correlation says otherwise.
struct Coefficients {
  std::vector<double> spreads;
  std::vector<double> means;        ///< all 0 before anything is measured
  std::vector<double> correlation;  ///< row after row; empty when they are independent

  std::size_t size() const { return spreads.size(); }
  double correlated(std::size_t a, std::size_t b) const {
    return correlation.empty() ? (a == b ? 1.0 : 0.0) : correlation[a * size() + b];
  }
  double covariance(std::size_t a, std::size_t b) const {
    return spreads[a] * spreads[b] * correlated(a, b);
  }
};

/// What the piece's coefficients are called wherever they are the same: "hand", "weaver Anna",
/// "lot rug-wool-ash A3". Empty for the strips of a split roving, which are drawn anew each time. A
/// weaver not named is the studio's owner, a lot not named the one there is.
std::vector<std::string> coefficient_ids(const piece::Piece& piece,
                                         const std::vector<const yarn::Yarn*>& yarns,
                                         std::size_t warp);

/// The coefficients of a piece once something is learned.
Coefficients learned_coefficients(const Coefficients& starting, const Learned& learned,
                                  const piece::Piece& piece,
                                  const std::vector<const yarn::Yarn*>& yarns, std::size_t warp);

/// Correlation of coefficients by their names, those not learned independent of all others.
std::vector<double> learned_correlation(const Learned& learned,
                                        const std::vector<std::string>& names);

/// Lower triangle L, row after row, with L L' a correlation; one that follows wholly from those
/// before it has nothing of its own.
std::vector<double> triangular_root(const std::vector<double>& correlation, std::size_t n);

/// The coefficients of a piece before anything is measured.
///
/// @param yarns       the piece's yarns, in the order that index_of(OfYarn, yarn) counts
/// @param warp        index of the warp's yarn
/// @param beginner    woven by a beginner
Coefficients starting_coefficients(const StartingValues& values,
                                   const std::vector<const yarn::Yarn*>& yarns, std::size_t warp,
                                   bool beginner);

/// "hand", "take.weave", "thickness rug-wool-ash": what a coefficient is called.
std::string coefficient_name(std::size_t coefficient, const std::vector<const yarn::Yarn*>& yarns);

/// What a coefficient means, in a weaver's words, from the rows of the table that held: of the
/// stretch that of the warp's fibre, of the working length those of its carriers, one after
/// another.
///
/// @param yarns     the piece's, the warp's first
/// @param carriers  what the weft is carried on, each once; empty where that is not asked
std::string coefficient_meaning(const StartingValues& values, std::size_t coefficient,
                                const std::vector<const yarn::Yarn*>& yarns, bool beginner,
                                const std::vector<piece::Carrier>& carriers);

/// How thick one strand lies by what is known of it: as its count or its wraps have it, moved to
/// the means of its coefficients; a lot that is heavier is thicker by half as much, unless the
/// thickness was measured.
Length<> known_diameter(const yarn::Yarn& yarn, const yarn::Packing& packing, double thickness_mean,
                        double lot_mean);

/// "stretch.cotton" and the like: the starting value that holds for a warp of this yarn.
const char* stretch_name(const yarn::Yarn& warp);

/// Half or more of its mass is wool or other hair that felts.
bool is_felting(const yarn::Yarn& yarn);

/// Not to be steamed flat: half or more of its mass felts or is softened by heat.
bool is_spoilt_by_steam(const yarn::Yarn& yarn);

}  // namespace ellwand::estimate
