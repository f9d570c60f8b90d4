// The options of a typed command, by Boost's Program_options.

#include "command_line.hpp"

#include <boost/program_options.hpp>

#include <fmt/format.h>

namespace ellwand::tools {

namespace po = boost::program_options;

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
        for (const std::string& word : option.value) given.add_word(word);
        continue;
      }
      given.add(option.string_key, option.value.empty() ? std::string() : option.value.front());
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

}  // namespace ellwand::tools
