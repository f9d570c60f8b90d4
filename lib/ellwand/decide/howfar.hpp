#pragma once
/// How far a stash goes: the largest a piece can be by one or two of its measures.

#include "ellwand/decide/farthest.hpp"
#include "ellwand/decide/knob.hpp"
#include "ellwand/estimate/estimate.hpp"

#include <optional>
#include <string>
#include <vector>

namespace ellwand::decide {

/// What a piece wants of one yarn of the stash.
struct Need {
  std::string yarn;
  double stash_g = 0.0;
  double need_g = 0.0;  ///< at the confidence, whole cuts, spares and what is lent among it
  double lent_g = 0.0;  ///< of that, what comes out again, which has to be there beside the rest
  double chance_short = 0.0;
  bool is_of_several_lots = false;  ///< no lot by itself has so much
  double over_g() const { return stash_g - need_g; }
};

/// One setting of the knobs, tried.
struct Trial {
  Outcome outcome = Outcome::Refused;
  std::vector<Need> needs;  ///< of yarns in the stash, the likeliest short first
  std::vector<std::string> not_in_stash;
  estimate::Size finished;
  std::string refusal;  ///< why it cannot be
};

struct HowfarQuestion {
  const Design& design;
  const estimate::Workshop& workshop;
  const estimate::Shelf& stash;  ///< a yarn that is not in it is taken to be had
  double confidence = 0.95;      ///< for each yarn
  Length<> cut_step = centimetres(1.0);
};

/// What stops a piece from being larger.
enum class Bound {
  Yarn,
  TheLoom,   ///< its span or its notches
  ThePiece,  ///< the piece itself: a weave that does not divide, say
  Nothing    ///< up to the largest tried
};

struct HowFar {
  std::vector<Setting> at;
  double now = 0.0;  ///< value of the first knob as the piece is stated
  Trial trial;
  Bound bound = Bound::Nothing;
  std::optional<double> beyond;  ///< nearest value of the first knob that is too far
  std::optional<Trial> at_beyond;
};

/// @throws BadInput never of a single setting: one that cannot be is a refusal
Trial try_setting(const HowfarQuestion& question, const std::vector<Setting>& settings);

/// The largest value of one knob for which the chance of each yarn's running short stays within
/// what the confidence leaves.
///
/// @param now    its value as the piece is stated, where the search begins
/// @param fixed  settings of others
/// @returns nothing where no value suffices
std::optional<HowFar> how_far(const HowfarQuestion& question, const Knob& knob, double now,
                              const KnobRange& range, const std::vector<Setting>& fixed = {});

/// The smallest value of a knob that can be.
struct Smallest {
  Setting at;
  Trial trial;        ///< that suffices, is short, or is too large for the loom
  std::string below;  ///< why the next smaller cannot be; empty where it is the least of all
};

/// Looked for from the least up to `now`, for when nothing suffices.
///
/// @returns nothing where none up to `now` can be
std::optional<Smallest> smallest(const HowfarQuestion& question, const Knob& knob, double now,
                                 const KnobRange& range);

/// Half, three quarters, all, five and six quarters and twice of what a knob is, in whole steps.
std::vector<double> usual_values(double now, const KnobRange& range);

/// The largest of one knob beside several values of another.
struct Frontier {
  std::vector<HowFar> all;
  std::vector<Setting> nothing_at;  ///< of the second knob: beside these nothing suffices
};

Frontier frontier(const HowfarQuestion& question, const Setting& first, const KnobRange& range,
                  const Knob& second, const std::vector<double>& values);

}  // namespace ellwand::decide
