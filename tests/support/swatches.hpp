#pragma once
/// Swatches with readings a test chooses, and starting values with spreads it chooses.

#include "ellwand/calibrate/report.hpp"
#include "support/studios.hpp"

#include <cmath>
#include <map>
#include <string>
#include <vector>

namespace ellwand::test {

/// A woven strip of so many rows, 45 ends wide.
inline calibrate::Swatch woven_swatch(const std::string& id, const std::string& yarn, int rows) {
  calibrate::Swatch swatch;
  swatch.id = id;
  swatch.file = "swatches.csv";
  swatch.piece =
      read_demo_piece(std::string(kNotchedHead) + "[[band]]\nwork = \"weave\"\nyarn = \"" + yarn +
                          "\"\nrows = " + std::to_string(rows) + "\n",
                      id);
  return swatch;
}

inline calibrate::Swatch soumak_swatch(const std::string& id, const std::string& yarn, int rows) {
  calibrate::Swatch swatch = woven_swatch(id, yarn, rows);
  swatch.piece = read_demo_piece(std::string(kNotchedHead) +
                                     "[[band]]\nwork = \"soumak\"\nover = 4\nback = 2\nyarn = \"" +
                                     yarn + "\"\nrows = " + std::to_string(rows) + "\n",
                                 id);
  return swatch;
}

/// A measurement of the first band that reads `times` what the starting values expect.
inline void add_reading(calibrate::Swatch& swatch, calibrate::Measured what,
                        const std::string& yarn, double times, const estimate::Workshop& workshop,
                        calibrate::Includes includes = calibrate::Includes::LeftTheBall) {
  calibrate::Measurement one;
  one.what = what;
  one.includes = includes;
  one.yarn = yarn;
  one.band = 0;
  one.value = 1.0;
  one.column = "used_g";
  estimate::Workshop start = workshop;
  start.learned = nullptr;
  one.value = times * std::exp(calibrate::foretold(swatch, one, start).log_mid);
  swatch.measurements.push_back(one);
}

/// The starting values, some rows with other medians or spreads.
struct Changed {
  std::map<std::string, double> medians;
  std::map<std::string, double> spreads;
  bool others_are_sure = false;  ///< every spread not named is 0
};

inline estimate::StartingValues changed_values(const Changed& changed) {
  std::vector<estimate::StartingValue> rows;
  for (const auto& [name, value] : starting_values().all()) {
    estimate::StartingValue row = value;
    const auto median = changed.medians.find(name);
    if (median != changed.medians.end()) row.median = median->second;
    const auto spread = changed.spreads.find(name);
    if (spread != changed.spreads.end()) {
      row.spread = spread->second;
    } else if (changed.others_are_sure) {
      row.spread = 0.0;
    }
    rows.push_back(row);
  }
  return estimate::StartingValues(rows);
}

}  // namespace ellwand::test
