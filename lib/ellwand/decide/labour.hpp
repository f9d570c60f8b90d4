#pragma once
/// The minutes of a piece, band by band: by what she logged, what she states, or starting values.

#include "ellwand/estimate/estimate.hpp"
#include "ellwand/estimate/starting_values.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::decide {

/// Minutes are stated and logged by a work's name in piece files ("weave"), those of no band by
/// this one: to wind the warp, sew in, finish.
inline constexpr const char* kBesides = "besides";

/// Weaving whose weft is thrown on a shuttle goes many times as fast as that laid by hand: it is a
/// work of its own here, so that neither is timed by the other.
inline constexpr const char* kThrownWeave = "thrown weave";

/// How a weft gets from one edge to the other.
enum class Passes { ByHand, Thrown };

/// The names that minutes can be stated under: the works, in the order of technique::Work, with
/// kThrownWeave, and kBesides.
const std::vector<std::string>& works_with_minutes();

/// Something to be done.
struct Task {
  int band = 0;  ///< from 1; 0 of what is of no band
  std::string work;
  double units = 1.0;             ///< rows 10 cm wide; turns of a wrapping; 1 besides
  double starting_minutes = 0.0;  ///< by the starting values ("minutes.")
};

/// What is done in one band.
///
/// @param rows  woven; turns at all places of a wrapping
/// @param ground_rows  of a knotted pile, between its knots
/// @param passes  of a woven band, or of a pile's ground
Task task_of(int band, const technique::Work& work, int rows, int ground_rows, Passes passes,
             const Length<>& width, const estimate::StartingValues& values);

/// What is done in every band of a piece from the bottom up, those that come out again as well, and
/// last what is done besides. Gaps are no task.
std::vector<Task> tasks_of(const estimate::PieceModel& model,
                           const estimate::PieceEstimate& estimate,
                           const estimate::StartingValues& values);

/// Minutes once spent at one work.
struct Logged {
  std::string work;
  double units = 1.0;    ///< as in Task, above 0
  double minutes = 0.0;  ///< above 0
};

/// Where a figure of minutes comes from.
enum class Basis { Given, Log, Stated, Starting };

/// How long a unit of a work takes.
struct Pace {
  double minutes = 0.0;  ///< a unit, on average
  double log_sd = 0.0;
  int entries = 0;
};

/// How long her works took: minutes over units, work by work.
///
/// Several entries tell how they stray: with d the deviations of the logarithms of minutes a unit
/// from their mean, s0 the doubt of the starting values and k entries,
///   log_sd^2 = (s0^2 + sum d^2) / k (1 + 1 / k),
/// so that s0 counts as one observation. One entry alone leaves the doubt at s0.
///
/// Source: derived; the variance of a next one beside the mean of k.
std::map<std::string, Pace> paces_of(const std::vector<Logged>& log,
                                     const estimate::StartingValues& values);

/// What is known of her minutes.
struct Minutes {
  std::optional<double> given;           ///< of the whole piece, in place of all that follows
  std::map<std::string, Pace> logged;    ///< by work
  std::map<std::string, double> stated;  ///< by work, a unit
};

/// One line of labour.
struct Labour {
  int band = 0;  ///< from 1; 0 of what is of no band
  std::string work;
  double minutes = 0.0;  ///< on average, of a first piece
  Basis basis = Basis::Starting;
  /// Lognormal, log_sd^2 = own^2 + common^2: what is common to all lines that no log tells of, and
  /// what is common to the lines of one work.
  double own_log_sd = 0.0;
  double common_log_sd = 0.0;
};

/// The labour of a piece by the best that is known of each task.
///
/// @param values  "minutes.work" and "minutes.common" have the doubts where no log tells
std::vector<Labour> labour_of(const std::vector<Task>& tasks, const Minutes& known,
                              const estimate::StartingValues& values);

/// A question where minutes are so far from what is usual that hours, or seconds, were most likely
/// written for them; empty otherwise. Halfway, in logarithms, from what is usual to a sixtieth of
/// it is 1 / sqrt(60).
///
/// @param usual  minutes, above 0
std::string doubt_of_minutes(double minutes, double usual);

/// Covariance of the logarithms of two lines' minutes.
double log_covariance(const Labour& a, const Labour& b);

}  // namespace ellwand::decide
