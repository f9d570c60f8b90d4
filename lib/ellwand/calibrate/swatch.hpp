#pragma once
/// What was woven and what was measured of it: the evidence a calibration rests on.

#include "ellwand/piece/piece.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::calibrate {

/// What one figure is a measurement of.
enum class Measured {
  Mass,      ///< of one yarn, g
  Length,    ///< of one yarn, m: run off, or unpicked and straightened
  Height,    ///< of the band or the piece, m
  Width,     ///< of the cloth, m
  Diameter,  ///< of one strand of a yarn as it lies, m (from wraps)
  Density,   ///< grams per metre of a yarn: a length measured and weighed
  EndLength  ///< of one warp end through a band, m: drawn out and straightened
};
inline constexpr std::size_t kMeasured = 7;

/// Which yarn a mass or a length takes in.
enum class Includes {
  LeftTheBall,  ///< all that was used up: tails, trims and waste as well
  InThePiece,   ///< what the finished, trimmed piece holds
  InTheBand,    ///< unpicked: what lies between the edges, without tails
};

/// One figure, as it was read.
struct Measurement {
  Measured what = Measured::Mass;
  double value = 0.0;       ///< above 0; g, m or g/m
  double reading_sd = 0.0;  ///< of the tool, in the unit of the value: its step is sqrt(12) of it
                            ///< for one reading, sqrt(6) for the difference of two
  double step = 0.0;        ///< of the tool; 0 when not known
  Includes includes = Includes::LeftTheBall;
  piece::State state = piece::State::OnLoom;  ///< of a height or width
  std::optional<std::size_t> band;            ///< from 0; the whole piece without
  std::string yarn;                           ///< of a mass, length, diameter or density
  double share = 1.0;                         ///< of the band's rows that were unpicked or measured
  int line = 0;                               ///< in the file it was read from
  std::string column;                         ///< as the file calls it: "used_g"
};

/// A small piece, or a finished one, with what was measured.
struct Swatch {
  std::string id;
  std::string date;  ///< 2026-03-14, or empty
  std::string weaver;
  std::map<std::string, std::string> lots;  ///< by yarn, where it is known
  piece::Piece piece;                       ///< as it was woven, rows counted
  std::vector<Measurement> measurements;
  std::string file;  ///< where it was read
};

/// Whether the fit has a row for it; a warp end tells how warp and weft share the bend, and that is
/// found before the fit.
inline bool is_fitted(const Measurement& one) { return one.what != Measured::EndLength; }

}  // namespace ellwand::calibrate
