// Piece files: read, changed in place, and what reads well is estimated and drawn.

#include "checks.hpp"

#include "ellwand/studio/document.hpp"
#include "ellwand/studio/drawing.hpp"
#include "ellwand/studio/edit_document.hpp"
#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/units/error.hpp"
#include "support/studios.hpp"

#include <cctype>
#include <optional>

namespace ellwand::fuzz {

namespace {

/// The file stays TOML when a value or a block of it is written anew.
void edit(const std::string& text) {
  try {
    const std::string renamed = studio::with_value(
        text, "piece.toml", {std::string("piece"), std::string("name")}, "\"x\"");
    studio::read_toml(renamed, "renamed");
    const std::string block = studio::block_at(text, "piece.toml", "band", 0);
    const std::string longer = studio::with_block(text, "piece.toml", "band", 0, block);
    studio::read_toml(studio::without_block(longer, "longer", "band", 0), "as before");
  } catch (const BadInput& bad) {
    const std::string& file = bad.complaints().front().file;
    must(file == "piece.toml", file + " cannot be read any more: " + bad.what());
  }
}

/// Numbers of a drawing stand between quotes, blanks and brackets; the names in it are ours.
void must_be_drawn(const std::string& svg) {
  for (const char* word : {"nan", "inf"}) {
    for (std::size_t at = svg.find(word); at != std::string::npos; at = svg.find(word, at + 3)) {
      const auto is_letter = [](char c) {
        return std::isalpha(static_cast<unsigned char>(c)) != 0;
      };
      const bool is_alone = !is_letter(svg[at - 1]) && !is_letter(svg[at + 3]);
      must(!is_alone, "a drawing has no number in " + svg.substr(at < 40 ? 0 : at - 40, 80));
    }
  }
}

void estimate_it(piece::Piece piece, std::size_t draw) {
  piece.name = "Trial";
  const estimate::PieceModel model(piece, test::demo_workshop());
  estimate::Options options;
  options.chances = draw % 16 == 0;
  options.joint = draw % 32 == 0;
  options.order = true;
  static const estimate::Shelf shelf =
      studio::shelf_totals(test::demo_studio().lots, test::demo_studio().yarns);
  const estimate::PieceEstimate estimate = estimate::estimate(model, shelf, options);
  must_be_told(estimate);
  must_be_drawn(studio::piece_drawing(model, estimate).svg);
  if (draw % 8 == 0) studio::estimate_json({estimate});
}

}  // namespace
}  // namespace ellwand::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const ellwand::fuzz::Within within(1);
  using namespace ellwand;
  const std::string text(reinterpret_cast<const char*>(data), size);
  std::optional<piece::Piece> piece;
  try {
    piece =
        studio::read_piece(text, "piece.toml", test::demo_studio(), test::starting_values()).piece;
  } catch (const BadInput&) {
  }
  const std::size_t draw = fuzz::drawn_from(text, 1024);
  if (draw % 4 == 3) fuzz::edit(text);
  if (!piece) return 0;
  try {
    fuzz::estimate_it(std::move(*piece), draw);
  } catch (const BadInput&) {
  } catch (const OutOfRange&) {  // whoever calls a formula beyond its range is told so
  }
  return 0;
}
