#pragma once
/// The parts of a piece file, each read by its own source; for the readers of pieces and swatches.

#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/piece/piece.hpp"
#include "ellwand/studio/document.hpp"
#include "ellwand/studio/studio.hpp"
#include "ellwand/technique/strand.hpp"

#include <optional>
#include <string>

namespace ellwand::studio {

/// What the parts need to know of one another while a piece is read.
struct PieceInProgress {
  const Studio& studio;
  const estimate::StartingValues& starting;
  piece::Piece& piece;
  std::optional<int> woven_ends;  ///< without floating selvedges; absent when not to be told
  bool loom_is_known = false;     ///< kind and what it needs were read
  bool piece_states_every = false;
  bool weaver_is_stated = false;  ///< in [piece], which stands above [habits]

  /// Ends with floating selvedges, once they are known.
  std::optional<int> all_ends() const;
};

/// Every table of a piece file, in the order that lets each know what it needs.
piece::Piece read_piece_table(const Value& table, const std::string& id, const Studio& studio,
                              const estimate::StartingValues& starting, Findings& findings);
void set_weaver(const Weaver& weaver, piece::Piece& piece);
/// [loom]
void read_piece_loom(Section& file, PieceInProgress& progress);
/// [warp], after the loom
void read_piece_warp(Section& file, PieceInProgress& progress);
/// One [[band]], after the warp.
piece::Band read_band(Section& band, PieceInProgress& progress);
/// Finds each hemstitch its edge, and the weft of that for a thread where it names none.
void settle_hems(piece::Piece& piece, Findings& findings);
/// The keys of a woven band.
technique::Woven read_woven(Section& band, piece::State& height_state, PieceInProgress& progress);
/// The ground of a pile: yarn, weave and beat as of a woven band; its extent is left open.
technique::Woven read_ground(Section& ground, const PieceInProgress& progress);
/// height_state, of a band that has a height.
piece::State read_height_state(Section& band, bool has_height);
/// weave, grid, or threading with tie_up and treadling; spread over every end.
/// `repeat_picks` becomes the picks of one repeat as stated.
cloth::Grid read_weave_grid(Section& band, const PieceInProgress& progress, int& repeat_picks);
/// yarn, or areas.
std::vector<technique::ColourArea> read_areas(Section& band, const PieceInProgress& progress);
/// [finish], after the warp
void read_finish(Section& file, PieceInProgress& progress);

/// A yarn the studio has, or a complaint; empty where the key is absent.
std::string read_yarn_id(Section& section, const Studio& studio, const std::string& key);
/// yarn, held, split_into.
technique::Strand read_strand(Section& section, const Studio& studio);

/// "13.2 cm", "2.5 /cm" or the like in inches, for sentences.
std::string told(const Length<>& length, const Shown& shown);
std::string told(const ThreadDensity<>& density, const Shown& shown);

}  // namespace ellwand::studio
