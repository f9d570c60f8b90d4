#include "ellwand/yarn/fibre.hpp"

#include "ellwand/units/characters.hpp"
#include "ellwand/units/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace ellwand::yarn {
namespace {

struct OtherName {
  const char* written;
  const char* fibre;
};

constexpr std::array<OtherName, 15> kOtherNames{{{"flax", "linen"},
                                                 {"mercerized cotton", "mercerised cotton"},
                                                 {"pearl cotton", "mercerised cotton"},
                                                 {"perle cotton", "mercerised cotton"},
                                                 {"rayon", "viscose"},
                                                 {"viscose rayon", "viscose"},
                                                 {"polyamide", "nylon"},
                                                 {"merino", "wool"},
                                                 {"merino wool", "wool"},
                                                 {"lambswool", "wool"},
                                                 {"new wool", "wool"},
                                                 {"virgin wool", "wool"},
                                                 {"spun silk", "silk"},
                                                 {"organic cotton", "cotton"},
                                                 {"cashmere wool", "cashmere"}}};

std::vector<std::string> every_name() {
  std::vector<std::string> names;
  for (const Fibre& fibre : known_fibres()) names.push_back(fibre.name);
  for (const OtherName& other : kOtherNames) names.emplace_back(other.written);
  return names;
}

const Fibre* found(const std::string& plain) {
  std::string name = plain;
  for (const OtherName& other : kOtherNames) {
    if (plain == other.written) name = other.fibre;
  }
  for (const Fibre& fibre : known_fibres()) {
    if (fibre.name == name) return &fibre;
  }
  return nullptr;
}

/// The shares and names of a text, in the order they stand.
struct Parts {
  std::vector<double> percents;
  std::vector<std::string> names;
  bool ended = true;  ///< the next word begins a new name
};

void add_word(Parts& parts, const std::string& word) {
  if (word == "and" || word == "with") {
    parts.ended = true;
  } else if (word != "percent" && word != "fibre" && word != "fiber") {
    if (parts.ended) parts.names.emplace_back();
    parts.names.back() += (parts.ended ? "" : " ") + word;
    parts.ended = false;
  }
}

Parts parts_of(std::string_view text, DecimalMark mark) {
  Parts parts;
  for (std::string rest = folded(text); !rest.empty();) {
    if (is_letter(rest[0])) {
      const auto end = std::find_if_not(rest.begin(), rest.end(), is_letter);
      add_word(parts, std::string(rest.begin(), end));
      rest.erase(rest.begin(), end);
    } else if (rest[0] == ' ' || rest[0] == '%') {
      rest.erase(0, 1);
    } else if (std::string_view(",;/+&:").find(rest[0]) != std::string_view::npos ||
               (rest[0] == '-' && rest.size() > 1 && is_letter(rest[1]))) {
      parts.ended = true;
      rest.erase(0, 1);
    } else {
      const LeadingNumber number = leading_decimal(rest, mark);
      parts.percents.push_back(number.value);
      parts.ended = true;
      rest = number.rest;
    }
  }
  return parts;
}

void add_share(FibreBlend& blend, const Fibre& fibre, double by_mass) {
  for (FibreShare& share : blend) {
    if (share.fibre.name == fibre.name) {
      share.by_mass += by_mass;
      return;
    }
  }
  blend.push_back({fibre, by_mass});
}

// The name of the figure is made for one that is out of range only.
void require_of_fibre(const char* what, const Fibre& fibre, const char* unit, double value,
                      double low, double high) {
  const bool is_within = value >= low && value <= high;
  if (is_within) return;
  refuse_range(fmt::format("{} of {}{}", what, fibre.name, unit), value, low, high,
               "a blend of fibres");
}

void require_blend(const FibreBlend& blend) {
  double sum = 0.0;
  for (const FibreShare& share : blend) {
    require_of_fibre("share", share.fibre, "", share.by_mass, 0.0, 1.0);
    require_of_fibre("density", share.fibre, ", g/cm3", in_grams_per_cubic_cm(share.fibre.density),
                     0.1, 25.0);
    require_of_fibre("regain", share.fibre, "", share.fibre.regain, 0.0, 1.0);
    sum += share.by_mass;
  }
  require_range("sum of the shares of all fibres", sum, 0.999, 1.001, "a blend of fibres");
}

}  // namespace

