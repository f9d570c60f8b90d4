// calibration.json: what is read comes back the same when it is written, and estimates by it.

#include "checks.hpp"

#include "ellwand/studio/calibration_file.hpp"
#include "ellwand/units/error.hpp"
#include "support/studios.hpp"

#include <optional>

namespace ellwand::fuzz {

namespace {

void must_come_back(const studio::Calibration& calibration) {
  const std::string text = studio::calibration_json(calibration);
  const std::string again = studio::calibration_json(studio::read_calibration(text, "again"));
  must(text == again, "a calibration changes by being written and read");
}

const piece::Piece& small_piece() {
  static const piece::Piece piece = test::read_demo_piece(
      std::string(test::kNotchedHead) +
      "[[band]]\nwork = \"weave\"\nyarn = \"rug-wool-ash\"\nrows = 24\n"
      "[[band]]\nwork = \"soumak\"\nyarn = \"rug-wool-rust\"\nover = 4\nback = 2\nrows = 3\n");
  return piece;
}

void estimate_with(const estimate::Learned& learned) {
  estimate::Workshop workshop = test::demo_workshop();
  workshop.learned = &learned;
  const estimate::PieceModel model(small_piece(), workshop);
  estimate::Options options;
  options.chances = false;
  must_be_told(estimate::estimate(model, {}, options));
  estimate::taught(model, learned, test::starting_values());
}

}  // namespace
}  // namespace ellwand::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const ellwand::fuzz::Within within(1);
  using namespace ellwand;
  const std::string text(reinterpret_cast<const char*>(data), size);
  std::optional<studio::Calibration> calibration;
  try {
    calibration = studio::read_calibration(text, "calibration.json");
  } catch (const BadInput&) {
    return 0;
  }
  fuzz::must_come_back(*calibration);
  try {
    fuzz::estimate_with(calibration->learned);
  } catch (const BadInput&) {
  } catch (const OutOfRange&) {  // whoever calls a formula beyond its range is told so
  }
  return 0;
}
