// How much yarn a piece takes:  how_much DATA STUDIO/pieces/PIECE.toml
// DATA is the folder of the installed starting-values.csv.
#include <ellwand/estimate/estimate.hpp>
#include <ellwand/studio/calibration_file.hpp>
#include <ellwand/studio/read_piece.hpp>
#include <ellwand/studio/read_starting_values.hpp>
#include <ellwand/studio/read_studio.hpp>

#include <cstdio>
#include <exception>

int main(int argc, char** argv) try {
  using namespace ellwand;
  if (argc != 3) return 2;
  const std::filesystem::path data = argv[1];
  const std::filesystem::path file = argv[2];
  const auto values = studio::open_starting_values(data / "starting-values.csv");
  const auto folder = studio::find_studio_of(file);
  const auto hers = studio::open_studio(folder, values);
  const auto taught = studio::open_calibration(folder);  // by her own swatches, if there are any
  const auto piece = studio::open_piece(file, hers, values).piece;

  const auto shelf = studio::shelf_totals(hers.lots, hers.yarns);
  const estimate::Workshop workshop{hers.yarns, values, hers.habits, hers.shown.length,
                                    taught ? &taught->learned : nullptr};
  for (const auto& yarn : estimate::estimate(piece, workshop, shelf, {}).yarns) {
    const auto& [low_m, mid_m, high_m] = yarn.length_m;  // 9 times in 10 between low and high
    const auto& [low_g, mid_g, high_g] = yarn.mass_g;
    std::printf("%-13s %5.1f m (%4.1f to %4.1f)  %4.1f g (%4.1f to %4.1f)\n", yarn.yarn.c_str(),
                mid_m, low_m, high_m, mid_g, low_g, high_g);
  }
} catch (const std::exception& refusal) {  // every complaint of a file, one a line
  std::fprintf(stderr, "%s\n", refusal.what());
  return 3;
}
