#include "ellwand/piece/piece.hpp"

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
  if (!all.working_length && !all.carrier) {  // a length here says more than a carrier there
    all.working_length = those.working_length;
    all.carrier = those.carrier;
  }
  return all;
}

}  // namespace ellwand::piece
