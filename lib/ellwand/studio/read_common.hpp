#pragma once
/// What studio.toml and piece files have in common: looms and habits.

#include "ellwand/piece/piece.hpp"
#include "ellwand/studio/document.hpp"

#include <optional>

namespace ellwand::studio {

struct LoomReading {
  piece::Loom loom;
  bool kind_was_read = false;
};

/// The keys of a loom, over those of `base`: kind, span, pitch, every, notches, header,
/// needle_room.
LoomReading read_loom(Section& section, const piece::Loom& base);

/// tail, trim, working_length, carried_by.
piece::Habits read_length_habits(Section& section);

/// The same and waste, waste_per_colour, spare_warp_ends, broken_ends with repair_length,
/// unpicking, sampling.
piece::Habits read_habits(Section& section);

/// weaver = "experienced" or "beginner": whether it is a beginner.
std::optional<bool> read_is_beginner(Section& section);

}  // namespace ellwand::studio
