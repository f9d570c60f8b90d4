#pragma once
/// What to weave or measure so that more is settled, in sentences.

#include "ellwand/calibrate/report.hpp"

#include <string>
#include <vector>

namespace ellwand::calibrate {

/// Why two coefficients are not told apart, and what would tell them: one sentence.
std::string told_pair(const std::string& first, const std::string& second,
                      const estimate::StartingValues& values);

/// What settles a coefficient that is still the starting value: "weigh a measured length of ...".
/// Empty for one that settles by itself, swatch by swatch.
std::string what_settles(const std::string& name, const estimate::StartingValues& values);

/// The sentences of all pairs, the closest pair's first; pairs alike but for the yarn or work of
/// one of the two are told in one.
std::vector<std::string> told_pairs(const Report& report, const Fit& fit,
                                    const estimate::StartingValues& values);

}  // namespace ellwand::calibrate
