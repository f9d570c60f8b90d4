// Our solver, our variance components and a whole calibration beside their peers, in one run.
// Never fails on what it finds: figures are for reading.

#include "peers.hpp"

#include <cstdlib>
#include <filesystem>

int main(int argc, char** argv) {
  const std::string folder =
      argc > 1 ? argv[1] : (std::filesystem::temp_directory_path() / "ellwand-peers").string();
  std::filesystem::create_directories(folder);
  ellwand::bench::nist_beside_peers();
  ellwand::bench::mixed_models_beside_lme4(folder);
  ellwand::bench::calibrations_beside_lme4(folder);
  return 0;
}
