#pragma once
/// Figures of swatches that can hardly be meant.

#include "ellwand/calibrate/swatch.hpp"
#include "ellwand/estimate/learned.hpp"
#include "ellwand/estimate/starting_values.hpp"
#include "ellwand/studio/studio.hpp"

#include <vector>

namespace ellwand::studio {

/// A warning for every figure that can hardly be meant (calibrate/doubtful.hpp), with what it looks
/// like: grams for ounces, millimetres for centimetres, weighed wet, a row there and back counted
/// as one, a slipped decimal. Where none stands out, one for a figure that the others of its swatch
/// contradict.
///
/// @param learned  what she is known to do, or null for a stranger's hand
/// @throws BadInput where the swatch cannot have been woven as it says, or a figure is of something
///         it does not have
std::vector<Complaint> slips_of(const calibrate::Swatch& swatch, const Studio& studio,
                                const estimate::StartingValues& starting,
                                const estimate::Learned* learned = nullptr);

/// "used_g is 31 g, where your other swatches lead to expect 7.4 to 14 g; is ...?", of 9 times in
/// 10.
///
/// @param expected  its median, in the unit of the figure, above 0
/// @param log_sd    of its logarithm
/// @param by        what foretells it: "your other swatches"
std::string told_out_of_line(const calibrate::Measurement& figure, double expected, double log_sd,
                             const std::string& by, LengthShown shown);

/// What a figure looks like that is so many times what was expected of it, as a question; a general
/// one where nothing is near.
///
/// @param times   what was read over what was expected, above 0
/// @param log_sd  of its logarithm
std::string likely_slip(const calibrate::Measurement& figure, double times, double log_sd);

/// Whether the lot a yarn is said to be of looks like a slip: one that is on the shelf of another
/// yarn alone, or but for letters and digits that look alike one of its own. Empty where it does
/// not; a lot that is used up is on no shelf.
std::string doubt_of_lot(const std::string& yarn, const std::string& lot,
                         const std::vector<Lot>& shelf);

}  // namespace ellwand::studio
