#pragma once
/// From swatches to coefficients: means, what is still unsure, and what that rests on.

#include "ellwand/calibrate/swatch.hpp"
#include "ellwand/estimate/learned.hpp"
#include "ellwand/estimate/piece_model.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace ellwand::calibrate {

/// How a fit ended.
enum class Verdict {
  Settled,     ///< a further round changes nothing
  NotSettled,  ///< still moving when it was stopped: not to be used
  NoSwatches   ///< nothing was measured: the starting values hold
};

/// A measurement beside what the fit has for it.
struct FittedRow {
  std::size_t swatch = 0;       ///< index into the swatches
  std::size_t measurement = 0;  ///< index into its measurements
  double log_residual = 0.0;    ///< ln(measured / fitted), the piece's own way left out
  double sd = 0.0;              ///< of that, the piece's own way included
  double weight = 1.0;          ///< 1 in line, falling to 0 far out of it
  bool is_set_aside = false;    ///< so far off what all other pieces foretell that it counts for
                                ///< nothing; see fit
  double by_others = 0.0;       ///< of what is set aside: ln(measured / foretold by the others)
  double by_others_sd = 0.0;    ///< and the sd of that forecast
};

/// One of the coefficients that some measurement moves with.
struct FittedCoefficient {
  std::string name;
  std::string meaning;        ///< in a weaver's words
  double start_spread = 0.0;  ///< before anything was measured
  double mean = 0.0;
  double spread = 0.0;
};

struct Fit {
  Verdict verdict = Verdict::NoSwatches;
  estimate::Learned learned;
  std::vector<FittedCoefficient> coefficients;  ///< in the order of learned.names
  std::vector<FittedRow> rows;
  int rounds = 0;
};

struct FitOptions {
  /// Average over the spreads that are themselves unsure; otherwise they stay as they start.
  bool average_spreads = true;
  /// Degrees of freedom of Student's t that the errors of measurement follow; infinite is normal.
  double robustness = 4.0;
  /// Set aside what all other pieces miss by far; with normal errors nothing ever is.
  bool sets_aside = true;
  /// That work at most; 0 for as many as there are cores. It changes no bit of the result.
  std::size_t threads = 0;
};

/// @throws BadInput for a swatch that cannot have been woven or measured so, with every complaint
///
/// Model:  ln(reading) = ln(estimate at the coefficients) + error, the coefficients normal about
///         their starting values; relinearised about their means until these stay
///         (M. J. Lindstrom and D. M. Bates, Biometrics 46 (1990) 673-687, from memory), the
///         spreads averaged over (see blend). The error is that of her tool at the fitted value and
///         that of the kind of measurement together; Student's t by weights (K. L. Lange, R. J. A.
///         Little and J. M. G. Taylor, JASA 84 (1989) 881-896, from memory). That does not help
///         where one swatch is all that is known of a yarn or a work, for then the coefficient goes
///         wherever the figure is: so each piece that the others seem to miss by far is held
///         against a fit without it, and a figure that an honest one is as far off as once in a
///         thousand times, or in fifty fits, is set aside. A second swatch that says the same
///         brings it back, for then each is foretold by the other.
Fit fit(const std::vector<Swatch>& swatches, const estimate::Workshop& workshop,
        const FitOptions& options = {});

}  // namespace ellwand::calibrate
