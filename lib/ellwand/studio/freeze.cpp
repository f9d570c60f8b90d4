#include "ellwand/studio/freeze.hpp"

#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/studio/files.hpp"
#include "ellwand/studio/write_turn.hpp"
#include "ellwand/units/error.hpp"

#include <fmt/chrono.h>

#include <charconv>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <optional>

namespace ellwand::studio {

namespace fs = std::filesystem;

namespace {

/// SOURCE_DATE_EPOCH, the time that stands for now where the same input is to give the same files:
/// seconds of 1970 and later as whole digits; anything else is no answer.
std::optional<std::time_t> stated_time() {
  const char* text = std::getenv("SOURCE_DATE_EPOCH");
  if (text == nullptr) return std::nullopt;
  constexpr long long kYear10000 = 253'402'300'800;
  long long seconds = -1;
  const char* end = text + std::strlen(text);
  const auto read = std::from_chars(text, end, seconds);
  const bool is_time = read.ec == std::errc() && read.ptr == end && seconds >= 0;
  if (!is_time || seconds >= kYear10000) return std::nullopt;
  return static_cast<std::time_t>(seconds);
}

}  // namespace

std::string today() {
  const std::optional<std::time_t> stated = stated_time();
  return fmt::format("{:%Y-%m-%d}",
                     stated ? fmt::gmtime(*stated) : fmt::localtime(std::time(nullptr)));
}

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
