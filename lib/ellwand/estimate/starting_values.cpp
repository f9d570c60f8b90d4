#include "ellwand/estimate/starting_values.hpp"

#include <stdexcept>
#include <utility>

namespace ellwand::estimate {

StartingValues::StartingValues(std::vector<StartingValue> values) {
  for (StartingValue& value : values) {
    std::string name = value.name;
    values_.emplace(std::move(name), std::move(value));
  }
  for (std::size_t place = 0; place < kStartingNames.size(); ++place) {
    const auto found = values_.find(kStartingNames[place]);
    if (found == values_.end()) {
      throw std::invalid_argument("the table of starting values has no row named '" +
                                  std::string(kStartingNames[place]) + "'");
    }
    figures_[place] = {found->second.median, found->second.spread};
  }
}

const StartingValue& StartingValues::at(std::string_view name) const {
  const auto found = values_.find(name);
  if (found == values_.end())
    throw std::out_of_range("no starting value named '" + std::string(name) + "'");
  return found->second;
}

yarn::Packing StartingValues::packing() const {
  return {median(row("packing.singles")), median(row("packing.plied")),
          median(row("packing.woollen")), median(row("packing.roving_loose")),
          median(row("packing.roving_held"))};
}

}  // namespace ellwand::estimate
