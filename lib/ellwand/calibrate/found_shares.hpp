#pragma once
/// How warp and weft share the crimp height, from swatches with both of them unpicked.

#include "ellwand/calibrate/fit.hpp"

#include <optional>
#include <vector>

namespace ellwand::calibrate {

/// The weft's share of the crimp height by one woven band.
struct FoundShare {
  cloth::Face face = cloth::Face::Balanced;
  double shift = 0.0;   ///< of the weft's share from its starting value
  double spread = 0.0;  ///< of that, by how far the measurements stray
};

/// A warp end that was drawn out of a band, and what was measured of the same band beside it.
struct Unpicked {
  const Measurement* end = nullptr;
  const Measurement* weft = nullptr;    ///< null where none was unpicked
  const Measurement* height = nullptr;  ///< null where none was measured

  bool is_whole() const { return end != nullptr && weft != nullptr && height != nullptr; }
};

/// One for each length of ends, pointing into the swatch.
std::vector<Unpicked> unpicked_of(const Swatch& swatch);

/// What a band says whose weft and warp were unpicked and whose height was measured; nothing where
/// one of these is missing, it is not woven, or it comes out again.
///
/// Both at rest, as an end that is drawn out is slack, an end is longer than the cloth by the crimp
/// that its part of the height gives it, over as many picks as it crosses; the share is looked for
/// where both roots are real: the warp's part up to `cloth::greatest_height` of the rows, the
/// weft's up to that of the ends.
///
/// @throws OutOfRange for ends shorter than their cloth or longer than these threads let them be,
///         by more than three times what such measurements stray
///
/// Source: F. T. Peirce, J. Text. Inst. 28 (1937) T45-T96; inverted by bisection.
std::optional<FoundShare> found_share(const Swatch& swatch, const Unpicked& unpicked,
                                      const estimate::Workshop& workshop);

/// What all swatches say of each face, weighed against its starting value: one coefficient a face
/// that any of them is of, named as estimate::height_share_name has it. No estimate is unsure by
/// it.
///
/// @throws BadInput with every complaint
///
/// Source: normal prior and readings, by their precisions.
std::vector<FittedCoefficient> found_shares(const std::vector<Swatch>& swatches,
                                            const estimate::Workshop& workshop);

}  // namespace ellwand::calibrate
