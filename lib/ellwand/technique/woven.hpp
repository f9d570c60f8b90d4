#pragma once
/// Woven bands: weft over and under the warp by a grid, in one or several areas of colour.

#include "ellwand/cloth/crossing.hpp"
#include "ellwand/cloth/weave.hpp"
#include "ellwand/technique/ledger_entry.hpp"
#include "ellwand/technique/lengths.hpp"
#include "ellwand/technique/lie.hpp"
#include "ellwand/technique/strand.hpp"

#include <optional>
#include <utility>
#include <vector>

namespace ellwand::technique {

/// How a colour area holds the one before it (the one to its left).
enum class Join {
  None,         ///< the first area, or an area drawn on a ground
  Slit,         ///< each turns on its own last end; nothing between them
  Interlocked,  ///< the two wefts turn round each other between the ends
  Dovetailed,   ///< this area turns on the last end of the one before it
};

/// Shapes given by a drawing: how much cloth they cover, not where.
struct Drawn {
  Area<> area;     ///< of all shapes of this colour together; above 0
  int shapes = 1;  ///< separate shapes, each with two tails; 1 or more
  Length<> width;  ///< mean width of one shape, which sets its turns; above 0
};

/// One weft and where it runs.
struct ColourArea {
  Strand strand;
  int ends = 0;  ///< warp ends it covers; 0 for a drawn area or the ground behind drawn areas
  Join join = Join::None;
  std::optional<Drawn> drawn;
};

/// A measured stretch of cloth, where she already knows how it beats down.
struct MeasuredRows {
  int rows;
  Length<> height;
};

/// How close the rows lie: measured, or picks per length, or else by the face of the cloth.
struct Beat {
  cloth::Face face = cloth::Face::Weft;
  double ratio = 0.65;           ///< row spacing over weft diameter (weft-faced), over warp spacing
                                 ///< (balanced), over both diameters (warp-faced); above 0
  bool ratio_is_stated = false;  ///< by the piece, so that one that cannot be is refused
  std::optional<ThreadDensity<>> picks;
  std::optional<MeasuredRows> measured;
  /// The weft's part of the crimp height, where it was found; as the face has it otherwise.
  std::optional<double> weft_share = std::nullopt;

  cloth::HeightShares shares() const {
    return weft_share ? cloth::HeightShares(face, *weft_share) : cloth::HeightShares(face);
  }
  bool is_stated() const { return picks.has_value() || measured.has_value(); }
};

/// How far a band goes: exactly one of rows, height on the loom, or repeats of its grid.
struct Extent {
  enum class By { Rows, Height, Repeats };
  By by = By::Rows;
  int count = 0;    ///< rows or repeats, 1 or more
  Length<> height;  ///< on the loom; above 0
};

struct Woven {
  cloth::Grid grid = cloth::plain();  ///< spread over every end, selvedges included
  int repeat_picks = 1;               ///< of the weave as stated, for counting repeats
  std::vector<ColourArea> areas;      ///< one or more, left to right
  Beat beat;
  Extent extent;
  /// Along the weft and up the warp, point to point, where the weft does not run at right angles;
  /// empty where it does. Only the slopes matter.
  std::vector<std::pair<Length<>, Length<>>> weft_line;

  bool is_drawn() const;

  /// How much longer the weft's course is than its run across the warp, the mean of sqrt(1 +
  /// slope^2) over it; 1 at right angles. Rows that lie side by side are as much further apart up
  /// the warp.
  double course_over_run() const;
};

/// What one area of a woven band comes to.
template <class Scalar>
struct WovenArea {
  Entries<Scalar> entries;
  Length<Scalar> row_spacing;  ///< up the warp
  Scalar rows{0.0};
  Length<Scalar> height;        ///< rows x row spacing, on the loom
  Scalar lengths{0.0};          ///< lengths of weft it takes
  bool flattened = false;       ///< the weft does not fit round between the ends
  bool rows_need_room = false;  ///< the gaps between the ends keep the rows further apart
};

/// The yarn of one area: rows of taut picks, each with a turn, times the take, plus two tails a
/// length.
///
/// @param area  an index into band.areas
/// @throws OutOfRange when the weft cannot lie between these ends even flattened, or when rows are
///         to lie closer than the weave allows; the sentence names the nearest that works
/// Rows lie as measured, as picks per length say, or as the beat has them:
///   weft-faced   ratio x d_w, but never under 3/8 d_w, nor under the room the gaps leave;
///   balanced     ratio x p_e, but never closer than the ends can bend round them;
///   warp-faced   ratio x (d_e + d_w), but never closer than the ends can bend.
/// Measured rows and stated picks are counted up the warp. The beat's are side by side, at right
/// angles to the weft: up the warp they come to `course_over_run` times as much.
///
/// Source: cells by Peirce's flexible thread (see cloth/crossing.hpp); turn derived: half a turn
///         of the weft's axis round the edge end while it climbs one row.
template <class Scalar>
WovenArea<Scalar> woven_area(const Woven& band, std::size_t area, const Lie<Scalar>& lie);

/// How near the threads of an area are to lying in another way: the least |ln(have / need)| of the
/// ends' spacing against the jam of the weft round them, and of the rows against the closest the
/// weave or its room allows. 0 at such a change; `kFar` where there is none.
double nearest_change(const Woven& band, std::size_t area, const Lie<>& lie);

/// ln of the room the ends leave over what the weft needs to lie round between them: p_e over
/// `cloth::least_mean_spacing` of the area, flat ends by their width. Below 0 the weft is pressed
/// flat.
double log_room(const Woven& band, std::size_t area, const Lie<>& lie);

/// The weft's path from one row into the next round the edge end.
/// @returns sqrt((pi (d_e + d_w) / 2)^2 + p_w^2)
template <class Scalar>
Length<Scalar> turn(const Length<Scalar>& end, const Length<Scalar>& weft,
                    const Length<Scalar>& row_spacing);

/// Extra yarn over cloth length in one end through an area of the band.
template <class Scalar>
cloth::Crimp<Scalar> warp_crimp(const Woven& band, std::size_t area, const Lie<Scalar>& lie,
                                const Length<Scalar>& row_spacing);

/// Width of the woven cloth on the loom: (ends - 1) p_e + d_e + 2 d_w.
Length<> woven_width(int ends, const Length<>& warp_spacing, const Length<>& end,
                     const Length<>& weft);

}  // namespace ellwand::technique
