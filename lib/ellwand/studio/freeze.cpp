#include "ellwand/studio/freeze.hpp"

#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/write_turn.hpp"
#include "ellwand/units/error.hpp"

#include <fmt/chrono.h>

#include <ctime>

namespace ellwand::studio {

namespace fs = std::filesystem;

std::string today() { return fmt::format("{:%Y-%m-%d}", fmt::localtime(std::time(nullptr))); }

fs::path freeze_estimate(const fs::path& studio, const estimate::PieceEstimate& estimate) {
  const WriteTurn turn(studio);
  const std::string date = today();
  const fs::path folder = studio / "estimates";
  std::error_code failed;
  fs::create_directories(folder, failed);
  if (failed) {
    throw BadInput({{folder.string(), 0, 0,
                     "the folder for kept estimates cannot be made (" + failed.message() +
                         "); make the studio's folder writable"}});
  }
  const std::string stem = estimate.piece + "-" + date;
  fs::path file = folder / (stem + ".json");
  std::error_code unseen;
  for (int next = 2; fs::exists(file, unseen); ++next) {
    file = folder / (stem + "-" + std::to_string(next) + ".json");
  }
  write_file(file, estimate_json({estimate}, date));
  return file;
}

}  // namespace ellwand::studio
