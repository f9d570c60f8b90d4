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

/// The <pattern> element.
///
/// @param id    in the document
/// @param unit  one millimetre of paper, in the units of the drawing
std::string pattern_element(const YarnFill& fill, const std::string& id, double unit);

}  // namespace ellwand::studio
