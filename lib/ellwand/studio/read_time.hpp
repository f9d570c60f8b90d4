#pragma once
/// time.csv: minutes spent.

#include "ellwand/studio/studio.hpp"

#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

/// Minutes at one thing.
struct TimeSpent {
  std::string piece;   ///< id of a piece, or empty
  std::string swatch;  ///< id of a swatch, or empty
  std::optional<int> band;
  std::optional<int> rows;  ///< woven in these minutes
  double minutes = 0.0;     ///< above 0
  Weaver weaver;
  std::string date;
  int line = 0;
};

struct TimeTable {
  std::vector<TimeSpent> spent;
  std::vector<Complaint> warnings;
};

/// The columns of time.csv: minutes, and piece or swatch, in every row; band, rows, weaver, date
/// and note may be empty or missing.
const std::vector<std::string>& time_columns();

/// @throws BadInput with every complaint
TimeTable read_times(const std::string& text, const std::string& file, const Studio& studio);

}  // namespace ellwand::studio
