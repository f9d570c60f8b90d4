#pragma once
/// What she could weave and measure next: each work of her pieces in each of its yarns, in a few
/// sizes, with what it would take of her time and yarn.

#include "ellwand/calibrate/observe.hpp"
#include "ellwand/calibrate/swatch.hpp"
#include "ellwand/estimate/piece_model.hpp"

#include <string>
#include <vector>

namespace ellwand::calibrate {

/// What is measured of a candidate.
enum class Measuring {
  WeighedAndMeasured,  ///< the yarn before and after; the height
  OneRowUnpicked,      ///< that, and one row picked out and its yarn measured
  WeighedLength,       ///< nothing is woven: a length of yarn run off and weighed
  WrapsCounted         ///< nothing is woven: wrapped round a rule, the wraps counted
};

struct Candidate {
  Measuring measuring = Measuring::WeighedAndMeasured;
  std::string work;                ///< as technique::name_of has it; empty where nothing is woven
  std::string yarn;                ///< whose use is measured
  std::string like;                ///< name of the piece that has it so
  int like_band = 0;               ///< from 1; 0 where nothing is woven
  int ends = 0;                    ///< of the warp; 0 where nothing is woven
  int rows = 0;                    ///< of a wrapping, turns at each place
  Swatch swatch;                   ///< its measurements read what is expected
  std::vector<Expected> expected;  ///< of each of them
  double minutes = 0.0;            ///< with setting up and measuring
  double grams = 0.0;              ///< of all its yarns, warp included
  int least_rows = 0;              ///< so many her scale can weigh; 0 where nothing is woven
  bool is_too_light = false;       ///< for her scale, by the yarn that is weighed
};

/// Fewer steps of a scale than this say little of a swatch: of five its two readings leave 8 %
/// open, of one 41 % (step / sqrt(6)).
inline constexpr double kLeastSteps = 5.0;

/// Who would weave a swatch.
struct Weaver {
  std::string name;  ///< empty where only her skill is known
  bool beginner = false;
  double scale_step_g = 0.0;  ///< of her scale; 0 where it is not known
};

/// Candidates, each once: a swatch has one band, a piece's own loom and warp, no more ends than the
/// piece and none of what she adds to a finished one. Sizes, tools and minutes are starting values
/// ("swatch.", "tool.", "minutes."); where a height is too light for her scale, one it can weigh is
/// among them. A width or height that a loom has no room for, or a yarn that
/// cannot be woven so, makes no candidate; hemstitch, bare warp and cords make none.
///
/// @param pieces    whose works and yarns are gone through
/// @param workshop  learned habits included, where there are any
/// @param weaver    who would weave them
/// @throws BadInput for a piece that cannot be woven
std::vector<Candidate> candidates_for(const std::vector<piece::Piece>& pieces,
                                      const estimate::Workshop& workshop, const Weaver& weaver);

}  // namespace ellwand::calibrate
