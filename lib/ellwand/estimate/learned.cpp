#include "ellwand/estimate/learned.hpp"

#include <algorithm>

namespace ellwand::estimate {

std::size_t Learned::find(const std::string& name) const {
  const auto found = std::find(names.begin(), names.end(), name);
  return found == names.end() ? kNone : static_cast<std::size_t>(found - names.begin());
}

}  // namespace ellwand::estimate
