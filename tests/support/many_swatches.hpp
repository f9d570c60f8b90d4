#pragma once
/// Swatches by the thousand, to measure speed by.

#include <fmt/format.h>

#include <cmath>
#include <string>
#include <vector>

#include "support/simulated_studio.hpp"
#include "support/studios.hpp"

namespace ellwand::test {

inline constexpr std::size_t kManyYarns = 40;

/// So many swatches, each of 40 rows of one of the yarns yarn-0 to yarn-39 of the studio, by one of
/// 20 weavers; one mass each, about 6 g.
inline std::vector<calibrate::Swatch> many_swatches(const studio::Studio& studio,
                                                    std::size_t count) {
  std::vector<piece::Piece> pieces;
  for (std::size_t y = 0; y < kManyYarns; ++y) {
    pieces.push_back(
        studio::read_piece(
            fmt::format("{}[[band]]\nwork = \"weave\"\nyarn = \"yarn-{}\"\nrows = 40\n",
                        kNotchedHead, y),
            "many.toml", studio, starting_values())
            .piece);
  }
  Draws draws(1);
  std::vector<calibrate::Swatch> all(count);
  for (std::size_t i = 0; i < count; ++i) {
    calibrate::Swatch& one = all[i];
    one.piece = pieces[i % kManyYarns];
    one.id = one.piece.id = fmt::format("swatch {}", i);
    one.piece.weaver = fmt::format("weaver {}", draws.whole(0, 19));
    calibrate::Measurement mass;
    mass.yarn = fmt::format("yarn-{}", i % kManyYarns);
    mass.includes = calibrate::Includes::InThePiece;
    mass.step = 0.1;
    mass.reading_sd = mass.step / std::sqrt(6.0);
    mass.value = 6.0 * std::exp(0.07 * draws.normal());
    one.measurements.push_back(mass);
  }
  return all;
}

}  // namespace ellwand::test
