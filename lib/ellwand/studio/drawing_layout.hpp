#pragma once
/// Where everything of a piece stands, to scale, before it is drawn: millimetres to the right of
/// the cloth's left edge and up from the first pick, as it is on the loom.

#include "ellwand/estimate/estimate.hpp"

#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

/// A stretch of a band in one yarn, over all its height.
struct DrawnArea {
  std::size_t yarn = 0;  ///< into the model's all_yarns()
  double from_mm = 0.0;
  double to_mm = 0.0;
  technique::Join join = technique::Join::None;  ///< with the one to its left
};

/// Shapes of one colour on the ground of a band. Where they stand is nowhere said: they are put
/// side by side, and only their size is true.
struct DrawnShapes {
  std::size_t yarn = 0;
  double width_mm = 0.0;  ///< of each
  double height_mm = 0.0;
  std::vector<double> middles_mm;
};

/// Cut strands that hang down from rows of knots.
struct DrawnStrands {
  std::size_t yarn = 0;
  std::vector<double> knots_mm;  ///< their middles from left to right
  std::vector<double> rows_mm;   ///< above the first pick, from the bottom up
  double hang_mm = 0.0;          ///< from the middle of a knot
  double bundle_mm = 0.0;        ///< thickness of the strands of one knot
  double knot_mm = 0.0;          ///< between the ends it is knotted on
};

/// Ends gathered and wrapped.
struct DrawnBundles {
  std::size_t yarn = 0;
  std::vector<double> middles_mm;
  double thickness_mm = 0.0;
  double covered_mm = 0.0;
  double turn_mm = 0.0;  ///< from turn to turn
  bool places_are_stated = true;
};

/// A hem sewn along an edge.
struct DrawnHem {
  std::size_t yarn = 0;
  double edge_mm = 0.0;
  double depth_mm = 0.0;  ///< up into the cloth, or below 0 down into it
  double stitch_mm = 0.0;
};

/// What the surface of a work looks like, by rows.
enum class Surface { Plain, Soumak, Twining, Loops, Pile };

struct DrawnBand {
  int band = 0;  ///< from 1
  std::string work;
  double bottom_mm = 0.0;
  double height_mm = 0.0;
  bool comes_out = false;
  bool is_bare = false;  ///< nothing but warp
  std::vector<DrawnArea> areas;
  std::vector<DrawnShapes> shapes;
  Surface surface = Surface::Plain;
  double wrap_mm = 0.0;  ///< of the surface, along a row
  double row_mm = 0.0;   ///< and from row to row
  std::optional<DrawnStrands> strands;
  std::optional<DrawnBundles> bundles;
  std::optional<DrawnHem> hem;
  std::string rows;                ///< "36 rows", "12 turns"; empty where there are none
  std::vector<std::size_t> yarns;  ///< each once, left to right
};

struct DrawnRod {
  double middle_mm = 0.0;  ///< above the first pick
  double thickness_mm = 0.0;
  double length_mm = 0.0;
  bool length_is_stated = false;
};

struct DrawnCord {
  std::size_t yarn = 0;
  double tie_distance_mm = 0.0;
  double rise_mm = 0.0;
  double from_mm = 0.0;  ///< above the first pick
  double thickness_mm = 0.0;
};

struct DrawingLayout {
  double width_mm = 0.0;
  double height_mm = 0.0;  ///< of all bands, those that come out again included
  double stays_from_mm = 0.0;
  double stays_to_mm = 0.0;
  std::vector<double> ends_mm;  ///< middles of the warp ends
  double end_mm = 0.0;          ///< thickness of one
  double free_below_mm = 0.0;   ///< warp left free for knots or fringe
  double free_above_mm = 0.0;
  std::vector<double> knots_below_mm;  ///< middles of the groups of ends tied there
  std::vector<double> knots_above_mm;
  std::vector<DrawnBand> bands;  ///< from the bottom up
  std::optional<DrawnRod> rod;
  std::optional<DrawnCord> cord;

  double lowest_mm() const;  ///< of all that hangs, 0 or below
  double highest_mm() const;
};

DrawingLayout layout_of(const estimate::PieceModel& model, const estimate::PieceEstimate& estimate);

}  // namespace ellwand::studio
