#include "command_line.hpp"

#include "ellwand/units/text.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace ellwand::tools {

bool Given::has(const std::string& option) const {
  return std::any_of(entries_.begin(), entries_.end(),
                     [&](const Entry& entry) { return entry.option == option; });
}

const std::string& Given::value(const std::string& option) const {
  static const std::string none;
  for (const Entry& entry : entries_) {
    if (entry.option == option) return entry.value;
  }
  return none;
}

void Given::add(const std::string& option, std::string value) {
  if (has(option)) throw WrongUsage("--" + option + " is given twice; give it once");
  entries_.push_back({option, std::move(value)});
}

std::string Given::torn_value(std::size_t taken) const {
  if (words_.size() <= taken || options_before_[taken] == 0) return {};
  const Entry& entry = entries_[options_before_[taken] - 1];
  if (entry.value.empty()) return {};
  std::string whole = entry.value;
  for (std::size_t i = taken; i < words_.size(); ++i) {
    if (options_before_[i] == options_before_[taken]) whole += ' ' + words_[i];
  }
  return fmt::format("what is '{}'? A value with a blank in it is quoted: --{} {}", words_[taken],
                     entry.option, as_typed(whole));
}

std::string did_you_mean(const std::string& word, const std::vector<std::string>& candidates) {
  const std::string nearest = nearest_word(word, candidates);
  return nearest.empty() ? "." : "; did you mean '" + nearest + "'?";
}

std::string as_typed(const std::string& word) {
  const auto is_plain = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '/' ||
           c == '.' || c == '-' || c == '_' || c == '+';
  };
  if (!word.empty() && std::all_of(word.begin(), word.end(), is_plain)) return word;
  std::string quoted = "'";
  for (const char c : word) quoted += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return quoted + "'";
}

namespace {

std::vector<std::string> long_names(const std::vector<Option>& options) {
  std::vector<std::string> names;
  for (const Option& option : options) names.push_back("--" + option.name);
  return names;
}

}  // namespace

void refuse_unknown(const std::string& token, const std::vector<Option>& options) {
  const std::string word = token.substr(0, token.find('='));
  throw WrongUsage(fmt::format("there is no option {}{} --help lists them.", word,
                               did_you_mean(word, long_names(options))));
}

std::string help_of(const Verb& verb) {
  std::string help;
  for (const std::string& example : verb.examples) help += "  " + example + "\n";
  help += fmt::format("\n{}\n\nUsage: ellwand {} {}\n\n", verb.does, verb.name, verb.usage);
  for (const Option& option : verb.options) {
    if (!option.is_listed) continue;
    const std::string letter = option.letter == 0 ? "    " : fmt::format("-{}, ", option.letter);
    const std::string name = "--" + option.name + (option.value.empty() ? "" : " " + option.value);
    help += fmt::format("  {}{:<20} {}\n", letter, name, option.help);
  }
  if (!verb.more.empty()) help += "\n" + verb.more;
  return help;
}

}  // namespace ellwand::tools
