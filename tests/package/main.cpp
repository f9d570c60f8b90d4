// What a stranger writes who has installed the library and read a header or two.

#include <ellwand/units/error.hpp>
#include <ellwand/units/quantity.hpp>
#include <iostream>

int main() {
  using namespace ellwand;
  const Length<> warp = 240.0 * metres(2.86);  // 686.4 m; at 60 g per km, 41.184 g
  std::cout << in_grams(warp * tex(60.0)) << " g\n";
  try {
    require_range("sett, ends per cm", 80.0, 0.5, 40.0, "this loom");
  } catch (const OutOfRange& refusal) {
    std::cout << refusal.what() << "\n";
    return 0;
  }
  return 1;
}
