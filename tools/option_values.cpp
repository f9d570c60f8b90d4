#include "option_values.hpp"

#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>
#include <sstream>

namespace ellwand::tools {

namespace {

std::optional<double> number_in(const std::string& text) {
  try {
    return read_decimal(text);
  } catch (const UnreadableText&) {
    return std::nullopt;
  }
}

std::string trimmed(const std::string& text) {
  const auto first = text.find_first_not_of(' ');
  if (first == std::string::npos) return {};
  return text.substr(first, text.find_last_not_of(' ') - first + 1);
}

}  // namespace

void refuse(const Given& given, const std::string& option, const char* accepted) {
  throw WrongUsage(
      fmt::format("--{} was given '{}'; it takes {}", option, given.value(option), accepted));
}

double number_of(const Given& given, const std::string& option, double otherwise,
                 const Accepted& accepted) {
  if (!given.has(option)) return otherwise;
  const std::optional<double> number = number_in(given.value(option));
  if (!number || *number < accepted.least || *number > accepted.most) {
    refuse(given, option, accepted.told);
  }
  return *number;
}

int whole_number_of(const Given& given, const std::string& option, int otherwise,
                    const Accepted& accepted) {
  const double number = number_of(given, option, otherwise, accepted);
  if (number != std::floor(number)) refuse(given, option, accepted.told);
  return static_cast<int>(number);
}

double confidence_of(const Given& given, const std::string& option, double otherwise) {
  if (!given.has(option)) return otherwise;
  std::string text = trimmed(given.value(option));
  const bool is_percent = !text.empty() && text.back() == '%';
  if (is_percent) text = trimmed(text.substr(0, text.size() - 1));
  const std::optional<double> number = number_in(text);
  const double chance = number ? (is_percent ? *number / 100.0 : *number) : 0.0;
  if (!(chance > 0.5 && chance < 1.0)) {
    refuse(given, option, "a chance above 50 % and below 100 %, as in '95 %' or 0.95");
  }
  return chance;
}

YarnAmount yarn_amount_of(const Given& given, const std::string& option) {
  return read_yarn_amount(given.value(option), option);
}

YarnAmount read_yarn_amount(const std::string& text, const std::string& option) {
  constexpr double kMostGrams = 1e6;
  constexpr double kMostMetres = 1e7;
  try {
    const YarnAmount mass{in_grams(read_mass(text)), true};
    if (mass.amount <= kMostGrams) return mass;
  } catch (const UnreadableText&) {
    try {
      const YarnAmount length{in_metres(read_length(text)), false};
      if (length.amount <= kMostMetres) return length;
    } catch (const UnreadableText&) {
    }
  }
  throw WrongUsage(fmt::format(
      "--{} was given '{}'; it takes an amount of yarn with its unit, as in '26 g' or '50 m'",
      option, text));
}

std::vector<std::string> split_at_commas(const std::string& text) {
  std::vector<std::string> words;
  std::istringstream rest(text);
  for (std::string word; std::getline(rest, word, ',');) {
    word = trimmed(word);
    if (!word.empty()) words.push_back(word);
  }
  return words;
}

std::string name_one_of(const std::string& word, const std::vector<std::string>& candidates) {
  if (candidates.empty() || !nearest_word(word, candidates).empty()) {
    return did_you_mean(word, candidates);
  }
  constexpr std::size_t kMostNamed = 8;
  std::string all = candidates.front();
  const std::size_t named = std::min(candidates.size(), kMostNamed);
  for (std::size_t i = 1; i < named; ++i) {
    all += (i + 1 == candidates.size() ? " and " : ", ") + candidates[i];
  }
  return "; name one of " + all + (named < candidates.size() ? " and more." : ".");
}

}  // namespace ellwand::tools
