#pragma once
/// What studio.toml and piece files have in common: looms and habits.

#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/piece/piece.hpp"
#include "ellwand/studio/document.hpp"
#include "ellwand/studio/studio.hpp"

#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

/// What is more of its standard deviations from what is usual is asked about.
inline constexpr double kStraySds = 4.0;

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

/// Warns of a length or share among them that is more than four of its standard deviations from
/// what is usual: tail, trim, working_length, waste, waste_per_colour. Nothing at all is a choice.
void ask_about_habits(Section& section, const piece::Habits& habits,
                      const estimate::StartingValues& starting, const Shown& shown);

/// "experienced", "beginner", or the name of a [[weaver]]; nothing where it is none of them.
std::optional<Weaver> find_weaver(const std::string& word, const std::vector<Weaver>& weavers);

/// What a weaver may be called: "experienced", "beginner", and the names.
std::vector<std::string> weaver_words(const std::vector<Weaver>& weavers);

/// weaver = one of these words.
std::optional<Weaver> read_weaver(Section& section, const std::vector<Weaver>& weavers);

}  // namespace ellwand::studio
