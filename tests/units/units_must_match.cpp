// Compiled by tests/units/must_not_compile.cmake: once as it stands, which must succeed, and once
// for each wrong line, which must fail, and fail at that line.

#include "ellwand/units/quantity.hpp"

namespace ellwand {

void units_must_match() {
  const Length<> length = metres(2.0);
  const Mass<> mass = grams(60.0);

#ifdef WRONG_PRODUCT
  [[maybe_unused]] const Mass<> m = length * length;  // WRONG_PRODUCT
#else
  [[maybe_unused]] const Area<> m = length * length;
#endif

#ifdef WRONG_SUM
  [[maybe_unused]] const auto sum = length + mass;  // WRONG_SUM
#else
  [[maybe_unused]] const auto sum = length + length;
#endif

#ifdef WRONG_COMPARISON
  [[maybe_unused]] const bool longer = length < mass;  // WRONG_COMPARISON
#else
  [[maybe_unused]] const bool longer = length < length;
#endif

#ifdef WRONG_BARE_NUMBER
  [[maybe_unused]] const Length<> bare = 2.0;  // WRONG_BARE_NUMBER
#else
  [[maybe_unused]] const Length<> bare = metres(2.0);
#endif

#ifdef WRONG_READER
  [[maybe_unused]] const double number = in_grams(length);  // WRONG_READER
#else
  [[maybe_unused]] const double number = in_grams(mass);
#endif

#ifdef WRONG_NUMBER_SUM
  [[maybe_unused]] const auto more = length + 1.0;  // WRONG_NUMBER_SUM
#else
  [[maybe_unused]] const auto more = length + metres(1.0);
#endif
}

}  // namespace ellwand
