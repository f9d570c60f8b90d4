#pragma once
/// What of a piece may be changed to suit the yarn there is.

#include "ellwand/piece/piece.hpp"
#include "ellwand/units/error.hpp"

#include <cstddef>
#include <functional>
#include <string>
#include <vector>

namespace ellwand::decide {

/// One measure of a piece that can be larger or smaller.
struct Knob {
  enum class Of {
    Rows,     ///< of a band, whole
    Repeats,  ///< of a band's weave, whole
    Height,   ///< of a woven band or of bare warp, m, in the state the piece has it
    Hang,     ///< of a fringe, m
    Ends,     ///< of the warp, floating selvedges left out; whole
    Size      ///< everything in proportion; 1 as the piece is
  };
  Of of = Of::Rows;
  std::size_t band = 0;  ///< index; of Ends and Size none
};

inline bool is_of_band(const Knob& knob) {
  return knob.of != Knob::Of::Ends && knob.of != Knob::Of::Size;
}
inline bool operator==(const Knob& a, const Knob& b) {
  return a.of == b.of && (!is_of_band(a) || a.band == b.band);
}

/// "rows", "repeats", "height", "hang", "ends", "size".
const char* name_of(Knob::Of of);

/// "rows", "repeats", "m", "ends"; of a size "share".
const char* unit_of(Knob::Of of);

/// "rows of band 3", "ends".
std::string told(const Knob& knob);

struct Setting {
  Knob knob;
  double value = 0.0;
};

/// A piece that its loom has no room for.
class BeyondLoom : public BadInput {
 public:
  using BadInput::BadInput;
};

/// A piece with some knobs set, the others as it is stated.
/// @throws BeyondLoom where it has more ends than the loom, BadInput where it cannot be so
/// otherwise
using Design = std::function<piece::Piece(const std::vector<Setting>&)>;

/// The values of a knob that are tried: whole numbers of `step`.
struct KnobRange {
  double step = 1.0;
  int least = 1;
  int most = 1;
};

/// Whole rows, repeats and ends; heights and hangs by half a centimetre or a quarter of an inch;
/// sizes by a hundredth.
KnobRange range_of(const Knob& knob, LengthShown shown);

/// The step at or below a value, within the range.
int step_at(double value, const KnobRange& range);

}  // namespace ellwand::decide
