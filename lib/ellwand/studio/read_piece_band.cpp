#include "ellwand/studio/read_common.hpp"
#include "ellwand/studio/read_piece_parts.hpp"
#include "ellwand/technique/knotted_fringe.hpp"
#include "ellwand/units/text.hpp"

#include <algorithm>

namespace ellwand::studio {

namespace {
const std::vector<std::string> kWorks = {"weave",    "knotted fringe", "soumak",
                                         "twining",  "looped pile",    "knotted pile",
                                         "wrapping", "hemstitch",      "gap"};
constexpr std::size_t kWeave = 0;
constexpr std::size_t kKnottedFringe = 1;

technique::KnottedFringe read_fringe(Section& band, const PieceInProgress& progress) {
  technique::KnottedFringe fringe;
  fringe.strand = read_strand(band, progress.studio);
  fringe.ends = progress.all_ends().value_or(fringe.ends);
  fringe.rows = band.whole("rows", 1, 1000).value_or(1);
  band.require("hang", "how long it hangs from the middle of the knot, such as hang = \"14 cm\"");
  fringe.hang = band.length("hang", "5 mm", "5 m").value_or(Length<>());
  fringe.pulled_tight = band.flag("pulled_tight").value_or(false);
  const auto card = band.length("card", "0.1 mm", "5 cm");
  fringe.wound_on_card = card.has_value();
  fringe.card_thickness = card.value_or(Length<>());
  return fringe;
}

/// Which work it is, if this version estimates it.
std::optional<std::size_t> read_work(Section& band) {
  band.require("work", "work = \"weave\" or \"knotted fringe\"");
  const auto work = band.choice("work", kWorks);
  if (!work || *work <= kKnottedFringe) return work;
  band.complain("work", in_quotes(kWorks[*work]) +
                            " is not estimated by this version yet; it estimates 'weave' and "
                            "'knotted fringe'");
  return std::nullopt;
}
}  // namespace

piece::Band read_band(Section& section, PieceInProgress& progress) {
  piece::Band band;
  band.line = section.place().line;
  const auto work = read_work(section);
  if (!work) return band;  // which keys it may have is not to be told
  if (*work == kWeave) {
    band.work = read_woven(section, band.height_state, progress);
  } else {
    band.work = read_fringe(section, progress);
  }
  band.habits = read_length_habits(section);
  section.warn_of_unknown_keys();
  return band;
}

}  // namespace ellwand::studio
