#include "ellwand/studio/studio.hpp"

namespace ellwand::studio {

estimate::Shelf shelf_totals(const std::vector<Lot>& lots,
                             const std::map<std::string, yarn::Yarn>& yarns) {
  estimate::Shelf totals;
  for (const Lot& lot : lots) {
    const Mass<> mass =
        lot.net_mass ? *lot.net_mass : *lot.net_length * yarns.at(lot.yarn).linear_density;
    estimate::Stock& stock = totals[lot.yarn];
    stock.mass += mass;
    if (stock.largest_lot < mass) stock.largest_lot = mass;
    ++stock.lots;
    stock.each.push_back({lot.lot, mass, lot.longest_left});
  }
  return totals;
}

}  // namespace ellwand::studio
