#pragma once
/// Each yarn over several pieces of one studio: the sum with its own range, and put-ups counted
/// once over all of them.

#include "ellwand/estimate/estimate.hpp"
#include "ellwand/estimate/yarn_totals.hpp"

#include <string>
#include <vector>

namespace ellwand::estimate {

/// The parts of one piece, with what each of its coefficients and yarns is over all pieces.
struct NamedParts {
  const Parts* parts;
  std::vector<std::string> coefficients;  ///< those of one name are one coefficient in all pieces
  std::vector<std::size_t> yarns;         ///< index of each of the piece's yarns among all
};

/// The parts of all pieces side by side, on all their coefficients, those of one name taken
/// together.
/// @param names  becomes the name of each coefficient of the result
Parts side_by_side(const std::vector<NamedParts>& pieces, std::vector<std::string>& names);

/// One piece as it was estimated.
struct Estimated {
  const PieceModel* model;
  const PieceEstimate* estimate;
};

/// The parts of several pieces, piece after piece, on all their coefficients, and each yarn that
/// they count with what its label leaves unsure.
struct Together {
  Parts parts;
  std::vector<LabelledYarn> yarns;  ///< in the order they are first met
  std::vector<std::size_t> firsts;  ///< where each piece's parts begin, and how many there are
};

/// @param pieces, learned  as in totals_of
Together together(const std::vector<Estimated>& pieces, const Learned* learned = nullptr);

struct Totals {
  std::vector<std::string> pieces;                ///< their ids
  std::vector<YarnEstimate> yarns;                ///< each once, in the order it is first met
  std::vector<std::vector<std::string>> used_in;  ///< ids of the pieces that take it, yarn by yarn
  double chance_any_short = 0.0;                  ///< as in PieceEstimate
  double chance_any_set_aside_short = 0.0;
};

/// Set-asides are of the sum: what she does alike in all pieces (her hand, her tails, how a yarn
/// lies and what its lot weighs) does not even out, what differs from piece to piece does. All of a
/// yarn is taken to be of one lot, all experienced weavers and all beginners to be one each.
///
/// @param pieces   of one studio, one or more, woven one after another
/// @param learned  what their models were made with; null without a calibration
Totals totals_of(const std::vector<Estimated>& pieces, const Shelf& shelf, const Options& options,
                 const Learned* learned = nullptr);

}  // namespace ellwand::estimate
