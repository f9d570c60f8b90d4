#pragma once
/// A piece file read with some of its measures changed; the file itself stays as it is.

#include "ellwand/decide/knob.hpp"
#include "ellwand/estimate/piece_model.hpp"
#include "ellwand/studio/document.hpp"
#include "ellwand/studio/studio.hpp"

#include <string>
#include <vector>

namespace ellwand::studio {

/// How ends that a warp gains or loses fall on the areas of colour of a band.
enum class AreaRule {
  Widest,       ///< the widest area takes them all
  InProportion  ///< each takes its share
};

/// "rows of band 3", "rows 3", "repeats of band 2", "height of band 4", "hang of band 1", "ends",
/// "width", "size".
/// @throws UnreadableText with what is accepted
decide::Knob read_knob(const std::string& text);

/// A piece as its file states it, to be read again with other measures.
///
///  - A band's extent is stated in its place: rows where it had a height, say.
///  - Ends: areas follow `AreaRule`; shapes of a drawing stay as they are; a wrapping that took in
///    every end takes in as many whole bundles as there are; the sett stays.
///  - Size: ends, rows, repeats, heights, hangs and what the piece hangs by in proportion, counts
///    rounded to whole ones, drawn areas as the square. What makes the cloth (sett, beat, height of
///    loops and pile, ends of a knot) stays, as do tails, trims, fringe and loom waste of a beam.
class ChangeablePiece {
 public:
  /// @param studio, starting  must outlive it
  /// @throws BadInput as read_piece does
  ChangeablePiece(const std::string& text, std::string file, const Studio& studio,
                  const estimate::StartingValues& starting, AreaRule areas = AreaRule::Widest);

  const piece::Piece& as_stated() const { return piece_; }

  /// Whether its warp is stated by a width, from which its ends follow, and not by ends.
  bool is_stated_by_width() const;

  /// The value a knob has in the file; rows of a band stated by its height as they are planned.
  /// @throws OutOfRange for one the piece does not have, with those it has
  double value(const decide::Knob& knob, const estimate::Workshop& workshop) const;

  /// Every knob it has, band after band, then ends and size.
  std::vector<decide::Knob> knobs() const;

  /// @throws BadInput where it cannot be so
  piece::Piece with(const std::vector<decide::Setting>& settings) const;

 private:
  Value document_;
  std::string file_;
  const Studio& studio_;
  const estimate::StartingValues& starting_;
  AreaRule areas_;
  piece::Piece piece_;
};

}  // namespace ellwand::studio
