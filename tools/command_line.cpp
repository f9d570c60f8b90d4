#include "command_line.hpp"

#include "ellwand/units/text.hpp"

#include <boost/program_options.hpp>

#include <fmt/format.h>

#include <algorithm>

namespace ellwand::tools {

namespace po = boost::program_options;

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

po::options_description described(const std::vector<Option>& options) {
  po::options_description all;
  for (const Option& option : options) {
    const std::string name = option.letter == 0 ? option.name : option.name + "," + option.letter;
    if (option.value.empty()) {
      all.add_options()(name.c_str(), option.help.c_str());
    } else {
      all.add_options()(name.c_str(), po::value<std::string>(), option.help.c_str());
    }
  }
  return all;
}

std::vector<std::string> long_names(const std::vector<Option>& options) {
  std::vector<std::string> names;
  for (const Option& option : options) names.push_back("--" + option.name);
  return names;
}

[[noreturn]] void refuse_unknown(const std::string& token, const std::vector<Option>& options) {
  const std::string word = token.substr(0, token.find('='));
  throw WrongUsage(fmt::format("there is no option {}{} --help lists them.", word,
                               did_you_mean(word, long_names(options))));
}

/// The sentence for an option whose value is missing, or that takes none.
[[noreturn]] void refuse_value(const po::error_with_option_name& error,
                               const std::vector<Option>& options) {
  for (const Option& option : options) {
    const bool is_meant = error.get_option_name() == "--" + option.name ||
                          error.get_option_name() == std::string("-") + option.letter;
    if (!is_meant) continue;
    throw WrongUsage(option.value.empty() ? fmt::format("--{} takes no value; write --{} alone",
                                                        option.name, option.name)
                                          : fmt::format("--{} needs a value; write --{} {}",
                                                        option.name, option.name, option.value));
  }
  throw WrongUsage(error.what());
}

}  // namespace

Given read_options(const std::vector<std::string>& arguments, const std::vector<Option>& options) {
  const po::options_description all = described(options);
  po::positional_options_description words;
  words.add("word", -1);
  po::options_description with_words = all;
  with_words.add_options()("word", po::value<std::vector<std::string>>(), "");
  const auto style =
      po::command_line_style::default_style & ~po::command_line_style::allow_guessing;

  Given given;
  try {
    const auto parsed =
        po::command_line_parser(arguments).options(with_words).positional(words).style(style).run();
    for (const auto& option : parsed.options) {
      if (option.string_key == "word") {
        given.words_.insert(given.words_.end(), option.value.begin(), option.value.end());
        continue;
      }
      if (given.has(option.string_key)) {
        throw WrongUsage("--" + option.string_key + " is given twice; give it once");
      }
      given.entries_.push_back(
          {option.string_key, option.value.empty() ? std::string() : option.value.front()});
    }
  } catch (const po::unknown_option& unknown) {
    refuse_unknown(unknown.get_option_name(), options);
  } catch (const po::error_with_option_name& error) {
    refuse_value(error, options);
  } catch (const po::error& error) {
    throw WrongUsage(error.what());
  }
  return given;
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
