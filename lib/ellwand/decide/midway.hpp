#pragma once
/// A piece on the loom: what of its parts is woven, what a weighing of that tells of the rest.

#include "ellwand/estimate/piece_model.hpp"
#include "ellwand/numeric/range.hpp"

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace ellwand::decide {

/// How far a piece is woven: all below a band, and some of that band.
struct Progress {
  std::size_t band = 0;  ///< index into the piece's bands
  double share = 0.0;    ///< of that band, from 0 to 1
  bool warped = true;    ///< the warp is on the loom
  bool stops = false;    ///< what is begun is ended there, with its tail
};

/// How many rows a band has: places of a wrapping, rows of knots of a pile, 1 of a hem, 0 of a gap.
/// Areas side by side have the rows of their own yarns; it is those of the first.
int rows_of_band(const estimate::PieceModel& model, std::size_t band);
/// Those of a yarn's own area where it has one.
int rows_of_band(const estimate::PieceModel& model, std::size_t band, const std::string& yarn);
/// Whether all its areas have the same rows; without areas it is.
bool is_in_step(const estimate::PieceModel& model, std::size_t band);

/// The share of every part that is woven, from 0 to 1. Of a band in work its yarn and tails go by
/// rows: a length that is begun has one tail laid and one to come, which on average leaves the half
/// length that smooth counting adds to the end of the band. Waste goes as what is worked of its
/// yarn; the cord comes last.
///
/// Source: derived.
std::vector<double> woven_shares(const estimate::PieceModel& model, const estimate::Parts& parts,
                                 const Progress& progress);

/// How an amount of one yarn is reckoned.
struct Measure {
  bool is_mass = true;  ///< in g; otherwise in m
  std::size_t yarn = 0;
  double grams_per_metre = 1.0;
  std::size_t lot = 0;    ///< the coefficient of its lot
  std::size_t split = 0;  ///< the coefficient of its strips, each drawn anew
};

Measure measure_of(const estimate::PieceModel& model, std::size_t yarn, bool is_mass);

/// The logarithm of an amount: its value, its slopes for one spread of each coefficient, and what
/// is its own and tells nothing of any other.
struct LogAmount {
  double value = 0.0;
  std::vector<double> slopes;
  double own_variance = 0.0;

  /// Its variance, its own left out.
  double variance(const estimate::Coefficients& coefficients) const;
};

/// The amount of a yarn in some of the parts, as the straight line at the medians has it.
///
/// @param parts    with slopes by the coefficients
/// @param shares   of every part, from 0 to 1
/// @param spreads  of the coefficients, for the lot's
/// @throws OutOfRange where there is none of it
LogAmount log_amount(const estimate::Parts& parts, const Measure& measure,
                     std::span<const double> shares, std::span<const double> spreads);

/// The coefficients once an amount was read.
///
/// @param residual  ln of what was read, less what the prior means foretell
/// @param sd        of its error: above 0
/// Source: conditioning of normal variables, by calibrate::Belief.
estimate::Coefficients conditioned(const estimate::Coefficients& prior,
                                   std::span<const double> slopes, double residual, double sd);

/// The amount of a yarn in some of the parts, with its whole doubt.
///
/// @param parts    with slopes by the coefficients
/// @param scatter  log-sd of what one amount strays by on its own
/// @throws OutOfRange where there is none of it
numeric::ShiftedLognormal amount_to_come(const estimate::Parts& parts, const Measure& measure,
                                         std::span<const double> shares,
                                         const estimate::Coefficients& coefficients,
                                         double scatter);

}  // namespace ellwand::decide
