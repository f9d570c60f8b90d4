#include "ellwand/calibrate/advice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace ellwand::calibrate {

namespace {

/// What a coefficient is about. In the order in which sentences name them.
enum class About { Lot, Thickness, Rows, Ends, Waste, Warp, Weaver, Yarn, Work, Hand };

struct Named {
  About about = About::Hand;
  std::string whose;  ///< a yarn's id, a weaver, a work
};

struct Prefix {
  const char* text;
  About about;
};

constexpr std::array<Prefix, 14> kPrefixes = {{{"lot ", About::Lot},
                                               {"thickness ", About::Thickness},
                                               {"yarn ", About::Yarn},
                                               {"weaver ", About::Weaver},
                                               {"take.", About::Work},
                                               {"beat.", About::Rows},
                                               {"row_height.", About::Rows},
                                               {"tail", About::Ends},
                                               {"trim", About::Ends},
                                               {"working_length", About::Ends},
                                               {"waste.", About::Waste},
                                               {"draw_in", About::Warp},
                                               {"stretch.", About::Warp},
                                               {"hand", About::Hand}}};

/// A lot's name has the yarn's id first, which has no space in it.
std::string first_word(const std::string& text) { return text.substr(0, text.find(' ')); }

Named named(const std::string& name, const estimate::StartingValues& values) {
  for (const Prefix& prefix : kPrefixes) {
    const std::string text = prefix.text;
    if (name.rfind(text, 0) != 0) continue;
    if (text.back() == ' ') {
      const std::string rest = name.substr(text.size());
      return {prefix.about, prefix.about == About::Lot ? first_word(rest) : rest};
    }
    const auto row = values.all().find(name);
    return {prefix.about, row == values.all().end() ? "" : row->second.shared_by};
  }
  return {};
}

/// How loosely she lays, as this coefficient has it.
std::string laid(const Named& one) {
  switch (one.about) {
    case About::Hand:
      return "how loosely you lay yarn in all your work";
    case About::Work:
      return fmt::format("how loosely you lay it in {}", one.whose);
    case About::Yarn:
      return fmt::format("how loosely you lay {}", one.whose);
    case About::Weaver:
      return fmt::format("how {} lays yarn", one.whose);
    case About::Lot:
      return fmt::format("what the lot of {} weighs", one.whose);
    case About::Thickness:
      return fmt::format("how thick {} lies", one.whose);
    case About::Rows:
      return fmt::format("how close the rows of {} lie", one.whose);
    case About::Ends:
      return "what tails and ends take";
    case About::Waste:
      return "what is lost";
    case About::Warp:
      return "how the warp gives";
  }
  return "";
}

}  // namespace

std::string what_settles(const std::string& name, const estimate::StartingValues& values) {
  const Named one = named(name, values);
  switch (one.about) {
    case About::Lot:
      return fmt::format("weigh a measured length of {}", one.whose);
    case About::Thickness:
      return fmt::format("wrap {} round a rule and count the wraps", one.whose);
    case About::Rows:
      return fmt::format("measure the height of so many rows of {}", one.whose);
    case About::Ends:
    case About::Waste:
      return "unpick a band and measure what lies in it, beside what left the ball";
    case About::Warp:
      return "measure the cloth's width, and an end before and after it was wound on";
    case About::Weaver:
      return fmt::format("let {} weave what another has woven", one.whose);
    case About::Yarn:
      return fmt::format("weave more in {}", one.whose);
    case About::Work:
      return fmt::format("weave more in {}", one.whose);
    case About::Hand:
      return "weave in more than one work and yarn";
  }
  return "";
}

namespace {

/// What tells two apart, the first of them named first in About.
std::string what_tells(const Named& first, const Named& second, const std::string& first_name,
                       const estimate::StartingValues& values) {
  if (first.about == About::Yarn && second.about == About::Hand) {
    return "weave the same in another yarn";
  }
  if (first.about == About::Work && second.about == About::Hand) {
    return "weave a swatch in a work that has none yet";
  }
  if (first.about == About::Yarn && second.about == About::Work) {
    return fmt::format("weave {} in another work, or {} in another yarn", first.whose,
                       second.whose);
  }
  if (first.about == second.about && first.about == About::Yarn) {
    return "weave a swatch in each alone";
  }
  return what_settles(first_name, values);
}

}  // namespace

std::string told_pair(const std::string& first, const std::string& second,
                      const estimate::StartingValues& values) {
  Named one = named(first, values);
  Named other = named(second, values);
  const std::string* name = &first;
  if (other.about < one.about) {
    std::swap(one, other);
    name = &second;
  }
  const std::string what = what_tells(one, other, *name, values);
  if (one.about == About::Lot) {
    return fmt::format("Grams alone cannot tell {} from {}; {}.", laid(other), laid(one), what);
  }
  return fmt::format("What is measured cannot tell {} from {}; {}.", laid(other), laid(one), what);
}

std::vector<std::string> told_pairs(const Report& report, const Fit& fit,
                                    const estimate::StartingValues& values) {
  std::vector<std::string> all;
  for (const Pair& pair : report.pairs) {
    const std::string text =
        told_pair(fit.coefficients[pair.first].name, fit.coefficients[pair.second].name, values);
    if (std::find(all.begin(), all.end(), text) == all.end()) all.push_back(text);
  }
  return all;
}

}  // namespace ellwand::calibrate
