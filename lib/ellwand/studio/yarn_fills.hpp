#pragma once
/// How a yarn is filled in on a picture: its colour, and a pattern of its own, so that yarns are
/// told apart in black and white too.

#include "ellwand/yarn/yarn.hpp"

#include <string>
#include <vector>

namespace ellwand::studio {

/// Patterns there are; a piece of more yarns uses them again.
inline constexpr int kFillPatterns = 12;

struct YarnFill {
  yarn::Colour base;
  yarn::Colour mark;  ///< of the pattern's lines, and of what is drawn on the yarn
  int pattern = 0;    ///< 0, without lines, to kFillPatterns - 1
};

/// One a yarn, in their order; patterns do not come again before all are used. A yarn whose colour
/// is not said is one of several light greys.
std::vector<YarnFill> fills_of(const std::vector<const yarn::Yarn*>& yarns);

/// A colour that stands out from `base` as lines on it do: darker on a light one, lighter on a dark
/// one.
yarn::Colour mark_on(const yarn::Colour& base);

/// A rectangle of a drawing, in its units.
struct Box {
  double x = 0.0;
  double y = 0.0;
  double width = 0.0;
  double height = 0.0;
};

/// The lines of a yarn's pattern over a box, cut off at its edges; nothing of one without lines.
/// They are lines, not a `<pattern>`: browsers print those as coarse pictures.
///
/// @param unit  one millimetre of paper, in the units of the drawing; above 0
std::string pattern_lines(const YarnFill& fill, const Box& box, double unit);

/// A `<rect>` in the yarn's colour with its pattern's lines.
///
/// @param attributes  of the `<rect>`, beginning with a blank
std::string filled_box(const YarnFill& fill, const Box& box, double unit,
                       const std::string& attributes);

}  // namespace ellwand::studio
