#include "ellwand/decide/knob.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ellwand::decide {

const char* name_of(Knob::Of of) {
  switch (of) {
    case Knob::Of::Rows:
      return "rows";
    case Knob::Of::Repeats:
      return "repeats";
    case Knob::Of::Height:
      return "height";
    case Knob::Of::Hang:
      return "hang";
    case Knob::Of::Ends:
      return "ends";
    case Knob::Of::Size:
      return "size";
  }
  return "";
}

const char* unit_of(Knob::Of of) {
  const bool is_length = of == Knob::Of::Height || of == Knob::Of::Hang;
  return is_length ? "m" : of == Knob::Of::Size ? "share" : name_of(of);
}

std::string told(const Knob& knob) {
  return is_of_band(knob) ? fmt::format("{} of band {}", name_of(knob.of), knob.band + 1)
                          : name_of(knob.of);
}

namespace {

constexpr int kMostRows = 100'000;
constexpr int kMostEnds = 10'000;
constexpr double kMostHang_m = 5.0;
constexpr double kMostHeight_m = 20.0;
constexpr double kMostSize = 20.0;

}  // namespace

KnobRange range_of(const Knob& knob, LengthShown shown) {
  const bool in_cm = shown == LengthShown::Centimetres;
  const double half_m = in_metres(in_cm ? centimetres(0.5) : inches(0.25));
  const auto up_to = [&](double most_m) {
    return KnobRange{half_m, 1, static_cast<int>(most_m / half_m)};
  };
  switch (knob.of) {
    case Knob::Of::Rows:
    case Knob::Of::Repeats:
      return {1.0, 1, kMostRows};
    case Knob::Of::Height:
      return up_to(kMostHeight_m);
    case Knob::Of::Hang:
      return up_to(kMostHang_m);
    case Knob::Of::Ends:
      return {1.0, 2, kMostEnds};
    case Knob::Of::Size:
      return {0.01, 1, static_cast<int>(kMostSize / 0.01)};
  }
  return {};
}

int step_at(double value, const KnobRange& range) {
  return std::clamp(static_cast<int>(std::floor(value / range.step + 1e-6)), range.least,
                    range.most);
}

}  // namespace ellwand::decide
