#pragma once
/// calibration.json: what the last fit found, kept in the studio's folder with the one before it
/// beside it, so that it can be compared and gone back to.

#include "ellwand/calibrate/fit.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace ellwand::studio {

/// A fit as it is kept.
struct Calibration {
  estimate::Learned learned;                               ///< with its date
  std::vector<calibrate::FittedCoefficient> coefficients;  ///< in the order of learned.names
  std::string fingerprint;  ///< of what was measured, see fingerprint_of
  std::string engine;       ///< the version that made it
};

/// A settled fit ready to be kept.
Calibration calibration_from(const calibrate::Fit& fit, const std::string& date,
                             const std::string& fingerprint);

/// One JSON object; every number comes back to its last bit.
std::string calibration_json(const Calibration& calibration);

/// @throws BadInput with every complaint: another schema, what is missing or of the wrong kind,
///         numbers that are not finite, sizes that do not agree, a covariance that is not symmetric
///         or that no coefficients can have (a variance below 0, a correlation beyond 1)
Calibration read_calibration(const std::string& text, const std::string& file);

/// The studio's calibration, or nothing where it has none.
///
/// @throws BadInput as read_calibration
std::optional<Calibration> open_calibration(const std::filesystem::path& studio);

/// Puts it into the studio's folder; the one that was there becomes calibration-before.json. One
/// that found the same as the one there, from the same, is not kept anew.
///
/// @returns whether it was kept
/// @throws BadInput where one of the two files is there and cannot be read as a calibration (both
///         are then left as they are), or cannot be written
bool keep_calibration(const std::filesystem::path& studio, const Calibration& calibration);

/// Exchanges the studio's calibration and the one before it; going back twice changes nothing.
///
/// @returns what holds now
/// @throws BadInput where there is none before, it cannot be read as a calibration, or either
///         cannot be written
Calibration go_back(const std::filesystem::path& studio);

/// 16 hexadecimal digits that change with what was measured: with swatches.csv, and with any piece
/// that has a [[measured]] table.
///
/// Source: FNV-1a of 64 bits, G. Fowler, L. C. Noll and K.-P. Vo (RFC 9923, from memory). It tells
///         a change, and guards against no one.
/// @throws BadInput for a file that cannot be read
std::string fingerprint_of(const std::filesystem::path& studio);

/// The same of a text.
std::string fingerprint_of_text(const std::string& text);

}  // namespace ellwand::studio
