#pragma once
/// Nonlinear least squares with bounded parameters, priors and robust weights, and what it says
/// back.
///
/// Minimises sum of w_i r_i(p)^2 + sum of ((u_j - mean_j) / sd_j)^2 over the coordinates u of the
/// parameters p. The descent is in descent.hpp, what is done in doubt in search.hpp; problems with
/// a structure of their own use those two with their own Linearisation (linearisation.hpp).
///
/// Digits, on the 27 problems of NIST's Statistical Reference Datasets from both starts: at least 8
/// of every parameter in 54 of 54 runs, half of the runs 10.5 or more (test NistNonlinear.*);
/// standard deviations 8 (Lanczos1, free of noise, excepted).

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "ellwand/numeric/coordinate.hpp"
#include "ellwand/numeric/robust.hpp"
#include "ellwand/numeric/search.hpp"

namespace ellwand::numeric {

/// What is known of a parameter beforehand: normal, in its coordinate.
struct Prior {
  double mean = 0.0;
  double sd = 1.0;
};

struct Parameter {
  double start = 0.0;
  Coordinate coordinate = Coordinate::plain();
  std::optional<Prior> prior;
};

/// Residuals of the data, and their slopes, by parameters that lie inside their bounds.
class ResidualModel {
 public:
  ResidualModel() = default;
  ResidualModel(const ResidualModel&) = delete;
  ResidualModel& operator=(const ResidualModel&) = delete;
  virtual ~ResidualModel() = default;

  virtual std::size_t rows() const = 0;
  /// Each row divided by its standard deviation, where that is known; not finite where there is
  /// none.
  virtual void residuals(std::span<const double> parameters, std::span<double> residuals) const = 0;
  /// Row after row, a number for every parameter.
  virtual void slopes(std::span<const double> parameters, std::span<double> slopes) const = 0;
};

struct FitSettings {
  SearchSettings search{};
  Robust robust{};
  /// The residuals are in units of their standard deviations; then covariance is not scaled by what
  /// is left over. Needed when a parameter has a prior, which says how much a row counts.
  bool rows_in_sds = false;
};

/// How far a fit is to be believed. Only Settled and SeveralMinima are answers.
enum class Verdict {
  Settled,           ///< lowest sum of squares, reached as often as was asked
  SeveralMinima,     ///< the same, but other parameters do nearly as well: see `others`
  ReachedOnce,       ///< a minimum, but no second descent came as low
  NotPinned,         ///< the data leave some direction open
  AtBoundary,        ///< best at the end of what a parameter may be
  Flat,              ///< no step lowers the sum any more, yet its gradient has not vanished
  OutOfEvaluations,  ///< used up on the way down
  WeightsUnsettled,  ///< robust weights kept changing
  NoFiniteStart,     ///< residuals or slopes are not finite at any start tried
};

/// Whether the verdict is an answer.
inline bool is_answer(Verdict verdict) {
  return verdict == Verdict::Settled || verdict == Verdict::SeveralMinima;
}

/// The verdict as one sentence that says what to do.
std::string told(Verdict verdict);

/// Another minimum.
struct OtherMinimum {
  std::vector<double> parameters;
  double cost = 0.0;  ///< as Fit::cost
};

struct Fit {
  Verdict verdict = Verdict::NoFiniteStart;
  std::vector<double> parameters;  ///< finite, inside their bounds; empty when NoFiniteStart
  double rss = 0.0;                ///< sum of w r^2 over the data rows
  double cost = 0.0;               ///< the same and the prior rows
  double residual_sd = 0.0;  ///< sqrt(rss / (rows - effective_df)); 0 when no row is left over
  /// Trace of what the data rows have of the fit: the number of parameters without priors.
  double effective_df = 0.0;
  std::size_t rank = 0;  ///< directions that data and priors pin, of as many as parameters
  /// Of the coordinates, row after row; empty unless rank is full and residual_sd known.
  std::vector<double> covariance;
  std::vector<double> sds;  ///< of the parameters: sd of the coordinate times dp/du; empty likewise
  std::vector<double> weights;       ///< of the data rows
  double robust_scale = 0.0;         ///< 0 without robust weights
  std::vector<OtherMinimum> others;  ///< distinct minima of nearly equal cost
  int evaluations = 0;               ///< residuals once = 1, slopes once = 1
  int starts = 0;                    ///< descents made before any reweighting
};

/// Fits.
///
/// Never gives a success with a number that is not finite, whatever the starts and the model do
/// (test FitLeastSquares.GivesAVerdictForHostileStarts).
///
/// Robust weights are refreshed until the coordinates move by less than 1e-9 of their length, at
/// most 200 times; each round is one descent from where the last one ended. Prior rows are never
/// weighted down (test FitLeastSquares.PriorRowsAreNeverWeightedDown).
///
/// Covariance: (J^T W J + priors)^-1 from the singular values of J with its prior rows, columns
/// scaled to length 1, times residual_sd^2 unless rows_in_sds. With priors effective_df is the
/// trace of J_d (J^T J)^-1 J_d^T, J_d being the data rows.
///
/// @throws OutOfRange for no parameter, a prior without rows_in_sds, or one that is not finite with
///         an sd above 0
Fit fit_least_squares(const ResidualModel& model, std::span<const Parameter> parameters,
                      const FitSettings& settings);

}  // namespace ellwand::numeric
