#include "ellwand/piece/piece.hpp"

#include "ellwand/units/error.hpp"

#include <algorithm>

namespace ellwand::piece {

namespace {
template <class T>
void fill(std::optional<T>& mine, const std::optional<T>& other) {
  if (!mine) mine = other;
}
}  // namespace

Habits Habits::or_else(const Habits& those) const {
  Habits all = *this;
  fill(all.tail, those.tail);
  fill(all.trim, those.trim);
  fill(all.waste_share, those.waste_share);
  fill(all.waste_per_colour, those.waste_per_colour);
  fill(all.spare_warp_ends, those.spare_warp_ends);
  fill(all.broken_ends, those.broken_ends);
  fill(all.repair_length, those.repair_length);
  fill(all.unpicking, those.unpicking);
  fill(all.sampling, those.sampling);
  if (!all.working_length && !all.carrier) {  // a length here says more than a carrier there
    all.working_length = those.working_length;
    all.carrier = those.carrier;
  }
  return all;
}

bool stays_in_height(const Piece& piece, std::size_t band) {
  const auto stays = [](const Band& one) { return !one.comes_out; };
  const auto here = piece.bands.begin() + static_cast<std::ptrdiff_t>(band);
  return stays(*here) || (std::any_of(piece.bands.begin(), here, stays) &&
                          std::any_of(here, piece.bands.end(), stays));
}

SewnEdge sewn_edge(const Piece& piece, std::size_t hem) {
  const auto is_woven = [&](std::size_t band) {
    return band < piece.bands.size() && !piece.bands[band].comes_out &&
           std::holds_alternative<technique::Woven>(piece.bands[band].work);
  };
  const bool above = is_woven(hem + 1);
  const bool below = hem > 0 && is_woven(hem - 1);
  if (above == below) {
    throw OutOfRange(above
                         ? "it stands between two woven bands and so at no edge; put it where the "
                           "cloth ends, or leave bare warp (work = \"gap\") between the two"
                         : "there is no woven band next to it whose edge it could sew; put it "
                           "right below or right above one");
  }
  return {above ? hem + 1 : hem - 1, above};
}

}  // namespace ellwand::piece
