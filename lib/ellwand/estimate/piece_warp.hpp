#pragma once
/// The warp of a piece as the technique has it, and what of a beam warp goes through one band.

#include "ellwand/estimate/band_yarn.hpp"
#include "ellwand/technique/warp.hpp"

#include <cstddef>

namespace ellwand::estimate {

/// @param tie  at each free end
technique::SpannedWarp spanned_warp(const piece::Piece& piece, const Length<>& tie);

/// Of a beam warp what a band takes of it hangs on: not what it has beyond them.
technique::BeamWarp beam_warp_ends(const piece::Piece& piece);

/// The same with what it has beyond the bands: bare warp among and beside them, fringe and what
/// the loom keeps.
technique::BeamWarp beam_warp(const piece::Piece& piece);

/// One end of a beam warp through one band: of a woven band its crimp as well.
template <class Scalar>
struct EndThrough {
  const Worked<Scalar>& worked;
  const technique::Lie<Scalar>& lie;
  std::size_t part;
  int warp_ends;

  technique::WovenEnd<Scalar> operator()(const technique::Woven& band) const {
    return through(band, part);
  }
  technique::WovenEnd<Scalar> operator()(const technique::KnottedFringe&) const {
    return straight();
  }
  technique::WovenEnd<Scalar> operator()(const technique::Soumak&) const { return straight(); }
  technique::WovenEnd<Scalar> operator()(const technique::Twining&) const { return straight(); }
  technique::WovenEnd<Scalar> operator()(const technique::LoopedPile&) const { return straight(); }
  technique::WovenEnd<Scalar> operator()(const technique::Wrapping& wrapping) const {
    if (technique::takes_up_warp(wrapping, warp_ends)) return straight();
    return {Length<Scalar>(), Length<Scalar>()};
  }
  technique::WovenEnd<Scalar> operator()(const technique::KnottedPile& pile) const {
    return part == technique::KnottedPile::kKnots ? straight() : through(pile.ground, 0);
  }
  technique::WovenEnd<Scalar> operator()(const technique::Gap&) const { return straight(); }
  technique::WovenEnd<Scalar> operator()(const technique::Hemstitch&) const { return straight(); }

  technique::WovenEnd<Scalar> through(const technique::Woven& band, std::size_t area) const {
    const auto crimp = technique::warp_crimp(band, area, lie, worked.row_spacing);
    return {worked.height, worked.height * crimp.over_cloth};
  }
  technique::WovenEnd<Scalar> straight() const { return {worked.height, Length<Scalar>()}; }
};

}  // namespace ellwand::estimate
