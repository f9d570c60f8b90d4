#include "ellwand/estimate/height_share.hpp"

#include <algorithm>

namespace ellwand::estimate {

const char* height_share_name(cloth::Face face) {
  switch (face) {
    case cloth::Face::Weft:
      return "height_share.weft_faced";
    case cloth::Face::Balanced:
      return "height_share.balanced";
    case cloth::Face::Warp:
      return "height_share.warp_faced";
  }
  return "";
}

StartingRow height_share_row(cloth::Face face) {
  return face == cloth::Face::Balanced ? row("height_share.balanced") : row("height_share.faced");
}

double weft_height_share(const StartingValues& values, const Learned* learned, cloth::Face face) {
  const double median = values.median(height_share_row(face));
  const double starting = face == cloth::Face::Warp ? 1.0 - median : median;
  if (learned == nullptr) return starting;
  const std::size_t place = learned->find(height_share_name(face));
  const double found = place == Learned::kNone ? 0.0 : learned->means[place];
  return std::clamp(starting + found, 0.0, 1.0);
}

}  // namespace ellwand::estimate
