#pragma once
/// A piece drawn to scale, band by band, in the colours and patterns of its yarns: SVG with text.

#include "ellwand/estimate/estimate.hpp"
#include "ellwand/units/told.hpp"

#include <string>
#include <vector>

namespace ellwand::studio {

struct DrawingOptions {
  LengthShown shown = LengthShown::Centimetres;
  Length<> most_width = millimetres(186.0);   ///< of the whole drawing on paper
  Length<> most_height = millimetres(158.0);  ///< what the piece and its measures may take
  bool key = true;                            ///< which pattern is which yarn, below it
  std::string ids = "piece";  ///< what ids of its elements begin with, each drawing of a document
                              ///< its own: a letter, then letters, digits, hyphens
};

struct Drawing {
  std::string svg;             ///< one `<svg>` element
  Length<> width;              ///< on paper
  double times_smaller = 1.0;  ///< than the piece where its width is kept: 3 of 1 : 3
};

/// The piece as it stands on the loom, from its hanging cord to the ends of its fringe.
///
/// A unit of the drawing is a millimetre of the piece, 0 0 where the first pick begins at the left
/// edge, y downwards: a band of 20 mm on one of 30 mm reaches from y = -50 to -30. Each area of
/// colour is filled with its yarn's pattern; texts stand beside. It has role="img" with a title and
/// a description that tell the same. What no file says (where drawn shapes stand, which ends are
/// wrapped) is put in evenly and said to be so.
Drawing piece_drawing(const estimate::PieceModel& model, const estimate::PieceEstimate& estimate,
                      const DrawingOptions& options = {});

/// The colour a yarn of the piece is drawn in, "#7a4b3c".
///
/// @param yarn  an index into the model's all_yarns()
std::string yarn_colour(const estimate::PieceModel& model, std::size_t yarn);

/// A patch of a yarn's colour and pattern as a `<svg>` element of its own, 7 mm by 4 mm.
///
/// @param yarn  an index into the model's all_yarns()
std::string yarn_patch(const estimate::PieceModel& model, std::size_t yarn);

}  // namespace ellwand::studio
