#include "ellwand/studio/studio.hpp"

namespace ellwand::studio {

estimate::Shelf shelf_totals(const std::vector<Lot>& lots,
                             const std::map<std::string, yarn::Yarn>& yarns) {
  estimate::Shelf totals;
  for (const Lot& lot : lots) {
    const Mass<> mass =
        lot.net_mass ? *lot.net_mass : *lot.net_length * yarns.at(lot.yarn).linear_density;
    const std::optional<Length<>> length = lot.net_mass ? std::nullopt : lot.net_length;
    totals[lot.yarn].add({lot.lot, mass, lot.longest_left, length});
  }
  return totals;
}

}  // namespace ellwand::studio
