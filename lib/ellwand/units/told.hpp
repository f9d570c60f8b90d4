#pragma once
/// Lengths in sentences, told in the unit of whoever reads them.
///
/// Who writes a sentence knows no reader, so it marks the lengths in it; who tells it has them put
/// in a unit by `in_unit`.

#include "ellwand/units/quantity.hpp"

#include <string>
#include <string_view>

namespace ellwand {

/// The unit in which sizes of cloth are shown.
enum class LengthShown { Centimetres, Inches };
/// The unit in which masses of yarn are shown.
enum class MassShown { Grams, Ounces };
/// The unit in which lengths of yarn are shown.
enum class YarnShown { Metres, Yards };

/// A thread's thickness or spacing, marked: "1.6 mm" or "0.063 in".
/// @param digits  shown, 1 to 9
std::string thread_size(const Length<>& length, int digits = 3);

/// A size of cloth or loom, marked: "34.0 cm" or "13.4 in".
std::string cloth_size(const Length<>& length);

/// A rod's diameter, marked: "1.9 cm" or "0.75 in", for rods are sold by quarters and eighths of
/// it.
std::string rod_size(const Length<>& diameter);
/// The same of one that still passes: never more than it is.
std::string rod_size_within(const Length<>& diameter);

/// An area of cloth, marked: "24.0 cm2" or "3.7 in2".
std::string cloth_area(const Area<>& area);

/// A density, marked: "2.5 per cm" or "6.35 per inch".
std::string density(const ThreadDensity<>& threads, int digits = 3);

/// A mass in plain digits, not marked: "87.88 g" or "3.1 oz".
std::string mass_told(const Mass<>& mass, MassShown unit, int digits = 4);
/// A length of yarn in plain digits, not marked: "12.5 m" or "13.7 yd".
std::string yarn_told(const Length<>& yarn, YarnShown unit, int digits = 4);

/// A sentence with what is marked in it put in a unit. Other text is left as it is.
std::string in_unit(std::string_view sentence, LengthShown unit);

}  // namespace ellwand
