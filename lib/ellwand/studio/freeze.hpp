#pragma once
/// Estimates kept before weaving, to be held against what was used.

#include "ellwand/estimate/estimate.hpp"

#include <filesystem>
#include <string>

namespace ellwand::studio {

/// The date on the machine's calendar, year-month-day; the day of SOURCE_DATE_EPOCH, in UTC, where
/// that is set to a time.
///
/// Source: reproducible-builds.org, "SOURCE_DATE_EPOCH specification" 1.1 (from memory).
std::string today();

/// Writes an estimate into the studio's folder "estimates", one file a piece and date; a second one
/// of the same day gets a number. An estimate once kept is never overwritten.
///
/// @returns the file written
/// @throws BadInput when it cannot be written
std::filesystem::path freeze_estimate(const std::filesystem::path& studio,
                                      const estimate::PieceEstimate& estimate);

}  // namespace ellwand::studio