const std::vector<Fibre>& known_fibres() {
  static const std::vector<Fibre> fibres{
      {"cotton", grams_per_cubic_cm(1.52), 0.075},
      {"mercerised cotton", grams_per_cubic_cm(1.52), 0.105},
      {"wool", grams_per_cubic_cm(1.31), 0.14, true},
      {"silk", grams_per_cubic_cm(1.34), 0.10},
      {"linen", grams_per_cubic_cm(1.53), 0.07},
      {"hemp", grams_per_cubic_cm(1.49), 0.08},
      {"jute", grams_per_cubic_cm(1.45), 0.12},
      {"ramie", grams_per_cubic_cm(1.53), 0.077},
      {"viscose", grams_per_cubic_cm(1.49), 0.13},
      {"lyocell", grams_per_cubic_cm(1.50), 0.11},
      {"acetate", grams_per_cubic_cm(1.32), 0.065, false, true},
      {"nylon", grams_per_cubic_cm(1.14), 0.045, false, true},
      {"polyester", grams_per_cubic_cm(1.39), 0.004, false, true},
      {"acrylic", grams_per_cubic_cm(1.19), 0.015, false, true},
      {"modacrylic", grams_per_cubic_cm(1.29), 0.02, false, true},
      {"polypropylene", grams_per_cubic_cm(0.91), 0.0, false, true},
      {"casein", grams_per_cubic_cm(1.30), 0.14},
      {"alpaca", grams_per_cubic_cm(1.31), 0.14, true},
      {"mohair", grams_per_cubic_cm(1.31), 0.14, true},
      {"cashmere", grams_per_cubic_cm(1.31), 0.14, true}};
  return fibres;
}

Fibre fibre_named(std::string_view name) {
  if (const Fibre* fibre = found(folded(name))) return *fibre;
  const std::string near = nearest_word(name, every_name());
  if (!near.empty())
    refuse_text(name, "no fibre of this name is known; did you mean " + in_quotes(near) + "?");
  std::string known;
  for (const Fibre& fibre : known_fibres()) known += (known.empty() ? "" : ", ") + fibre.name;
  refuse_text(name, "no fibre of this name is known; known are " + known);
}

bool is_fibre_word(std::string_view word) {
  const std::string padded = " " + folded(word) + " ";
  const std::vector<std::string> names = every_name();
  return std::any_of(names.begin(), names.end(), [&](const std::string& name) {
    return (" " + name + " ").find(padded) != std::string::npos;
  });
}

FibreBlend read_fibre_blend(std::string_view text, DecimalMark mark) {
  Parts parts = parts_of(text, mark);
  if (parts.names.empty()) {
    refuse_text(text, "a fibre or a blend is wanted, such as \"wool\" or \"80 % wool 20 % nylon\"");
  }
  if (parts.names.size() == 1 && parts.percents.empty()) parts.percents.push_back(100.0);
  if (parts.percents.size() != parts.names.size()) {
    refuse_text(text, "every fibre of a blend needs its share, such as \"80 % wool 20 % nylon\"");
  }
  double sum = 0.0;
  for (const double percent : parts.percents) sum += percent;
  if (std::abs(sum - 100.0) > 1.0) {
    refuse_text(text, fmt::format("the shares sum to {:.4g} %; they must sum to 100 %", sum));
  }
  FibreBlend blend;
  for (std::size_t i = 0; i < parts.names.size(); ++i) {
    if (parts.percents[i] <= 0.0)
      refuse_text(text, "a share must be above 0 %; leave the fibre out");
    add_share(blend, fibre_named(parts.names[i]), parts.percents[i] / sum);
  }
  return blend;
}

VolumeDensity<> blend_density(const FibreBlend& blend) {
  require_blend(blend);
  double volume = 0.0;
  for (const FibreShare& share : blend) volume += share.by_mass / share.fibre.density.si();
  return VolumeDensity<>::from_si(1.0 / volume);
}

double blend_regain(const FibreBlend& blend) {
  require_blend(blend);
  double dry = 0.0;
  for (const FibreShare& share : blend) dry += share.by_mass / (1.0 + share.fibre.regain);
  return 1.0 / dry - 1.0;
}

Mass<> mass_at_regain(const Mass<>& mass, double from, double to) {
  require_range("regain now", from, 0.0, 1.0, "fibre that takes up moisture");
  require_range("regain wanted", to, 0.0, 1.0, "fibre that takes up moisture");
  require_range("mass, g", in_grams(mass), 0.0, 1e12, "fibre that takes up moisture");
  return mass * ((1.0 + to) / (1.0 + from));
}

}  // namespace ellwand::yarn
