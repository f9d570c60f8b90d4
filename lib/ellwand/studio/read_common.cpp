#include "ellwand/studio/read_common.hpp"

#include "ellwand/studio/read_piece_parts.hpp"
#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <cmath>

namespace ellwand::studio {

namespace {

/// ln of how far a habit is from its starting value, in its standard deviations.
double sds_off(double value, const estimate::StartingValue& usual) {
  return std::log(value / usual.median) / usual.spread;
}

void ask_about_length(Section& section, const char* key, const std::optional<Length<>>& length,
                      const std::vector<const char*>& rows,
                      const estimate::StartingValues& starting, const Shown& shown) {
  if (!length || !section.has(key) || !(length->si() > 0.0)) return;
  const estimate::StartingValue* nearest = nullptr;
  for (const char* row : rows) {
    const estimate::StartingValue& usual = starting.at(row);
    const double off = std::abs(sds_off(in_metres(*length), usual));
    if (off <= kStraySds) return;
    if (nearest == nullptr || off < std::abs(sds_off(in_metres(*length), *nearest))) {
      nearest = &usual;
    }
  }
  section.warn(key, fmt::format("{} where about {} is usual; is the unit right?",
                                told(*length, shown), told(metres(nearest->median), shown)));
}
}  // namespace

void ask_about_habits(Section& section, const piece::Habits& habits,
                      const estimate::StartingValues& starting, const Shown& shown) {
  ask_about_length(section, "tail", habits.tail, {"tail"}, starting, shown);
  ask_about_length(section, "trim", habits.trim, {"trim"}, starting, shown);
  ask_about_length(section, "working_length", habits.working_length,
                   {"working_length.needle", "working_length.butterfly", "working_length.shuttle"},
                   starting, shown);
  ask_about_length(section, "waste_per_colour", habits.waste_per_colour, {"waste.per_colour"},
                   starting, shown);
  const double waste = habits.waste_share.value_or(0.0);
  const bool is_asked = !doubt_of_share("%", waste).empty();  // where the share was read
  if (waste <= 0.0 || is_asked ||
      std::abs(sds_off(waste, starting.at("waste.share"))) <= kStraySds) {
    return;
  }
  section.warn("waste", fmt::format("{:.3g} % where about {:.3g} % is usual; is it a share of what "
                                    "is laid?",
                                    100.0 * waste, 100.0 * starting.median("waste.share")));
}

LoomReading read_loom(Section& section, const piece::Loom& base) {
  piece::Loom loom = base;
  const auto kind = section.choice("kind", {"notched", "frame", "beam"});
  if (kind) loom.kind = static_cast<piece::LoomKind>(*kind);
  loom.span = section.length("span", "5 cm", "20 m").value_or(loom.span);
  loom.pitch = section.length("pitch", "1 mm", "50 mm").value_or(loom.pitch);
  loom.every = section.whole("every", 1, 100).value_or(loom.every);
  loom.notches = section.whole("notches", 2, 20000).value_or(loom.notches);
  loom.header = section.length("header", "0 cm", "2 m").value_or(loom.header);
  if (const auto room = section.length("needle_room", "0 cm", "1 m")) loom.needle_room = room;
  return {loom, kind.has_value()};
}

piece::Habits read_length_habits(Section& section) {
  piece::Habits habits;
  habits.tail = section.length("tail", "0 cm", "1 m");
  habits.trim = section.length("trim", "0 mm", "50 cm");
  habits.working_length = section.length("working_length", "10 cm", "100 m");
  if (const auto carrier = section.choice("carried_by", {"needle", "butterfly", "shuttle"})) {
    habits.carrier = static_cast<piece::Carrier>(*carrier);
  }
  if (habits.tail && habits.working_length && 2.0 * *habits.tail >= *habits.working_length) {
    section.complain(
        "working_length",
        "must be longer than its two tails; weave with a longer length or leave shorter tails");
  }
  return habits;
}

piece::Habits read_habits(Section& section) {
  piece::Habits habits = read_length_habits(section);
  habits.waste_share = section.fraction("waste", "0 %", "100 %");
  habits.waste_per_colour = section.length("waste_per_colour", "0 m", "20 m");
  habits.spare_warp_ends = section.whole("spare_warp_ends", 0, 100);
  habits.broken_ends = section.whole("broken_ends", 0, 1000);
  habits.repair_length = section.length("repair_length", "5 cm", "20 m");
  habits.unpicking = section.fraction("unpicking", "0 %", "100 %");
  habits.sampling = section.length("sampling", "0 cm", "5 m");
  return habits;
}

std::vector<std::string> weaver_words(const std::vector<Weaver>& weavers) {
  std::vector<std::string> words = {"experienced", "beginner"};
  for (const Weaver& weaver : weavers) words.push_back(weaver.name);
  return words;
}

std::optional<Weaver> find_weaver(const std::string& word, const std::vector<Weaver>& weavers) {
  if (word == "experienced" || word == "beginner") return Weaver{"", word == "beginner"};
  for (const Weaver& weaver : weavers) {
    if (weaver.name == word) return weaver;
  }
  return std::nullopt;
}

std::optional<Weaver> read_weaver(Section& section, const std::vector<Weaver>& weavers) {
  const auto word = section.choice("weaver", weaver_words(weavers));
  if (!word) return std::nullopt;
  return find_weaver(weaver_words(weavers)[*word], weavers);
}

}  // namespace ellwand::studio
