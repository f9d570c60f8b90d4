#pragma once
/// What readers complain of and warn of, as lines to compare; and the starting values of the tests.

#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/studio/read_starting_values.hpp"
#include "ellwand/units/error.hpp"
#include "support/where.hpp"

#include <string>
#include <vector>

namespace ellwand::studio {

using Lines = std::vector<std::string>;

inline Lines told_lines(const std::vector<Complaint>& complaints) {
  Lines lines;
  for (const Complaint& complaint : complaints) lines.push_back(complaint.told());
  return lines;
}

/// The complaints of the BadInput that `read` throws; none when it throws none.
template <class Read>
Lines complaints_of(Read read) {
  try {
    read();
  } catch (const BadInput& bad) {
    return told_lines(bad.complaints());
  }
  return {};
}

inline const estimate::StartingValues& starting_values() {
  static const estimate::StartingValues kValues =
      open_starting_values(test::source_folder() + "/data/starting-values.csv");
  return kValues;
}

}  // namespace ellwand::studio
