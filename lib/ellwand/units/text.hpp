#pragma once
/// Numbers and quantities as a weaver writes them: "12.5", "1 3/8 in", "8 /in", "4 %".
///
/// Every reader takes the whole text, ignores case and surrounding space, knows no locale, and
/// throws UnreadableText with one sentence: what was read, what is wanted, and an example.
///
/// Factors: the international yard and pound (1959), see quantity.hpp.

#include "ellwand/units/quantity.hpp"

#include <limits>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace ellwand {

/// A text that is not what was wanted. It knows no file: whoever read the file adds the place.
class UnreadableText : public std::invalid_argument {
 public:
  using std::invalid_argument::invalid_argument;
};

/// How the file at hand writes decimals.
enum class DecimalMark {
  Point,  ///< 12.5; a comma is refused
  Comma   ///< 12,5; 12.5 too, but 1.200 is refused, as it may have been meant as 1200
};

/// Whether a minus or plus may stand before the number.
enum class Sign { Refused, Allowed };

/// A number at the start of a text, and what follows it without the space between.
struct LeadingNumber {
  double value = 0.0;
  std::string rest;
};

/// A whole text that is one number: "12", "12.5", ".5", "3/8", "1 3/8", "1-3/8", "1e3" (as
/// spreadsheets write it). No thousands separators, no "nan", "inf" or hexadecimal, nothing that
/// does not fit a double.
/// @throws UnreadableText
double read_decimal(std::string_view text, DecimalMark mark = DecimalMark::Point,
                    Sign sign = Sign::Refused);

/// The number a text starts with, fractions not read: "8/2" gives 8 and "/2". The text is folded()
/// first, and so is the rest.
/// @throws UnreadableText when it starts with none
LeadingNumber leading_decimal(std::string_view text, DecimalMark mark = DecimalMark::Point);

/// "14 cm", "340 mm", "2 m", "5.5 in", "1 3/8\"", "3 ft", "5 ft 3 in", "12 yd". Zero or more.
/// @throws UnreadableText also for a bare number
Length<> read_length(std::string_view text, DecimalMark mark = DecimalMark::Point);

/// "50 g", "1.2 kg", "3 1/2 oz", "2 lb", "1 lb 4 oz". Zero or more.
/// @throws UnreadableText also for a bare number
Mass<> read_mass(std::string_view text, DecimalMark mark = DecimalMark::Point);

/// "120 cm2", "120 sq cm", "18 in2", "0.5 m2". Zero or more.
/// @throws UnreadableText also for a bare number
Area<> read_area(std::string_view text, DecimalMark mark = DecimalMark::Point);

/// "8 /in", "8 per inch", "8 epi", "6 /cm", "60 per 10 cm", "8 ends/in". Zero or more.
/// @throws UnreadableText also for a bare number
ThreadDensity<> read_thread_density(std::string_view text, DecimalMark mark = DecimalMark::Point);

/// "4 %" and "0.04" both give 0.04. A bare number of 1 or more is refused, for nobody can tell 1 %
/// from the whole; with its sign a share may pass 100 %. Zero or more.
///
/// @param most  that is accepted, so that the refusal of a bare number offers none beyond it
/// @throws UnreadableText
double read_fraction(std::string_view text, DecimalMark mark = DecimalMark::Point,
                     double most = std::numeric_limits<double>::infinity());

/// A question where a share with its sign is so small that it was most likely meant without: of
/// "0.05 %", whether 5 % is meant. Empty otherwise. None of the shares of a studio can be told from
/// nothing below 0.5 %, and a fraction of up to a half looks so.
///
/// @param share  read from the text
std::string doubt_of_share(std::string_view text, double share);

/// "20 deg", "20 degrees", "20°", in degrees. Zero or more.
/// @throws UnreadableText also for a bare number
double read_angle_degrees(std::string_view text, DecimalMark mark = DecimalMark::Point);

/// How long one unit of this name is ("cm", "yards"), or nothing if it is none.
std::optional<Length<>> length_unit(std::string_view word);

/// How heavy one unit of this name is ("g", "ounces"), or nothing if it is none.
std::optional<Mass<>> mass_unit(std::string_view word);

/// The candidate that was probably meant: at most 2 slips away (a letter too many, too few, wrong,
/// or two neighbours swapped), at most 1 for words of three letters and less; of equals the one
/// with the same letters, then the first. Where none is so near, the only one of several parts that
/// is said by the beginnings of all of them ("worklength" for "working_length"). Empty otherwise.
std::string nearest_word(std::string_view word, const std::vector<std::string>& candidates);

/// A text in one spelling: lower case, single plain spaces, and ASCII for what a keyboard or word
/// processor puts in its place (½ ² ° × ″ and long dashes).
std::string folded(std::string_view text);

/// A text between quotes for a message; cut when long, without control characters.
std::string in_quotes(std::string_view text);

/// @throws UnreadableText always: the text in quotes, and why
[[noreturn]] void refuse_text(std::string_view text, const std::string& why);

}  // namespace ellwand
