#pragma once
/// What can be wrong, and how it is told. The library never prints and never exits.

#include "ellwand/units/told.hpp"

#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace ellwand {

/// A formula was asked for something beyond the range it holds in.
class OutOfRange : public std::domain_error {
 public:
  /// @param sentence  its lengths may be marked (told.hpp); what() tells them in metric units
  explicit OutOfRange(const std::string& sentence)
      : std::domain_error(in_unit(sentence, LengthShown::Centimetres)), sentence_(sentence) {}

  std::string told(LengthShown unit) const { return in_unit(sentence_, unit); }

 private:
  std::string sentence_;
};

/// Throws OutOfRange unless `low <= value <= high`; a value that is not a number is never in range.
///
/// @param what    the quantity and its unit, in the trade's words ("warp spacing, mm")
/// @param holder  who sets the range ("Peirce's cell", "the plied packing of 0.46")
inline void require_range(std::string_view what, double value, double low, double high,
                          std::string_view holder);

/// The refusal itself.
[[noreturn]] void refuse_range(std::string_view what, double value, double low, double high,
                               std::string_view holder);

inline void require_range(std::string_view what, double value, double low, double high,
                          std::string_view holder) {
  const bool is_within = value >= low && value <= high;  // false for NaN
  if (!is_within) refuse_range(what, value, low, high, holder);
}

/// One thing wrong with one place of one file.
struct Complaint {
  std::string file;  ///< as the user named it; empty for a text without a file
  int line = 0;      ///< from 1; 0 when the whole file is meant
  int column = 0;    ///< from 1, in characters (TOML) or table columns (CSV); 0 when unknown
  std::string text;  ///< what was read, what is accepted, what to do: one sentence

  /// "pieces/saltmarsh.toml:14:9: ...", leaving out what is unknown.
  std::string told() const;
};

/// Input that cannot be used, with every complaint about it at once, in the order of the file.
class BadInput : public std::runtime_error {
 public:
  explicit BadInput(std::vector<Complaint> complaints);
  const std::vector<Complaint>& complaints() const { return complaints_; }

 private:
  std::vector<Complaint> complaints_;
};

}  // namespace ellwand
