#pragma once
/// What a calibration has to say for itself: how much better it is on what it has not seen, what
/// it settled and what not, and which swatches stand apart.

#include "ellwand/calibrate/fit.hpp"

#include <optional>
#include <string>
#include <vector>

namespace ellwand::calibrate {

/// A figure as it is foretold: the logarithm of it is normal.
struct Foretold {
  double log_mid = 0.0;
  double log_sd = 0.0;
};

/// What a measurement of a swatch is foretold to read, by what the workshop has learned or, where
/// it has learned nothing, by the starting values: what is unsure of the coefficients, the piece's
/// own way, the kind of measurement and the tool all in its spread.
///
/// @throws BadInput for a piece that cannot be woven
/// @throws OutOfRange for a measurement of what is not in it
///
/// Source: derived; the logarithm of an amount taken as linear in the coefficients about their
///         means.
Foretold foretold(const Swatch& swatch, const Measurement& measurement,
                  const estimate::Workshop& workshop);

/// All figures of a swatch, foretold at once: their logarithms are normal together.
struct ForetoldTogether {
  std::vector<double> log_mids;    ///< in the order of its measurements
  std::vector<double> covariance;  ///< row by row
};

/// As foretold, of every measurement of a swatch; they share its coefficients. The step of the tool
/// is held against what was read where that is more than was foretold: 3 oz are known to a sixth of
/// their mass, however little was to be expected.
ForetoldTogether foretold_together(const Swatch& swatch, const estimate::Workshop& workshop);

/// An amount of yarn of a piece that was left out of the fit, as foretold without and with it.
struct Trial {
  std::size_t swatch = 0;
  std::size_t measurement = 0;
  Foretold start;  ///< by starting values alone
  Foretold now;    ///< by the fit to all other pieces
};

/// How well a number of trials went.
struct Score {
  int amounts = 0;
  double typical_off = 0.0;         ///< as many are further off as nearer, |read / mid - 1|
  double mean_abs_log_error = 0.0;  ///< |ln(read / mid)|
  int inside = 0;                   ///< of the range it lies in 9 times in 10
  double crps = 0.0;                ///< mean, of the logarithm: about a share of the amount
  double interval_score = 0.0;      ///< mean, of that range of the logarithm
};

/// Trials of one work, or of all.
struct Comparison {
  std::string work;  ///< "weave"; empty for all, "several" for pieces measured as a whole
  Score start;
  Score now;
};

/// A piece, and how far any coefficient moves when it is left out.
struct Influence {
  std::string piece;
  std::string coefficient;  ///< the one that moves furthest, by name
  double shift = 0.0;       ///< in that coefficient's spreads; with the sign of what it adds
};

/// What is known of a coefficient of that before: 0 nothing, 1 all.
struct Settled {
  std::size_t coefficient = 0;  ///< index into the fit's
  double share = 0.0;           ///< of its starting variance that the swatches removed
};

/// A direction of the coefficients in starting spreads, and what the data say of it.
struct Direction {
  double share = 0.0;            ///< s^2 / (1 + s^2)
  std::vector<double> loadings;  ///< one a coefficient, of length 1
};

/// Two coefficients the swatches pin together but not one by one.
struct Pair {
  std::size_t first = 0;
  std::size_t second = 0;
  double correlation = 0.0;
};

/// A measurement that counts for little, or for nothing, because it disagrees with all others.
struct OutOfLine {
  std::size_t swatch = 0;
  std::size_t measurement = 0;
  double times = 1.0;         ///< what was read over what the others lead to expect
  double log_sd = 0.0;        ///< of the logarithm of the figure about that
  bool is_set_aside = false;  ///< counts for nothing
};

/// A coefficient that the swatches pull far from where it started.
struct Conflict {
  std::size_t coefficient = 0;
  double starting_spreads = 0.0;  ///< how far, with its sign
};

struct Report {
  std::vector<Trial> trials;            ///< of amounts
  std::vector<Trial> other_trials;      ///< of all else that was measured: in no score
  std::vector<Comparison> comparisons;  ///< all first, then work by work where there are several
  std::vector<Influence> influences;    ///< the largest first; none where pieces were left out many
                                        ///< at a time
  std::vector<Settled> settled;         ///< in the order of the fit's coefficients
  std::vector<Direction> directions;    ///< the most settled first
  std::vector<Pair> pairs;              ///< the closest first
  std::vector<OutOfLine> out_of_line;
  std::vector<Conflict> conflicts;
};

/// Up to so many pieces are left out one by one; of more, a tenth at a time.
inline constexpr std::size_t kMostLeftOutSingly = 60;
/// A share of its variance below this leaves a coefficient at its starting value.
inline constexpr double kSettledShare = 0.5;
/// Two with this correlation or a lower one, not both settled to so much, are known better together
/// than one by one: of two with the same spread, a quarter less of their sum is unsure.
inline constexpr double kTogether = -0.25;
inline constexpr double kToldApartShare = 2.0 / 3.0;
inline constexpr double kOutOfLineWeight = 0.3;  ///< what counts for less is named
inline constexpr double kConflictSpreads = 2.5;

/// @param fit  to these swatches, settled or without swatches
///
/// Whole pieces are left out, never rows: measurements of one piece share its own way, and one of
/// them would be foretold by its neighbours.
///
/// Source: cross-validation by groups; the shares of directions are those of the eigenvalues of
///         the posterior covariance in starting spreads, 1 / (1 + s^2), where s is a singular value
///         of the prior-whitened slopes (derived: the posterior precision is I + S'S there).
Report report(const Fit& fit, const std::vector<Swatch>& swatches,
              const estimate::Workshop& workshop, const FitOptions& options = {});

/// The parts of it, each from what it needs.
std::vector<Settled> settled_of(const Fit& fit);
std::vector<Direction> directions_of(const Fit& fit);
std::vector<Pair> pairs_of(const Fit& fit);
std::vector<OutOfLine> out_of_line_of(const Fit& fit);
std::vector<Conflict> conflicts_of(const Fit& fit);
Score score_of(const std::vector<Trial>& trials, const std::vector<Swatch>& swatches, bool is_now);

/// Whether amounts left out were foretold further off by the others than by the starting values,
/// and by more than chance: of six or more, the mean of what |ln(read / mid)| grew by is above
/// twice its standard error (a paired comparison; chance alone reaches that once in some 25 times).
bool is_worse_beyond_chance(const std::vector<Trial>& trials, const std::vector<Swatch>& swatches);

/// The works of several whose typical error among five amounts left out or more rose by a tenth or
/// more, though all together may have gained. What so few amounts say may be chance; it is told,
/// not judged.
std::vector<Comparison> grown_worse(const std::vector<Comparison>& comparisons);

/// What was foretold, and what was read.
struct Forecast {
  Foretold told;
  double read = 0.0;  ///< above 0
};
Score score_of(const std::vector<Forecast>& forecasts);

/// All measurements as the starting values and as the fit to them all has them, nothing left out: a
/// fit is nearer to what it has seen than to anything else. In the order of the swatches.
std::vector<Trial> seen_trials(const Fit& fit, const std::vector<Swatch>& swatches,
                               const estimate::Workshop& workshop);

/// Of yarn, weighed or run off; scores are of these.
bool is_amount(const Measurement& measurement);

/// "weave"; "several" of a piece measured as a whole, empty of a yarn alone.
std::string work_of(const Swatch& swatch, const Measurement& measurement);

/// Whether a coefficient of this name is a share added to its starting value, as a draw-in or a
/// stretch is, or the weft's share of the crimp height; every other one is the logarithm of a
/// factor on it.
bool is_added(const std::string& name);

}  // namespace ellwand::calibrate
