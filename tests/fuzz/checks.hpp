#pragma once
/// What fuzz targets hold against what came out. A target lets the exceptions pass that the header
/// of a function names; any other, or a check here that fails, ends the run with the input kept.

#include "ellwand/estimate/estimate.hpp"

#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <string>
#include <string_view>

namespace ellwand::fuzz {

[[noreturn]] inline void found(const std::string& what) {
  std::fprintf(stderr, "FOUND: %s\n", what.c_str());
  std::abort();
}

inline void must(bool holds, const std::string& what) {
  if (!holds) found(what);
}

/// What is begun with it is answered within so many seconds of the processor's time, whatever else
/// the machine does.
class Within {
 public:
  explicit Within(int seconds) : seconds_(seconds) {}
  Within(const Within&) = delete;
  Within& operator=(const Within&) = delete;
  ~Within() {
    must(std::clock() - begun_ < seconds_ * CLOCKS_PER_SEC,
         "not answered within " + std::to_string(seconds_) + " s");
  }

 private:
  int seconds_;
  std::clock_t begun_ = std::clock();
};

/// An amount that is told: finite, and not below `low`.
inline void must_be_amount(double value, const char* what, double low = 0.0) {
  if (!std::isfinite(value) || value < low) found(std::string(what) + ": " + std::to_string(value));
}

/// A number from 0 up to `below` that hangs on the whole text, so that costly work is done now and
/// then, and always for the same inputs.
inline std::size_t drawn_from(std::string_view text, std::size_t below) {
  std::uint64_t hash = 0xcbf29ce484222325ULL;
  for (const char letter : text) {
    hash = (hash ^ static_cast<unsigned char>(letter)) * 0x100000001b3ULL;
  }
  return static_cast<std::size_t>((hash ^ (hash >> 29U)) % below);
}

/// Everything of an estimate that is shown as a number.
inline void must_be_told(const estimate::PieceEstimate& piece) {
  const auto range = [](const estimate::Spread& one) {
    must_be_amount(one.low, "low end");
    must_be_amount(one.mid, "middle");
    must_be_amount(one.high, "high end");
    must(one.low <= one.mid && one.mid <= one.high, "a range is out of order");
  };
  for (const estimate::YarnEstimate& yarn : piece.yarns) {
    range(yarn.length_m);
    range(yarn.mass_g);
    for (const double amount :
         {yarn.plan_m, yarn.plan_g, yarn.plan_dry_g, yarn.mean_m, yarn.mean_g, yarn.set_aside_m,
          yarn.set_aside_g, yarn.spare_m, yarn.on_shelf_g.value_or(0.0), yarn.chance_short}) {
      must_be_amount(amount, "of a yarn");
    }
    must(yarn.chance_short <= 1.0, "a chance is above 1");
    for (const double left : {yarn.left_over_m.value_or(0.0), yarn.left_over_g.value_or(0.0)}) {
      must(std::isfinite(left), "what is left over is no number");
    }
  }
  for (const estimate::BandEstimate& band : piece.bands) {
    range(band.length_m);
    must_be_amount(band.plan_m, "of a band");
    must_be_amount(in_metres(band.height), "height of a band");
    must_be_amount(in_metres(band.row_spacing), "row spacing");
  }
  for (const estimate::Cut& cut : piece.cuts) must_be_amount(in_metres(cut.length), "a cut");
  for (const estimate::Size& size : {piece.loom, piece.off_loom, piece.washed, piece.finished}) {
    must_be_amount(in_metres(size.width), "width");
    must_be_amount(in_metres(size.height), "height");
  }
  must_be_amount(in_metres(piece.hang), "hang");
  if (piece.budget)
    must(std::isfinite(in_metres(piece.budget->left())), "what is left of the span");
  must_be_amount(piece.chance_any_short, "chance of any");
  must_be_amount(piece.chance_any_set_aside_short, "chance of any set-aside");
}

}  // namespace ellwand::fuzz
