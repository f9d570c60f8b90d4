#include "ellwand/estimate/piece_warp.hpp"

#include <variant>

namespace ellwand::estimate {

technique::SpannedWarp spanned_warp(const piece::Piece& piece, const Length<>& tie) {
  return {piece.warp.ends, piece.warp.held, piece.loom.span, tie};
}

namespace {

/// Bands of bare warp, together.
Length<> bare_bands(const piece::Piece& piece) {
  Length<> all;
  for (const piece::Band& band : piece.bands) {
    if (const auto* gap = std::get_if<technique::Gap>(&band.work)) all += gap->height;
  }
  return all;
}

}  // namespace

technique::BeamWarp beam_warp_ends(const piece::Piece& piece) {
  return {piece.warp.ends, piece.warp.held, Length<>(), Length<>(), Length<>()};
}

technique::BeamWarp beam_warp(const piece::Piece& piece) {
  return {piece.warp.ends, piece.warp.held, piece.warp.gaps + bare_bands(piece), piece.warp.fringe,
          piece.warp.loom_waste.value_or(Length<>()) + piece.loom.header};
}

}  // namespace ellwand::estimate
