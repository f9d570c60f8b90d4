#include "ellwand/cloth/setting.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "ellwand/units/error.hpp"

namespace ellwand::cloth {

namespace {

constexpr double kYardsPerHank = 840.0;

void require_yarn_to_set(const LinearDensity<>& yarn) {
  require_range("linear density, tex", in_tex(yarn), 1e-3, 1e6, "setting");
}

void require_threads_per_cm(const ThreadDensity<>& sett) {
  require_range("threads per cm", in_per_cm(sett), 1e-6, 1e6, "setting");
}

double yards_per_pound(const LinearDensity<>& yarn) {
  require_yarn_to_set(yarn);
  return in_yards(pounds(1.0) / yarn);
}

double fullness(const Interlacing& weave) {
  if (weave.ends < 1 || weave.intersections < 1 || weave.intersections > weave.ends) {
    throw OutOfRange(
        fmt::format("{} intersections over {} ends are no interlacing; there are from 1 to as "
                    "many as there are ends",
                    weave.intersections, weave.ends));
  }
  return static_cast<double>(weave.ends) / (weave.ends + weave.intersections);
}

}  // namespace

ThreadDensity<> ashenhurst_diameters(const LinearDensity<>& yarn, double factor) {
  require_range("diameters over sqrt(yards per pound)", factor, 0.1, 2.0, "Ashenhurst's rule");
  return per_inch(factor * std::sqrt(yards_per_pound(yarn)));
}

ThreadDensity<> side_by_side(const LinearDensity<>& yarn, const VolumeDensity<>& yarn_density) {
  require_yarn_to_set(yarn);
  require_range("density of the yarn, g per cm3", in_grams_per_cubic_cm(yarn_density), 1e-3, 10.0,
                "setting");
  const Area<> section = yarn / yarn_density;
  return per_metre(1.0 / std::sqrt(4.0 / std::numbers::pi * section.si()));
}

Interlacing interlacing_of(const Grid& repeat) {
  return {repeat.ends(), static_cast<int>(tightest_row(repeat).crossing)};
}

ThreadDensity<> maximum_sett(const ThreadDensity<>& diameters, const Interlacing& weave) {
  require_threads_per_cm(diameters);
  return diameters * fullness(weave);
}

ThreadDensity<> sett_in_weave(const ThreadDensity<>& sett, const Interlacing& from,
                              const Interlacing& to) {
  require_threads_per_cm(sett);
  return sett * (fullness(to) / fullness(from));
}

ThreadDensity<> sett_for_yarn(const ThreadDensity<>& sett, const LinearDensity<>& from,
                              const LinearDensity<>& to) {
  require_threads_per_cm(sett);
  require_yarn_to_set(from);
  require_yarn_to_set(to);
  return sett * std::sqrt(from / to);
}

LinearDensity<> yarn_for_sett(const LinearDensity<>& yarn, const ThreadDensity<>& from,
                              const ThreadDensity<>& to) {
  require_yarn_to_set(yarn);
  require_threads_per_cm(from);
  require_threads_per_cm(to);
  const double closer = to / from;
  return yarn / (closer * closer);
}

LinearDensity<> yarn_in_weave(const LinearDensity<>& yarn, const Interlacing& from,
                              const Interlacing& to) {
  require_yarn_to_set(yarn);
  const double fuller = fullness(to) / fullness(from);
  return yarn * (fuller * fuller);
}

SettRange sett_from_wraps(const ThreadDensity<>& wraps, WrapRule weave) {
  require_threads_per_cm(wraps);
  const ThreadDensity<> plain_sett = 0.5 * wraps;
  switch (weave) {
    case WrapRule::Plain:
      return {plain_sett, plain_sett};
    case WrapRule::Twill:
      return {4.0 / 3.0 * plain_sett, 4.0 / 3.0 * plain_sett};
    case WrapRule::Rep:
      return {2.0 * plain_sett, 3.0 * plain_sett};
    case WrapRule::Satin:
      return {2.0 * plain_sett, 2.0 * plain_sett};
  }
  return {plain_sett, plain_sett};
}

double cover_factor(const ThreadDensity<>& sett, const LinearDensity<>& yarn) {
  require_threads_per_cm(sett);
  require_yarn_to_set(yarn);
  return in_per_cm(sett) * std::sqrt(in_tex(yarn)) / 10.0;
}

double peirce_cover_factor(const ThreadDensity<>& sett, const LinearDensity<>& yarn) {
  require_threads_per_cm(sett);
  return in_per_inch(sett) / std::sqrt(yards_per_pound(yarn) / kYardsPerHank);
}

double fractional_cover(const Length<>& diameter, const Length<>& spacing) {
  require_range("thread diameter, mm", in_millimetres(diameter), 1e-9, 1e6, "fractional cover");
  require_range("thread spacing, mm", in_millimetres(spacing), 1e-9, 1e9, "fractional cover");
  return diameter / spacing;
}

double total_cover(double warp_cover, double weft_cover) {
  require_range("fractional cover of the warp", warp_cover, 0.0, 1.0, "total cover");
  require_range("fractional cover of the weft", weft_cover, 0.0, 1.0, "total cover");
  return warp_cover + weft_cover - warp_cover * weft_cover;
}

}  // namespace ellwand::cloth
