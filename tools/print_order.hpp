#pragma once
/// The order of work in words, to have beside the loom.

#include "ellwand/estimate/order_of_work.hpp"
#include "show.hpp"

#include <string>

namespace ellwand::tools {

/// The headings a step can stand under, in their order.
enum class Under { LayOut, Cut, Before, Bands, After, Care };

const char* words_for(Under heading);
Under heading_of(const estimate::Step& step);

/// A step as a line, or as several.
std::string step_text(const estimate::Step& step, const Shower& show);

/// ", 3 held together", ", split in 3": how a yarn is taken, where not as it is.
std::string manner(int held, int split_into);

/// A working length, to a centimetre of yarn: "1.50 m".
std::string length_text(const Length<>& length, const Shower& show);

/// "7 lengths of 1.50 m, the last 0.28 m", of a yarn that is carried in lengths.
std::string lengths_text(const estimate::Carried& yarn, const Shower& show);

}  // namespace ellwand::tools
