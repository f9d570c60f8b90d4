#pragma once
/// What a measurement should read: the estimate's own model, asked for what was measured.

#include "ellwand/calibrate/swatch.hpp"
#include "ellwand/estimate/piece_model.hpp"

#include <vector>

namespace ellwand::calibrate {

/// The logarithm of a reading as the model has it.
struct Expected {
  double log_value = 0.0;      ///< of g, m or g/m, as the measurement has it
  std::vector<double> slopes;  ///< by the coefficients of the piece, each in its own unit
  double extra_sd = 0.0;       ///< of what the model does not carry: relaxation and washing
};

/// The row of the starting values with the error of a kind of measurement, as a log-sd.
const char* error_name(Measured what);

/// A swatch's piece at one state of its coefficients, ready to be asked.
class Observed {
 public:
  /// @param model  must outlive it; made with every spread at 1
  Observed(const estimate::PieceModel& model, const estimate::StartingValues& values);

  /// @throws OutOfRange where the piece has nothing of what was measured: no such yarn in the band,
  ///         no height
  Expected expected(const Measurement& measurement) const;

 private:
  Expected amount(const Measurement& measurement) const;
  Expected height(const Measurement& measurement) const;
  Expected width(const Measurement& measurement) const;
  Expected end(const Measurement& measurement) const;
  Expected thread(const Measurement& measurement) const;
  void put_in_state(piece::State state, Expected& expected) const;
  std::size_t yarn_of(const Measurement& measurement) const;

  const estimate::PieceModel& model_;
  estimate::Parts parts_;
  double relaxation_sd_;
  double washing_sd_;
};

}  // namespace ellwand::calibrate
