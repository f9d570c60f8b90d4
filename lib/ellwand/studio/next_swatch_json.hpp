#pragma once
/// The machine output of the advice on the next swatch: one JSON object with a schema number.

#include "ellwand/calibrate/next_swatch.hpp"
#include "ellwand/numeric/range.hpp"

#include <string>
#include <vector>

namespace ellwand::studio {

/// A planned yarn's range as it is and as it would become.
struct Narrowed {
  std::string piece;  ///< its id
  std::string name;   ///< the piece's
  std::string yarn;
  numeric::Range now_m;
  numeric::Range then_m;
  numeric::Range now_g;
  numeric::Range then_g;
};

/// A candidate with the planned yarns it narrows, the one that gains most grams first.
struct AdvisedSwatch {
  calibrate::Advised advised;
  std::vector<Narrowed> narrowed;
};

/// @param pieces       ids of the pieces looked at
/// @param any_planned  they are planned ones; otherwise nothing is narrowed
/// @param learned      what her swatches have taught; null without a calibration
std::string next_swatch_json(const std::vector<AdvisedSwatch>& swatches,
                             const std::vector<std::string>& pieces, bool any_planned,
                             const estimate::Learned* learned);

/// "weighed and measured", "one row unpicked", "a length weighed".
const char* name_of(calibrate::Measuring measuring);

}  // namespace ellwand::studio
