#include "ellwand/calibrate/advice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace ellwand::calibrate {

namespace {

/// What a coefficient is about. In the order in which sentences name them.
enum class About { Lot, Thickness, Rows, Ends, Waste, Warp, Weaver, Yarn, Work, Bend, Hand };

struct Named {
  About about = About::Hand;
  std::string whose;     ///< a yarn's id, a weaver, a work; several in a list
  bool is_many = false;  ///< several
  bool is_each = false;  ///< those that were just named
};

struct Prefix {
  const char* text;
  About about;
};

constexpr std::array<Prefix, 15> kPrefixes = {{{"lot ", About::Lot},
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
                                               {"height_share", About::Bend},
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
      if (one.is_each) return "what their lots weigh";
      return one.is_many ? fmt::format("what the lots of {} weigh", one.whose)
                         : fmt::format("what the lot of {} weighs", one.whose);
    case About::Thickness:
      return fmt::format("how thick {} {}", one.whose, one.is_many ? "lie" : "lies");
    case About::Rows:
      return fmt::format("how close the rows of {} lie", one.whose);
    case About::Ends:
      return "what tails and ends take";
    case About::Waste:
      return "what is lost";
    case About::Warp:
      return "how the warp gives";
    case About::Bend:
      return "how warp and weft share the bend";
  }
  return "";
}

}  // namespace

namespace {

std::string settling(const Named& one) {
  switch (one.about) {
    case About::Lot:
      return fmt::format("weigh a measured length of {}", one.is_each ? "each" : one.whose);
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
    case About::Work:
      return fmt::format("weave more in {}", one.whose);
    case About::Bend:
      return "draw rows of weft and ends of warp out of a swatch, and measure its height";
    case About::Hand:
      return "weave in more than one work and yarn";
  }
  return "";
}

/// What tells two apart, the first of them named first in About.
std::string what_tells(const Named& first, const Named& second) {
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
  return settling(first);
}

/// Two that are not told apart, the one that sentences name first first.
struct Apart {
  Named one;
  Named other;
};

Apart apart(const std::string& first, const std::string& second,
            const estimate::StartingValues& values) {
  Apart pair{named(first, values), named(second, values)};
  if (pair.other.about < pair.one.about) std::swap(pair.one, pair.other);
  return pair;
}

std::string told(const Apart& pair) {
  return fmt::format("{} cannot tell {} from {}; {}.",
                     pair.one.about == About::Lot ? "Grams alone" : "What is measured",
                     laid(pair.other), laid(pair.one), what_tells(pair.one, pair.other));
}

/// Whether both are of one yarn, as its lot and how it is laid.
bool is_of_one(const Apart& pair) {
  return !pair.one.whose.empty() && pair.one.whose == pair.other.whose;
}

/// Pairs alike but for whose the first is, or both are, as one.
struct Alike {
  Apart pair;
  std::vector<std::string> whose;
};

bool add_to_alike(const Apart& pair, std::vector<Alike>& all) {
  for (Alike& alike : all) {
    const Apart& its = alike.pair;
    const bool is_alike = its.one.about == pair.one.about && its.other.about == pair.other.about &&
                          is_of_one(its) == is_of_one(pair) &&
                          (is_of_one(pair) || its.other.whose == pair.other.whose);
    // Two of a kind are told apart by weaving in each: a list of them would say nothing.
    if (!is_alike || pair.one.about == pair.other.about) continue;
    if (std::find(alike.whose.begin(), alike.whose.end(), pair.one.whose) == alike.whose.end()) {
      alike.whose.push_back(pair.one.whose);
    }
    return true;
  }
  return false;
}

std::string in_a_list(const std::vector<std::string>& words) {
  std::string all;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) all += i + 1 == words.size() ? " and " : ", ";
    all += words[i];
  }
  return all;
}

}  // namespace

std::string what_settles(const std::string& name, const estimate::StartingValues& values) {
  return settling(named(name, values));
}

std::string told_pair(const std::string& first, const std::string& second,
                      const estimate::StartingValues& values) {
  return told(apart(first, second, values));
}

std::vector<std::string> told_pairs(const Report& report, const Fit& fit,
                                    const estimate::StartingValues& values) {
  std::vector<Alike> all;
  for (const Pair& pair : report.pairs) {
    const Apart two =
        apart(fit.coefficients[pair.first].name, fit.coefficients[pair.second].name, values);
    if (!add_to_alike(two, all)) all.push_back({two, {two.one.whose}});
  }
  std::vector<std::string> sentences;
  for (Alike& alike : all) {
    const bool is_of_one_each = is_of_one(alike.pair);
    alike.pair.one.whose = in_a_list(alike.whose);
    alike.pair.one.is_many = alike.whose.size() > 1;
    if (is_of_one_each) {
      alike.pair.other.whose = alike.pair.one.whose;
      alike.pair.other.is_many = alike.pair.one.is_many;
      alike.pair.one.is_each = alike.pair.one.is_many;
    }
    const std::string text = told(alike.pair);
    if (std::find(sentences.begin(), sentences.end(), text) == sentences.end()) {
      sentences.push_back(text);
    }
  }
  return sentences;
}

}  // namespace ellwand::calibrate
