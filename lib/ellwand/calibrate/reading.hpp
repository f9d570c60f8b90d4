#pragma once
/// What one reading says of the true figure, on the scale of logarithms.

namespace ellwand::calibrate {

/// A reading taken as normal about the logarithm of the true figure.
struct LogReading {
  double residual = 0.0;  ///< ln of what was read, less what is expected
  double sd = 0.0;
};

/// A reading and the tool it was taken with.
struct Reading {
  double value = 0.0;       ///< above 0
  double reading_sd = 0.0;  ///< of the tool, in the unit of the value
  bool is_coarse = false;   ///< under five steps of the tool
};

/// @param log_expected  ln of the figure as the model has it
/// @param log_sd        of the figure itself about the model: above 0
/// @returns of a fine reading: ln(value) - log_expected, sd sqrt(log_sd^2 + (u / expected)^2). The
///          tool's error is divided by what is expected and not by what was read: a reading that is
///          too low would otherwise count for more. Of a coarse one, the quadratic that has the
///          first and second slope of the likelihood of its interval, value +- sqrt(3) u.
///
/// Source: derived; the interval is that of a tool's step, one reading's u being step / sqrt(12)
///         (JCGM 100:2008, 4.3.7).
LogReading log_reading(const Reading& reading, double log_expected, double log_sd);

}  // namespace ellwand::calibrate
