#pragma once
/// A piece file: a design as the weaver writes it down.

#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/piece/piece.hpp"
#include "ellwand/studio/studio.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace ellwand::studio {

struct PieceReading {
  piece::Piece piece;
  std::vector<Complaint> warnings;  ///< in the order of the file
  bool is_woven = false;            ///< it has a [[measured]]
};

/// Tables: [piece], [lots] (the dye lot of a yarn, by its id), [loom], [warp], [habits], [[band]]
/// from the bottom up, [finish].
///
/// What the reader settles, so that a Piece is complete:
///  - the loom is the studio's where `use` names it, with the piece's own keys over it;
///  - ends, sett and width follow from any two of them; a third may differ by one end;
///  - ends are those of the weave; floating selvedges add two, and the areas at the edges take them
///    unless the areas already count them;
///  - the weave of every band is spread over every end;
///  - who weaves is the studio's weaver unless the piece says; habits are left as the piece states
///    them, for the estimate to fill up with the studio's;
///  - the beat's ratio is the starting value of its face unless the band states one;
///  - `id` is the file's name without folder and ending.
///
/// @param file      as the user named it
/// @param starting  for the beat's ratio
/// @throws BadInput with every complaint
PieceReading read_piece(const std::string& text, const std::string& file, const Studio& studio,
                        const estimate::StartingValues& starting);

/// The same from a file.
PieceReading open_piece(const std::filesystem::path& path, const Studio& studio,
                        const estimate::StartingValues& starting);

}  // namespace ellwand::studio
