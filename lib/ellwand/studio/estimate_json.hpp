#pragma once
/// The machine output of an estimate: one JSON object with a schema number.

#include "ellwand/estimate/piece_totals.hpp"

#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

inline constexpr int kSchema = 1;
inline constexpr const char* kEngineVersion = "0.1.0";

/// Fields may be added in later versions, never renamed. Lengths of yarn in m, masses in g, sizes
/// in cm, chances from 0 to 1; the unit stands in each field's name.
///
/// @param date    year-month-day, written only into a frozen estimate
/// @param totals  of several pieces of one studio, one of each studio
std::string estimate_json(const std::vector<estimate::PieceEstimate>& pieces,
                          const std::optional<std::string>& date = std::nullopt,
                          const std::vector<estimate::Totals>& totals = {});

}  // namespace ellwand::studio
