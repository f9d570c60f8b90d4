#pragma once
/// Numbers in sentences, in plain digits.

#include <string>

namespace ellwand {

/// A number to so many digits, with all of those before the point: 5893 and not 5.89e+03, 0.42.
/// Below a ten-thousandth it is told to the millionth.
///
/// @param digits  1 to 9
std::string plain_digits(double value, int digits = 3);

}  // namespace ellwand
